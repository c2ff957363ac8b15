package identify

import (
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/data"
	"rodcall/engine/measure"
	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

// build makes a model over the real tables.
func build(t testing.TB, o Options) *Model {
	t.Helper()
	var faults data.Faults
	m := New(data.Files(), metal.Load(data.Files(), &faults), measure.LoadHardness(data.Files(), &faults), &faults, o)
	require.NoError(t, faults.Err())
	return m
}

var fieldModel = sync.OnceValue(func() *Model {
	var faults data.Faults
	return New(data.Files(), metal.Load(data.Files(), &faults), measure.LoadHardness(data.Files(), &faults), &faults, Options{})
})

// chance is the probability of a family after an observation.
func chance(t testing.TB, m *Model, o observation.Observation, family string) float64 {
	t.Helper()
	i := metal.FamilyIndex(family)
	require.GreaterOrEqual(t, i, 0, family)
	return m.Identify(&o, m.cat.MatchPart(o.Part), m.NewScratch()).Families[i]
}

func ptr(v float64) *float64 { return &v }

func TestEveryTableOfTheModelLoadsWithoutAFault(t *testing.T) {
	build(t, Options{})
	build(t, Options{Observer: "bench"})
}

func TestEveryWordOfATestIsAChanceThatSumsToOne(t *testing.T) {
	m := fieldModel()
	for _, test := range append(m.words, m.magnet) {
		for g := range m.n {
			sum := 0.0
			for w := range test.said {
				require.Positive(t, test.plain[w][g], "%s: %s is impossible on %s", test.key, test.said[w], m.cat.Grades[g].ID)
				sum += test.plain[w][g]
			}
			require.InDelta(t, 1, sum, 1e-6, "%s on %s", test.key, m.cat.Grades[g].ID)
		}
	}
}

func TestEveryOutcomeOfAnOutlookSumsToOne(t *testing.T) {
	m := fieldModel()
	s := m.NewScratch()
	o := observation.Observation{Magnet: "strong", File: "bites", Hardness: []observation.Hardness{{Value: 200, Scale: "HB"}}}
	r := m.Identify(&o, nil, s)
	m.activate(&r, familyStakes(m), &s.outlook)
	for i := range m.tests {
		rows := m.outcomes(&m.tests[i], &r, s)
		for _, g := range s.outlook.active {
			sum := 0.0
			for _, row := range rows {
				sum += row[g]
			}
			require.InDelta(t, 1, sum, 1e-6, "%s on %s", m.tests[i].test, m.cat.Grades[g].ID)
		}
	}
}

func TestEveryHiddenHardnessSumsToOne(t *testing.T) {
	m := fieldModel()
	for g, row := range m.hardness.grades {
		require.InDelta(t, 1, sumOf(row), 1e-9, m.cat.Grades[g].ID)
	}
	for b := range m.hardness.bins {
		sum := 0.0
		for w := range m.hardness.file {
			sum += m.hardness.file[w][b]
		}
		require.InDelta(t, 1, sum, 0.011, "file words at %.0f HB", m.hardness.bins[b])
	}
}

func TestEveryAppearanceOfASparkSumsToOne(t *testing.T) {
	m := fieldModel()
	for g := range m.n {
		weight := 0.0
		m.spark.each(g, func(a *appearance, w float64) {
			weight += w
			for f := range a.stream {
				require.InDelta(t, 1, sumOf(a.stream[f]), 1e-9, "%s feature %d", m.cat.Grades[g].ID, f)
			}
		})
		require.InDelta(t, 1, weight, 1e-9, m.cat.Grades[g].ID)
	}
}

func BenchmarkPosteriorWithNextTests(b *testing.B) {
	m := build(b, Options{})
	s := m.NewScratch()
	o := observation.Observation{Magnet: "strong", Rust: "red-rust", File: "bites",
		Spark: &observation.Spark{Volume: "large", ColorNear: "straw", Bursts: "moderate"}, Part: "sprocket"}
	matches := m.cat.MatchPart(o.Part)
	stakes := familyStakes(m)
	b.ReportAllocs()
	for b.Loop() {
		r := m.Identify(&o, matches, s)
		m.NextTests(&r, &o, Wanted{Stakes: stakes}, s)
	}
}

// familyStakes is a stand-in for the weld: one action a family that is right for it alone.
func familyStakes(m *Model) Stakes {
	stakes := Stakes{Base: m.family, Name: func(action int) string { return metal.Families[action] }}
	for a := range 12 {
		row := make([]float64, len(metal.Families))
		for f := range row {
			row[f] = 0.3
		}
		row[a] = 1
		stakes.Utility = append(stakes.Utility, row)
	}
	return stakes
}
