package weld

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

func ask(b *Book, o observation.Observation, families map[string]float64) Question {
	return Question{Observation: &o, Grades: doubt(b, families)}
}

func classesOf(choices []Choice) []string {
	var out []string
	for _, c := range choices {
		out = append(out, c.Class)
	}
	return out
}

func TestManganeseSteelAgainstMediumCarbonSteelIsAConflictOfHeat(t *testing.T) {
	b := load(t)
	plan := b.Plan(ask(b, observation.Observation{Job: "crack"}, map[string]float64{"austenitic-manganese-steel": 0.5, "medium-carbon-steel": 0.5}))
	require.True(t, plan.Conflict)
	require.Contains(t, plan.ConflictWhy, "must stay under 60 C")
	require.ElementsMatch(t, []string{"austenitic-manganese-steel", "medium-carbon-steel"}, plan.ConflictOf)
	require.Nil(t, plan.Heat.Preheat)
	require.NotEmpty(t, plan.Prepare)
}

func TestGrayIronAgainstCastSteelIsAConflictOfFiller(t *testing.T) {
	b := load(t)
	plan := b.Plan(ask(b, observation.Observation{Job: "crack"}, map[string]float64{"gray-iron": 0.6, "cast-steel": 0.4}))
	require.True(t, plan.Conflict)
	require.Contains(t, plan.ConflictWhy, "no rod in common")
	require.Empty(t, plan.SafeForAll)
}

func TestGrayAgainstDuctileIronIsNoConflict(t *testing.T) {
	b := load(t)
	plan := b.Plan(ask(b, observation.Observation{Job: "crack"}, map[string]float64{"gray-iron": 0.75, "ductile-iron": 0.25}))
	require.False(t, plan.Conflict, plan.ConflictWhy)
	require.Equal(t, "ENiFe-CI", plan.Consumables[0].Class)
	require.LessOrEqual(t, plan.Heat.Preheat.Min, 110.0)
}

func TestWhiteIronAgainstGrayIronIsAConflictBecauseOneIsNotWelded(t *testing.T) {
	b := load(t)
	plan := b.Plan(ask(b, observation.Observation{Job: "crack"}, map[string]float64{"gray-iron": 0.6, "white-iron": 0.4}))
	require.True(t, plan.Conflict)
	require.Contains(t, plan.ConflictWhy, "no weld")
}

func TestSmallChanceOfALightMetalStopsSteelRodFromBeingNamed(t *testing.T) {
	b := load(t)
	plan := b.Plan(ask(b, observation.Observation{Job: "join"}, map[string]float64{"low-carbon-steel": 0.97, "aluminum": 0.03}))
	require.Empty(t, plan.Consumables)
	require.True(t, plan.Conflict)
	require.Contains(t, plan.ConflictWhy, "aluminum")
}

func TestTolerantClassWinsWhileTheSteelIsInDoubtAndTheMatchingOneOnceItIsNot(t *testing.T) {
	b := load(t)
	unsure := b.Plan(ask(b, observation.Observation{Job: "crack"}, map[string]float64{
		"medium-carbon-steel": 0.4, "low-alloy-steel": 0.3, "martensitic-stainless": 0.2, "low-carbon-steel": 0.1}))
	require.Contains(t, []string{"E312", "E309L"}, unsure.Consumables[0].Class)
	sure := b.Plan(ask(b, observation.Observation{Job: "crack"}, map[string]float64{"low-carbon-steel": 1}))
	require.Equal(t, "E7018", sure.Consumables[0].Class)
}

func TestRodAtHandThatSuitsComesFirstAndOneThatDoesNotIsWarnedOf(t *testing.T) {
	b := load(t)
	iron := map[string]float64{"gray-iron": 0.75, "ductile-iron": 0.25}
	plan := b.Plan(ask(b, observation.Observation{Job: "crack", Have: []string{"7018", "312", "ENi-CI"}}, iron))
	require.Equal(t, "ENi-CI", plan.Consumables[0].Class)
	require.Equal(t, "take the ENi-CI", plan.HaveNote)
	require.Equal(t, "E7018", plan.Avoid[0].Class)
	plan = b.Plan(ask(b, observation.Observation{Job: "crack", Have: []string{"7018"}}, iron))
	require.Equal(t, "none of your rods is right here: get ENiFe-CI", plan.HaveNote)
	require.Equal(t, "ENiFe-CI", plan.Consumables[0].Class)
}

func TestUnknownJobIsTakenAsAJoinAndSaid(t *testing.T) {
	b := load(t)
	plan := b.Plan(ask(b, observation.Observation{}, map[string]float64{"low-carbon-steel": 1}))
	require.Equal(t, []string{"no job told: joining assumed"}, plan.Assumed)
	require.Equal(t, Join, plan.Consumables[0].Role)
}

