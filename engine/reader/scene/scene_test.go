package scene_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/data"
	"rodcall/engine/reader/scene"
	"rodcall/engine/reader/token"
)

func reader(t testing.TB) *scene.Reader {
	t.Helper()
	var faults data.Faults
	r := scene.New(data.Files(), &faults)
	require.NoError(t, faults.Err())
	return r
}

const fortyWords = "sawmill sprocket two teeth gone, on the bench in my shop, magnet pulls hard, long yellow sparks with some bursts, " +
	"file bites hard, old paint on the hub, want to build it up with 7018 and hardface after, no cracks seen, oil on it"

func BenchmarkReadOfFortyWords(b *testing.B) {
	r := reader(b)
	tokens := token.Scan(fortyWords, nil)
	b.ReportAllocs()
	for b.Loop() {
		r.ReadTokens(tokens, nil)
	}
}

func BenchmarkReadOfSixteenKilobytes(b *testing.B) {
	r := reader(b)
	tokens := token.Scan(strings.Repeat(fortyWords+" ", 16384/len(fortyWords)), nil)
	b.ReportAllocs()
	for b.Loop() {
		r.ReadTokens(tokens, nil)
	}
}

func TestArticlesDoNotMatter(t *testing.T) {
	r := reader(t)
	require.Equal(t, r.Read("weld it on bench in shop").Scene, r.Read("weld it on the bench in my shop").Scene)
}

func TestADenialClingsToWhatItStandsBefore(t *testing.T) {
	r := reader(t)
	for text, asks := range map[string]int{
		"no hook here, plain plate":        0,
		"not a hook, plain plate":          0,
		"hook worn, no cracks":             1,
		"no crack in the hook":             1,
		"no idea what the hook is made of": 1,
		"never welded a hook before":       1,
		"hook or not, weld it":             1,
	} {
		require.Len(t, r.Read(text).Scene.Ask, asks, text)
	}
}

func TestNewRodsForTheTankClearNothing(t *testing.T) {
	found := reader(t).Read("new rods for the tank, seam leaks")
	require.Contains(t, found.Scene.Part, "fluid-tank")
}

func TestDoubtVoidsOnlyWhatWouldLiftAStop(t *testing.T) {
	r := reader(t)
	require.Contains(t, r.Read("roller, it is drilled and open").Scene.Enclosure, "open")
	require.NotContains(t, r.Read("roller, not sure if drilled and open").Scene.Enclosure, "open")
	require.Contains(t, r.Read("maybe it is galvanised").Scene.Coating, "zinc")
}

func TestStrippedPaintIsNoPaint(t *testing.T) {
	found := reader(t).Read("old paint stripped 100 mm back, galv underneath")
	require.Contains(t, found.Scene.Coating, "stripped")
	require.NotContains(t, found.Scene.Coating, "old-paint")
	require.Contains(t, found.Scene.Coating, "zinc")
}

func TestTheHeadOfACompoundDecides(t *testing.T) {
	r := reader(t)
	require.Empty(t, r.Read("bolt hole worn in the wheel of the vise").Scene.Part)
	require.Contains(t, r.Read("tank stand cracked").Scene.Ask, "closed-container")
	require.Empty(t, r.Read("gas bottle rack broke").Scene.Part)
}

func TestTheWholePartDecidesBeforeABareWord(t *testing.T) {
	r := reader(t)
	require.Contains(t, r.Read("ring cracked").Scene.Ask, "chain-shackle-rigging")
	require.Empty(t, r.Read("ring cracked", "pellet die ring").Scene.Part)
	require.Equal(t, []string{"lifting-hook"}, r.Read("crane hook cracked", "crane hook").Scene.Part)
}

func TestAWordBesideThePartTakesItBack(t *testing.T) {
	require.Empty(t, reader(t).Read("manure fork tine broke", "forklift fork").Scene.Part)
}

func TestAnAmericanAndABritishSpellingReadTheSame(t *testing.T) {
	r := reader(t)
	require.Equal(t, r.Read("tyre still on the rim, plough, galvanised").Scene, r.Read("tire still on the rim, plow, galvanized").Scene)
}

func TestRimSpeedTellsSlowFromFast(t *testing.T) {
	r := reader(t)
	require.Equal(t, []string{"slow"}, r.Read("cast pulley 600 mm, 200 rpm").Scene.Use)
	require.Equal(t, []string{"fast"}, r.Read("cast pulley 600 mm, 1500 rpm").Scene.Use)
	require.Empty(t, r.Read("cast pulley, 900 rpm").Scene.Use)
	require.InDelta(t, 6.283, scene.RimSpeed(600, 200), 0.001)
}

func TestEveryValueKeepsItsWords(t *testing.T) {
	text := "weld it at the sawmill, on the bench"
	found := reader(t).Read(text)
	words := map[string]string{}
	for _, s := range found.Spans {
		words[s.Key+"="+s.Value] = text[s.Start:s.End]
	}
	require.Equal(t, "sawmill", words["scene.site=sawmill"])
	require.Equal(t, "on the bench", words["scene.where=bench"])
}

func TestUnderstoodWordsDoNotOverlap(t *testing.T) {
	found := reader(t).Read(fortyWords)
	last := 0
	for _, w := range found.Words {
		require.GreaterOrEqual(t, w.Start, last)
		require.Greater(t, w.End, w.Start)
		last = w.End
	}
}

func TestChatterReadsAsNothing(t *testing.T) {
	r := reader(t)
	for _, text := range []string{"", "hi", "thanks mate", "which one is better?", "magnet pulls, file bites", "????", "long yellow sparks, many bursts"} {
		found := r.Read(text)
		require.Empty(t, found.Scene.Ask, text)
		require.Empty(t, found.Scene.Part, text)
	}
}

func FuzzReadTakesAnyBytes(f *testing.F) {
	f.Add(fortyWords)
	f.Add("no no no not not a hook hook \x00\xff tank tank stand")
	f.Add("in the the a the tank ~ # 5 rpm 3000 rpm mm")
	r := reader(f)
	f.Fuzz(func(t *testing.T, text string) {
		found := r.Read(text)
		for _, s := range found.Spans {
			require.True(t, 0 <= s.Start && s.Start < s.End && s.End <= len(text))
		}
		again := r.Read(text)
		require.Equal(t, found, again)
	})
}
