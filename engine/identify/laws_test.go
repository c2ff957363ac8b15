package identify

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

// anyObservation draws an observation of closed words and plain figures, consistent or not.
func anyObservation(t *rapid.T) observation.Observation {
	word := func(label string, words []string) string {
		return rapid.SampledFrom(append([]string{""}, words...)).Draw(t, label)
	}
	words := func(label string, list []string) []string {
		if w := word(label, list); w != "" {
			return []string{w}
		}
		return nil
	}
	o := observation.Observation{
		Magnet: word("magnet", observation.MagnetWords), File: word("file", observation.FileWords), Chip: word("chip", observation.ChipWords),
		Rust: word("rust", observation.RustWords), Weight: word("weight", observation.WeightWords), Sound: word("sound", observation.SoundWords),
		Fracture: words("fracture", observation.FractureWords), Color: words("color", observation.ColorWords),
		Torch: words("torch", observation.TorchWords), Surface: words("surface", observation.SurfaceWords),
	}
	if rapid.Bool().Draw(t, "sparked") {
		o.Spark = &observation.Spark{Volume: word("volume", observation.VolumeWords), ColorNear: word("near", observation.SparkColors),
			ColorEnd: word("end", observation.SparkColors), Bursts: word("bursts", observation.BurstWords), BurstForm: word("form", observation.BurstForms)}
	}
	if rapid.Bool().Draw(t, "measured") {
		o.Hardness = []observation.Hardness{{Value: rapid.Float64Range(80, 600).Draw(t, "hb"), Scale: "HB"}}
	}
	if rapid.Bool().Draw(t, "weighed") {
		o.DensityGCM3 = ptr(rapid.Float64Range(1.6, 16).Draw(t, "density"))
	}
	if rapid.Bool().Draw(t, "analysed") {
		o.Chem = map[string]float64{"Cr": rapid.Float64Range(0, 30).Draw(t, "Cr"), "Ni": rapid.Float64Range(0, 30).Draw(t, "Ni"),
			"C": rapid.Float64Range(0, 4).Draw(t, "C")}
	}
	return o
}

func TestChancesSumToOneWhateverIsSaid(t *testing.T) {
	m := fieldModel()
	s := m.NewScratch()
	rapid.Check(t, func(t *rapid.T) {
		o := anyObservation(t)
		r := m.Identify(&o, nil, s)
		total := r.Unlisted
		for _, p := range r.Families {
			require.False(t, math.IsNaN(p) || p < 0)
			total += p
		}
		require.InDelta(t, 1, total, 1e-9)
		require.InDelta(t, 1-r.Unlisted, sumOf(r.Grades), 1e-9)
		for _, e := range r.Evidence {
			for _, b := range e.Bits {
				require.False(t, math.IsNaN(b.Bits) || math.IsInf(b.Bits, 0), "%s %v", e.Key, e.Bits)
			}
		}
	})
}

func TestTheSameObservationGivesTheSameBits(t *testing.T) {
	m := fieldModel()
	s := m.NewScratch()
	rapid.Check(t, func(t *rapid.T) {
		first, second := anyObservation(t), anyObservation(t)
		a := slices.Clone(m.Identify(&first, nil, s).Grades)
		m.Identify(&second, nil, s)
		require.Equal(t, a, m.Identify(&first, nil, s).Grades, "the scratch remembers nothing")
		require.Equal(t, a, m.Identify(&first, nil, m.NewScratch()).Grades)
	})
}

// A word that a grade explains better than every other grade never lowers that grade, when it is the first
// of its group.
func TestTheFirstWordOfAGroupNeverLowersTheGradeThatExplainsItBest(t *testing.T) {
	m := fieldModel()
	tests := append(slices.Clone(m.words), m.magnet)
	rapid.Check(t, func(t *rapid.T) {
		test := tests[rapid.IntRange(0, len(tests)-1).Draw(t, "test")]
		w := rapid.IntRange(0, len(test.said)-1).Draw(t, "word")
		o := anyObservation(t)
		clearKey(&o, test.key)
		before := slices.Clone(m.Identify(&o, nil, m.NewScratch()).Grades)
		setKey(&o, test.key, test.said[w])
		after := m.Identify(&o, nil, m.NewScratch()).Grades
		best := slices.Max(test.rows[w])
		for g, l := range test.rows[w] {
			if l == best {
				require.GreaterOrEqual(t, after[g], before[g]*(1-1e-9), "%s %s on %s", test.key, test.said[w], m.cat.Grades[g].ID)
			}
		}
	})
}

func clearKey(o *observation.Observation, key string) {
	setKey(o, key, "")
	switch key { // surface and rust are one glance, one group
	case "rust":
		o.Surface = nil
	case "surface":
		o.Rust = ""
	}
}

func setKey(o *observation.Observation, key, word string) {
	var list []string
	if word != "" {
		list = []string{word}
	}
	switch key {
	case "magnet":
		o.Magnet = word
	case "rust":
		o.Rust = word
	case "weight":
		o.Weight = word
	case "sound":
		o.Sound = word
	case "surface":
		o.Surface = list
	case "color":
		o.Color = list
	case "fracture":
		o.Fracture = list
	case "torch":
		o.Torch = list
	}
}

