package conversation

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// FuzzReadAsk: any text is read without a fault, the same twice, and what a question keeps is read again as the same topic.
func FuzzReadAsk(f *testing.F) {
	for _, seed := range []string{"what preheat at 2 in thick", "309L on this at 30 % dilution", "45 hrc in hb", "haz at 20 mm, 150 C, 1.5 kj/mm", "ways 2",
		"preheat at \u00bd in", "t8/5?", "309L then 308L on this, 2 layers", "250 brinell in mpa", "what about 3\"", "-3 mm preheat", "\xff\x00%% in in in"} {
		f.Add(seed)
	}
	filler := func(word string) bool { return strings.ContainsAny(word, "0123456789") && len(word) < 6 }
	f.Fuzz(func(t *testing.T, text string) {
		first, second := readAsk(text, filler), readAsk(text, filler)
		require.Equal(t, first, second)
		if !first.settle() || len(first.left)+len(first.bare) > 0 {
			return
		}
		_ = first.outOfBounds("")
		if _, kept := topicWords[first.topic]; !kept {
			return
		}
		again := readAsk(first.plain(), filler)
		again.settle()
		require.Equal(t, first.topic, again.topic, "%q kept as %q", text, first.plain())
	})
}
