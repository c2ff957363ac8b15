package engine_test

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine"
)

// safetyCase is one message with what must, and must not, be said of its dangers.
type safetyCase struct {
	ID        string   `json:"id"`
	Text      string   `json:"text"`
	Required  []string `json:"required"`
	Forbidden []string `json:"forbidden"`
	Stop      bool     `json:"stop"`
	StopKind  *string  `json:"stop_kind"`
	Question  string   `json:"question"`
}

func safetyCases(t *testing.T, file string) []safetyCase {
	t.Helper()
	f, err := os.Open("../testdata/safety/" + file)
	require.NoError(t, err)
	defer f.Close()
	var out []safetyCase
	lines := bufio.NewScanner(f)
	for lines.Scan() {
		var c safetyCase
		require.NoError(t, json.Unmarshal(lines.Bytes(), &c), lines.Text())
		out = append(out, c)
	}
	require.NoError(t, lines.Err())
	return out
}

// wrong lists what a judgment misses or says too much; checkStop looks at the decision as well.
func (c safetyCase) wrong(j engine.Judgment, checkStop bool) []string {
	var out, have []string
	for _, caution := range j.Cautions {
		have = append(have, caution.ID)
	}
	for _, id := range c.Required {
		if !slices.Contains(have, id) {
			out = append(out, "misses "+id)
		}
	}
	for _, id := range c.Forbidden {
		if slices.Contains(have, id) {
			out = append(out, "has "+id)
		}
	}
	if !checkStop {
		return out
	}
	if c.Stop != (j.Decision == engine.Stop) {
		out = append(out, fmt.Sprintf("decision %s, reasons %v", j.Decision, j.StopReasons))
	}
	if c.Stop && j.StopKind != nil && *c.StopKind != *j.StopKind {
		out = append(out, fmt.Sprintf("kind %s instead of %s, reasons %v", *j.StopKind, *c.StopKind, j.StopReasons))
	}
	if c.Question != "" && (j.Question == nil || j.Question.Caution != c.Question) {
		out = append(out, fmt.Sprintf("question %+v instead of %s, reasons %v", j.Question, c.Question, j.StopReasons))
	}
	return out
}

// runSafety judges every message of a file and reports those that come out wrong.
func runSafety(t *testing.T, file string, checkStop bool) {
	e, err := engine.New(engine.Settings{Country: "us"})
	require.NoError(t, err)
	good := 0
	cases := safetyCases(t, file)
	require.NotEmpty(t, cases, file)
	for _, c := range cases {
		reading := e.Read(c.Text)
		wrong := c.wrong(e.Judge(reading.Observation), checkStop)
		if len(wrong) == 0 {
			good++
			continue
		}
		observed, _ := json.Marshal(reading.Observation)
		t.Errorf("%s %q\n  %s\n  %s", c.ID, c.Text, strings.Join(wrong, "\n  "), observed)
	}
	t.Logf("%s: %d of %d as they should be", file, good, len(cases))
}

func TestPublishedScenariosOfSafety(t *testing.T) { runSafety(t, "scenarios.jsonl", true) }

func TestDangerousMessagesAreStoppedOrAskedAbout(t *testing.T) {
	runSafety(t, "dangerous.jsonl", true)
	runSafety(t, "dangerous2.jsonl", true)
	runSafety(t, "dangerous3.jsonl", true)
	runSafety(t, "dangerous4.jsonl", true)
}

func TestOrdinaryWorkIsNotRefused(t *testing.T) {
	runSafety(t, "ordinary.jsonl", true)
	runSafety(t, "ordinary2.jsonl", true)
	runSafety(t, "ordinary3.jsonl", true)
	runSafety(t, "ordinary4.jsonl", true)
}

func TestEveryHazardIsNamed(t *testing.T) { runSafety(t, "warnings.jsonl", false) }
