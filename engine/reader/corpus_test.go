package reader

import (
	"bufio"
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/observation"
)

var update = flag.Bool("update", false, "write what the reader reads into the corpus; read the difference by eye before it is kept")

const corpusFolder = "../../testdata/reader/"

// line is one line of a corpus.
type line struct {
	Text        string                  `json:"text"`
	Observation observation.Observation `json:"observation"`
	Spans       map[string]string       `json:"spans,omitempty"`
	Unread      []string                `json:"unread,omitempty"`
	Guessed     []string                `json:"guessed,omitempty"`
	Why         string                  `json:"why,omitempty"`
	Candidates  []string                `json:"candidates,omitempty"`
}

func corpus(t testing.TB, name string) []line {
	t.Helper()
	content, err := os.ReadFile(corpusFolder + name)
	require.NoError(t, err)
	var out []line
	scanner := bufio.NewScanner(bytes.NewReader(content))
	scanner.Buffer(nil, 1<<20)
	for scanner.Scan() {
		var l line
		require.NoError(t, json.Unmarshal(scanner.Bytes(), &l), scanner.Text())
		out = append(out, l)
	}
	return out
}

// rewrite fills the expected part of a corpus with what the reader reads now.
func rewrite(t *testing.T, r *Reader, name string) {
	t.Helper()
	var b bytes.Buffer
	encoder := json.NewEncoder(&b)
	encoder.SetEscapeHTML(false)
	for _, l := range corpus(t, name) {
		out := r.Read(l.Text)
		l.Observation, l.Unread, l.Spans, l.Guessed = out.Observation, out.Unread, out.Spans, out.Guessed
		require.NoError(t, encoder.Encode(l))
	}
	require.NoError(t, os.WriteFile(corpusFolder+name, b.Bytes(), 0o644))
}

// asJSON is how an observation is compared: as the machine contract writes it.
func asJSON(t testing.TB, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	require.NoError(t, err)
	return string(b)
}

func check(t *testing.T, r *Reader, l line) {
	t.Helper()
	out := r.Read(l.Text)
	if len(l.Spans) == 0 {
		l.Spans = map[string]string{}
	}
	require.Equal(t, asJSON(t, l.Observation), asJSON(t, out.Observation), l.Text)
	require.Equal(t, l.Unread, out.Unread, "unread of %q", l.Text)
	require.Equal(t, l.Spans, out.Spans, "spans of %q", l.Text)
	require.Equal(t, l.Guessed, out.Guessed, "guessed in %q", l.Text)
}

func TestCorpusOfMessagesIsReadWordForWord(t *testing.T) {
	r := newReader(t)
	if *update {
		rewrite(t, r, "read.jsonl")
	}
	lines := corpus(t, "read.jsonl")
	require.GreaterOrEqual(t, len(lines), 250)
	for _, l := range lines {
		require.NotEqual(t, "{}", asJSON(t, l.Observation), "%q belongs to nothing.jsonl", l.Text)
		check(t, r, l)
	}
}

func TestChatterQuestionsDoubtsAndOrdersReadAsNothing(t *testing.T) {
	r := newReader(t)
	if *update {
		rewrite(t, r, "nothing.jsonl")
	}
	lines := corpus(t, "nothing.jsonl")
	require.GreaterOrEqual(t, len(lines), 80)
	for _, l := range lines {
		require.Equal(t, "{}", asJSON(t, l.Observation), "%q", l.Text)
		require.NotEmpty(t, l.Why, l.Text)
		check(t, r, l)
	}
}

func TestTwoMeaningsStayUnread(t *testing.T) {
	r := newReader(t)
	if *update {
		rewrite(t, r, "open.jsonl")
	}
	for _, l := range corpus(t, "open.jsonl") {
		require.NotEmpty(t, l.Candidates, l.Text)
		require.NotEmpty(t, l.Unread, "%q is open, so its words are unread", l.Text)
		check(t, r, l)
	}
}

func TestNoiseAroundAMessageChangesNothing(t *testing.T) {
	r := newReader(t)
	for _, l := range corpus(t, "read.jsonl") {
		for _, noise := range [][2]string{{"hello mate. ", ""}, {"", ". thanks, let me know"}, {"morning all\n", "\ncheers 👍"}, {"  ", "  "}} {
			out := r.Read(noise[0] + l.Text + noise[1])
			require.Equal(t, asJSON(t, l.Observation), asJSON(t, out.Observation), "%q", noise[0]+l.Text+noise[1])
			require.Equal(t, l.Unread, out.Unread, "unread of %q", noise[0]+l.Text+noise[1])
		}
	}
}

func TestCapitalsChangeNothing(t *testing.T) {
	r := newReader(t)
	for _, name := range []string{"read.jsonl", "nothing.jsonl"} {
		for _, l := range corpus(t, name) {
			out := r.Read(strings.ToUpper(l.Text))
			want := l.Observation
			if strings.EqualFold(want.Part, out.Observation.Part) {
				want.Part = out.Observation.Part // words that name several parts are kept as they were written
			}
			require.Equal(t, asJSON(t, want), asJSON(t, out.Observation), "%q", strings.ToUpper(l.Text))
		}
	}
}

func TestOrderOfTheRowsHasNoMeaning(t *testing.T) {
	r := newReader(t)
	cat := catalogue(t)
	for seed := int64(1); seed <= 3; seed++ {
		other, err := build(shuffled(t, seed), cat, catalogueParts(cat), nil)
		require.NoError(t, err)
		for _, name := range []string{"read.jsonl", "nothing.jsonl", "open.jsonl"} {
			for _, l := range corpus(t, name) {
				require.Equal(t, r.Read(l.Text), other.Read(l.Text), "%q", l.Text)
			}
		}
	}
}

func TestAFifthOfTheCorpusReadsAsNothing(t *testing.T) {
	read, nothing := len(corpus(t, "read.jsonl")), len(corpus(t, "nothing.jsonl"))
	require.GreaterOrEqual(t, nothing*4, read)
}

func TestEverySpanStandsInTheMessage(t *testing.T) {
	r := newReader(t)
	for _, l := range corpus(t, "read.jsonl") {
		for key, words := range r.Read(l.Text).Spans {
			for _, part := range strings.Split(words, ", ") {
				require.Contains(t, l.Text, part, "span of %s in %q", key, l.Text)
			}
		}
	}
}
