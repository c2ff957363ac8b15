package quantity

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/observation"
)

func mm(v float64) *float64 { return &v }

func TestAJudgmentTellsTheAmountWhenTheSizesSuffice(t *testing.T) {
	q := loadQuantities(t)
	for _, c := range []struct {
		name  string
		o     observation.Observation
		class string
		as    Drawing
		kg    float64 // 0: no amount
	}{
		{"shaft by the annulus", observation.Observation{Job: "build-up", Size: &observation.Size{DiameterMM: mm(90), LengthMM: mm(120), DepthMM: mm(3)}}, "E7018", Surface, 0.8257},
		{"crack through the plate", observation.Observation{Job: "crack", Size: &observation.Size{ThicknessMM: mm(20), LengthMM: mm(200)}}, "ENiFe-CI", Groove, math.Pi / 4 * 24 * 20 * 200 * 8.35e-6},
		{"crack of known depth", observation.Observation{Job: "crack", Size: &observation.Size{ThicknessMM: mm(20), DepthMM: mm(10), LengthMM: mm(200)}}, "E7018", Groove, math.Pi / 4 * 12 * 10 * 200 * 7.85e-6},
		{"shallow crack: a rod must reach the root", observation.Observation{Job: "crack", Size: &observation.Size{DepthMM: mm(4), LengthMM: mm(200)}}, "E7018", Groove, math.Pi / 4 * 8 * 4 * 200 * 7.85e-6},
		{"overlay of an area", observation.Observation{Job: "overlay", Size: &observation.Size{LengthMM: mm(300), WidthMM: mm(200), DepthMM: mm(4)}}, "E309L", Face, 300 * 200 * 4 * 7.95e-6},
		{"hard face of usual thickness", observation.Observation{Job: "hardface", Size: &observation.Size{LengthMM: mm(300), WidthMM: mm(200)}}, "EFeCr-A1A", Face, 300 * 200 * 6 * 7.5e-6},
		{"worn size unknown", observation.Observation{Job: "build-up", Size: &observation.Size{LengthMM: mm(300), WidthMM: mm(200)}}, "E7018", Surface, 0},
		{"no length", observation.Observation{Job: "crack", Size: &observation.Size{ThicknessMM: mm(20)}}, "E7018", Groove, 0},
		{"no size", observation.Observation{Job: "crack"}, "E7018", Groove, 0},
		{"joint of unknown form", observation.Observation{Job: "join", Size: &observation.Size{ThicknessMM: mm(20), LengthMM: mm(200)}}, "E7018", Groove, 0},
		{"butter of unknown face", observation.Observation{Job: "crack", Size: &observation.Size{ThicknessMM: mm(20), LengthMM: mm(200)}}, "ENi-CI", None, 0},
		{"capillary braze", observation.Observation{Job: "crack", Size: &observation.Size{ThicknessMM: mm(2), LengthMM: mm(20)}}, "BAg-5", Groove, 0},
		{"unknown class", observation.Observation{Job: "crack", Size: &observation.Size{ThicknessMM: mm(20), LengthMM: mm(200)}}, "E0000", Groove, 0},
		{"impossible size", observation.Observation{Job: "crack", Size: &observation.Size{ThicknessMM: mm(-20), LengthMM: mm(200)}}, "E7018", Groove, 0},
	} {
		got, ok := q.Amount(&c.o, c.class, c.as)
		require.Equal(t, c.kg > 0, ok, c.name)
		if !ok {
			require.Nil(t, got, c.name)
			continue
		}
		require.InEpsilon(t, c.kg, got["deposit_kg"], 1e-3, c.name)
		for _, key := range []string{"volume_cm3", "consumable_kg", "electrodes", "electrodes_to_take", "arc_h", "clock_h", "passes", "assumed", "joint"} {
			require.Contains(t, got, key, c.name)
		}
		for key := range got {
			for _, unit := range usUnits {
				require.False(t, strings.HasSuffix(key, "_"+unit), "%s of %s is not metric", key, c.name)
			}
		}
	}
}

func TestTheProcessThatTheRepNamesIsTheOneThatIsCounted(t *testing.T) {
	q := loadQuantities(t)
	o := observation.Observation{Job: "crack", Size: &observation.Size{ThicknessMM: mm(6), LengthMM: mm(200)}, Process: []string{"gtaw"}}
	got, ok := q.Amount(&o, "ER70S-6", Groove)
	require.True(t, ok)
	require.Equal(t, "GTAW", got["process"])
	require.Contains(t, got, "rod_kg")
	require.Contains(t, got, "gas_l")
	require.NotContains(t, got, "electrodes")
}

func BenchmarkAmountOfAShaft(b *testing.B) {
	q := loadQuantities(b)
	o := &observation.Observation{Job: "build-up", Size: &observation.Size{DiameterMM: mm(90), LengthMM: mm(120), DepthMM: mm(3)}}
	b.ReportAllocs()
	for b.Loop() {
		q.Amount(o, "E7018", Surface)
	}
}
