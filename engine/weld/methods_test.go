package weld

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/observation"
)

func TestColdAndHotMethodStandBesideEachOtherWithTheReasonForTheProposedOne(t *testing.T) {
	b := load(t)
	plan := b.Plan(ask(b, observation.Observation{Job: "crack"}, map[string]float64{"gray-iron": 1}))
	require.Len(t, plan.Methods, 4)
	require.Equal(t, "cold", plan.Methods[0].Name)
	require.True(t, plan.Methods[0].Proposed)
	for _, m := range plan.Methods {
		require.NotEmpty(t, m.Why, m.Name)
		require.LessOrEqual(t, m.MinC, m.MaxC)
	}
	plan = b.Plan(ask(b, observation.Observation{Job: "crack", Limits: []string{"no-preheat"}}, map[string]float64{"gray-iron": 1}))
	require.Equal(t, "no preheat can be given", plan.Methods[0].Why)
	plan = b.Plan(ask(b, observation.Observation{Job: "crack"}, map[string]float64{"low-carbon-steel": 1}))
	require.Nil(t, plan.Methods, "one way only")
}
