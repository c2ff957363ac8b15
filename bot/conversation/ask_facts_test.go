package conversation

import (
	"bufio"
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

// Messages that tell facts stay facts: no message of the corpus is taken for a question of figures unless it asks.
func TestNoMessageThatTellsFactsIsTakenForAQuestionOfFigures(t *testing.T) {
	k := wholeTalk(t)
	k.say("A36 bracket cracked")
	turn := &turn{door: k.door, open: true, c: k.open()}
	messages := 0
	for _, name := range []string{"published/messages.jsonl", "reader/read.jsonl", "reader/open.jsonl", "reader/nothing.jsonl", "safety/ordinary.jsonl", "safety/ordinary2.jsonl", "safety/ordinary3.jsonl", "safety/dangerous.jsonl"} {
		file, err := os.Open("../../testdata/" + name)
		require.NoError(t, err)
		for lines := bufio.NewScanner(file); lines.Scan(); {
			var row struct{ Text string }
			require.NoError(t, json.Unmarshal(lines.Bytes(), &row))
			messages++
			if r, taken := turn.asks(row.Text); taken {
				require.Regexp(t, `(?i)\?|^(what|which|how|preheat at|preheat [0-9]|[0-9.]+ preheat)`, row.Text, "%s", r.Text())
				t.Logf("question: %q", row.Text)
			}
		}
		require.NoError(t, file.Close())
	}
	require.Greater(t, messages, 100)
}
