package reader

import (
	"strings"

	"rodcall/engine/metal"
	"rodcall/engine/reader/token"
)

// metals turns the names of metals into claims, exclusions, or the piece that is joined on.
func (s *state) metals() {
	s.codes()
	for n := range s.items {
		it := &s.items[n]
		e := s.metalOf(it)
		if e == nil || s.marks[it.start]&markUsed != 0 || it.negator < 0 && s.marks[it.start]&(markOrdered|markHedged|markClaimOff) != 0 {
			if e != nil {
				s.mark(it.start, it.end, markHeard)
			}
			continue
		}
		s.name(it, e)
	}
}

// codes claims what stands in the message as a standard's code that the catalogue knows in another spelling:
// 42CrMo4, AR-400, 5456. A bare figure needs four digits.
func (s *state) codes() {
	for i, asked := 0, 0; i < len(s.tokens) && asked < mostCodes; {
		end := s.codeEnd(i)
		if end == i {
			i++
			continue
		}
		if it := s.itemOn(i); it != nil && s.has(it, kindMetal) != nil && it.end >= end {
			i = end
			continue
		}
		asked++
		if family, grade, ok := s.reader.metal(s.original(i, end)); ok {
			it := item{start: i, end: end, part: -1, negator: s.negatorBefore(i)}
			e := &entry{value: grade, negated: family}
			if grade == "" {
				e.value = family
			}
			if s.marks[i]&(markOrdered|markHedged|markClaimOff) != 0 {
				s.mark(i, end, markHeard)
			} else {
				s.name(&it, e)
			}
		}
		i = end
	}
}

// metalOf is the metal that an item names: in a structured field the id itself, in running text what people
// mean by the word.
func (s *state) metalOf(it *item) *entry {
	if it == nil || it.node == 0 {
		return nil
	}
	var found *entry
	for _, n := range s.entriesOf(it) {
		if e := &s.lexicon.entries[n]; e.kind == kindMetal {
			if found == nil || e.id == (s.field[it.start] != keyNone) {
				found = e
			}
		}
	}
	return found
}

// negatorBefore is the item of a negation right before a token, -1 when there is none.
func (s *state) negatorBefore(i int) int {
	if i > 0 && s.sameClause(i-1, i) && s.has(s.itemOn(i-1), kindNegator) != nil {
		return int(s.itemAt[i-1])
	}
	return -1
}

// mostCodes bounds how many codes of one message the catalogue is asked for.
const mostCodes = 40

// longestCode bounds a code, in tokens.
const longestCode = 8

// codeEnd is the end of a run of letters and figures without spaces that nobody has read; i when there is none.
func (s *state) codeEnd(i int) int {
	digits, letters, end := false, false, i
	for end < len(s.tokens) && end < i+longestCode {
		t := &s.tokens[end]
		if t.Kind != token.Word && t.Kind != token.Number || s.marks[end]&(markUsed|markHeard) != 0 || end > i && !t.Has(token.Glued) {
			break
		}
		digits, letters = digits || t.Kind == token.Number, letters || t.Kind == token.Word
		end++
	}
	bare := &s.tokens[i]
	fourDigits := end == i+1 && digits && bare.Value >= 1000 && bare.Value < 10000 && len(bare.Text) == 4
	if !digits || !letters && !fourDigits || end < len(s.tokens) && s.tokens[end].Kind == token.Unit {
		return i
	}
	return end
}

// name settles a named metal.
func (s *state) name(it *item, e *entry) {
	switch {
	case s.field[it.start] == keyExcluded:
		s.exclude(it, e, it.start)
	case s.field[it.start] == keyJoinedTo:
		s.joined(it, e, it.start)
	case s.voidAfter(it), s.field[it.start] != keyNone && s.field[it.start] != keyClaim:
		s.mark(it.start, it.end, markHeard)
	case s.marks[it.start]&markAsked != 0:
		s.mark(it.start, it.end, markHeard)
	case s.oddsBefore(it):
		s.leave(it.start-2, it.end, "")
	case it.negator >= 0 && s.cleanBefore(s.items[it.negator].end, it.start):
		s.exclude(it, e, s.items[it.negator].start)
	case it.negator >= 0:
		s.mark(it.start, it.end, markHeard)
	default:
		if j := s.joiner(it); j >= 0 {
			s.joined(it, e, j)
			return
		}
		s.claim(it, e)
	}
}

