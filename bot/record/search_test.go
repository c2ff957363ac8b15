package record

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/bot/conversation"
)

func numbers(t *testing.T, s *Store, words string) []int64 {
	t.Helper()
	found, err := s.Find(ctx, words, 20)
	require.NoError(t, err)
	all := []int64{}
	for _, f := range found {
		all = append(all, f.Case)
	}
	return all
}

func TestFindSeesWhatWasSaidAndWhatItWasCalled(t *testing.T) {
	forEachStore(t, func(t *testing.T, s *Store, _ Settings) {
		jaw := tell(t, s, newCase(t, s, "a"), "m1", "Crusher LINER worn, 3/4\" thick, marked 88-Q4", "jaw plate", "austenitic-manganese-steel")
		pump := tell(t, s, newCase(t, s, "b"), "m2", "pump housing cracked at the orchard", "pump housing", "gray-iron")
		for words, want := range map[string][]int64{
			"liner": {jaw.Number}, "LINERS": {}, "crush": {jaw.Number}, "manganese-steel": {jaw.Number}, "gray iron": {pump.Number},
			"88-q4": {jaw.Number}, "3/4": {jaw.Number}, "pump orchard": {pump.Number}, "7018": {}, "e7018": {pump.Number, jaw.Number},
			"A128": {pump.Number, jaw.Number}, "lead": {}, "": {}, "?!": {},
		} {
			require.ElementsMatch(t, want, numbers(t, s, words), words)
		}
	})
}

func TestFindFallsBackToCasesWithSomeOfTheWords(t *testing.T) {
	forEachStore(t, func(t *testing.T, s *Store, _ Settings) {
		a := tell(t, s, newCase(t, s, "a"), "m1", "sprocket with two teeth gone", "", "medium-carbon-steel")
		b := tell(t, s, newCase(t, s, "b"), "m2", "sprocket cracked", "", "medium-carbon-steel")
		require.Equal(t, []int64{a.Number}, numbers(t, s, "sprocket teeth"), "all words beat some words")
		require.ElementsMatch(t, []int64{a.Number, b.Number}, numbers(t, s, "sprocket unheardof"))
	})
}

func TestFindPutsWhatACaseWasCalledBeforeWhatWasSaid(t *testing.T) {
	forEachStore(t, func(t *testing.T, s *Store, _ Settings) {
		called := tell(t, s, newCase(t, s, "a"), "m1", "casing cracked", "gearbox casing", "ductile-iron")
		said := tell(t, s, newCase(t, s, "b"), "m2", "no idea what the lever is, surely not ductile", "lever", "low-carbon-steel")
		require.Equal(t, []int64{called.Number, said.Number}, numbers(t, s, "ductile"))
	})
}

func TestFindPutsTheNewestFirstAmongEquals(t *testing.T) {
	forEachStore(t, func(t *testing.T, s *Store, _ Settings) {
		for i := range 5 {
			tell(t, s, newCase(t, s, fmt.Sprint(i)), fmt.Sprint("m", i), "worn bucket lip", "bucket lip", "low-alloy-steel")
		}
		require.Equal(t, []int64{5, 4, 3, 2, 1}, numbers(t, s, "bucket"))
		found, err := s.Find(ctx, "bucket", 2)
		require.NoError(t, err)
		require.Len(t, found, 2)
	})
}

func TestCorrectedCallIsFoundByItsNewNameOnly(t *testing.T) {
	forEachStore(t, func(t *testing.T, s *Store, _ Settings) {
		c := tell(t, s, newCase(t, s, "a"), "m1", "casing broke", "casing", "gray-iron")
		require.Equal(t, []int64{c.Number}, numbers(t, s, "gray"))
		c = tell(t, s, c, "m2", "it bends before it breaks", "casing", "malleable-iron")
		require.Empty(t, numbers(t, s, "gray"))
		require.Equal(t, []int64{c.Number}, numbers(t, s, "malleable casing broke bends"))
		found, err := s.Find(ctx, "casing", 5)
		require.NoError(t, err)
		require.Equal(t, "casing broke", found[0].Title)
		require.Equal(t, []FoundPart{{Part: 1, Name: "casing", Family: "malleable-iron", P: 0.9, Decision: "weld", Rods: "E7018"}}, found[0].Parts)
		require.Equal(t, noon, found[0].Opened)
	})
}

func TestPartTakenBackIsGoneFromTheSearch(t *testing.T) {
	forEachStore(t, func(t *testing.T, s *Store, _ Settings) {
		c := tell(t, s, newCase(t, s, "a"), "m1", "two things", "shaft", "medium-carbon-steel")
		c.Parts = nil
		m := message("m2", "undo")
		save(t, s, m)
		require.NoError(t, s.SaveTurn(ctx, conversation.Turn{Message: m, Word: "undo", Case: c}))
		require.Empty(t, numbers(t, s, "shaft"))
		found, err := s.Find(ctx, "things", 5)
		require.NoError(t, err)
		require.Empty(t, found[0].Parts)
	})
}

// Signs that are operators of either database must neither fail nor change what is found.
func TestSignsInASearchMeanNothing(t *testing.T) {
	hostile := []string{`"`, `""`, `'`, `*`, `^`, `:`, `-`, `(`, `)`, `AND`, `OR jaw`, `NOT jaw`, `NEAR(jaw plate, 2)`, `facts:jaw`,
		`jaw" OR "1"="1`, `'; DROP TABLE message; --`, `jaw & | !`, `<->`, `jaw:*`, `\`, "\x00", "a\x00b", "\xff\xfe", `%`, `_`, `$1`, `?`,
		strings.Repeat("x", 5000), strings.Repeat("jaw ", 300), "ﬁ ½ 鉄 🔥"}
	forEachStore(t, func(t *testing.T, s *Store, _ Settings) {
		tell(t, s, newCase(t, s, "a"), "m1", "worn jaw", "jaw plate", "austenitic-manganese-steel")
		for _, words := range hostile {
			_, err := s.Find(ctx, words, 20)
			require.NoError(t, err, "%q", words)
		}
		require.Equal(t, []int64{1}, numbers(t, s, `"jaw"`))
	})
}

func TestHugeCaseStillTakesTurns(t *testing.T) {
	forEachStore(t, func(t *testing.T, s *Store, _ Settings) {
		c := newCase(t, s, "a")
		for i := range 40 {
			var text strings.Builder
			for w := range 1600 {
				fmt.Fprintf(&text, "w%dx%d ", i, w)
			}
			c = tell(t, s, c, fmt.Sprint("m", i), text.String(), "casing", "gray-iron")
		}
		require.Equal(t, []int64{1}, numbers(t, s, "w0x0 casing"))
	})
}
