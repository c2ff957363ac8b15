package weld

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/data"
	"rodcall/engine/formula"
	"rodcall/engine/metal"
)

func load(t testing.TB) *Book {
	t.Helper()
	var faults data.Faults
	catalogue := metal.Load(data.Files(), &faults)
	require.NoError(t, faults.Err())
	b := Load(data.Files(), catalogue, formula.Load(data.Files(), &faults), &faults)
	require.NoError(t, faults.Err())
	return b
}

func TestWeldingTablesOfTheProjectLoadWithoutFault(t *testing.T) {
	b := load(t)
	require.Len(t, metal.Families, familyCount)
	require.Len(t, consequenceWords, consequenceCount)
	require.Greater(t, len(b.classes), 290)
	t.Logf("%d classes, %d bases, %d entries, %d heat groups, %d pairs, %d texts", len(b.classes), len(b.bases), len(b.entries), len(b.heatGroups), len(b.pairs), len(b.texts))
}

func BenchmarkLoad(b *testing.B) {
	var faults data.Faults
	catalogue, formulas := metal.Load(data.Files(), &faults), formula.Load(data.Files(), &faults)
	for b.Loop() {
		Load(data.Files(), catalogue, formulas, &faults)
	}
}
