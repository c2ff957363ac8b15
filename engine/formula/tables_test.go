package formula

import (
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rodcall/engine/data"
	"rodcall/engine/measure"
)

// Where well-known alloys lie on the Schaeffler diagram (sanity anchors of its reading; typical compositions, memory).
func TestKnownAlloysLieWhereTheSchaefflerDiagramHasThem(t *testing.T) {
	s := load(t)
	for _, alloy := range []struct {
		name string
		x    Values
		has  string // phases that must be present or in doubt
		not  string // phases that must not be certain
	}{
		{"304", Values{C: 0.05, Mn: 1.5, Si: 0.5, Cr: 18.5, Ni: 9}, "AF", "M"},
		{"308", Values{C: 0.05, Mn: 1.7, Si: 0.5, Cr: 20, Ni: 10}, "AF", "M"},
		{"310", Values{C: 0.12, Mn: 1.8, Si: 0.5, Cr: 26, Ni: 21}, "A", "MF"},
		{"309", Values{C: 0.06, Mn: 1.7, Si: 0.5, Cr: 23.5, Ni: 13}, "AF", "M"},
		{"312", Values{C: 0.1, Mn: 1.8, Si: 0.5, Cr: 29, Ni: 9.5}, "AF", "M"},
		{"446", Values{C: 0.1, Mn: 0.8, Si: 0.5, Cr: 25.5, Ni: 0.3}, "F", "AM"},
		{"430", Values{C: 0.06, Mn: 0.6, Si: 0.5, Cr: 16.5, Ni: 0.2}, "MF", "A"},
		{"410", Values{C: 0.1, Mn: 0.6, Si: 0.4, Cr: 12.2, Ni: 0.2}, "M", "A"},
		{"mild steel", Values{C: 0.2, Mn: 0.8, Si: 0.25}, "M", "AF"},
		{"2205", Values{C: 0.02, Mn: 1.5, Si: 0.4, Cr: 22.4, Ni: 5.7, Mo: 3.2}, "AF", "M"},
	} {
		p := s.Constitution(schaefflerCr(alloy.x), schaefflerNi(alloy.x))
		is := map[string]Presence{"A": p.Austenite, "M": p.Martensite, "F": p.Ferrite}
		for _, phase := range strings.Split(alloy.has, "") {
			require.NotEqual(t, Absent, is[phase], "%s has %s: %s", alloy.name, phase, p)
		}
		for _, phase := range strings.Split(alloy.not, "") {
			require.NotEqual(t, Present, is[phase], "%s has no %s: %s", alloy.name, phase, p)
		}
	}
}

func TestCarbonSteelInStainlessFillerGivesMartensiteFirstInTheLeanerFiller(t *testing.T) {
	s := load(t)
	mild := Values{C: 0.2, Mn: 0.8, Si: 0.25}
	lean, rich := Values{C: 0.02, Mn: 1.7, Si: 0.5, Cr: 20, Ni: 10}, Values{C: 0.02, Mn: 1.7, Si: 0.5, Cr: 23.5, Ni: 13}
	at := func(filler Values) Phases {
		x := Dilute(mild, filler, 0.3)
		return s.Constitution(schaefflerCr(x), schaefflerNi(x))
	}
	require.Equal(t, Present, at(lean).Martensite, "30 % mild steel in 308L falls in A + M")
	require.Equal(t, Doubtful, at(rich).Martensite, "30 % mild steel in 309L falls on the corner of three regions")
	noMartensite := func(x Values) bool {
		return s.Constitution(schaefflerCr(x), schaefflerNi(x)).Martensite != Present
	}
	leanMost, ok := Window(mild, lean, 100, noMartensite)
	require.True(t, ok)
	richMost, ok := Window(mild, rich, 100, noMartensite)
	require.True(t, ok)
	require.Less(t, leanMost, richMost)
	_, ok = Window(mild, mild, 100, noMartensite)
	require.False(t, ok)
}

