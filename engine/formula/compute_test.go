package formula

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func compute(t *testing.T, s *Set, id, inputs string) (Result, error) {
	t.Helper()
	var in map[string]any
	require.NoError(t, json.Unmarshal([]byte(inputs), &in))
	return s.Compute(id, in)
}

func TestWhatIsMeaninglessIsRefusedWithASentence(t *testing.T) {
	s := load(t)
	for _, row := range []struct{ id, inputs, want string }{
		{"ce_iw", `{}`, "nearest: ce_iiw"},
		{"carbon equivalent", `{}`, "nearest: "},
		{"ce_iiw", `{"Mn":1}`, "C must be analysed"},
		{"ce_iiw", `{"Mn":1,"c":0.2}`, `is "c" meant for it?`},
		{"ce_iiw", `{"C":3.4,"Mn":0.6}`, "cast iron"},
		{"ce_cast_iron_si_p", `{"C":0.4,"Si":2}`, "no cast iron"},
		{"ce_iiw", `{"C":"0.2"}`, "C must be a number"},
		{"ce_iiw", `{"C":-0.2}`, "C must be 0 wt% or more"},
		{"ce_iiw", `{"C":0.2,"Mn":90,"Cr":20}`, "sum to 110.2"},
		{"preheat_en1011_2_method_b", `{"CET":0.3,"d_mm":-5,"HD":5,"Q_kJ_mm":1}`, "d_mm must be above 0 mm"},
		{"preheat_en1011_2_method_b", `{"CET":0.3,"d_in":-5,"HD":5,"Q_kJ_mm":1}`, "from d_in"},
		{"preheat_en1011_2_method_b", `{"CET":0.3,"thickness":5,"HD":5,"Q_kJ_mm":1}`, "d_mm or d_in is missing"},
		{"t85", `{"T0_C":500,"Q_kJ_mm":1,"d_mm":10}`, "below 500"},
		{"heat_input", `{"V":25,"I_A":150,"travel_mm_s":0,"k":0.8}`, "travel_mm_s must be above 0"},
		{"heat_input", `{"V":25,"I_A":150,"travel_mm_s":3,"k":80}`, "at most 1"},
		{"aws_hydrogen_group", `{"Pcm_less_than":0.28,"hydrogen_level":"H5"}`, "known: H1 H2 H3"},
		{"aws_hydrogen_group", `{"hydrogen_level":"H2"}`, "Pcm_less_than or Pcm is missing"},
		{"aws_hydrogen_preheat_F", `{"group":"D","restraint":3,"thickness_in":2}`, "one of low medium high"},
		{"hb_to_hrc", `{"HB":800}`, "outside"},
		{"thermal_expansion_mm", `{"L_mm":100,"alpha_per_K":11.7,"delta_T_K":100}`, "per kelvin"},
		{"dilution_mix", `{"base":{"C":0.2},"filler":{"C":0.1},"D":30}`, "30 % is 0.3"},
		{"dilution_mix", `{"base":{"C":0.2},"D":0.3}`, "filler must be a composition"},
		{"dilution_mix", `{"base":{"C":0.2},"filler":{"chrome":18},"D":0.3}`, "no element symbol"},
		{"dilution_mix", `{"base":{"C":0.2},"filler":{"Cr":"18"},"D":0.3}`, "filler: Cr must be a number"},
		{"ferrite_pct_hull_nureg", `{"Cr":16,"Ni":30}`, "turn of the parabola"},
		{"schaeffler_creq", `{"Cr":0}`, "none of the elements"},
	} {
		_, err := compute(t, s, row.id, row.inputs)
		require.ErrorContains(t, err, row.want, "%s %s", row.id, row.inputs)
	}
}

