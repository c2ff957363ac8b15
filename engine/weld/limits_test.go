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

// constraint is one thing that a rep can state.
type constraint struct {
	name string
	set  func(*observation.Observation)
}

func constraints() []constraint {
	var out []constraint
	for _, w := range observation.LimitWords {
		if w != "preheat-ok" && w != "flat" { // the first lifts a limit, the second is where every class runs
			out = append(out, constraint{w, func(o *observation.Observation) { o.Limits = append(slices.Clone(o.Limits), w) }})
		}
	}
	for _, w := range []string{"food", "sea-water", "cyclic", "corrosion", "low-temperature", "pressure"} {
		out = append(out, constraint{w, func(o *observation.Observation) { o.Service = append(slices.Clone(o.Service), w) }})
	}
	hot, thin, heavy := 600.0, 3.0, 60.0
	return append(out, constraint{"hot", func(o *observation.Observation) { o.ServiceTempC = &hot }},
		constraint{"thin", func(o *observation.Observation) { o.Size = &observation.Size{ThicknessMM: &thin} }},
		constraint{"heavy", func(o *observation.Observation) { o.Size = &observation.Size{ThicknessMM: &heavy} }})
}

func TestEveryConstraintChangesSomeChoiceAndOneThatLeavesNothingSaysWhatToRelax(t *testing.T) {
	b := load(t)
	for _, c := range constraints() {
		changed, none := 0, 0
		for _, family := range metal.Families {
			for _, job := range []string{"crack", "build-up", "hardface", "overlay"} {
				o := observation.Observation{Job: job}
				before := b.Plan(ask(b, o, map[string]float64{family: 1}))
				c.set(&o)
				after := b.Plan(ask(b, o, map[string]float64{family: 1}))
				switch {
				case len(before.Consumables) == 0:
				case len(after.Consumables) == 0:
					none++
					require.Contains(t, after.LimitNote, "relax ", "%s: %s of %s", c.name, job, family)
				case !slices.Equal(classesOf(before.Consumables), classesOf(after.Consumables)):
					changed++
				}
			}
		}
		require.Positive(t, changed+none, "%s changes nothing", c.name)
	}
}

func TestTwoConstraintsThatTogetherLeaveNothingAreBothNamed(t *testing.T) {
	b := load(t)
	plan := b.Plan(ask(b, observation.Observation{Job: "crack", Limits: []string{"saw", "overhead"}}, map[string]float64{"gray-iron": 1}))
	require.Empty(t, plan.Consumables)
	require.Contains(t, plan.LimitNote, "relax the process")
}

func TestFoodAndLoadKeepBrazeBack(t *testing.T) {
	b := load(t)
	first := func(service ...string) Choice {
		return b.Plan(ask(b, observation.Observation{Job: "crack", Service: service, Limits: []string{"oxyfuel"}}, map[string]float64{"gray-iron": 1})).Consumables[0]
	}
	require.Greater(t, first().Expected, first("food").Expected)
	require.Greater(t, first().Expected, first("cyclic").Expected)
	require.Greater(t, first().Expected, first("sea-water").Expected)
}

// best is the expected worth of the best class that may be named, 0 when none is left.
func (b *Book) best(o observation.Observation, grades []float64) float64 {
	s := b.situationOf(Question{Observation: &o, Grades: grades}, &Scratch{})
	best := 0.0
	for _, c := range b.carrying(s) {
		best = max(best, c.expected)
	}
	return best
}

// What shuts out a class, a procedure or a place to weld can only cost; a service word tells more of the job and may
// bring in a class that was made for it, so it is not among these.
func TestAddingALimitNeverImprovesTheBestChoice(t *testing.T) {
	b := load(t)
	limits := []string{"no-preheat", "no-pwht", "no-h4", "smaw", "gmaw", "fcaw", "gtaw", "saw", "flat", "vertical-up", "overhead", "ac-only", "dc"}
	processes := []string{"smaw", "gmaw", "fcaw", "gtaw", "saw"}
	rapid.Check(t, func(rt *rapid.T) {
		o := drawObservation(rt)
		o.Limits = rapid.SliceOfNDistinct(rapid.SampledFrom(limits), 0, 2, rapid.ID[string]).Draw(rt, "had")
		grades := doubt(b, drawDoubt(rt))
		more := o
		added := rapid.SampledFrom(limits).Draw(rt, "added")
		// A second process is one more that may be used: it widens.
		if slices.Contains(processes, added) && slices.ContainsFunc(o.Limits, func(l string) bool { return slices.Contains(processes, l) }) {
			return
		}
		more.Limits = append(slices.Clone(o.Limits), added)
		before, after := b.best(o, grades), b.best(more, grades)
		require.LessOrEqual(rt, after, before+1e-6, "%s added to %s", added, strings.Join(o.Limits, ", "))
	})
}

// The rows for a metal that nobody knows are for people; the choice over what it may be must agree with them.
func TestBroadDoubtAgreesWithTheRowsForUnknownMetal(t *testing.T) {
	b := load(t)
	steels := map[string]float64{"low-carbon-steel": 0.12, "medium-carbon-steel": 0.18, "low-alloy-steel": 0.2, "high-carbon-steel": 0.14,
		"quenched-tempered-plate": 0.1, "tool-steel": 0.1, "martensitic-stainless": 0.1, "cast-steel": 0.06}
	plan := b.Plan(ask(b, observation.Observation{Job: "crack"}, steels))
	require.Contains(t, []string{"E312", "E309L", "E307", "ENiCrFe-2", "ENiCrFe-3"}, plan.Consumables[0].Class, "recommended for unknown-ferrous, iron excluded")
	for _, c := range plan.Consumables {
		k, _ := b.Class(c.Class)
		require.False(t, k.wet, "%s is never for unknown-ferrous: too much hydrogen", c.Class)
	}
	require.GreaterOrEqual(t, plan.Heat.Preheat.Min, 100.0, "unknown-ferrous: preheat")

	irons := map[string]float64{"gray-iron": 0.6, "ductile-iron": 0.25, "malleable-iron": 0.15}
	plan = b.Plan(ask(b, observation.Observation{Job: "crack"}, irons))
	require.Contains(t, []string{"ENiFe-CI", "ENi-CI"}, plan.Consumables[0].Class, "recommended for unknown-iron-casting, white iron excluded")
	for _, c := range plan.Consumables {
		k, _ := b.Class(c.Class)
		require.NotContains(t, []string{"steel", "low-alloy"}, k.Group, "%s is to avoid on unknown iron", c.Class)
		require.NotEqual(t, "E312", c.Class)
	}

	white := map[string]float64{"gray-iron": 0.5, "white-iron": 0.3, "ductile-iron": 0.2}
	plan = b.Plan(ask(b, observation.Observation{Job: "crack"}, white))
	require.True(t, plan.Conflict, "white iron is not excluded: identify first")

	other := map[string]float64{"aluminum": 0.4, "magnesium": 0.2, "zinc-die-cast": 0.2, "brass": 0.2}
	plan = b.Plan(ask(b, observation.Observation{Job: "crack"}, other))
	require.True(t, plan.Conflict || len(plan.Consumables) == 0, "unknown-nonferrous: no fusion until identified")
	require.Empty(t, plan.SafeForAll)
}
