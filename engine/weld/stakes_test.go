package weld

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

// value is what the best action is worth in expectation over the bases of the stakes.
func (s Stakes) value(p []float64) float64 {
	best := 0.0
	for _, row := range s.Utility {
		sum := 0.0
		for j, u := range row {
			sum += p[j] * u
		}
		best = max(best, sum)
	}
	return best
}

func TestHeatingManganeseSteelIsWorthLittleWhateverTheFiller(t *testing.T) {
	b := load(t)
	s := b.Stakes(ask(b, observation.Observation{Job: "crack"}, map[string]float64{"austenitic-manganese-steel": 0.5, "medium-carbon-steel": 0.5}))
	manganese := metal.FamilyIndex("austenitic-manganese-steel")
	hot, cold := 0.0, 0.0
	for k, a := range s.Actions {
		for j, base := range s.Bases {
			if base != manganese || a.Wait {
				continue
			}
			if a.Regime >= Warm {
				hot = max(hot, s.Utility[k][j])
			} else {
				cold = max(cold, s.Utility[k][j])
			}
		}
	}
	require.Less(t, hot, 0.2)
	require.Greater(t, cold, 0.9)
}

func TestDoubtBetweenIronAndHardenableSteelCostsAQuarterOfTheRepair(t *testing.T) {
	b := load(t)
	q := ask(b, observation.Observation{Job: "crack"}, map[string]float64{"gray-iron": 0.5, "low-alloy-steel": 0.5})
	s := b.Stakes(q)
	masses := b.baseMasses(q.Grades, nil)
	p := make([]float64, len(s.Bases))
	known := 0.0
	for j, base := range s.Bases {
		p[j] = masses[base]
		best := 0.0
		for _, row := range s.Utility {
			best = max(best, row[j])
		}
		known += p[j] * best
	}
	require.Greater(t, known-s.value(p), 0.2)
	last := s.Actions[len(s.Actions)-1]
	require.True(t, last.Wait)
	require.Equal(t, waitUtility, s.Utility[len(s.Utility)-1][0])
}

func TestStakesStayWithinBoundsAndRemovingDoubtNeverHurts(t *testing.T) {
	b := load(t)
	rapid.Check(t, func(rt *rapid.T) {
		q := ask(b, drawObservation(rt), drawDoubt(rt))
		s := b.Stakes(q)
		require.LessOrEqual(rt, len(s.Actions), maxActions)
		require.Len(rt, s.Utility, len(s.Actions))
		masses := b.baseMasses(q.Grades, nil)
		p := make([]float64, len(s.Bases))
		for j, base := range s.Bases {
			p[j] = masses[base]
		}
		for _, row := range s.Utility {
			require.Len(rt, row, len(s.Bases))
			for _, u := range row {
				require.True(rt, u >= 0 && u <= 1)
			}
		}
		// Knowing the metal is worth at least what the best action under doubt is worth.
		known := 0.0
		for j := range s.Bases {
			one := make([]float64, len(s.Bases))
			one[j] = 1
			known += p[j] * s.value(one)
		}
		require.GreaterOrEqual(rt, known+1e-9, s.value(p))
	})
}

func TestGradeColumnsPointAtTheBaseOfEachGrade(t *testing.T) {
	b := load(t)
	s := b.Stakes(usualQuestion(b))
	require.Len(t, s.Columns, len(b.catalogue.Grades))
	for i, j := range s.Columns {
		if j >= 0 {
			require.Equal(t, b.BaseOf(i), s.Bases[j])
		}
	}
}
