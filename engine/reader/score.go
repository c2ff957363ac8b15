package reader

import "slices"

// How well the company of a phrase settles its meaning.
const (
	scoreNone   = 0
	scoreAlone  = 1 // the phrase needs no company
	scoreCarry  = 2 // goes on with the topic of the clause before
	scoreBefore = 3 // the topic stands before it in its clause, or a wanted word stands near
	scoreAfter  = 4 // the topic follows at once ("few bursts")
	scoreField  = 5 // it is the value of a structured key
)

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
