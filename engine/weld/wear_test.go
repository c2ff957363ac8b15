package weld

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rodcall/engine/observation"
)

func faceOf(b *Book, base string, service ...string) (*Facing, Plan) {
	plan := b.Plan(ask(b, observation.Observation{Job: "hardface", Service: service}, map[string]float64{base: 1}))
	return plan.Facing, plan
}

func TestAlloyOfAFaceFollowsTheMechanism(t *testing.T) {
	b := load(t)
	for _, c := range []struct {
		base    string
		service []string
		want    []string // groups, any of them
	}{
		{"low-carbon-steel", []string{"low-stress"}, []string{"primary chromium carbides", "complex carbides", "tungsten carbide in a matrix"}},
		{"low-carbon-steel", []string{"high-stress"}, []string{"primary chromium carbides", "complex carbides"}},
		{"low-carbon-steel", []string{"gouging", "impact"}, []string{"manganese steel", "chromium-manganese steel"}},
		{"quenched-tempered-plate", []string{"gouging", "impact"}, []string{"manganese steel", "chromium-manganese steel"}},
		{"medium-carbon-steel", []string{"impact"}, []string{"manganese steel", "chromium-manganese steel", "low-carbon cobalt"}},
		{"low-carbon-steel", []string{"low-stress", "impact"}, []string{"few chromium carbides", "martensitic steel"}},
		{"medium-carbon-steel", []string{"metal-to-metal"}, []string{"build-up steel", "martensitic steel"}},
		{"medium-carbon-steel", []string{"galling"}, []string{"cobalt-tungsten", "low-carbon cobalt"}},
		{"tool-steel", []string{"heat"}, []string{"cobalt-tungsten", "low-carbon cobalt", "nickel-molybdenum"}},
		{"cast-steel", []string{"erosion"}, []string{"primary chromium carbides", "complex carbides"}},
		{"austenitic-stainless", []string{"cavitation"}, []string{"low-carbon cobalt", "chromium-manganese steel"}},
		{"austenitic-manganese-steel", []string{"impact"}, []string{"manganese steel", "chromium-manganese steel"}},
		{"austenitic-manganese-steel", []string{"high-stress"}, []string{"primary chromium carbides", "complex carbides"}},
	} {
		f, _ := faceOf(b, c.base, c.service...)
		require.NotNil(t, f, "%s %v", c.base, c.service)
		require.Contains(t, c.want, f.Group, "%s %v: %s", c.base, c.service, f.Class)
		require.NotEmpty(t, f.Pattern)
		require.Equal(t, f.Group, f.TradeOff[0].Group)
	}
}

func TestManganeseFaceOnCarbonSteelIsButteredFirst(t *testing.T) {
	b := load(t)
	deep := 12.0
	for _, size := range []*observation.Size{nil, {DepthMM: &deep}} {
		plan := b.Plan(ask(b, observation.Observation{Job: "hardface", Service: []string{"gouging", "impact"}, Size: size}, map[string]float64{"quenched-tempered-plate": 1}))
		require.NotEmpty(t, plan.Facing.Buffer)
		require.True(t, slices.ContainsFunc(plan.Steps, func(s string) bool { return strings.HasPrefix(s, "Butter first with "+plan.Facing.Buffer) }), plan.Steps)
		require.LessOrEqual(t, len(plan.Consumables), bestShown)
	}
}

// Fact: austenitic manganese stays under 260 C between the beads (procedures table, common practice).
func TestManganeseFaceIsNotLaidHot(t *testing.T) {
	b := load(t)
	for _, base := range []string{"low-carbon-steel", "low-alloy-steel", "medium-carbon-steel", "quenched-tempered-plate", "cast-steel"} {
		f, plan := faceOf(b, base, "impact")
		if f.Group != "manganese steel" {
			continue
		}
		require.LessOrEqual(t, *plan.Heat.InterpassC, max(260, plan.Heat.Preheat.Min), base)
		if plan.Heat.Preheat.Min > 260 {
			require.Contains(t, strings.Join(plan.Steps, "; "), "et the butter cool under 260 C before the face", base)
		}
	}
}

func TestStepsTellLayersAndCracksOfTheFace(t *testing.T) {
	_, plan := faceOf(load(t), "low-carbon-steel", "low-stress")
	steps := strings.Join(plan.Steps, "; ")
	require.Contains(t, steps, "At most 3 layers, 8 mm in all")
	require.Contains(t, steps, "cracks across the bead are expected")
	_, plan = faceOf(load(t), "low-carbon-steel", "gouging", "impact")
	require.Contains(t, strings.Join(plan.Steps, "; "), "No crack is normal here")
}

func TestHotWearNeedsItsTemperature(t *testing.T) {
	warm, hot := 200.0, 600.0
	require.Zero(t, mechanismsOf(&observation.Observation{Service: []string{"heat"}, ServiceTempC: &warm}, 0)&hotWear)
	require.NotZero(t, mechanismsOf(&observation.Observation{ServiceTempC: &hot}, 0)&hotWear)
	require.NotZero(t, mechanismsOf(&observation.Observation{Service: []string{"heat"}}, 0)&hotWear)
}

func TestNoGroupStandsUpBetterToMoreMechanismsThanToTheWorstOfThem(t *testing.T) {
	b := load(t)
	rapid.Check(t, func(rt *rapid.T) {
		set := mechanism(rapid.IntRange(1, 1<<mechanismCount-1).Draw(rt, "set"))
		g := &b.wear.groups[rapid.IntRange(0, len(b.wear.groups)-1).Draw(rt, "group")]
		best := 0.0
		for i := range mechanismWords {
			if set&(1<<i) != 0 {
				best = max(best, g.stands(i))
			}
		}
		v := g.standsUp(set)
		require.True(rt, v >= 0 && v <= best+1e-12, "%s %v: %g", g.id, set.words(), v)
	})
}

func TestEveryMechanismHasAPatternAndAnOrder(t *testing.T) {
	b := load(t)
	require.LessOrEqual(t, len(b.wear.groups), maxWearGroups)
	for i, w := range mechanismWords {
		require.NotEmpty(t, b.wear.patterns[w], w)
		require.True(t, slices.ContainsFunc(b.wear.groups, func(g wearGroup) bool { return g.rank[i] == 1 }), w)
	}
}

// Published order of loss (wear_groups): less abrasion index never goes with less loss in the sand test by more
// than the spread of the figures.
func TestSandLossFallsWithTheAbrasionIndex(t *testing.T) {
	groups := load(t).wear.groups
	for _, x := range groups {
		for _, y := range groups {
			if x.abrasion > y.abrasion+1 {
				require.LessOrEqual(t, x.g65Low, y.g65Low, "%s and %s", x.id, y.id)
			}
		}
	}
}
