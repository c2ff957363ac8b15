package conversation

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"rodcall/bot/reply"
	"rodcall/engine"
	"rodcall/engine/observation"
)

// smallEngine knows four parts, one magnet, one file and one question: enough to drive the conversation.
type smallEngine struct{ panicOn string }

var phrases = []struct {
	words string
	set   func(*observation.Observation)
}{
	{"magnet none", func(o *observation.Observation) { o.Magnet = "none" }},
	{"magnet: none", func(o *observation.Observation) { o.Magnet = "none" }},
	{"magnet: slight", func(o *observation.Observation) { o.Magnet = "slight" }},
	{"magnet: strong", func(o *observation.Observation) { o.Magnet = "strong" }},
	{"no magnet", func(o *observation.Observation) { o.Magnet = "none" }},
	{"slight pull", func(o *observation.Observation) { o.Magnet = "slight" }},
	{"magnet strong", func(o *observation.Observation) { o.Magnet = "strong" }},
	{"magnet yes", func(o *observation.Observation) { o.Magnet = "strong" }},
	{"file bites", func(o *observation.Observation) { o.File = "bites" }},
	{"file skates", func(o *observation.Observation) { o.File = "skates" }},
	{"jaw plate", func(o *observation.Observation) { o.Part = "jaw plate" }},
	{"adapter", func(o *observation.Observation) { o.Part = "tooth adapter" }},
	{"pump shaft", func(o *observation.Observation) { o.Part = "pump shaft" }},
	{"trailer frame", func(o *observation.Observation) { o.Part = "trailer frame" }},
	{"hoist hook", func(o *observation.Observation) { o.Part = "hoist hook" }},
	{"cracked", func(o *observation.Observation) { o.Job = "crack" }},
	{"worn", func(o *observation.Observation) { o.Job = "build-up" }},
	{"7018", func(o *observation.Observation) { o.Have = append(o.Have, "E7018") }},
	{"312", func(o *observation.Observation) { o.Have = append(o.Have, "E312") }},
	{"1-1/2 in thick", func(o *observation.Observation) { o.Size = &observation.Size{ThicknessMM: new(38.1)} }},
	{"load bearing", func(o *observation.Observation) { o.Service = []string{"load-bearing"} }},
}

func (e smallEngine) Read(text string) observation.Reading {
	if e.panicOn != "" && strings.Contains(text, e.panicOn) {
		panic("a fault of the reader")
	}
	text = strings.ToLower(text)
	r := observation.Reading{Spans: map[string]string{}}
	for _, p := range phrases {
		if strings.Contains(text, p.words) {
			p.set(&r.Observation)
		}
	}
	if r.Observation.Size != nil {
		r.Spans["size.thickness_mm"] = "1-1/2 in thick"
	}
	if strings.Contains(text, "bullnose") {
		r.Unread = []string{"bullnose"}
	}
	return r
}

func (smallEngine) Merge(a, b observation.Observation) observation.Observation {
	pick := func(x, y string) string {
		if y != "" {
			return y
		}
		return x
	}
	a.Magnet, a.File, a.Part, a.Job = pick(a.Magnet, b.Magnet), pick(a.File, b.File), pick(a.Part, b.Part), pick(a.Job, b.Job)
	a.Have = append(slices.Clone(a.Have), b.Have...)
	a.Service = append(slices.Clone(a.Service), b.Service...)
	if b.Size != nil {
		a.Size = b.Size
	}
	if b.Scene != nil {
		a.Scene = b.Scene
	}
	return a
}

func (smallEngine) Answer(o observation.Observation, caution, words string) (observation.Observation, string, string, bool) {
	if caution != "truck-frame" {
		return o, "", "", false
	}
	scene := func(use string) observation.Observation {
		o.Scene = &observation.Scene{Use: []string{use}}
		return o
	}
	listed := []string{"yard or field only", "road", "not sure"}
	if n, err := strconv.Atoi(words); err == nil && n >= 1 && n <= len(listed) {
		words = listed[n-1]
	}
	switch text := strings.ToLower(words); {
	case strings.Contains(text, "skip"):
		return o, "", "skips", true
	case strings.Contains(text, "not sure"):
		return o, "not sure", "keeps", true
	case strings.Contains(text, "yard"):
		return scene("off-road"), "yard or field only", "clears", true
	case strings.Contains(text, "road"):
		return scene("road"), "road", "keeps", true
	}
	return o, "", "", false
}

func (smallEngine) FamilyName(id string) (string, string) {
	text := strings.ReplaceAll(id, "-", " ")
	return text, text
}

