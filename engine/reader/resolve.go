package reader

import (
	"fmt"
	"strings"

	"rodcall/engine/reader/token"
)

// anchors notes for each token which test was named last before it in its sentence, and where rods at hand
// were spoken of.
func (s *state) anchors() {
	last, have := int32(-1), int32(-1)
	for i := range s.tokens {
		s.anchorPrev[i], s.havePrev[i] = last, have
		if b := s.tokens[i].Break; b == token.Sentence && s.has(s.itemOn(i+1), kindCorrector) == nil {
			last, have = -1, -1 // "sparks few. scratch that, lots" goes on
		}
		it := s.itemOn(i)
		if it == nil || it.start != i {
			continue
		}
		switch {
		case it.topic == topicHave:
			have = s.itemAt[i]
		case it.topic == topicBurst && last >= 0 && s.items[last].topic == topicSpark && s.gone(it):
			// what follows "no bursts" is told of the stream
		case it.topic == topicSpark && it.kind == kindPlace && last >= 0 && s.gone(&s.items[last]):
			// "no sparks off the wheel" still speaks of none
		case it.topic != topicNone && it.topic != topicOther:
			last = s.itemAt[i]
		}
	}
}

// resolve settles the phrases that give values, from left to right.
func (s *state) resolve() {
	clean, clause := true, int32(-1)
	for n := range s.items {
		it := &s.items[n]
		if c := s.clause[it.start]; c != clause {
			clean, clause = s.cleanBefore(s.clauses[c].start, it.start), c
		} else if n > 0 {
			clean = clean && s.cleanBefore(s.items[n-1].end, it.start)
		}
		if !s.resolveItem(n, clean) && it.kind == kindPart {
			clean = false
		}
	}
}

// cleanBefore reports whether only small words stand between two tokens.
func (s *state) cleanBefore(i, j int) bool {
	for ; i < j; i++ {
		if !s.isStop(i) && s.marks[i]&(markUsed|markHeard) == 0 && s.has(s.itemOn(i), kindPlace) == nil && s.has(s.itemOn(i), kindTurn) == nil {
			return false
		}
	}
	return true
}

// resolveItem settles one phrase; it reports whether it had a meaning.
func (s *state) resolveItem(n int, clean bool) bool {
	it := &s.items[n]
	if it.kind == kindPart {
		s.markedPart(it)
		return false
	}
	if it.node == 0 || it.acts || s.marks[it.start]&markUsed != 0 {
		return it.kind == kindChatter || it.acts
	}
	best, score, tied := int32(-1), scoreNone, false
	for _, e := range s.entriesOf(it) {
		entry := &s.lexicon.entries[e]
		if entry.kind != kindWord && !(entry.kind == kindTopic && entry.key != keyNone) {
			continue
		}
		sc := s.score(entry, it, clean)
		sc = 2*sc + s.exact(entry, it)
		switch {
		case sc <= 1 || sc < score:
		case sc > score:
			best, score, tied = e, sc, false
		case !s.alike(best, e):
			if joint := s.both(best, e); joint {
				s.give(&s.lexicon.entries[e], it)
				continue
			}
			tied = true
		}
	}
	if best < 0 {
		return it.kind != kindWord || it.topic != topicNone
	}
	if tied {
		s.leave(it.start, it.end, "")
		return true
	}
	s.give(&s.lexicon.entries[best], it)
	return true
}

// markedPart reads the head mark that stands in a part's own name: "A2-70 bolt".
func (s *state) markedPart(it *item) {
	if it.tail == 0 || s.marks[it.start]&(markUsed|markHedged|markOrdered) != 0 {
		return
	}
	for _, n := range s.lexicon.at[it.tail] {
		if e := &s.lexicon.entries[n]; e.key == keyMarks && len(e.near) == 0 {
			s.add(fact{key: keyMarks, value: e.value, start: it.start, end: it.end, from: it.start, to: it.end})
			return
		}
	}
}

