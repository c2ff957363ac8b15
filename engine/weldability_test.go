package engine

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/formula"
	"rodcall/engine/measure"
)

func TestDepositOfAnAlloyedFillerTurnsToMartensiteAsTheBaseMetalGrows(t *testing.T) {
	e, err := New(Settings{})
	require.NoError(t, err)
	low, err := e.DepositOn("309L", "astm-a36", 0.1)
	require.NoError(t, err)
	high, err := e.DepositOn("309L", "astm-a36", 0.6)
	require.NoError(t, err)
	require.Equal(t, "E309L", low.Class)
	require.Equal(t, formula.Absent, low.Martensite)
	require.Equal(t, formula.Present, high.Martensite)
	require.Greater(t, low.Cr, high.Cr)
	require.True(t, low.Most > 0.1 && low.Most < 0.6, "%g", low.Most)
	more, err := e.DepositOn("312", "astm-a36", 0.3)
	require.NoError(t, err)
	require.Greater(t, more.Most, low.Most, "the richer filler bears more dilution")
}

func TestDepositIsRefusedForWhatIsNoStainlessClass(t *testing.T) {
	e, err := New(Settings{})
	require.NoError(t, err)
	for _, word := range []string{"7018", "", "nonsense of more than twenty letters"} {
		_, err = e.DepositOn(word, "astm-a36", 0.3)
		require.ErrorContains(t, err, "no stainless class", word)
	}
	_, err = e.DepositOn("309L", "no-grade", 0.3)
	require.ErrorContains(t, err, "unknown grade")
}

func TestHardnessSaysWhenTheTableOfSteelIsUsedForAnotherMetal(t *testing.T) {
	e, err := New(Settings{})
	require.NoError(t, err)
	steel, err := e.Hardness(45, measure.HRC, measure.HB, "low-alloy-steel")
	require.NoError(t, err)
	require.InDelta(t, 421, steel.Value, 0.5)
	iron, err := e.Hardness(45, measure.HRC, measure.HB, "gray-iron")
	require.NoError(t, err)
	require.Equal(t, steel.Value, iron.Value)
	require.Contains(t, iron.Note, "rough")
	_, err = e.Hardness(90, measure.HRC, measure.HB, "")
	require.ErrorContains(t, err, "outside")
}
