package metal

import (
	"io/fs"
	"math"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rodcall/engine/data"
)

// small is the invented catalogue with some texts replaced: file, old, new.
func small(t testing.TB, changes ...[3]string) (*Catalogue, *data.Faults) {
	files := fstest.MapFS{}
	folder := os.DirFS("testdata/small")
	names, err := fs.Glob(folder, "*.csv")
	require.NoError(t, err)
	for _, name := range names {
		content, err := fs.ReadFile(folder, name)
		require.NoError(t, err)
		files[name] = &fstest.MapFile{Data: content}
	}
	for _, change := range changes {
		before := string(files[change[0]].Data)
		require.Contains(t, before, change[1])
		files[change[0]] = &fstest.MapFile{Data: []byte(strings.Replace(before, change[1], change[2], 1))}
	}
	var faults data.Faults
	return Load(files, &faults), &faults
}

func TestTheInventedCatalogueLoads(t *testing.T) {
	c, faults := small(t)
	require.NoError(t, faults.Err())
	require.Len(t, c.Grades, 41)
	g, ok := c.Grade("zz-9001")
	require.True(t, ok)
	require.Equal(t, Range{High: 0.30, HasHigh: true}, g.Composition["C"])
	require.Equal(t, 3.0, g.MetWeight)
	for i := 1; i < len(c.Grades); i++ {
		require.LessOrEqual(t, FamilyIndex(c.Grades[i-1].Family), FamilyIndex(c.Grades[i].Family))
	}
}

func TestEveryFaultOfTheDataIsNamedWithItsPlace(t *testing.T) {
	for _, row := range []struct {
		file, old, new string
		want           string
	}{
		{"grades.csv", "C 0.10-0.20", "C 0.20-0.10", "low end above its high end"},
		{"grades.csv", "C 0.10-0.20", "C 0.10", "is no limit"},
		{"grades.csv", "C 0.10-0.20", "Xx 0.10-0.20", `unknown element "Xx"`},
		{"grades.csv", "C 0.10-0.20; Mn <=1.00", "C 0.10-0.20; C <=1.00", "C stands twice"},
		{"grades.csv", "C 0.10-0.20; Mn <=1.00", "C 50-60; Mn 60-70", "more than 100"},
		{"grades.csv", "7.8,3", "2.8,3", "outside 6.9-8.9 for an alloy of Fe"},
		{"grades.csv", "HRA,85,92", "HB,85,92", "is not read on an alloy of W"},
		{"grades.csv", "HB,100,200", "HB,300,200", "is above hardness_high"},
		{"grades.csv", "HB,100,200", "HRC,100,200", "HRC reads 20-70 only"},
		{"grades.csv", "Zed 9001", "Invented brass", `"Invented brass" belongs to`},
		{"grades.csv", ",7.8,3,,", ",7.8,1,,", "common_grades.csv gives 3"},
		{"grades.csv", "invented,memory,HB", "invented,heard,HB", `unknown mark "heard"`},
		{"grades.csv", "g-lead,Invented lead,lead", "g-lead,Invented lead,brass", `no grade of family "lead"`},
		{"grades.csv", "g-lead,Invented lead,lead", "g-lead,Invented lead,gold", `unknown word "gold"`},
		{"common_grades.csv", "zz-9001", "zz-9002", `unknown grade "zz-9002"`},
		{"families.csv", "lead,lead name", "lad,lead name", `family "lead" has no row`},
		{"families.csv", ",2.5,1,5,", ",12.5,1,50,", "sum to 110, not 100"},
		{"families.csv", ",2.5,1,5,", ",2.5,3,5,", "2.5 is outside 3-5"},
		{"families.csv", "brass name,brass,", "brass name,a name that is far too long,", "20 fit on the line"},
		{"industry_mix.csv", "hill,50,brass,", "hill,40,brass,", "differs from"},
		{"industry_mix.csv", "hill,50,brass,2", "hill,50,brass,9", "the shares of hill sum to"},
		{"industries.csv", "digging,hill", "digging,moon", `unknown setting "moon"`},
		{"industries.csv", "boats,shore", "ships,shore", `unknown industry "boats"`},
		{"parts.csv", "gray-iron 60; ductile-iron 40", "gray-iron 60; ductile-iron 30", "sum to 90, not 100"},
		{"parts.csv", "gray-iron 60; ductile-iron 40", "gray-iron 60; gray-iron 40", "stands twice"},
		{"parts.csv", "gray-iron 60; ductile-iron 40", "gray-iron 60; grey 40", `unknown family "grey"`},
		{"parts.csv", "gronk,digging,hill", "gronk,digging,shore", "under \"hill\""},
		{"part_names.csv", "lever,zig lever", "lever,zag lever", `"zag lever" is no part`},
		{"part_names.csv", "weld-on snarf,zig lever,,judgement,\n", "", ""},
		{"part_names.csv", "gronk,gronk,,judgement,\nhook", "hook", ""},
		{"part_names.csv", "also gronk", "", "every row of it needs a note"},
		{"part_names.csv", "hook,gronk,,judgement,also anchor", "hook,gronk,,judgement,", "every row of it needs a note"},
		{"part_context.csv", "hook,after", "crook,after", `"crook" is no variant`},
		{"metal_names.csv", "zedmetal,zz-9001", "zedmetal,zz-1", "neither a family nor a grade"},
		{"metal_words.csv", "steel,metal,carbon-steel", "steel,metal,", "a metal word has groups"},
	} {
		_, faults := small(t, [3]string{row.file, row.old, row.new})
		if row.want == "" {
			require.NoError(t, faults.Err(), row.new)
			continue
		}
		require.ErrorContains(t, faults.Err(), row.want)
		require.ErrorContains(t, faults.Err(), row.file[:4], row.want)
	}
}

