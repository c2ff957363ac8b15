package engine

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/measure"
	"rodcall/engine/observation"
)

// a36 is a bracket of structural steel as an analysis settles it.
func a36() observation.Observation {
	return observation.Observation{Job: "crack", Claim: []observation.Claim{{Metal: "astm-a36", By: "certificate"}}, Magnet: "strong"}
}

func TestDepositOfAnAlloyedFillerTurnsToMartensiteAsTheBaseMetalGrows(t *testing.T) {
	e, err := New(Settings{})
	require.NoError(t, err)
	low, err := e.Constitution(a36(), Laying{Fillers: []string{"309L"}, Share: 0.1})
	require.NoError(t, err)
	high, err := e.Constitution(a36(), Laying{Fillers: []string{"309L"}, Share: 0.6})
	require.NoError(t, err)
	require.Equal(t, "E309L", low.Layers[0].Class)
	require.Zero(t, low.Layers[0].High.Hazards)
	require.NotZero(t, high.Layers[0].High.Hazards&Martensite)
	require.Equal(t, low.Window, high.Window, "the window does not depend on the share asked about")
	require.True(t, low.Window.Open && low.Window.To > 0.1 && low.Window.To < 0.6, "%+v", low.Window)
	more, err := e.Constitution(a36(), Laying{Fillers: []string{"312"}})
	require.NoError(t, err)
	require.Greater(t, more.Window.To, low.Window.To, "the richer filler bears more dilution")
}

func TestDepositIsRefusedForWhatIsNoStainlessClass(t *testing.T) {
	e, err := New(Settings{})
	require.NoError(t, err)
	for _, word := range []string{"7018", "nonsense of more than twenty letters"} {
		_, err = e.Constitution(a36(), Laying{Fillers: []string{word}})
		require.ErrorContains(t, err, "no stainless class", word)
	}
	_, err = e.Constitution(a36(), Laying{})
	require.ErrorContains(t, err, "no filler")
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