// voidAfter reports whether the metal belongs to a thing that is not the part: a rod, dust, a brush.
func (s *state) voidAfter(it *item) bool {
	for i := it.end; i < len(s.tokens) && i < it.end+2 && s.sameClause(i, it.start); i++ {
		if e := s.has(s.itemOn(i), kindVoid); e != nil && e.value == "" {
			return true
		}
	}
	if i := it.start - 1; i >= 0 && s.sameClause(i, it.start) {
		if e := s.has(s.itemOn(i), kindVoid); e != nil && e.value == "before" {
			return true
		}
	}
	return s.standsBeside(it)
}

// standsBeside reports whether a metal or part is of a thing that only stands near the job: "aluminium gutter
// nearby", "iron gate behind it".
func (s *state) standsBeside(it *item) bool {
	for i := it.end; i < len(s.tokens) && i < it.end+2 && s.sameClause(i, it.start); i++ {
		if e := s.has(s.itemOn(i), kindVoid); e != nil && e.value == "place" {
			return true
		}
	}
	return false
}

// oddsBefore reports whether somebody gives odds: "40% cast steel" claims nothing.
func (s *state) oddsBefore(it *item) bool {
	return it.start >= 2 && s.tokens[it.start-1].Text == "%" && s.tokens[it.start-2].Kind == token.Number
}

// exclude notes that the metal is not of a family. That it is not one grade says nothing of the family.
func (s *state) exclude(it *item, e *entry, from int) {
	s.mark(it.start, it.end, markUsed)
	if e.value != "" && metal.FamilyIndex(e.value) < 0 {
		return
	}
	for _, id := range strings.Fields(e.negated) {
		s.add(fact{key: keyExcluded, value: id, start: it.start, end: it.end, from: from, to: it.end, guessed: it.guessed})
	}
}

func (s *state) joined(it *item, e *entry, from int) {
	s.mark(it.start, it.end, markUsed)
	s.add(fact{key: keyJoinedTo, value: firstWord(e.negated), start: it.start, end: it.end, from: from, to: it.end, guessed: it.guessed})
}

// joiner is where "onto" or "to" stands before a metal that the part is joined to; -1 when it is not. "to"
// alone joins only after a word of joining or another metal.
func (s *state) joiner(it *item) int {
	for i := it.start - 1; i >= max(0, it.start-4) && s.sameClause(i, it.start); i-- {
		other := s.itemOn(i)
		e := s.has(other, kindJoiner)
		if e == nil {
			continue
		}
		if e.value == "sure" || s.joinSpoken(other.start) {
			return other.start
		}
		return -1
	}
	return -1
}

// joins reports whether a job or process joins two pieces; what is put on a surface goes on the part itself.
func joins(word string) bool {
	return word != "hardface" && word != "build-up" && word != "overlay" && word != "grind" && word != "machining"
}

func (s *state) joinSpoken(before int) bool {
	for i := before - 1; i >= max(0, before-window); i-- {
		if !s.sameClause(i, before) {
			return false
		}
		it := s.itemOn(i)
		if it == nil {
			continue
		}
		if s.has(it, kindMetal) != nil {
			return true
		}
		if it.node != 0 {
			for _, e := range s.entriesOf(it) {
				if entry := &s.lexicon.entries[e]; (entry.key == keyProcess || entry.key == keyJob) && joins(entry.value) {
					return true
				}
			}
		}
	}
	return false
}

// claim notes what somebody says the metal is.
func (s *state) claim(it *item, e *entry) {
	by, from, to := "rep", it.start, it.end
	field := s.field[it.start] == keyClaim
	for i := it.start - 1; i >= max(0, it.start-window) && s.sameSentence(i, it.start) && !field; i-- {
		other := s.itemOn(i)
		if s.has(other, kindMetal) != nil {
			break // what stands before another metal speaks of that one
		}
		if said := s.has(other, kindBy); said != nil && (by == "rep" || said.value != "rep") {
			by, from = said.value, other.start
		}
	}
	for i := it.end; i < len(s.tokens) && i < it.end+3 && s.sameSentence(i, it.start) && by == "rep" && from == it.start; i++ {
		if s.tokens[i].Break >= token.Clause {
			break
		}
		if other := s.itemOn(i); s.has(other, kindBy) != nil {
			by, to = s.has(other, kindBy).value, other.end
			break
		}
	}
	if e.value == "" {
		s.mark(it.start, it.end, markHeard)
		return
	}
	s.mark(it.start, it.end, markUsed)
	s.add(fact{key: keyClaim, value: e.value, by: by, start: it.start, end: it.end, from: from, to: to, guessed: it.guessed})
}