func TestAPartWithoutAVariantIsAFault(t *testing.T) {
	_, faults := small(t, [3]string{"part_names.csv", "lever,zig lever,,judgement,\nweld-on snarf,zig lever,,judgement,\n", ""},
		[3]string{"part_context.csv", "lever,near,talk,judgement\n", ""})
	require.ErrorContains(t, faults.Err(), `no variant names "zig lever"`)
}

func TestPriorFollowsTheSettingsOfATeam(t *testing.T) {
	c, faults := small(t)
	require.NoError(t, faults.Err())
	require.InDeltaSlice(t, c.MixPrior("hill"), c.Prior(map[string]float64{"hill": 7}), 1e-12)
	require.Nil(t, c.MixPrior("moon"))
	require.Equal(t, c.Prior(nil), c.Prior(map[string]float64{"moon": 3, "hill": -1}))
	for _, weight := range []float64{5, 5e-324, math.MaxFloat64} {
		require.InDeltaSlice(t, c.Prior(map[string]float64{"hill": 1, "shore": 1}), c.Prior(map[string]float64{"hill": weight, "shore": weight}), 1e-12)
	}
	rapid.Check(t, func(t *rapid.T) {
		mix := map[string]float64{"hill": rapid.Float64Range(0, 1e6).Draw(t, "hill"), "shore": rapid.Float64Range(0, 1e6).Draw(t, "shore")}
		total := 0.0
		for _, p := range c.Prior(mix) {
			require.Positive(t, p)
			total += p
		}
		require.InDelta(t, 1, total, 1e-9)
	})
}

func TestNamesOfTheInventedCatalogue(t *testing.T) {
	c, faults := small(t)
	require.NoError(t, faults.Err())
	for text, want := range map[string]string{"zed 9001": "zz-9001", "zedmetal bar": "zz-9001", "Why 77": "zz-9001", "zed-9001 steel": "zz-9001"} {
		_, id, _ := c.FindMetal(text)
		require.Equal(t, want, id, text)
	}
	_, ok := c.FindClass("anystuff")
	require.True(t, ok)
	got, total := names(c.MatchPart("hook"))
	require.Equal(t, []string{"anchor, big", "gronk"}, got)
	require.InDelta(t, 1, total, 1e-12)
	require.InDelta(t, 0.75, c.MatchPart("hook")[0].P, 1e-12)
	got, _ = names(c.MatchPart("hook of a gronk"))
	require.Equal(t, "gronk", got[0])
	got, _ = names(c.MatchPart("weld on snarf"))
	require.Equal(t, []string{"zig lever"}, got)
	require.Equal(t, []string{"lever"}, spanTexts(c, "the lever broke"))
	require.Empty(t, spanTexts(c, "hook it up"))
	require.Empty(t, spanTexts(c, "lever hole"))
	require.Empty(t, spanTexts(c, "we talk about a lever"))
	require.Equal(t, []string{"gronk hook lever"}, spanTexts(c, "gronk hook lever"))
	require.InDelta(t, behindName, c.FindParts("gronk lever")[0].Matches[0].P, 1e-12)
}
