package scene_test

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/data"
	"rodcall/engine/metal"
	"rodcall/engine/observation"
	"rodcall/engine/reader/scene"
	"rodcall/engine/safety"
)

// scenario is one line of the published safety scenarios.
type scenario struct {
	ID        string   `json:"id"`
	Text      string   `json:"text"`
	Required  []string `json:"required"`
	Forbidden []string `json:"forbidden"`
	Stop      bool     `json:"stop"`
	StopKind  *string  `json:"stop_kind"`
	Question  string   `json:"question"`
	Why       string   `json:"why"`
}

func scenarios(t *testing.T, file string) []scenario {
	t.Helper()
	f, err := os.Open("../../../testdata/safety/" + file)
	require.NoError(t, err)
	defer f.Close()
	var out []scenario
	lines := bufio.NewScanner(f)
	for lines.Scan() {
		if strings.TrimSpace(lines.Text()) == "" {
			continue
		}
		var s scenario
		require.NoError(t, json.Unmarshal(lines.Bytes(), &s), lines.Text())
		out = append(out, s)
	}
	return out
}

// bench is scene and safety without the rest of the engine: the metal is what the message names, else
// a plain mix that is likelier than not steel, and a consumable is given unless only a test is asked.
type bench struct {
	scene *scene.Reader
	rules *safety.Rules
	parts []partName
}

type partName struct {
	words []string
	part  string
}

func newBench(t testing.TB) *bench {
	t.Helper()
	var faults data.Faults
	b := &bench{scene: scene.New(data.Files(), &faults), rules: safety.Load(data.Files(), &faults)}
	require.NoError(t, faults.Err())
	f, err := data.Files().Open("part_names.csv")
	require.NoError(t, err)
	defer f.Close()
	lines := bufio.NewScanner(f)
	seen := map[string]string{}
	for lines.Scan() {
		if strings.HasPrefix(lines.Text(), "#") || strings.HasPrefix(lines.Text(), "variant,") {
			continue
		}
		cells := strings.Split(lines.Text(), ",")
		if len(cells) < 2 || strings.Contains(lines.Text(), `"`) {
			continue
		}
		if _, again := seen[cells[0]]; again {
			continue
		}
		seen[cells[0]] = cells[1]
		b.parts = append(b.parts, partName{strings.Fields(cells[0]), cells[1]})
	}
	return b
}

// part is the part whose name is the longest in the text.
func (b *bench) part(text string) []string {
	words := strings.FieldsFunc(strings.ToLower(text), func(c rune) bool { return !(c >= 'a' && c <= 'z' || c >= '0' && c <= '9') })
	best, part := 0, ""
	for _, p := range b.parts {
		for i := 0; i+len(p.words) <= len(words); i++ {
			if len(p.words) > best && slices.EqualFunc(words[i:i+len(p.words)], p.words, func(a, n string) bool { return strings.TrimSuffix(a, "s") == strings.TrimSuffix(n, "s") }) {
				best, part = len(p.words), p.part
			}
		}
	}
	if best == 0 {
		return nil
	}
	return []string{part}
}

// metals are the words of the sample messages that name a metal, for want of the reader.
var metals = []struct{ word, family string }{
	{"beryllium copper", "beryllium-copper"}, {"aluminium", "aluminum"}, {"manganese", "austenitic-manganese-steel"}, {"non-magnetic", "austenitic-manganese-steel"},
	{"304", "austenitic-stainless"}, {"stainless", "austenitic-stainless"}, {"1045", "medium-carbon-steel"}, {"4140", "low-alloy-steel"},
	{"42crmo4", "low-alloy-steel"}, {"babbitt", "tin-babbitt"}, {"white metal", "tin-babbitt"}, {"bronze", "bronze"}, {"d2", "tool-steel"}, {"race", "tool-steel"},
	{"cast iron", "gray-iron"}, {"casting", "gray-iron"}, {"gray iron", "gray-iron"}, {"magnesium", "magnesium"}, {"brass", "brass"}, {"316", "austenitic-stainless"}, {"titanium", "titanium"}, {"carbide tip", "tungsten-carbide"}, {"lead", "lead"}, {"carbide overlay", "high-chromium-iron"}, {"copper pipe", "copper"},
}

