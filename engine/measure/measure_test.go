package measure

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rodcall/engine/data"
)

func tables(t require.TestingT) *HardnessTables {
	var faults data.Faults
	h := LoadHardness(data.Files(), &faults)
	require.NoError(t, faults.Err())
	return h
}

func TestInchFractionsAreReadAsOnARule(t *testing.T) {
	for text, want := range map[string]Inch{
		"3/4": 0.75, "1-1/2": 1.5, "1 1/2": 1.5, "1½": 1.5, "½": 0.5, "2": 2, "1.5": 1.5, "5/16": 0.3125, "2-3/64": 2.046875, "3/2": 1.5,
	} {
		got, err := ParseInch(text)
		require.NoError(t, err, text)
		require.Equal(t, want, got, text)
	}
	for _, text := range []string{"", "3/5", "1/0", "1-3/2", "a", "1/2/4", "-1/2", "NaN", "1/128", "inf"} {
		_, err := ParseInch(text)
		require.Error(t, err, text)
	}
}

func TestInchFractionComesBackFromItsPrintedForm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sixtyFourths := rapid.IntRange(0, 64*40).Draw(t, "1/64 in")
		length := Inch(float64(sixtyFourths) / 64)
		back, err := ParseInch(length.Fraction(64))
		require.NoError(t, err)
		require.Equal(t, length, back)
	})
	require.Equal(t, "1-1/2", Inch(1.49).Fraction(16))
	require.Equal(t, "1/2", MM(12.7).Inch().Fraction(16))
}

func TestTemperatureConvertsBothWaysAndADifferenceLeavesOutTheZeroPoint(t *testing.T) {
	require.InDelta(t, 302, float64(Celsius(150).Fahrenheit()), 1e-9)
	require.InDelta(t, 90, float64(CelsiusDifference(50).Fahrenheit()), 1e-9)
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-273, 3000).Draw(t, "°C")
		require.InDelta(t, v, float64(Celsius(v).Fahrenheit().Celsius()), 1e-9)
		require.InDelta(t, v, float64(CelsiusDifference(v).Fahrenheit().Celsius()), 1e-9)
		require.InDelta(t, v, float64(MM(v).Inch().MM()), 1e-9)
	})
}

// Values of ASTM E140 table 1 (non-austenitic steels) and of the Brinell table of ASTM A370.
func TestPublishedHardnessPairsComeOutAsPrinted(t *testing.T) {
	h := tables(t)
	for _, row := range []struct {
		value    float64
		from, to Scale
		want     float64
		table    string
	}{
		{60, HRC, HV, 697, "E140-1"}, {50, HRC, HB, 481, "E140-1"}, {40, HRC, HV, 392, "E140-1"}, {30, HRC, HB, 286, "E140-1"},
		{20, HRC, HRA, 60.5, "E140-1"}, {286, HB, HRC, 30, "E140-1"}, {90, HRB, HB, 183, "A370-HB"}, {100, HRB, HB, 241, "A370-HB"},
		{170, HB, HRB, 86.8, "A370-HB"}, {69, HRC, HV, 997, "GBT1172"}, {70, HRB, HB, 125, "E140-2"},
	} {
		got, err := h.Convert(row.value, row.from, row.to, Steel)
		require.NoError(t, err)
		require.InDelta(t, row.want, got.Value, 1e-9, "%g %s", row.value, row.from)
		require.Equal(t, row.table, got.Table)
	}
	got, err := h.Convert(92, HRB, HB, Austenitic)
	require.NoError(t, err)
	require.InDelta(t, 202, got.Value, 1e-9)
	require.Equal(t, "E140-5", got.Table)
}

func TestHardnessIsNeverExtrapolated(t *testing.T) {
	h := tables(t)
	for _, row := range []struct {
		value    float64
		from, to Scale
		material Material
	}{
		{19, HRC, HV, Steel}, {71, HRC, HV, Steel}, {90, HB, HRB, Steel}, {50, HRC, HB, Austenitic}, {200, HB, HV, "gray iron"},
		{math.NaN(), HRC, HB, Steel}, {math.Inf(1), HB, HRC, Steel}, {82, HRA, HV, Carbide},
	} {
		_, err := h.Convert(row.value, row.from, row.to, row.material)
		require.Error(t, err, "%g %s to %s for %s", row.value, row.from, row.to, row.material)
	}
}

func TestReboundReadingIsRefusedWithAWayOut(t *testing.T) {
	_, err := tables(t).Convert(450, HLD, HB, Steel)
	require.ErrorContains(t, err, "no published table converts HLD")
	require.ErrorContains(t, err, "set the tester")
}

func TestTheWayThereAndTheWayBackAgree(t *testing.T) {
	h := tables(t)
	require.NotEmpty(t, h.curves)
	for p, there := range h.curves {
		for step := range 500 {
			x := there[0].x + (there[len(there)-1].x-there[0].x)*float64(step)/499
			y, ok := there.at(x)
			require.True(t, ok)
			again, ok := h.curves[pair{p.material, p.to, p.from}].at(y.Value)
			require.True(t, ok)
			require.InDelta(t, x, again.Value, 1e-6, "%s to %s", p.from, p.to)
		}
	}
}

func TestHarderStaysHarderOnEveryOtherScale(t *testing.T) {
	h := tables(t)
	for _, p := range []pair{{Steel, HRC, HB}, {Steel, HRC, HV}, {Steel, HB, HRC}, {Steel, HRB, HB}, {Steel, HV, HB}, {Steel, HB, HRB}, {Austenitic, HRB, HB}, {Carbide, HRA, HV}} {
		low, high, ok := h.Range(p.from, p.to, p.material)
		require.True(t, ok)
		before := math.Inf(-1)
		for step := range 2000 {
			got, err := h.Convert(low+(high-low)*float64(step)/1999, p.from, p.to, p.material)
			require.NoError(t, err)
			require.Greater(t, got.Value, before, "%s to %s", p.from, p.to)
			before = got.Value
		}
	}
}

func TestAWayOverAThirdScaleNamesBothTables(t *testing.T) {
	got, err := tables(t).Convert(98, HRB, HRC, Steel)
	require.NoError(t, err)
	require.InDelta(t, 20.3, got.Value, 0.5)
	require.Contains(t, got.Table, "A370-HB")
}

func FuzzParseInch(f *testing.F) {
	f.Add("1-1/2")
	f.Add("3/4")
	f.Add("½½")
	f.Fuzz(func(t *testing.T, text string) {
		if length, err := ParseInch(text); err == nil && (length < 0 || math.IsNaN(float64(length)) || math.IsInf(float64(length), 0)) {
			t.Fatalf("%q gave %v", text, length)
		}
	})
}