func TestAMissingElementCountsAsZeroOnlyWithItsName(t *testing.T) {
	s := load(t)
	got, err := compute(t, s, "ce_iiw", `{"C":0.2,"Mn":0.9,"steel":"bar","Zr":0.1,"Cu":null}`)
	require.NoError(t, err)
	require.InDelta(t, 0.35, got.Value, 1e-12)
	require.Equal(t, []string{"not in the analysis and counted as zero: Cr, Mo, V, Ni, Cu"}, got.Warnings)
	require.True(t, got.InRange)
	got, err = compute(t, s, "ce_iiw", `{"C":0.2,"Mn":0.9,"Cr":0,"Mo":0,"V":0,"Ni":0,"Cu":0}`)
	require.NoError(t, err)
	require.Empty(t, got.Warnings)
	got, err = compute(t, s, "ce_csa_z245", `{"C":0.1,"Mn":1,"Si":0.2,"Cu":0,"Ni":0,"CrMoVNb_sum":0.1,"B":0}`)
	require.NoError(t, err)
	require.Empty(t, got.Warnings, "the printed sum stands for the four")
	got, err = compute(t, s, "ce_csa_z245", `{"C":0.1,"Mn":1,"Si":0.2,"Cu":0,"Ni":0,"CrMoVNb_sum":0.1,"Cr":0.5,"B":0}`)
	require.NoError(t, err)
	require.Contains(t, got.Warnings[0], "CrMoVNb_sum 0.1 is taken")
}

func TestOutOfRangeIsAValueWithAWarningAndNeverClamped(t *testing.T) {
	s := load(t)
	got, err := compute(t, s, "preheat_en1011_2_method_b", `{"CET":0.6,"d_mm":120,"HD":25,"Q_kJ_mm":5}`)
	require.NoError(t, err)
	require.False(t, got.InRange)
	require.Len(t, got.Warnings, 4)
	require.InDelta(t, 697*0.6+160*math.Tanh(120./35)+62*math.Pow(25, 0.35)+(53*0.6-32)*5-328, got.Value, 1e-6)
}

func TestAnAssumedInputIsSaid(t *testing.T) {
	got, err := compute(t, load(t), "t85", `{"T0_C":20,"Q_kJ_mm":1,"d_mm":20}`)
	require.NoError(t, err)
	require.InDelta(t, 5.29, got.Value, 0.02)
	require.Equal(t, []string{"F2 is not given; 1 is taken (bead on plate)", "F3 is not given; 1 is taken (bead on plate)"}, got.Warnings)
}

func TestAboveTheMartensiteStartAllIsAusteniteAndThatIsSaid(t *testing.T) {
	got, err := compute(t, load(t), "koistinen_marburger_retained_austenite", `{"Ms":200,"T":300}`)
	require.NoError(t, err)
	require.Equal(t, 1.0, got.Value)
	require.False(t, got.InRange)
	require.Contains(t, got.Warnings[1], "all austenite")
}

// What the notes of a result are for: the limits beyond which the advice changes.
func TestALimitThatChangesAdviceIsNamedWithItsBasis(t *testing.T) {
	s := load(t)
	for _, row := range []struct{ id, inputs, want string }{
		{"hv_yurioka_1987", `{"C":0.16,"Mn":1.45,"Si":0.35,"t85_s":3,"N":0.004}`, "above 350 HV"},
		{"hv_lorenz_duren", `{"C":0.25,"Mn":1.45,"Si":0.35,"t85_s":3}`, "above 400 HV"},
		{"ucs", `{"C":0.2,"S":0.04,"P":0.04,"Si":0.2,"Mn":0.5}`, "low resistance"},
		{"j_factor", `{"Mn":0.7,"Si":0.7,"P":0.02,"Sn":0.0004}`, "temper embrittlement"},
		{"fn_valiente_2012", `{"C":0.03,"Mn":1.7,"Si":0.5,"Cr":20,"Ni":10,"N":0.06}`, "above 10 FN"},
		{"preheat_en1011_2_method_b", `{"CET":0.28,"d_mm":15,"HD":3,"Q_kJ_mm":1}`, "no preheat against hydrogen"},
		{"ce_cast_iron_si", `{"C":3.8,"Si":2.4}`, "above the eutectic"},
	} {
		got, err := compute(t, s, row.id, row.inputs)
		require.NoError(t, err)
		require.Contains(t, got.Warnings[len(got.Warnings)-1], row.want, row.id)
	}
}

