package reader

import (
	"fmt"
	"slices"
	"strings"

	"rodcall/engine/reader/token"
)

// How well the company of a phrase settles its meaning.
const (
	scoreNone   = 0
	scoreAlone  = 1 // the phrase needs no company
	scoreCarry  = 2 // goes on with the topic of the clause before
	scoreBefore = 3 // the topic stands before it in its clause, or a wanted word stands near
	scoreAfter  = 4 // the topic follows at once ("few bursts")
	scoreField  = 5 // it is the value of a structured key
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

// score says how well the company of an item settles a row.
func (s *state) score(e *entry, it *item, clean bool) int {
	field := s.field[it.start]
	for _, c := range e.notNear {
		if s.nearby(c, it) && !s.absent(c.topic, it) && !s.ownTopic(e, c, it) || c.topic != topicNone && field == keyNone && s.spokenOf(c.topic, it) {
			return scoreNone
		}
	}
	if field != keyNone {
		return s.scoreInField(e, field)
	}
	if len(e.near) == 0 {
		return scoreAlone
	}
	best := scoreNone
	for _, c := range e.near {
		switch {
		case c.field != keyNone:
		case c.alone:
			if s.allOfClause(it) {
				best = max(best, scoreAlone)
			}
		case c.topic == topicHave:
			best = max(best, s.scoreHave(it))
		case c.topic != topicNone:
			best = max(best, s.scoreTopic(c.topic, it, clean))
		case s.nearby(c, it):
			best = max(best, scoreBefore)
		}
	}
	return best
}

// ownTopic reports whether the topic that a row wants was the last to be named in the clause, so that another
// one takes nothing of it: "magnet strong file bites".
func (s *state) ownTopic(e *entry, not company, it *item) bool {
	a := s.anchorPrev[it.start]
	if not.topic == topicNone || a < 0 || !s.sameClause(s.items[a].start, it.start) || s.items[a].topic.suits(not.topic) {
		return false
	}
	wants := func(c company) bool { return c.topic != topicNone && s.items[a].topic.suits(c.topic) }
	return slices.ContainsFunc(e.near, wants)
}

// absent reports whether sparks, the last that was spoken of, are told not to be there: "no spark silvery" is of
// the metal.
func (s *state) absent(t topic, it *item) bool {
	a := s.anchorPrev[it.start]
	return t == topicSpark && a >= 0 && s.items[a].topic.suits(t) && s.gone(&s.items[a])
}

// gone reports whether a topic is told not to be there: "no sparks", "without bursts".
func (s *state) gone(it *item) bool {
	if it.negator >= 0 {
		return true
	}
	for _, e := range s.entriesOf(it) {
		if k := s.lexicon.entries[e].key; (k == keyVolume || k == keyBursts) && s.lexicon.entries[e].value == "none" && len(s.lexicon.entries[e].near) == 0 {
			return true
		}
	}
	return false
}

// allOfClause reports whether an item stands in its clause with small words only, as one of several facts: "no
// sparks, quite heavy, rings". A message of that word alone says nothing.
func (s *state) allOfClause(it *item) bool {
	c := s.clauses[s.clause[it.start]]
	if c.start == 0 && c.end == len(s.tokens) {
		return false
	}
	for i := c.start; i < c.end; i++ {
		if (i < it.start || i >= it.end) && !s.isStop(i) {
			return false
		}
	}
	return true
}

// spokenOf reports whether a topic is the last that was named in the sentence, shortly before an item:
// "melted a corner, no sparks". Sparks that are not there have no colour: "no sparks, silver white".
func (s *state) spokenOf(t topic, it *item) bool {
	a := s.anchorPrev[it.start]
	return a >= 0 && s.items[a].topic.suits(t) && it.start-s.items[a].end <= window && !s.gone(&s.items[a])
}

// scoreInField keeps a structured value to its key: magnet:… gives magnet values only.
func (s *state) scoreInField(e *entry, field key) int {
	if e.key == field || keys[e.key].topic == topicSpark || keys[e.key].topic == topicBurst {
		if e.key == field || field == keySpark || field == keySparkSkin || field == keyColorNear && e.key == keyColor || field == keyColorEnd && e.key == keyColor {
			return scoreField
		}
	}
	if keys[field].seen || closedLists[field] != nil {
		return scoreNone
	}
	if len(e.near) == 0 {
		return scoreAlone
	}
	return scoreNone
}

// window is how far a wanted or unwanted word may stand from its phrase, in tokens.
const window = 7

// nearby reports whether a company stands in the clause of an item within the window.
func (s *state) nearby(c company, it *item) bool {
	for i := max(0, it.start-window); i < min(len(s.tokens), it.end+window); i++ {
		if i >= it.start && i < it.end || !s.sameClause(i, it.start) {
			continue
		}
		if c.word != 0 && s.words[i] == c.word {
			return true
		}
		if other := s.itemOn(i); c.topic != topicNone && other != nil && other.topic.suits(c.topic) {
			return true
		}
	}
	return false
}

// scoreTopic looks for a topic at once after an item, before it in the clause, or carried over from the
// clause before when the clause so far goes on with the list.
func (s *state) scoreTopic(t topic, it *item, clean bool) int {
	if s.topicFollows(t, it) {
		return scoreAfter
	}
	a := s.anchorPrev[it.start]
	if a < 0 || !s.items[a].topic.suits(t) {
		if s.topicLater(t, it) && (a < 0 || !s.sameClause(s.items[a].start, it.start)) {
			return scoreCarry
		}
		return scoreNone
	}
	if s.sameClause(s.items[a].start, it.start) {
		if s.measuresOther(t, a, it) {
			return scoreNone
		}
		return scoreBefore
	}
	if clean && s.chain(s.items[a].start, it.start) && !s.nounFollows(it) {
		return scoreCarry
	}
	return scoreNone
}

// topicFollows reports whether an item describes the topic that follows it.
func (s *state) topicFollows(t topic, it *item) bool { return s.described(it).suits(t) }

// described is the topic that the next phrase after an item names, only small words and other describing
// words between: "moderate forked bursts".
func (s *state) described(it *item) topic {
	if !it.looked {
		it.looked, it.next, it.later = true, s.lookNext(it), s.lookLater(it)
	}
	return it.next
}

func (s *state) lookNext(it *item) topic {
	for i := it.end; i < len(s.tokens) && i < it.end+6 && s.sameClause(i, it.start); i++ {
		other := s.itemOn(i)
		if other == nil {
			if s.isStop(i) {
				continue
			}
			return topicNone
		}
		if other.topic != topicNone && other.topic != topicOther {
			if s.has(other, kindTopic) != nil {
				return other.topic
			}
			return topicNone
		}
		if other.kind != kindWord && other.kind != kindDegree && other.kind != kindTurn && other.kind != kindFiller {
			return topicNone
		}
	}
	return topicNone
}

// topicLater reports whether the clause names the topic further on, before any other test.
func (s *state) topicLater(t topic, it *item) bool {
	s.described(it)
	return it.later.suits(t)
}

func (s *state) lookLater(it *item) topic {
	for i := it.end; i < len(s.tokens) && i < it.end+window+3 && s.sameClause(i, it.start); i++ {
		if other := s.itemOn(i); other != nil && other.topic != topicNone && other.topic != topicOther {
			return other.topic
		}
	}
	return topicNone
}

// chain reports whether the clauses between two tokens only go on with a list: every phrase in them has its
// meaning and no part, job or other thing stands between.
func (s *state) chain(from, to int) bool {
	first, last := int(s.clause[from])+1, int(s.clause[to])
	if last-first > chainReach {
		return false
	}
	for c := first; c < last; c++ {
		span := s.clauses[c]
		for i := span.start; i < span.end; i++ {
			if !s.isStop(i) && s.marks[i]&(markUsed|markHeard) == 0 {
				return false
			}
			if it := s.itemOn(i); it != nil && (it.kind == kindPart || it.topic == topicOther && s.has(it, kindMeasure) == nil) {
				return false
			}
		}
		if span.end-span.start > chainClause {
			return false
		}
	}
	return true
}

// How far a list of describing words is followed: clauses, and tokens a clause.
const (
	chainReach  = 6
	chainClause = 12
)

// nounFollows reports whether a describing word goes with something of its own: "long crack", "red paint".
func (s *state) nounFollows(it *item) bool {
	i := it.end
	if i >= len(s.tokens) || !s.sameClause(i, it.start) || s.isStop(i) {
		return false
	}
	other := s.itemOn(i)
	return other == nil || other.kind == kindPart || other.topic == topicOther
}

// measuresOther reports whether a word of degree behind an "and" goes with something of its own: "magnet strong
// and a bit of red rust".
func (s *state) measuresOther(t topic, anchor int32, it *item) bool {
	if s.has(it, kindDegree) == nil && s.has(it, kindChatter) == nil || !s.weakBetween(s.items[anchor].end, it.start) {
		return false
	}
	for i := it.end; i < len(s.tokens) && i < it.end+3 && s.sameClause(i, it.start); i++ {
		switch other := s.itemOn(i); {
		case s.isStop(i) && (other == nil || other.kind == kindChatter):
		case other == nil:
			return true
		case other.topic != topicNone:
			return !other.topic.suits(t)
		case other.kind == kindWord:
			return !slices.ContainsFunc(s.entriesOf(other), func(e int32) bool { return keys[s.lexicon.entries[e].key].topic.suits(t) })
		default:
			return true
		}
	}
	return false
}

// scoreHave looks for talk of rods at hand before the item in its clause or list, or just after it.
func (s *state) scoreHave(it *item) int {
	for i := it.end; i < len(s.tokens) && i < it.end+3 && s.sameClause(i, it.start); i++ {
		if other := s.itemOn(i); other != nil && other.topic == topicHave && s.has(other, kindTopic) != nil {
			return scoreAfter
		}
	}
	a := s.havePrev[it.start]
	if a < 0 {
		return scoreNone
	}
	if s.items[a].start < it.start-haveReach {
		return scoreNone
	}
	if s.sameClause(s.items[a].start, it.start) || s.chain(s.items[a].start, it.start) {
		return scoreBefore
	}
	return scoreNone
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
