package reader

import (
	"strings"

	"rodcall/engine/reader/token"
)

// Values of a thing word: a spot is a place on the part that is named before it, stock is a part only behind a word
// that says which ("belly plate"), and from is where the part belongs, which names no part by itself ("mower").
const (
	spotThing  = "spot"
	stockThing = "stock"
	fromThing  = "from"
)

// compoundWords bounds how many words a compound has before its head, and modifierWords how many unknown words
// may part a known part from a head behind it ("winch mounting plate").
const (
	compoundWords = 4
	modifierWords = 2
)

// describes reports whether what ends at a token only describes a thing behind it: a wheel arm is no wheel, a
// gearbox ear still the gearbox.
func (s *state) describes(end int) bool {
	for i := end; i <= end+modifierWords && s.sameClause(end-1, i); i++ {
		e := s.names(s.itemOn(i), kindThing)
		if e != nil && e.value != fromThing && e.value != spotThing {
			return true
		}
		if e != nil && e.value == spotThing {
			continue // "auger end plate"
		}
		if _, part := s.partOf(s.itemOn(i)); !part && !s.modifier(i) {
			return false
		}
	}
	return false
}

// placeOn reports whether a part of one word is only a place on the thing that is named right before it: a handle
// socket is no socket of a spanner.
func (s *state) placeOn(it *item) bool {
	if it.end-it.start != 1 || it.start == 0 || !s.sameClause(it.start-1, it.start) {
		return false
	}
	place, before := s.names(it, kindThing), s.has(s.itemOn(it.start-1), kindThing)
	return place != nil && place.value == spotThing && before != nil
}

// modifier reports whether a word may stand in the name of a thing: it means nothing of its own, and is no form of
// a verb.
func (s *state) modifier(i int) bool {
	if i < 0 || s.tokens[i].Kind != token.Word || s.marks[i]&(markUsed|markHeard) != 0 || s.isStop(i) {
		return false
	}
	if it := s.itemOn(i); it != nil {
		e := s.has(it, kindThing)
		return e != nil && e.value == fromThing || it.kind == kindVoid // a brush in front of a bracket is no wire brush
	}
	text := s.tokens[i].Text
	return len(text) > 2 && !strings.HasSuffix(text, "ed")
}

// compoundStart is where the words that describe a thing begin.
func (s *state) compoundStart(start int) int {
	at := start
	for at > 0 && start-at < compoundWords && s.sameClause(at-1, start) {
		it := s.itemOn(at - 1)
		_, part := s.partOf(it)
		if !s.modifier(at-1) && (it == nil || !part && s.has(it, kindThing) == nil || s.marks[at-1]&markUsed != 0) {
			break
		}
		at--
	}
	return at
}

// thing takes the first compound with a known head before a token for the part, in its own words: "gate hinge". It
// reports whether there was one.
func (s *state) thing(out *Result, before int) bool {
	for n := range s.items {
		it := &s.items[n]
		if it.start >= before {
			return false
		}
		e := s.has(it, kindThing)
		if e == nil || e.value == spotThing || e.value == fromThing || it.negator >= 0 || s.marks[it.start]&(markOrdered|markHedged|markUsed) != 0 || s.deniedGuess(it) || s.comparedWith(it) {
			continue
		}
		end := it.end
		for s.sameClause(it.start, end) && s.has(s.itemOn(end), kindThing) != nil {
			end = s.itemOn(end).end
		}
		if s.sameClause(it.start, end) && s.goesOn(end) {
			continue // "lock ring": the lock is no head
		}
		start := s.compoundStart(it.start)
		if e.value == stockThing && start == it.start && end == it.end {
			continue
		}
		s.nameThing(out, start, end)
		return true
	}
	return false
}

// goesOn reports whether a name goes on at a token: a part or an unknown word stands there.
func (s *state) goesOn(i int) bool {
	_, part := s.partOf(s.itemOn(i))
	return part || s.modifier(i)
}

func (s *state) nameThing(out *Result, start, end int) {
	out.Observation.Part = s.original(start, end)
	out.Spans[keys[keyPart].name] = out.Observation.Part
	s.mark(start, end, markHeard)
}

// spotOf takes a place together with the words that say of what for the part, when nothing else names one:
// "stabiliser pad".
func (s *state) spotOf(out *Result) bool {
	for n := range s.items {
		it := &s.items[n]
		e := s.has(it, kindThing)
		if e == nil || e.value != spotThing || it.negator >= 0 || s.marks[it.start]&(markOrdered|markHedged|markUsed) != 0 || s.sameClause(it.start, it.end) && s.goesOn(it.end) {
			continue
		}
		if start := s.compoundStart(it.start); start < it.start && s.namesSomething(start, it.start) {
			s.nameThing(out, start, it.end)
			return true
		}
	}
	return false
}

// namesSomething reports whether some words are known and one of them is more than a place: "left side" names
// nothing, and an unknown word may be a metal.
func (s *state) namesSomething(from, to int) bool {
	more := false
	for i := from; i < to; i++ {
		if s.itemOn(i) == nil {
			return false
		}
		e := s.has(s.itemOn(i), kindThing)
		more = more || e == nil || e.value != spotThing
	}
	return more
}

// origins passes over where a part came from: behind "off the", "on my" the words that mean nothing here name a
// machine or a place.
func (s *state) origins() {
	for i := 0; i+2 < len(s.tokens); i++ {
		if !isOrigin(s.tokens[i].Text) || !isDeterminer(s.tokens[i+1].Text) {
			continue
		}
		for j := i + 2; j < i+2+compoundWords && j < len(s.tokens) && s.sameClause(i, j); j++ {
			if !s.modifier(j) {
				break
			}
			s.mark(j, j+1, markHeard)
		}
	}
}

func isOrigin(text string) bool {
	switch text {
	case "off", "from", "on", "of":
		return true
	}
	return false
}

func isDeterminer(text string) bool {
	switch text {
	case "the", "a", "an", "my", "our", "his", "her", "its", "their", "your", "this", "that", "old":
		return true
	}
	return false
}