func TestAnyInputsGiveAResultOrAnErrorAndTheSameTwice(t *testing.T) {
	s := load(t)
	var names []string
	for _, f := range s.formulas {
		for _, in := range f.Inputs {
			names = append(names, in.Name)
		}
	}
	names = append(names, "base", "filler", "D", "steel")
	rapid.Check(t, func(t *rapid.T) {
		inputs := map[string]any{}
		for range rapid.IntRange(0, 12).Draw(t, "inputs") {
			inputs[rapid.SampledFrom(names).Draw(t, "name")] = rapid.SampledFrom([]any{0.0, 0.2, -1.0, 1e308, math.NaN(), math.Inf(1), 20.0, "H2", "D", "low", true, nil,
				[]any{1.0}, map[string]any{"C": 0.2}, map[string]any{"C": math.Inf(-1)}}).Draw(t, "value")
		}
		id := rapid.SampledFrom(s.ids).Draw(t, "id")
		first, err := s.Compute(id, inputs)
		again, errAgain := s.Compute(id, inputs)
		require.Equal(t, err, errAgain)
		require.Equal(t, first, again)
		if v, ok := first.Value.(float64); ok {
			require.False(t, math.IsNaN(v) || math.IsInf(v, 0))
		}
		if err != nil {
			require.Equal(t, Result{}, first)
		}
	})
}

func TestEvaluationAllocatesNothing(t *testing.T) {
	s := load(t)
	for _, f := range s.formulas {
		x := middle(t, f)
		require.Zero(t, testing.AllocsPerRun(100, func() { sink = f.Eval(x) }), f.ID)
		require.Zero(t, testing.AllocsPerRun(100, func() { sinkBool = f.InRange(x) }), f.ID)
	}
}

var (
	sink     float64
	sinkBool bool
)

// middleOf is middle for a benchmark: any inputs at which the formula evaluates.
func middleOf(f *Formula) Values {
	var x Values
	for i := range f.Inputs {
		low, high := looseEnd(f, &f.Inputs[i])
		if x[f.Inputs[i].Key] = (low + high) / 2; f.Inputs[i].Words != nil {
			x[f.Inputs[i].Key] = math.Floor(x[f.Inputs[i].Key])
		}
	}
	return x
}

func BenchmarkFormula(b *testing.B) {
	s := load(b)
	for _, f := range s.formulas {
		x := middleOf(f)
		b.Run(f.ID, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				sink = f.Eval(x)
			}
		})
	}
}

func BenchmarkTypedPaths(b *testing.B) {
	s := load(b)
	x := Values{C: 0.2, Mn: 1.2, Cr: 0.5, Mo: 0.2, Si: 0.3}
	b.Run("MethodA", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			sink = float64(s.MethodA(0.46, 50, 1.5, 5).Thickness)
		}
	})
	b.Run("HydrogenControl", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			c, _, _, _ := s.HydrogenControl(0.27, 8, "high", 50)
			sink = float64(c)
		}
	})
	b.Run("Constitution", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			sink = s.Constitution(19, 11).FerritePct
		}
	})
	b.Run("Dilute", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			y := Dilute(x, x, 0.3)
			sink = y[C]
		}
	})
	b.Run("Compute", func(b *testing.B) {
		inputs := map[string]any{"C": 0.18, "Mn": 1.2, "Si": 0.3}
		b.ReportAllocs()
		for b.Loop() {
			_, _ = s.Compute("cet", inputs)
		}
	})
}
