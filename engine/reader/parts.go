package reader

import (
	"strings"

	"rodcall/engine/metal"
	"rodcall/engine/reader/token"
)

// sure is the chance from which on a name means one part of several; likely is that of a name that means one
// part only, unless a word before it makes another thing of it ("chipper rotor" is no brake disc).
const (
	sure   = 0.75
	likely = 0.65
)

// catalogueParts finds parts by the catalogue's names.
func catalogueParts(cat *metal.Catalogue) partFinder {
	return func(text string, into []foundPart) []foundPart {
		for _, span := range cat.FindParts(text) {
			f := foundPart{start: span.Start, end: span.End}
			if n := len(span.Matches); n == 1 && span.Matches[0].P >= likely || n > 1 && span.Matches[0].P >= sure {
				f.name = span.Matches[0].Part.Name
			}
			into = append(into, f)
		}
		return into
	}
}

// partFact settles the part: the words of the structured field, else the first part that the message names
// and that is no known piece of a comparison, not negated and not only asked about.
func (s *state) partFact(out *Result) {
	field := -1
	for n := range s.fields {
		if s.fields[n].key == keyPart {
			field = n
		}
	}
	chosen := -1
	for n := range s.items {
		it := &s.items[n]
		name, ok := s.partOf(it)
		if !ok {
			continue
		}
		off := s.marks[it.start]&(markOrdered|markHedged|markUsed) != 0 || it.negator >= 0 || s.standsBeside(it) || s.deniedGuess(it) || s.comparedWith(it)
		if !off {
			out.Parts = append(out.Parts, Part{Span: token.Span{Start: s.tokens[it.start].Start, End: s.tokens[it.end-1].End}, Name: name})
		}
		if chosen < 0 && !off && !s.describes(it.end) && (field < 0 || s.field[it.start] == keyPart) {
			chosen = n
		}
		s.mark(it.start, it.end, markHeard)
	}
	switch {
	case field < 0 && chosen >= 0 && s.thing(out, s.items[chosen].start):
		// "handle of the gate valve"
	case field < 0 && chosen >= 0 && s.placeOn(&s.items[chosen]):
		it := &s.items[chosen]
		s.nameThing(out, s.compoundStart(it.start), it.end)
	case chosen >= 0:
		it := &s.items[chosen]
		s.putPart(out, it.start, it.end)
	case field < 0 && (s.thing(out, len(s.tokens)) || s.spotOf(out)):
	case field >= 0 && s.fields[field].to > s.fields[field].from:
		f := s.fields[field]
		s.putPart(out, f.from, f.to)
		s.leave(f.from, f.to, f.name)
	}
	s.origins()
	s.markFields(out)
}

// comparedWith reports whether a part is only what something is compared with: "weaker than on my wrench".
func (s *state) comparedWith(it *item) bool {
	for i := it.start - 1; i >= max(0, it.start-4) && s.sameClause(i, it.start); i-- {
		if s.tokens[i].Text == "than" {
			return true
		}
		if !s.isStop(i) {
			return false
		}
	}
	return false
}

// deniedGuess reports whether a part is all of its clause, and the next clause denies it: "drill shank? no the
// flutes", "step on the... nah the mudguard stay".
func (s *state) deniedGuess(it *item) bool {
	c := s.clauses[s.clause[it.start]]
	if !s.onlyThings(c.start, it.start) || !s.onlyThings(it.end, c.end) {
		return false
	}
	i := c.end
	for i < len(s.tokens) && s.tokens[i].Kind == token.Mark {
		i++
	}
	next := s.itemOn(i)
	if s.has(next, kindNegator) == nil && s.has(next, kindCorrector) == nil {
		return false
	}
	for s.has(s.itemOn(next.end), kindCorrector) != nil {
		next = s.itemOn(next.end) // "nah sorry its the"
	}
	return c.asked || next.end < len(s.tokens) && isDeterminer(s.tokens[next.end].Text) || isDeterminer(s.tokens[next.end-1].Text)
}

// onlyThings reports whether only small words and names of things stand between two tokens.
func (s *state) onlyThings(i, j int) bool {
	for ; i < j; i++ {
		if e := s.has(s.itemOn(i), kindWord); e != nil && e.key == keyJob {
			return false // what broke is no guess
		}
		if _, part := s.partOf(s.itemOn(i)); !part && !s.isStop(i) && s.marks[i]&markHeard == 0 && s.has(s.itemOn(i), kindThing) == nil && !s.modifier(i) {
			return false
		}
	}
	return true
}

// partOf is the part that an item names; the name is empty when it may mean several.
func (s *state) partOf(it *item) (name string, ok bool) {
	if it == nil {
		return "", false
	}
	if it.part >= 0 {
		return s.parts[it.part].name, true
	}
	if e := s.has(it, kindPart); e != nil {
		return e.value, true
	}
	return "", false
}

func (s *state) putPart(out *Result, from, to int) {
	words := s.original(from, to)
	out.Observation.Part = words
	if name, ok := s.partOf(s.itemOn(from)); ok && name != "" {
		out.Observation.Part = name
	}
	out.Spans[keys[keyPart].name] = words
}

// markFields keeps the words of marks:"…" that the vocabulary does not know, and lists them.
func (s *state) markFields(out *Result) {
	for n := range s.fields {
		f := &s.fields[n]
		if f.key != keyMarks {
			continue
		}
		known := false
		for i := range s.facts {
			known = known || s.facts[i].key == keyMarks && s.facts[i].start >= f.from && s.facts[i].end <= f.to
		}
		if known || f.to <= f.from {
			continue
		}
		words := strings.TrimSpace(s.original(f.from, f.to))
		out.Observation.Marks = append(out.Observation.Marks, words)
		out.Spans[keys[keyMarks].name] = words
		s.leave(f.from, f.to, f.name)
	}
}
