package identify

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

// expect is the mean place of a feature on its word list over the usual grades of a family.
func (m *Model) expect(family string, feature int) float64 {
	sum := 0.0
	for g := range m.n {
		if m.cat.Grades[g].Family != family {
			continue
		}
		m.spark.each(g, func(a *appearance, w float64) { sum += m.within[g] * w * expected(a.stream[feature]) })
	}
	return sum
}

// said is the chance that a magnet word is said of a grade.
func (m *Model) said(t *testing.T, grade, word string) float64 {
	t.Helper()
	for g := range m.cat.Grades {
		if m.cat.Grades[g].ID == grade {
			return m.magnet.plain[m.magnet.index(word)][g]
		}
	}
	require.Fail(t, "no grade "+grade)
	return 0
}

// Source: stainless institutes (table for the identification and sorting of stainless steels).
func TestFerriticAndMartensiticStainlessHoldAMagnetAndAnnealed304DoesNot(t *testing.T) {
	m := fieldModel()
	require.Greater(t, m.said(t, "aisi-430", "strong"), 0.85)
	require.Greater(t, m.said(t, "aisi-410", "strong"), 0.85)
	require.Greater(t, m.said(t, "aisi-304", "none"), 0.6)
	require.Greater(t, m.said(t, "aisi-304", "strong"), 0.01, "cold-worked 304 pulls (stainless technical note)")
}

// Source: common practice (a slight pull at the worked surface); wear-part articles call the body non-magnetic.
func TestManganeseSteelHoldsNoMagnetOrASlightOne(t *testing.T) {
	m := fieldModel()
	none, slight := m.said(t, "astm-a128-a", "none"), m.said(t, "astm-a128-a", "slight")
	require.Greater(t, none+slight, 0.92)
	require.Greater(t, none, slight)
	require.Greater(t, slight, 0.05)
}

// Source: ENC, UK-RDC, A-OD, OX-1919 (bursts rise with carbon); common practice for the words.
func TestCarbonBurstsRiseFromLowToHighCarbon(t *testing.T) {
	m := fieldModel()
	low, medium, high := m.expect("low-carbon-steel", bursts), m.expect("medium-carbon-steel", bursts), m.expect("high-carbon-steel", bursts)
	require.Less(t, low+0.4, medium)
	require.Less(t, medium+0.4, high)
}

// Source: CL, A-OD, N-MR (gray iron small and red, many fine bursts; steel large); common practice for "broad, yellow, plentiful".
func TestCastIronSparksShortAndRedBesideCastSteel(t *testing.T) {
	m := fieldModel()
	require.Less(t, m.expect("gray-iron", volume)+1.5, m.expect("cast-steel", volume))
	require.Less(t, m.expect("gray-iron", colorNear)+2, m.expect("cast-steel", colorNear))
	iron := observation.Observation{Surface: []string{"cast-sand"}, Magnet: "strong", Spark: &observation.Spark{Length: "short", ColorNear: "red", Volume: "small"}}
	steel := observation.Observation{Surface: []string{"cast-sand"}, Magnet: "strong", Spark: &observation.Spark{Length: "long", ColorNear: "yellow", Volume: "large"}}
	require.Greater(t, chance(t, m, iron, "gray-iron"), 5*chance(t, m, iron, "cast-steel"))
	require.Greater(t, chance(t, m, steel, "cast-steel"), 5*chance(t, m, steel, "gray-iron"))
}

// Source: common practice.
func TestChromiumCarbidePlateSparksHardlyAndDullRed(t *testing.T) {
	m := fieldModel()
	require.Less(t, m.expect("high-chromium-iron", volume), 1.8)
	require.Less(t, m.expect("high-chromium-iron", bursts), 1.2)
	o := observation.Observation{File: "skates", Surface: []string{"overlay"}, Spark: &observation.Spark{Volume: "very-small", ColorNear: "dull-red", Bursts: "none"}}
	require.Greater(t, chance(t, m, o, "high-chromium-iron"), 0.5)
}

// Sources: SAE J429 and ISO 898-1.
func TestHeadMarksNameTheSteelOfTheBolt(t *testing.T) {
	m := fieldModel()
	for _, c := range []struct {
		mark, family string
		least        float64
	}{
		{"3 radial lines", "medium-carbon-steel", 0.8},
		{"6 radial lines", "low-alloy-steel", 0.75},
		{"10.9", "low-alloy-steel", 0.8},
		{"12.9", "low-alloy-steel", 0.85},
		{"A2", "austenitic-stainless", 0.85},
		{"B7", "low-alloy-steel", 0.85},
	} {
		require.Greater(t, chance(t, m, observation.Observation{Marks: []string{c.mark}}, c.family), c.least, c.mark)
	}
	// ISO 898-1 allows class 8.8 from 0.15 to 0.55 % carbon, plain or boron: the mark must not settle it.
	o := observation.Observation{Marks: []string{"8.8"}}
	require.Less(t, chance(t, m, o, "medium-carbon-steel"), 0.7)
	require.Greater(t, chance(t, m, o, "low-alloy-steel"), 0.25)
}

func TestAnalyserByXRayNeverSeesCarbon(t *testing.T) {
	m := fieldModel()
	o := observation.Observation{Chem: map[string]float64{"Mn": 0.7, "Si": 0.25}, ChemMethod: "xrf"}
	without := chance(t, m, o, "low-carbon-steel")
	o.Chem = map[string]float64{"Mn": 0.7, "Si": 0.25, "C": 0.95}
	require.Equal(t, without, chance(t, m, o, "low-carbon-steel"))
	o.ChemMethod = "lab"
	require.Less(t, chance(t, m, o, "low-carbon-steel"), 0.02)
	require.Greater(t, chance(t, m, o, "high-carbon-steel"), 0.5)
}

func TestElementThatWasNotListedIsNotZero(t *testing.T) {
	m := fieldModel()
	o := observation.Observation{Chem: map[string]float64{"Cr": 17.0, "Ni": 11.5}, ChemMethod: "xrf"}
	r := m.Identify(&o, nil, m.NewScratch())
	molybdenum := 0.0
	for g, p := range r.Grades {
		if r := m.cat.Grades[g].Composition["Mo"]; r.HasLow && r.Low >= 2 {
			molybdenum += p
		}
	}
	require.Greater(t, molybdenum, 0.1, "316 needs molybdenum, but the message did not say there was none")
}

func TestReboundReadingMovesNothing(t *testing.T) {
	m := fieldModel()
	plain := observation.Observation{Magnet: "strong"}
	leeb := observation.Observation{Magnet: "strong", Hardness: []observation.Hardness{{Value: 620, Scale: "HLD"}}}
	for _, f := range metal.Families {
		require.Equal(t, chance(t, m, plain, f), chance(t, m, leeb, f), f)
	}
}

func TestAComparisonWithAKnownPieceTellsMoreThanARawLength(t *testing.T) {
	m := fieldModel()
	short := 12.0
	raw := observation.Observation{Magnet: "strong", Spark: &observation.Spark{LengthIn: &short}}
	against := observation.Observation{Magnet: "strong", Spark: &observation.Spark{Against: &observation.Against{Piece: "low-carbon-steel", Length: "less"}}}
	none := observation.Observation{Magnet: "strong"}
	shift := func(o observation.Observation) float64 {
		return chance(t, m, none, "low-carbon-steel") / chance(t, m, o, "low-carbon-steel")
	}
	require.Greater(t, shift(against), 1.3)
	require.Greater(t, shift(raw), 1.0)
}
