package weld

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestPreheatingGivesNoFigureForMetalsThatWantOppositeHeat(t *testing.T) {
	b := load(t)
	out := b.Preheating(Question{Observation: crackIn(20), Grades: doubt(b, map[string]float64{"austenitic-manganese-steel": 0.5, "medium-carbon-steel": 0.5})}, Conditions{})
	require.Contains(t, out.Conflict, "one heat cannot serve both")
	require.Zero(t, out.Band)
}

func TestPreheatingStatesTheShareTheNextStepAndWhatItSupposed(t *testing.T) {
	b := load(t)
	q := Question{Observation: crackIn(0), Grades: doubt(b, map[string]float64{"low-carbon-steel": 0.95, "high-carbon-steel": 0.05})}
	out := b.Preheating(q, Conditions{})
	require.InDelta(t, 0.95, out.Share, 0.06)
	require.Contains(t, out.Hotter, "if it is high-carbon steel")
	require.Equal(t, []string{"13 mm thick", "5 ml hydrogen (dry basic rod)", "1.5 kJ/mm", "medium restraint"}, out.Assumed)
	require.Empty(t, b.Preheating(q, Conditions{ThicknessMM: 20, Hydrogen: 5, HeatInput: 1.5, Restraint: "high"}).Assumed)
	require.Len(t, out.Grades, shownGrades)
}

func TestMoreHydrogenAndLessHeatNeverLowerThePreheat(t *testing.T) {
	b := load(t)
	rapid.Check(t, func(rt *rapid.T) {
		q := Question{Observation: crackIn(0), Grades: doubt(b, drawSteels(rt))}
		c := Conditions{ThicknessMM: rapid.Float64Range(1, 120).Draw(rt, "mm"), Hydrogen: rapid.Float64Range(1, 20).Draw(rt, "hydrogen"),
			HeatInput: rapid.Float64Range(0.5, 4).Draw(rt, "heat")}
		harder := c
		harder.Hydrogen = rapid.Float64Range(c.Hydrogen, 20).Draw(rt, "more hydrogen")
		harder.HeatInput = rapid.Float64Range(0.5, c.HeatInput).Draw(rt, "less heat")
		first, second := b.Preheating(q, c), b.Preheating(q, harder)
		require.LessOrEqual(rt, first.Min, second.Min)
		for i := range first.Grades {
			require.LessOrEqual(rt, first.Grades[i].Middle, first.Grades[i].Rich)
		}
	})
}

func TestPreheatingAgreesWithThePlan(t *testing.T) {
	b := load(t)
	rapid.Check(t, func(rt *rapid.T) {
		q := Question{Observation: crackIn(rapid.Float64Range(1, 100).Draw(rt, "mm")), Grades: doubt(b, drawSteels(rt))}
		if plan := b.Plan(q); plan.Heat.Preheat != nil && plan.Consumables[0].Role != Braze {
			require.Equal(rt, *plan.Heat.Preheat, b.Preheating(q, Conditions{}).Band)
		}
	})
}

func TestAPreheatHotterThanTheMetalTakesServesNothing(t *testing.T) {
	b := load(t)
	manganese := Question{Observation: crackIn(20), Grades: doubt(b, map[string]float64{"austenitic-manganese-steel": 1})}
	require.Zero(t, b.Preheating(manganese, Conditions{TriedC: 200}).Tried)
	carbon := Question{Observation: crackIn(50), Grades: doubt(b, map[string]float64{"low-carbon-steel": 1})}
	at := func(c float64) float64 { return b.Preheating(carbon, Conditions{TriedC: c}).Tried }
	require.Less(t, at(20), at(150))
	figure := b.Preheating(carbon, Conditions{})
	require.InDelta(t, figure.Share, at(figure.Min), 1e-9, "the figure serves the share that it states")
}