func TestDilutionConservesWhatGoesIn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		share := rapid.Float64Range(0, 1).Draw(t, "D")
		base, filler := Values{C: 0.4, Cr: 1, Mn: 0.8}, Values{C: 0.03, Cr: 20, Ni: 10}
		require.Equal(t, base, Dilute(base, filler, 1))
		require.Equal(t, filler, Dilute(base, filler, 0))
		joint := DiluteJoint(base, base, filler, share/2, share/2)
		mixed := Dilute(base, filler, share)
		for k := range elementCount {
			require.InDelta(t, mixed[k], joint[k], 1e-12)
		}
		layers := Layers(base, []Values{filler, filler, filler}, share)
		require.InDelta(t, share*share*share*base[Mn], layers[2][Mn], 1e-12, "after three layers D^3 of the base is left")
	})
}

func TestDilutionRangeOfAProcessIsTheWidestOfItsUse(t *testing.T) {
	s := load(t)
	for _, row := range []struct {
		process, use string
		want         Dilution
	}{
		{"smaw", "join", Dilution{0.2, 0.3}}, {"smaw", "overlay", Dilution{0.1, 0.25}}, {"saw", "join", Dilution{0.15, 0.8}},
		{"gtaw", "root", Dilution{1, 1}}, {"gtaw", "overlay", Dilution{0.05, 0.2}},
	} {
		got, ok := s.DilutionOf(row.process, row.use)
		require.True(t, ok)
		require.InDelta(t, row.want.Low, got.Low, 1e-12, "%s %s", row.process, row.use)
		require.InDelta(t, row.want.High, got.High, 1e-12, "%s %s", row.process, row.use)
	}
	_, ok := s.DilutionOf("smaw", "root")
	require.False(t, ok)
	_, ok = s.DilutionOf("", "overlay")
	require.True(t, ok)
}

// EN 1011-2 table C.1: scale D, CE 0.49, 1 kJ/mm: 50 mm; scale C, CE 0.43, 2 kJ/mm: 100 mm or more.
func TestMethodAAnswersFromItsPointsAndSaysWhenItCannot(t *testing.T) {
	s := load(t)
	a := s.MethodA(0.49, 50, 1, 4)
	require.Equal(t, MethodA{"D", 50, false, No, true}, a)
	require.Equal(t, Yes, s.MethodA(0.49, 51, 1, 4).Needed)
	require.Equal(t, Open, s.MethodA(0.43, 120, 2, 8).Needed, "the table ends at 100 mm or more")
	require.Equal(t, No, s.MethodA(0.38, 50, 1, 4).Needed, "less carbon equivalent needs no more preheat")
	require.Equal(t, Yes, s.MethodA(0.6, 60, 1, 4).Needed, "more carbon equivalent needs no less")
	require.Equal(t, Open, s.MethodA(0.6, 40, 1, 4).Needed)
	require.Equal(t, Open, s.MethodA(0.49, 50, 0.6, 4).Needed, "less heat than the points have")
	require.Equal(t, Open, s.MethodA(0.38, 90, 1, 8).Needed, "thicker than the points of 0.43 allow; less may allow more")
	require.Equal(t, Open, s.MethodA(0.49, 70, 3, 8).Needed, "more heat than the points have")
	require.False(t, s.MethodA(0.6, 40, 1, 4).InRange)
	require.Equal(t, "A", s.MethodA(0.45, 40, 1, 40).Scale)
	require.Equal(t, "E", s.MethodA(0.45, 40, 1, 3).Scale)
	require.InDelta(t, 0.5*(25+40), float64(s.MethodA(0.46, 40, 1, 20).Thickness), 1e-9)
}