// exact is 1 when the topic that stands nearest is the one that a row wants, not only a part of it.
func (s *state) exact(e *entry, it *item) int {
	nearest := topicNone
	if a := s.anchorPrev[it.start]; a >= 0 {
		nearest = s.items[a].topic
	}
	if next := s.described(it); next != topicNone {
		nearest = next
	}
	for _, c := range e.near {
		if c.topic != topicNone && c.topic == nearest {
			return 1
		}
	}
	return 0
}

// alike reports whether two rows give the same value.
func (s *state) alike(a, b int32) bool {
	x, y := &s.lexicon.entries[a], &s.lexicon.entries[b]
	return x.key == y.key && x.value == y.value && x.negated == y.negated
}

// both reports whether two rows of one phrase hold together: "build up" is a job and a process.
func (s *state) both(a, b int32) bool {
	x, y := &s.lexicon.entries[a], &s.lexicon.entries[b]
	return x.key != y.key && !(keys[x.key].seen && keys[y.key].seen)
}

const haveReach = 24 // tokens

// measured reports whether a noun with a section has its figure and unit right before it.
func (s *state) measured(it *item) bool {
	return s.has(it, kindSection) != nil && it.start > 1 && s.tokens[it.start-2].Kind == token.Number && s.has(s.itemOn(it.start-1), kindUnit) != nil
}

// give turns a row into a fact, unless a doubt, question or order stands over it.
func (s *state) give(e *entry, it *item) {
	from, to := s.reasonSpan(e, it)
	over := s.marks[it.start]
	switch {
	case over&(markHedged|markOrdered) != 0, over&markAsked != 0 && keys[e.key].seen, over&markAsked != 0 && (e.key == keyHave || e.role == damage || e.role == symptom):
		s.mark(it.start, it.end, markHeard)
		return
	}
	value := e.value
	if e.role == damage && e.value == "patch" && s.measured(it) {
		return // "30 mm hole" is measured, not made
	}
	if it.negator >= 0 {
		if e.kind == kindTopic && (!s.cleanBefore(s.items[it.negator].end, it.start) || s.tokens[it.start-1].Text == "the") {
			return // "not the fork" speaks of another thing
		}
		value = e.negated
		from = min(from, s.items[it.negator].start)
		s.mark(s.items[it.negator].start, s.items[it.negator].end, markHeard)
	} else if e.weak != "" {
		if d := s.degree(it, e.kind == kindTopic); d >= 0 {
			value = e.weak
			from, to = min(from, s.items[d].start), max(to, s.items[d].end)
			s.mark(s.items[d].start, s.items[d].end, markUsed)
		}
	}
	s.mark(it.start, it.end, markUsed)
	switch value {
	case "-":
		return
	case "":
		if e.kind == kindWord {
			s.leave(from, to, "")
		}
		return
	}
	s.add(fact{key: s.settledKey(e.key, it), value: value, start: it.start, end: it.end, from: from, to: to, guessed: it.guessed})
}

// add notes a fact.
func (s *state) add(f fact) {
	if keys[f.key].topic == topicSpark || keys[f.key].topic == topicBurst {
		f.skin = s.onSkin(f.start)
	}
	s.facts = append(s.facts, f)
}

// reasonSpan is the words behind a value: the phrase and the name of its topic beside it.
func (s *state) reasonSpan(e *entry, it *item) (from, to int) {
	from, to = it.start, it.end
	t := keys[e.key].topic
	if t == topicNone || t == topicOther || e.kind == kindTopic || it.topic == t || s.field[it.start] != keyNone {
		return from, to
	}
	if a := s.anchorPrev[it.start]; a >= 0 && s.sameClause(s.items[a].start, it.start) && s.items[a].topic.suits(t) && it.start-s.items[a].end <= 3 {
		return s.items[a].start, to
	}
	for i := it.end; i < len(s.tokens) && i < it.end+3 && s.sameClause(i, it.start); i++ {
		if other := s.itemOn(i); other != nil && s.has(other, kindTopic) != nil && other.topic.suits(t) {
			return from, other.end
		}
	}
	return from, to
}