func (b *bench) judge(text string) (scene.Found, safety.Verdict) {
	found := b.scene.Read(text, b.part(text)...)
	o := observation.Observation{Scene: &found.Scene, Process: found.Process, Test: found.Test, Service: found.Service}
	shares := []metal.Share{{ID: "low-carbon-steel", P: 0.4}, {ID: "medium-carbon-steel", P: 0.25}, {ID: "cast-steel", P: 0.2}, {ID: "gray-iron", P: 0.09}, {ID: "low-alloy-steel", P: 0.06}}
	for _, m := range metals {
		if strings.Contains(strings.ToLower(text), m.word) {
			o.Claim = append(o.Claim, observation.Claim{Metal: m.family, By: "rep"})
			shares = []metal.Share{{ID: m.family, P: 0.8}, {ID: "low-carbon-steel", P: 0.2}}
		}
	}
	v := b.rules.Judge(safety.Scene{Observation: &o, Families: shares, FitGood: true, Consumable: true, Proposed: []string{"magnet"}, Country: "us"})
	return found, v
}

// failures lists where a verdict differs from a scenario.
func failures(s scenario, v safety.Verdict) []string {
	var out []string
	have := slices.Clone(v.Reasons)
	for _, c := range v.Warns {
		have = append(have, c.ID)
	}
	for _, c := range v.Notes {
		have = append(have, c.ID)
	}
	for _, id := range s.Required {
		if !slices.Contains(have, id) {
			out = append(out, "misses "+id)
		}
	}
	for _, id := range s.Forbidden {
		if slices.Contains(have, id) {
			out = append(out, "has "+id)
		}
	}
	if s.Stop != (len(v.Stops) > 0) {
		out = append(out, fmt.Sprintf("stop %v, reasons %v", len(v.Stops) > 0, v.Reasons))
	}
	if s.StopKind != nil && *s.StopKind != v.StopKind {
		out = append(out, fmt.Sprintf("kind %q, want %q, reasons %v", v.StopKind, *s.StopKind, v.Reasons))
	}
	question := ""
	if v.Question != nil {
		question = v.Question.Caution
	}
	if s.Question != "" && question != s.Question {
		out = append(out, fmt.Sprintf("asks %q, want %q, reasons %v", question, s.Question, v.Reasons))
	}
	return out
}

func runScenarios(t *testing.T, file string) {
	b := newBench(t)
	bad := 0
	all := scenarios(t, file)
	for _, s := range all {
		found, v := b.judge(s.Text)
		if f := failures(s, v); len(f) > 0 {
			bad++
			t.Errorf("%s %q\n  %s\n  scene %+v process %v test %v service %v", s.ID, s.Text, strings.Join(f, "\n  "), found.Scene, found.Process, found.Test, found.Service)
		}
	}
	t.Logf("%s: %d of %d as wanted", file, len(all)-bad, len(all))
}

func TestPublishedSafetyScenariosAreJudgedAsTheyShould(t *testing.T) {
	runScenarios(t, "scenarios.jsonl")
}

func TestDangerousMessagesStopOrAsk(t *testing.T) { runScenarios(t, "dangerous.jsonl") }

func TestOrdinaryWorkIsNotRefused(t *testing.T) { runScenarios(t, "ordinary.jsonl") }

// TestEveryHazardIsRecognisedByItsWords looks only at what must be warned of, whether or not the job stops.
func TestEveryHazardIsRecognisedByItsWords(t *testing.T) {
	b := newBench(t)
	for _, s := range scenarios(t, "warnings.jsonl") {
		found, v := b.judge(s.Text)
		have := slices.Clone(v.Reasons)
		for _, c := range append(slices.Clone(v.Warns), v.Notes...) {
			have = append(have, c.ID)
		}
		for _, id := range s.Required {
			if !slices.Contains(have, id) {
				t.Errorf("%s %q misses %s\n  stops %v scene %+v process %v test %v service %v", s.ID, s.Text, id, v.Reasons, found.Scene, found.Process, found.Test, found.Service)
			}
		}
	}
}