// AWS D1.1:2004 annex XI, worked example in AWS forum topic pid=129522: Pcm under 0.28 with H2 is group D; 2 in, high
// restraint, group D: 300 °F.
func TestHydrogenControlFollowsTheWorkedExample(t *testing.T) {
	s := load(t)
	preheat, group, none, ok := s.HydrogenControl(0.27, 8, "high", measure.Inch(2).MM())
	require.True(t, ok)
	require.False(t, none)
	require.Equal(t, "D", group)
	require.Equal(t, measure.Celsius(150), preheat)
	_, group, _, ok = s.HydrogenControl(0.5, 2, "high", 10)
	require.Equal(t, "G", group)
	require.False(t, ok)
	_, _, none, _ = s.HydrogenControl(0.1, 2, "low", 10)
	require.True(t, none)
	thin, _, _, _ := s.HydrogenControl(0.27, 8, "high", measure.Inch(1.5).MM())
	metric, _, _, _ := s.HydrogenControl(0.27, 8, "high", 38)
	require.Equal(t, metric, thin, "1-1/2 in and 38 mm are one bound of the table")
	for band, want := range map[float64]string{0.28: "D", 0.2799: "D", 0.2801: "E", 0.18: "B"} {
		got, err := s.Compute("aws_hydrogen_group", map[string]any{"Pcm_less_than": band, "hydrogen_level": "h2"})
		require.NoError(t, err)
		require.Equal(t, want, got.Value, "%g", band)
	}
	got, err := s.Compute("aws_hydrogen_group", map[string]any{"Pcm": 0.28, "hydrogen_level": "H2"})
	require.NoError(t, err)
	require.Equal(t, "E", got.Value, "0.28 itself is not below 0.28")
}

func TestPreheatTablesAreFoundByGradeAndThickness(t *testing.T) {
	s := load(t)
	for _, name := range []string{"SAE 4140", "AISI 4140", "4140", "sae 4140"} {
		rows := s.PreheatByGrade(name, 20)
		require.Len(t, rows, 2, name)
	}
	require.Len(t, s.PreheatByGrade("SAE 3125", 0), 1, "one of two grades in a row")
	require.Len(t, s.PreheatByGrade("D2", 0), 1)
	require.Empty(t, s.PreheatByGrade("D29", 0))
	require.NotEmpty(t, s.PreheatByCarbon("medium-carbon-steel", 0.4))
	require.Equal(t, measure.Celsius(149), s.PreheatByCarbon("medium-carbon-steel", 0.4)[0].Low.C)
	require.Len(t, s.PreheatTable(), 154)
}

func TestEveryFaultOfATableIsNamedWithItsPlace(t *testing.T) {
	for _, change := range []struct{ file, old, new, want string }{
		{"csa_f_factor.csv", "0.07,0.56", "0.07,0.54", "does not rise"},
		{"aws_hydrogen.csv", "high,38.1,76.2,D,150,", "high,38.1,76.2,D,100,", "colder than an easier case"},
		{"aws_hydrogen.csv", "low,0,10,A,20,yes", "low,0,10,B,20,yes", "stands already"},
		{"aws_hydrogen_groups.csv", "H2,10,0.28,D", "H2,10,0.28,B", "must rise"},
		{"en1011_2_method_a.csv", "A,15,,0.49,1.0,25,no", "A,15,,0.49,1.0,60,no", "out of order"},
		{"constitution_points.csv", "schaeffler,austenite,5,", "schaeffler,austenite,12,", "must rise in Creq"},
		{"dilution.csv", "smaw,SMAW,join,20,30", "smaw,SMAW,join,40,30", "above the greatest"},
		{"preheat_tables.csv", "316,427", "216,427", "not the same temperature"},
		{"formula_checks.csv", "cet,published", "cat,published", "unknown formula"},
		{"formula_checks.csv", "cet,published,", "cet,published,everywhere", "exactly when nothing was found"},
	} {
		files := fstest.MapFS{}
		for _, name := range []string{"csa_f_factor.csv", "aws_hydrogen.csv", "aws_hydrogen_groups.csv", "en1011_2_method_a.csv", "constitution_points.csv",
			"dilution.csv", "preheat_tables.csv", "formula_checks.csv", "marks.csv", "hardness_conversion.csv"} {
			file, err := data.Files().Open(name)
			require.NoError(t, err)
			info, err := file.Stat()
			require.NoError(t, err)
			content := make([]byte, info.Size())
			_, err = file.Read(content)
			require.NoError(t, err)
			if name == change.file {
				require.Contains(t, string(content), change.old)
				content = []byte(strings.Replace(string(content), change.old, change.new, 1))
			}
			files[name] = &fstest.MapFile{Data: content}
		}
		var faults data.Faults
		Load(files, &faults)
		require.ErrorContains(t, faults.Err(), change.want)
		require.ErrorContains(t, faults.Err(), change.file)
	}
}