func TestJointOfManganeseToCarbonSteelIsMadeColdWithTheOtherSideButteredHot(t *testing.T) {
	b := load(t)
	for _, c := range []struct{ part, other string }{{"medium-carbon-steel", "austenitic-manganese-steel"}, {"austenitic-manganese-steel", "medium-carbon-steel"}} {
		plan := b.Plan(ask(b, observation.Observation{Job: "join", JoinedTo: c.other}, map[string]float64{c.part: 1}))
		require.False(t, plan.Conflict)
		require.Equal(t, "E307", plan.Consumables[0].Class)
		require.LessOrEqual(t, plan.Heat.Preheat.Max, 60.0)
		require.True(t, slices.ContainsFunc(plan.Steps, func(s string) bool { return strings.HasPrefix(s, "Butter the medium-carbon steel side first") }), plan.Steps)
	}
}

func TestLimitsAreHonoured(t *testing.T) {
	b := load(t)
	steel := map[string]float64{"low-alloy-steel": 0.7, "medium-carbon-steel": 0.3}
	for _, c := range []struct {
		limits []string
		holds  func(Class) bool
	}{
		{[]string{"ac-only"}, func(k Class) bool { return k.ac }},
		{[]string{"smaw"}, func(k Class) bool { return slices.Contains(k.Processes, "SMAW") }},
		{[]string{"gtaw"}, func(k Class) bool { return slices.Contains(k.Processes, "GTAW") }},
		{[]string{"vertical-up"}, func(k Class) bool { return k.positions&verticalUp != 0 }},
	} {
		plan := b.Plan(ask(b, observation.Observation{Job: "crack", Limits: c.limits}, steel))
		require.NotEmpty(t, plan.Consumables, c.limits)
		for _, choice := range plan.Consumables {
			class, _ := b.Class(choice.Class)
			require.True(t, c.holds(class), "%v: %s", c.limits, choice.Class)
		}
	}
	cold := b.Plan(ask(b, observation.Observation{Job: "crack", Limits: []string{"no-preheat", "no-pwht"}}, steel))
	require.LessOrEqual(t, cold.Heat.Preheat.Max, 50.0)
	require.Nil(t, cold.Heat.PWHT)
	for _, choice := range cold.Consumables {
		require.NotContains(t, choice.Need, "preheat")
		require.NotContains(t, choice.Need, "heat treat")
	}
}

func TestLimitThatLeavesNothingIsNamed(t *testing.T) {
	b := load(t)
	plan := b.Plan(ask(b, observation.Observation{Job: "crack", Limits: []string{"saw"}}, map[string]float64{"gray-iron": 1}))
	require.Empty(t, plan.Consumables)
	require.Contains(t, plan.LimitNote, "relax the process")
}

func TestEveryFamilyIsAnsweredForEveryJob(t *testing.T) {
	b := load(t)
	for _, family := range metal.Families {
		for _, job := range observation.Jobs {
			plan := b.Plan(ask(b, observation.Observation{Job: job}, map[string]float64{family: 1}))
			require.False(t, plan.Conflict && plan.ConflictOf[0] == plan.ConflictOf[1] && len(plan.ConflictWhy) == 0)
			require.LessOrEqual(t, len(plan.Consumables), bestShown)
			require.LessOrEqual(t, len(plan.Avoid), bestShown)
			for _, c := range plan.Consumables {
				require.NotEmpty(t, c.Process)
				require.GreaterOrEqual(t, c.SuitsP, shownShare)
			}
		}
	}
}

// drawDoubt draws a posterior over a few families.
func drawDoubt(t *rapid.T) map[string]float64 {
	n := rapid.IntRange(1, 5).Draw(t, "families")
	out := map[string]float64{}
	total := 0.0
	weights := make([]float64, n)
	for i := range n {
		weights[i] = rapid.Float64Range(0.01, 1).Draw(t, "weight")
		total += weights[i]
	}
	for i := range n {
		out[rapid.SampledFrom(metal.Families).Draw(t, "family")] += weights[i] / total
	}
	return out
}

func drawObservation(t *rapid.T) observation.Observation {
	o := observation.Observation{Job: rapid.SampledFrom(append([]string{""}, observation.Jobs...)).Draw(t, "job")}
	o.Service = rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"impact", "high-stress", "heat", "corrosion", "cavitation", "galling"}), 0, 2, rapid.ID[string]).Draw(t, "service")
	o.Limits = rapid.SliceOfNDistinct(rapid.SampledFrom(observation.LimitWords), 0, 2, rapid.ID[string]).Draw(t, "limits")
	if rapid.Bool().Draw(t, "joined") {
		o.JoinedTo = rapid.SampledFrom(metal.Families).Draw(t, "joined to")
	}
	return o
}