// degree is a "slightly" or "hardly" beside an item in its clause, -1 when there is none. Of a topic it stands
// right before its name: "hardly any sparks".
func (s *state) degree(it *item, beforeOnly bool) int {
	for i := it.start - 1; i >= max(0, it.start-4) && s.sameClause(i, it.start); i-- {
		if other := s.itemOn(i); s.has(other, kindDegree) != nil {
			return int(s.itemAt[i])
		} else if beforeOnly && !s.isStop(i) {
			break
		}
	}
	for i := it.end; i < len(s.tokens) && i < it.end+3 && s.sameClause(i, it.start) && !beforeOnly; i++ {
		if other := s.itemOn(i); s.has(other, kindDegree) != nil {
			return int(s.itemAt[i])
		}
	}
	return -1
}

// settledKey finds out which end of the stream a colour belongs to.
func (s *state) settledKey(k key, it *item) key {
	if k != keyColor {
		return k
	}
	switch s.field[it.start] {
	case keyColorNear:
		return keyColorNear
	case keyColorEnd:
		return keyColorEnd
	}
	switch s.place(it) {
	case "near":
		return keyColorNear
	case "end":
		return keyColorEnd
	}
	return keyColor
}

// place looks for "near the wheel" or "at the ends" beside a colour: first after it, then before it, no
// other phrase of a colour between.
func (s *state) place(it *item) string {
	for i := it.end; i < len(s.tokens) && i < it.end+5 && s.sameClause(i, it.start); i++ {
		if e := s.has(s.itemOn(i), kindPlace); e != nil && e.role == "spark" {
			return e.value
		}
		if s.colorAt(i) || s.tokens[i].Break == token.Weak || s.ofSomethingElse(i) {
			break
		}
	}
	for i := it.start - 1; i >= max(0, it.start-5) && s.sameClause(i, it.start); i-- {
		if e := s.has(s.itemOn(i), kindPlace); e != nil && e.role == "spark" {
			return e.value
		}
		if s.colorAt(i) {
			break
		}
	}
	return ""
}

// ofSomethingElse reports whether a phrase between a colour and a place has the place for itself: "forks at
// the end".
func (s *state) ofSomethingElse(i int) bool {
	it := s.itemOn(i)
	return it != nil && (it.topic == topicBurst || it.kind == kindWord && it.topic != topicNone && s.has(it, kindTopic) == nil)
}

func (s *state) colorAt(i int) bool {
	it := s.itemOn(i)
	if it == nil || it.node == 0 {
		return false
	}
	for _, e := range s.entriesOf(it) {
		if s.lexicon.entries[e].key == keyColor {
			return true
		}
	}
	return false
}

// onSkin reports whether the clause speaks of the outer skin.
func (s *state) onSkin(i int) bool {
	if f := s.field[i]; f == keySparkSkin || f != keyNone && strings.HasPrefix(s.fieldOf(i), skinPrefix) {
		return true
	} else if f != keyNone {
		return false
	}
	c := s.clauses[s.clause[i]]
	for j := max(c.start, i-skinReach); j < min(c.end, i+skinReach); j++ {
		if e := s.has(s.itemOn(j), kindPlace); e != nil && e.role == "layer" && e.value == "skin" {
			return true
		}
	}
	return false
}

const skinReach = 12 // tokens

// note keeps a sentence that says what was wrong with words that are left, and what to type instead.
func (s *state) note(format string, args ...any) {
	s.notes = append(s.notes, fmt.Sprintf(format, args...))
}

// leave lists a stretch as not understood.
func (s *state) leave(from, to int, name string) {
	s.mark(from, to, markUsed)
	s.left = append(s.left, unreadSpan{from, to, name})
}