func (smallEngine) Judge(o observation.Observation, answers []Answer) engine.Judgment {
	j := engine.Judgment{Observation: o, Fit: "good", Decision: "test-first", Engine: "small engine"}
	magnet := engine.NextTest{Test: "magnet", Minutes: 1, How: "grind a bright spot, small magnet on it",
		Outcomes: []engine.TestOutcome{{Seen: "hangs", Then: "steel"}, {Seen: "just drags", Then: "test on"}, {Seen: "nothing or just drags", Then: "file it"}, {Seen: "nothing", Then: "manganese"}}}
	file := engine.NextTest{Test: "file", Minutes: 1, How: "one push of a sharp file"}
	steel := []engine.Consumable{{Class: "E7018", Process: "SMAW", Role: "join", SuitsP: 0.9}}
	switch o.Magnet {
	case "none":
		j.Families = []engine.FamilyChance{{ID: "austenitic-manganese-steel", P: 0.97}, {ID: "austenitic-stainless", P: 0.03}}
		j.Decision, j.Consumables = "weld", []engine.Consumable{{Class: "E307", Process: "SMAW", Role: "join", SuitsP: 0.98}}
	case "strong":
		j.Families = []engine.FamilyChance{{ID: "cast-steel", P: 0.85}, {ID: "low-alloy-steel", P: 0.15}}
		j.Decision, j.Consumables, j.PreheatC = "weld", steel, &engine.Preheat{Min: 150, Max: 200}
	case "slight":
		j.Families = []engine.FamilyChance{{ID: "cast-steel", P: 0.5}, {ID: "austenitic-manganese-steel", P: 0.45}}
		j.NextTests = []engine.NextTest{magnet, file}
	default:
		j.Families = []engine.FamilyChance{{ID: "cast-steel", P: 0.3}, {ID: "gray-iron", P: 0.3}}
		j.NextTests = []engine.NextTest{magnet, file}
	}
	for i := range 12 {
		j.Procedure = append(j.Procedure, fmt.Sprintf("step number %d of the work", i+1))
	}
	smallStops(&j, answers)
	return j
}

func smallStops(j *engine.Judgment, answers []Answer) {
	kind := "refer"
	stop := func(c engine.Caution) {
		j.Decision, j.StopKind, j.StopReasons = "stop", &kind, []string{c.ID}
		j.Consumables, j.Procedure, j.PreheatC, j.NextTests = nil, nil, nil, nil
		j.Cautions = append(j.Cautions, c)
		j.ReferTo = "the maker"
	}
	switch j.Observation.Part {
	case "hoist hook":
		stop(engine.Caution{ID: "lifting-hook", Severity: "stop", Title: "A lifting hook is not built up", Text: "Take it out of service and tag it."})
	case "trailer frame":
		use := ""
		if j.Observation.Scene != nil {
			use = j.Observation.Scene.Use[0]
		}
		if use == "off-road" {
			return
		}
		stop(engine.Caution{ID: "truck-frame", Severity: "stop", Title: "Road frames: the maker only", Text: "Do not weld the frame of a road vehicle."})
		kept := slices.ContainsFunc(answers, func(a Answer) bool { return a.Caution == "truck-frame" && a.Effect == "keeps" })
		if use == "" && !kept {
			j.Question = &engine.Question{Caution: "truck-frame", Ask: "Does it run on a public road?", Answers: []string{"yard or field only", "road", "not sure"}}
		}
	}
}

// memory is a record in memory. It stores cases as JSON, as a real one does.
type memory struct {
	mu       sync.Mutex
	messages []Message
	turns    map[string]Turn
	cases    map[int64][]byte
	shown    map[string][]string
	failSave bool
	failTurn bool
}

func newMemory() *memory {
	return &memory{turns: map[string]Turn{}, cases: map[int64][]byte{}, shown: map[string][]string{}}
}

var errFull = errors.New("disk full")

func (r *memory) SaveMessage(_ context.Context, m Message) (bool, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.failSave {
		return false, errFull
	}
	if slices.ContainsFunc(r.messages, func(o Message) bool { return o.ID == m.ID }) {
		return false, nil
	}
	r.messages = append(r.messages, m)
	return true, nil
}

func (r *memory) Answered(_ context.Context, id string) (reply.Reply, bool, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	t, ok := r.turns[id]
	return t.Reply, ok, nil
}

func (r *memory) Pending(context.Context) ([]Message, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	var out []Message
	for _, m := range r.messages {
		if _, ok := r.turns[m.ID]; !ok {
			out = append(out, m)
		}
	}
	return out, nil
}

func (r *memory) OpenCase(_ context.Context, thread string) (Case, bool, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for n := int64(len(r.cases)); n > 0; n-- {
		var c Case
		if err := json.Unmarshal(r.cases[n], &c); err != nil {
			return Case{}, false, err
		}
		if c.Thread == thread {
			return c, !c.Closed, nil
		}
	}
	return Case{}, false, nil
}

func (r *memory) NewCase(_ context.Context, thread, author string, at time.Time) (Case, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	c := Case{Number: int64(len(r.cases)) + 1, Thread: thread, Author: author, Opened: at}
	text, err := json.Marshal(c)
	r.cases[c.Number] = text
	return c, err
}

func (r *memory) SaveTurn(_ context.Context, t Turn) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.failTurn {
		return errFull
	}
	if _, twice := r.turns[t.Message.ID]; twice {
		return errors.New("a second turn for one message")
	}
	r.turns[t.Message.ID] = t
	if t.Case.Number > 0 {
		text, err := json.Marshal(t.Case)
		if err != nil {
			return err
		}
		r.cases[t.Case.Number] = text
	}
	key := t.Message.Author + t.Message.At.Format("2006-01-02")
	r.shown[key] = append(r.shown[key], t.Shown...)
	return nil
}

func (r *memory) Shown(_ context.Context, author, day string) ([]string, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	return slices.Clone(r.shown[author+day]), nil
}