func TestNothingIsNamedThatIsNeverForAFamilyOfTwoPercent(t *testing.T) {
	b := load(t)
	rapid.Check(t, func(rt *rapid.T) {
		families, o := drawDoubt(rt), drawObservation(rt)
		plan := b.Plan(ask(b, o, families))
		for _, list := range [][]Choice{plan.Consumables, plan.SafeForAll} {
			for _, c := range list {
				for family, p := range families {
					if i := b.cells[b.cell(metal.FamilyIndex(family), c.Role, b.classAt[c.Class])]; p >= namedShare && i >= 0 {
						for _, r := range b.entries[i].rules {
							if r.verdict == verdictNever && r.names == 0 && o.JoinedTo == "" {
								rt.Fatalf("%s as %s is never for %s (%.2f)", c.Class, c.Role, family, p)
							}
						}
					}
				}
			}
		}
	})
}

func TestPlanIsTheSameTwiceAndItsFiguresAreChances(t *testing.T) {
	b := load(t)
	rapid.Check(t, func(rt *rapid.T) {
		q := ask(b, drawObservation(rt), drawDoubt(rt))
		plan := b.Plan(q)
		require.Equal(rt, plan, b.Plan(q))
		for _, c := range plan.Consumables {
			require.True(rt, c.SuitsP > 0 && c.SuitsP <= 1+1e-9)
		}
		if p := plan.Heat.Preheat; p != nil {
			require.LessOrEqual(rt, p.Min, p.Max)
			require.GreaterOrEqual(rt, *plan.Heat.InterpassC, p.Min)
		}
		if plan.Conflict {
			require.NotEmpty(rt, plan.ConflictWhy)
			require.Len(rt, plan.ConflictOf, 2)
		}
	})
}

func TestColdMetalOfTheLeadingShareIsNeverHeatedAboveWhatItTakes(t *testing.T) {
	b := load(t)
	rapid.Check(t, func(rt *rapid.T) {
		families := drawDoubt(rt)
		plan := b.Plan(ask(b, observation.Observation{Job: "crack"}, families))
		if families["austenitic-manganese-steel"] >= leadingShare && plan.Heat.Preheat != nil {
			require.LessOrEqual(rt, plan.Heat.Preheat.Min, 60.0)
		}
	})
}

func TestPreheatCoversTheHotterMetalsButNotForAHandfulOfChances(t *testing.T) {
	b := load(t)
	preheat := func(families map[string]float64) float64 {
		plan := b.Plan(ask(b, observation.Observation{Job: "crack"}, families))
		require.NotNil(t, plan.Heat.Preheat, plan.ConflictWhy)
		return plan.Heat.Preheat.Min
	}
	require.LessOrEqual(t, preheat(map[string]float64{"low-carbon-steel": 0.98, "medium-carbon-steel": 0.02}), 50.0)
	require.GreaterOrEqual(t, preheat(map[string]float64{"low-carbon-steel": 0.85, "medium-carbon-steel": 0.15}), 100.0)
	require.GreaterOrEqual(t, preheat(map[string]float64{"low-carbon-steel": 0.5, "medium-carbon-steel": 0.5}), 150.0)
	require.LessOrEqual(t, preheat(map[string]float64{"low-carbon-steel": 0.5, "low-alloy-steel": 0.5}), 250.0, "mild steel takes no more")
}

func TestDeepLossIsBuiltUpUnderTheFacing(t *testing.T) {
	b := load(t)
	deep := 12.0
	steel := map[string]float64{"low-carbon-steel": 1}
	roles := func(o observation.Observation) (out []Role) {
		for _, c := range b.Plan(ask(b, o, steel)).Consumables {
			out = append(out, c.Role)
		}
		return out
	}
	require.NotContains(t, roles(observation.Observation{Job: "hardface"}), BuildUp)
	require.Contains(t, roles(observation.Observation{Job: "hardface", Size: &observation.Size{DepthMM: &deep}}), BuildUp)
}

func TestEveryOrdinaryFamilyGetsAClassForItsOrdinaryJobs(t *testing.T) {
	b := load(t)
	for _, family := range metal.Families {
		plan := b.Plan(ask(b, observation.Observation{Job: "crack"}, map[string]float64{family: 1}))
		switch family {
		case "white-iron", "bronze", "beryllium-copper", "zinc-die-cast", "lead", "tin-babbitt":
			require.NotContains(t, classesOf(plan.Consumables), "E7018", family)
		default:
			require.NotEmpty(t, plan.Consumables, family)
			require.NotNil(t, plan.Heat.Preheat, family)
			require.NotEmpty(t, plan.Steps, family)
		}
	}
}

func TestWithoutHeatTheHeatThatIsMissingIsTold(t *testing.T) {
	b := load(t)
	for id, missing := range map[string]bool{"sae-4140": true, "astm-a36": false} {
		o := crackIn(12)
		o.Limits = []string{"no-preheat"}
		plan := b.Plan(only(t, b, id, *o))
		if plan.Heat.Preheat != nil {
			require.LessOrEqual(t, plan.Heat.Preheat.Max, dryingC, id)
		}
		require.Equal(t, missing, plan.LimitNote != "", "%s: %s", id, plan.LimitNote)
	}
}
