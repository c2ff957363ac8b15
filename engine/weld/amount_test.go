package weld

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/observation"
)

func inMM(v float64) *float64 { return &v }

func TestTheTablesOfTheProjectAreThoseThatTheBookAsks(t *testing.T) {
	b := load(t)
	got, err := b.Quantity(map[string]any{"joint": "fillet", "leg_mm": 10.0, "length_m": 2.0})
	require.NoError(t, err)
	require.Equal(t, 0.785, got["deposit_kg"])
	_, ok := b.Amount(&observation.Observation{Job: "crack", Size: &observation.Size{ThicknessMM: inMM(20), LengthMM: inMM(200)}}, "E7018", Join)
	require.True(t, ok)
}
