package main

import (
	"bytes"
	"encoding/json"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine"
)

var testEngine = sync.OnceValues(func() (*engine.Engine, error) { return engine.New(engine.Settings{}) })

// judged answers lines with a batch command of the real engine.
func judged(t *testing.T, lines func(*engine.Engine) answer, in string) []string {
	t.Helper()
	e, err := testEngine()
	require.NoError(t, err)
	var out bytes.Buffer
	_, err = batch(strings.NewReader(in), &out, lines(e))
	require.NoError(t, err)
	return strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n")
}

// used is the observation that a judgment says it used.
func used(t *testing.T, line string) map[string]any {
	t.Helper()
	var j struct{ Observation map[string]any }
	require.NoError(t, json.Unmarshal([]byte(line), &j))
	return j.Observation
}

func TestObservationWinsOverTheTextKeyByKey(t *testing.T) {
	line := judged(t, judgeLine, `{"id":1,"text":"magnet pulls hard, file bites, 2 in thick, 300 mm long, no preheat possible",`+
		`"observation":{"magnet":"none","limits":["flat"],"size":{"thickness_mm":10}}}`)[0]
	o := used(t, line)
	require.Equal(t, "none", o["magnet"], "told")
	require.Equal(t, "bites", o["file"], "read, and not told otherwise")
	require.Equal(t, []any{"flat"}, o["limits"], "a list that is told takes the place of the one read")
	require.Equal(t, map[string]any{"thickness_mm": 10.0, "length_mm": 300.0}, o["size"])
}

func TestLineWithoutTextAndObservationSaysWhatToGive(t *testing.T) {
	for in, want := range map[string]string{
		`{"id":1}`:                    `{"id":1,"error":"the line has neither text nor observation; give {\"id\",\"text\"} or {\"id\",\"observation\"}"}`,
		`{"id":2,"observation":null}`: `{"id":2,"error":"the line has neither text nor observation; give {\"id\",\"text\"} or {\"id\",\"observation\"}"}`,
	} {
		require.Equal(t, want, judged(t, judgeLine, in)[0])
	}
	require.Equal(t, `{"id":3,"error":"the line has no text; give {\"id\",\"text\"}"}`, judged(t, readLine, `{"id":3,"observation":{}}`)[0])
	require.Contains(t, judged(t, judgeLine, `{"id":4,"observation":{}}`)[0], `"decision":"`)
	require.Contains(t, judged(t, judgeLine, `{"id":5,"text":""}`)[0], `"decision":"`)
	require.Contains(t, judged(t, judgeLine, `{"id":6,"observation":[1]}`)[0], `{"id":6,"error":"`)
}

// nullable are the keys that the contract lets be null.
var nullable = map[string]bool{"id": true, "stop_kind": true, "question": true, "preheat_c": true, "interpass_max_c": true,
	"pwht": true, "quantity": true}

// nulls names the keys that hold a null where the contract has none.
func nulls(path string, value any) (found []string) {
	switch v := value.(type) {
	case map[string]any:
		for key, inner := range v {
			if inner == nil && !nullable[key] {
				found = append(found, path+"."+key)
			}
			found = append(found, nulls(path+"."+key, inner)...)
		}
	case []any:
		for _, inner := range v {
			found = append(found, nulls(path+"[]", inner)...)
		}
	}
	return found
}

func TestEmptyListsPrintAsListsAndEveryKeyOfTheContractIsThere(t *testing.T) {
	keys := []string{"id", "observation", "unread", "families", "unlisted", "grades", "evidence", "fit", "next_tests", "decision", "stop_kind",
		"stop_reasons", "question", "refer_to", "consumables", "avoid", "preheat_c", "interpass_max_c", "pwht", "cooling", "procedure",
		"quantity", "cautions", "engine"}
	in := `{"text":""}` + "\n" + `{"observation":{}}` + "\n" + `{"text":"crane hook worn, build it up"}` + "\n" + `{"text":"magnesium casting, spark test it"}`
	for _, text := range benchmarkMessages {
		line, err := json.Marshal(map[string]string{"text": text})
		require.NoError(t, err)
		in += "\n" + string(line)
	}
	for _, line := range judged(t, judgeLine, in) {
		var j map[string]any
		require.NoError(t, json.Unmarshal([]byte(line), &j))
		require.Empty(t, nulls("", j), line)
		for _, key := range keys {
			require.Contains(t, j, key)
		}
	}
}

func TestSameLineGivesTheSameBytes(t *testing.T) {
	var in strings.Builder
	for range 40 {
		for _, text := range benchmarkMessages {
			line, err := json.Marshal(map[string]string{"text": text})
			require.NoError(t, err)
			in.Write(append(line, '\n'))
		}
	}
	lines := judged(t, judgeLine, in.String())
	for i, line := range lines {
		require.Equal(t, lines[i%len(benchmarkMessages)], line)
	}
}
