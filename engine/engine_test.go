package engine

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestUnknownEquipmentIsRefusedByName(t *testing.T) {
	_, err := New(Settings{Tools: []string{"magnet", "grindr"}})
	require.ErrorContains(t, err, "grindr")
	require.ErrorContains(t, err, "grinder")
}

func TestTheSameObservationGivesTheSameJudgment(t *testing.T) {
	e := mustEngine(t)
	for _, c := range publishedCases(t, "messages.jsonl") {
		o := e.Read(c.Text).Observation
		require.Equal(t, e.Judge(o), e.Judge(o), c.Text)
	}
}

// A decision fills the fields that belong to it, and no others.
func TestEveryDecisionFillsItsOwnFields(t *testing.T) {
	e := mustEngine(t)
	seen := map[string]int{}
	for _, c := range publishedCases(t, "messages.jsonl") {
		j := e.Judge(e.Read(c.Text).Observation)
		seen[j.Decision]++
		total := j.Unlisted
		for _, f := range j.Families {
			total += f.P
		}
		require.InDelta(t, 1, total, 2e-6, c.Text)
		require.Len(t, j.Families, 40)
		switch j.Decision {
		case Stop:
			require.Empty(t, j.Consumables, c.Text)
			require.Empty(t, j.Avoid, c.Text)
			require.Empty(t, j.Procedure, c.Text)
			require.Nil(t, j.PreheatC, c.Text)
			require.Empty(t, j.Cooling, c.Text)
			require.NotEmpty(t, j.ReferTo, c.Text)
			require.NotEmpty(t, j.StopReasons, c.Text)
			require.NotNil(t, j.StopKind, c.Text)
		case TestFirst:
			require.Nil(t, j.Quantity, c.Text)
			require.NotEmpty(t, j.Why, c.Text)
		case Weld:
			require.NotEmpty(t, j.Consumables, c.Text)
			require.NotEmpty(t, j.Procedure, c.Text)
		}
		require.NotNil(t, j.NextTests)
	}
	require.Positive(t, seen[Weld])
	require.Positive(t, seen[TestFirst])
	require.Positive(t, seen[Stop])
}
