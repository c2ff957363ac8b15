package engine

import (
	"encoding/json"
	"slices"
	"strings"

	"rodcall/engine/observation"
	"rodcall/engine/reader/cost"
	"rodcall/engine/reader/scene"
	"rodcall/engine/reader/token"
	"rodcall/engine/safety"
)

// Read says what a message reports: the facts of the metal and the job, and the scene around it. What
// neither reading understood stands in Unread.
func (e *Engine) Read(text string) observation.Reading {
	text = withoutMentions(text)
	facts := e.reader.Result(text)
	named := make([]scene.Part, 0, len(facts.Parts))
	for _, p := range facts.Parts {
		if p.Name != "" {
			named = append(named, scene.Part{Name: p.Name, Start: p.Start, End: p.End})
		}
	}
	around := e.scene.ReadTokens(token.Scan(text, nil), named)
	out := facts.Reading
	o := &out.Observation
	if !empty(around.Scene) {
		o.Scene = joinScenes(o.Scene, &around.Scene)
	}
	o.Process = join(o.Process, around.Process)
	o.Test = join(o.Test, around.Test)
	o.Service = join(o.Service, around.Service)
	for _, s := range around.Spans {
		if out.Spans == nil {
			out.Spans = map[string]string{}
		}
		if _, ok := out.Spans[s.Key]; !ok {
			out.Spans[s.Key] = text[s.Start:s.End]
		}
	}
	understood := around.Words
	money := cost.Read(text)
	if money.Cost != nil {
		o.Cost = money.Cost
		understood = append(slices.Clip(understood), money.Spans...)
		if out.Spans == nil {
			out.Spans = map[string]string{}
		}
		words := make([]string, len(money.Spans))
		for i, s := range money.Spans {
			words[i] = text[s.Start:s.End]
		}
		out.Spans["cost"] = strings.Join(words, ", ")
	}
	out.Unread = leftover(facts.Unread, facts.Left, understood)
	return out
}

// Parse reads an observation as the contract writes it. Every unknown key, unknown word and impossible
// figure is named in one error, with the nearest known words.
func (e *Engine) Parse(raw json.RawMessage) (observation.Observation, error) {
	v := observation.Vocabulary{
		Tags:    e.rules.Tags(),
		IsGrade: func(id string) bool { _, ok := e.cat.Grade(id); return ok },
		IsClass: func(name string) bool { _, ok := e.book.Class(name); return ok },
	}
	return v.Parse(raw)
}

// Complete readies an observation that came as values, not as a message: words are mapped by the reader's
// vocabulary, and the safety tags of the part are found by its name. It returns the words that it could not map.
func (e *Engine) Complete(o observation.Observation) (observation.Observation, []string) {
	o, unread := e.reader.Normalise(o)
	if o.Part == "" {
		return o, unread
	}
	var named []scene.Part
	for _, match := range e.cat.MatchPart(o.Part) {
		if match.P > 0.99 {
			named = append(named, scene.Part{Name: match.Part.Name, End: len(o.Part)})
		}
	}
	around := e.scene.ReadTokens(token.Scan(o.Part, nil), named)
	if !empty(around.Scene) {
		o.Scene = joinScenes(o.Scene, &around.Scene)
	}
	return o, unread
}

// leftover drops what the reading of the scene understood.
func leftover(unread []string, left, understood []token.Span) []string {
	out := unread[:0:0]
	for i, words := range unread {
		if i < len(left) && covered(left[i], understood) {
			continue
		}
		out = append(out, words)
	}
	return out
}

func covered(s token.Span, by []token.Span) bool {
	return s.End > s.Start && slices.ContainsFunc(by, func(b token.Span) bool { return b.Start <= s.Start && s.End <= b.End })
}

// join adds the words that are not there yet.
func join(a, b []string) []string {
	for _, word := range b {
		if !slices.Contains(a, word) {
			a = append(a, word)
		}
	}
	return a
}

func joinScenes(a, b *observation.Scene) *observation.Scene {
	if a == nil {
		return b
	}
	return &observation.Scene{Site: join(a.Site, b.Site), Where: join(a.Where, b.Where), Use: join(a.Use, b.Use), Coating: join(a.Coating, b.Coating),
		Enclosure: join(a.Enclosure, b.Enclosure), Residue: join(a.Residue, b.Residue), State: join(a.State, b.State),
		Person: join(a.Person, b.Person), Temp: join(a.Temp, b.Temp), Part: join(a.Part, b.Part), Ask: join(a.Ask, b.Ask)}
}

func empty(s observation.Scene) bool {
	return len(s.Site)+len(s.Where)+len(s.Use)+len(s.Coating)+len(s.Enclosure)+len(s.Residue)+len(s.State)+len(s.Person)+len(s.Temp)+
		len(s.Part)+len(s.Ask) == 0
}

// Merge adds later facts to earlier ones, later words winning key by key.
func (e *Engine) Merge(earlier, later observation.Observation) observation.Observation {
	return observation.Merge(earlier, later)
}

// Answer finds which answer to a caution's question words mean; ok is false when they mean none of them.
func (e *Engine) Answer(caution, words string) (safety.Answer, bool) {
	return e.rules.Answer(caution, words)
}