// Evidence is conserved: the outcomes of a test, weighted by their chance, give the present posterior back.
func TestOutcomesWeightedByTheirChanceGiveThePosteriorBack(t *testing.T) {
	m := fieldModel()
	s := m.NewScratch()
	o := observation.Observation{Rust: "red-rust"}
	r := m.Identify(&o, nil, s)
	m.activate(&r, familyStakes(m), &s.outlook)
	for i := range m.tests {
		mean := make([]float64, m.n)
		for _, row := range m.outcomes(&m.tests[i], &r, s) {
			for _, g := range s.outlook.active {
				mean[g] += row[g] * r.Grades[g]
			}
		}
		for _, g := range s.outlook.active {
			require.InDelta(t, r.Grades[g], mean[g], 1e-7, m.tests[i].test)
		}
	}
}

func TestContradictoryFactsArePoorAndNameTheOneToRepeat(t *testing.T) {
	m := fieldModel()
	o := observation.Observation{Magnet: "strong", DensityGCM3: ptr(2.7)}
	r := m.Identify(&o, nil, m.NewScratch())
	require.Equal(t, "poor", r.Fit)
	require.Contains(t, []string{"magnet", "density_g_cm3"}, r.Repeat)
}

func TestFactsThatWantDifferentMetalsDoNotFitWell(t *testing.T) {
	m := fieldModel()
	for _, o := range []observation.Observation{
		{Magnet: "strong", Chem: map[string]float64{"C": 1.2, "Mn": 12.5}, ChemMethod: "lab"},
		{Magnet: "strong", Color: []string{"yellow"}, Spark: &observation.Spark{Volume: "none"}},
		{Part: "jaw crusher plate", Magnet: "strong", Spark: &observation.Spark{Volume: "small", ColorNear: "red", Length: "short"}},
	} {
		r := m.Identify(&o, m.cat.MatchPart(o.Part), m.NewScratch())
		require.NotEqual(t, "good", r.Fit, "%+v", o)
		require.NotEmpty(t, r.Repeat)
	}
	// Every fact of one metal fits.
	o := observation.Observation{Magnet: "strong", Spark: &observation.Spark{Volume: "small", ColorNear: "red", ColorEnd: "straw"},
		Chip: "crumbles", Fracture: []string{"dark-graphite"}, Sound: "dull"}
	require.Equal(t, "good", m.Identify(&o, nil, m.NewScratch()).Fit)
}

func TestMetalOutsideTheCatalogueGoesToUnlisted(t *testing.T) {
	m := fieldModel()
	o := observation.Observation{Chem: map[string]float64{"Sn": 45, "Ni": 30, "Mg": 20}, ChemMethod: "lab", DensityGCM3: ptr(5.2)}
	r := m.Identify(&o, nil, m.NewScratch())
	require.Greater(t, r.Unlisted, 0.5)
	require.NotEqual(t, "good", r.Fit)
}

func TestNoTestIsProposedWhenNothingHangsOnIt(t *testing.T) {
	m := fieldModel()
	s := m.NewScratch()
	o := observation.Observation{Magnet: "strong"}
	r := m.Identify(&o, nil, s)
	same := make([]float64, len(metal.Families))
	for f := range same {
		same[f] = 0.8
	}
	stakes := Stakes{Base: m.family, Utility: [][]float64{same, same}}
	require.Empty(t, m.NextTests(&r, &o, Wanted{Stakes: stakes}, s))
}

func TestATestThatCannotBeDoneOrIsForbiddenIsNotProposed(t *testing.T) {
	m := fieldModel()
	s := m.NewScratch()
	o := observation.Observation{Rust: "none"}
	r := m.Identify(&o, nil, s)
	all := m.NextTests(&r, &o, Wanted{Stakes: familyStakes(m)}, s)
	require.NotEmpty(t, all)
	for _, p := range all {
		require.NotContains(t, []string{"xrf", "libs", "hardness-rebound", "torch"}, p.Test)
	}
	r = m.Identify(&o, nil, s)
	for _, p := range m.NextTests(&r, &o, Wanted{Stakes: familyStakes(m), Forbidden: []string{"spark"}}, s) {
		require.NotEqual(t, "spark", p.Test)
	}
	r = m.Identify(&o, nil, s)
	found := false
	for _, p := range m.NextTests(&r, &o, Wanted{Stakes: familyStakes(m), Tools: []string{"xrf"}}, s) {
		require.NotEqual(t, "magnet", p.Test, "he has no magnet")
		found = found || p.Test == "xrf"
	}
	require.True(t, found)
}

func TestSparkDampingOfTheTableIsTheOneThatTheCodeTakes(t *testing.T) {
	m := fieldModel()
	for _, key := range []string{"spark", "spark_skin"} {
		require.InDelta(t, math.Pow(0.37, m.observers[key].damping), damp(0.37), 1e-12, key)
	}
}

func TestAPartThatIsSeldomOfTheNamedMetalIsNoDisagreementOfReadings(t *testing.T) {
	m := fieldModel()
	claim := []observation.Claim{{Metal: "aisi-316", By: "rep"}}
	fit := func(o observation.Observation) string {
		return m.Identify(&o, m.cat.MatchPart(o.Part), m.NewScratch()).Fit
	}
	require.Equal(t, "good", fit(observation.Observation{Part: "shaft", Claim: claim}))
	require.Equal(t, "good", fit(observation.Observation{Part: "shaft", Claim: claim, Magnet: "none"}))
	require.NotEqual(t, "good", fit(observation.Observation{Part: "shaft", Claim: claim, Magnet: "strong"}), "the magnet speaks against what was said")
}
