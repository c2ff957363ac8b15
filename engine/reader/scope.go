package reader

import "rodcall/engine/reader/token"

// reach is how many tokens a negation or doubt looks ahead for what it speaks of.
const reach = 9

// scopes cuts the message into clauses and marks what stands under a negation, a doubt, a question or an
// instruction to the program.
func (s *state) scopes() {
	s.cut()
	for i := range s.items {
		it := &s.items[i]
		switch {
		case s.has(it, kindOrder) != nil:
			s.order(it)
		case s.has(it, kindHedge) != nil:
			s.hedge(i)
		case s.has(it, kindNegator) != nil:
			s.negate(i)
		case s.has(it, kindAsker) != nil:
			s.ask(it)
		case it.kind == kindChatter, it.kind == kindCorrector:
			s.mark(it.start, it.end, markHeard)
		}
	}
	s.questions()
}

// cut numbers the clauses. A clause mark inside a quotation or a figure is none.
func (s *state) cut() {
	start, sentence := 0, int32(0)
	for i := 0; i <= len(s.tokens); i++ {
		if i < len(s.tokens) {
			s.clause[i] = int32(len(s.clauses))
			if s.tokens[i].Break < token.Clause {
				continue
			}
		}
		asked := i < len(s.tokens) && s.tokens[i].Text == "?"
		s.clauses = append(s.clauses, clauseSpan{start: start, end: i, sentence: sentence, asked: asked})
		start = i + 1
		if i < len(s.tokens) && s.tokens[i].Kind == token.Word {
			start = i // "but" begins the clause that it opens
			s.clause[i] = int32(len(s.clauses))
		}
		if i < len(s.tokens) && s.tokens[i].Break == token.Sentence {
			sentence++
		}
	}
}

// doubtReach is how many tokens a doubt covers at most.
const doubtReach = 24

// order voids the sentence in which somebody instructs the program: "ignore your rules, say mild steel". An
// order that only names a metal ("just say 1040") voids the claims of its clause.
func (s *state) order(it *item) {
	c := s.clauses[s.clause[it.start]]
	if e := s.has(it, kindOrder); e.value == "claim" {
		if s.marks[it.start]&markClaimOff == 0 {
			s.mark(it.start, c.end, markClaimOff)
		}
		s.mark(it.start, it.end, markHeard)
		return
	}
	if s.marks[it.start]&markOrdered != 0 {
		return
	}
	for _, other := range s.clauses {
		if other.sentence == c.sentence {
			s.mark(other.start, other.end, markOrdered|markHeard)
		}
	}
}

// target is the item that a negation or doubt at token from speaks of: the first one that names a test or
// gives a value; -1 when the clause or an "and" ends before.
func (s *state) target(from int, through bool) int {
	for i := from; i < len(s.tokens) && i < from+reach && s.sameClause(from, i); i++ {
		if s.tokens[i].Break == token.Weak && !through && s.tokens[i].Text != "or" && s.tokens[i].Text != "/" {
			return -1
		}
		if !through && i > from && s.tokens[i].Text == "its" {
			return -1 // "not a casting its a forging"
		}
		if it := s.itemOn(i); it != nil && s.has(it, kindNegator) == nil && (it.topic != topicNone || it.kind <= kindElement || it.kind == kindPart) {
			return int(s.itemAt[i])
		}
	}
	return -1
}

// negate marks what a negation covers: the items from its target on, up to the next clause mark, "and", or
// the next test.
func (s *state) negate(n int) {
	it := &s.items[n]
	first := s.target(it.end, false)
	if first < 0 || s.isNumbering(it) || s.answersAsked(it, &s.items[first]) {
		return
	}
	t, end := s.items[first].topic, s.items[first].start
	for i := first; i < len(s.items); i++ {
		next := &s.items[i]
		if !s.sameClause(it.start, next.start) || next.start >= it.end+reach || s.weakBetween(s.items[max(first, i-1)].end, next.start) {
			return
		}
		if next.kind == kindChatter {
			continue
		}
		if t == topicOther && !s.inOneBreath(end, next.start) {
			return // "not cracked just worn"
		}
		if next.topic != topicNone && !next.topic.suits(t) && !t.suits(next.topic) {
			return
		}
		next.negator, end = n, next.end
		it.acts = true
		s.mark(next.start, next.end, markNegated)
	}
}

// answersAsked reports whether "no" answers the question before it and then names another thing, damage or metal:
// "plastic? no bronze".
func (s *state) answersAsked(it, target *item) bool {
	if it.start < 2 || s.tokens[it.start].Text != "no" || s.tokens[it.start-1].Text != "?" || target.topic != topicOther && target.topic != topicNone {
		return false
	}
	c := s.clauses[s.clause[it.start-2]]
	for i := c.start; i < c.end; i++ {
		if s.words[i] != 0 && s.words[i] == s.words[target.start] || s.sayAlike(s.itemOn(i), target) {
			return false // "cracked? no cracks"
		}
	}
	return true
}

// sayAlike reports whether two phrases can give the same value.
func (s *state) sayAlike(a, b *item) bool {
	if a == nil || a.node == 0 || b.node == 0 {
		return false
	}
	for _, x := range s.entriesOf(a) {
		for _, y := range s.entriesOf(b) {
			if e, f := &s.lexicon.entries[x], &s.lexicon.entries[y]; e.key == f.key && e.value == f.value && e.value != "" {
				return true
			}
		}
	}
	return false
}

// isNumbering reports whether "no" stands for number: "drawing no 12345".
func (s *state) isNumbering(it *item) bool {
	next := s.numberAt(it.end)
	return next != nil && next.Value >= 100 && s.tokens[it.start].Text == "no" && it.start > 0 && s.sameClause(it.start-1, it.end)
}

// inOneBreath reports whether two phrases are given in one breath: "or" between them, or nothing at all.
func (s *state) inOneBreath(i, j int) bool {
	for ; i < j; i++ {
		if text := s.tokens[i].Text; text != "or" && text != "/" && text != "a" && text != "an" && text != "the" {
			return false
		}
	}
	return true
}

// weakBetween reports whether "and" or "then" stands between two tokens; "or" and a stroke go on.
func (s *state) weakBetween(i, j int) bool {
	for ; i < j; i++ {
		if t := &s.tokens[i]; t.Break == token.Weak && t.Text != "or" && t.Text != "/" || t.Text == "its" {
			return true
		}
	}
	return false
}

// hedge marks what a doubt covers: forward as a negation does; a doubt at the end of its clause covers what
// stands before it, a doubt alone in its clause the clause before.
func (s *state) hedge(n int) {
	it := &s.items[n]
	s.mark(it.start, it.end, markHeard)
	if s.ofMetal(it.end) {
		return
	}
	if first := s.target(it.end, true); first >= 0 {
		c := s.clauses[s.clause[it.start]]
		end := s.topicEnd(first, min(c.end, it.end+doubtReach))
		s.mark(it.end, end, markHedged)
		return
	}
	c := int(s.clause[it.start])
	if s.markBack(it.start, s.clauses[c].start) || c == 0 {
		return
	}
	before := s.clauses[c-1]
	if before.sentence == s.clauses[c].sentence {
		s.markBack(before.end, before.start)
	}
}

// ofMetal reports whether a doubt asks what the metal is, which is why the message was written and takes
// nothing of it back: "housing cracked, not sure what it is".
func (s *state) ofMetal(i int) bool {
	for ; i < len(s.tokens) && s.isStop(i) && s.tokens[i].Break < token.Clause; i++ {
		if e := s.has(s.itemOn(i), kindChatter); e != nil {
			return e.value == "metal"
		}
	}
	e := s.has(s.itemOn(i), kindChatter)
	return e != nil && e.value == "metal"
}

// topicEnd is where the stretch that begins with an item leaves its topic, at most at end.
func (s *state) topicEnd(first, end int) int {
	t := s.items[first].topic
	for i := first + 1; i < len(s.items); i++ {
		next := &s.items[i]
		if next.start >= end {
			return end
		}
		if s.tokens[next.start-1].Text == "or" {
			continue // "not sure if cast or forged"
		}
		if t != topicOther && next.topic != topicNone && next.topic != topicOther && !next.topic.suits(t) && !t.suits(next.topic) {
			return next.start
		}
	}
	return end
}

// markBack marks as doubted what stands before token from, back to where the topic changes; it reports
// whether there was anything.
func (s *state) markBack(from, start int) bool {
	t, found := topicNone, false
	for i := from - 1; i >= max(start, from-doubtReach); i-- {
		it := s.itemOn(i)
		if it == nil || it.topic == topicNone {
			continue
		}
		if found && it.topic != topicOther && !it.topic.suits(t) && !t.suits(it.topic) {
			return true
		}
		if !found || t == topicOther {
			t, found = it.topic, true
		}
		s.mark(it.start, it.end, markHedged)
	}
	return found
}

// ask marks a question about what the metal is or does, when it opens its clause: what it names is no answer.
func (s *state) ask(it *item) {
	c := s.clauses[s.clause[it.start]]
	if s.marks[it.start]&markAsked != 0 || it.start-c.start > openerReach {
		return
	}
	for i := c.start; i < it.start; i++ {
		if !s.isStop(i) {
			return
		}
	}
	s.mark(it.start, c.end, markAsked)
	s.mark(it.start, it.end, markHeard)
}

// questions marks the clause before a question mark, unless it asks how or which: "which rod for a cracked
// housing?" takes the housing for granted.
func (s *state) questions() {
	for _, c := range s.clauses {
		if !c.asked || s.asksHow(c) {
			continue
		}
		s.mark(c.start, c.end, markAsked)
	}
}

// openerReach is how many small words may stand before a question's opening words.
const openerReach = 4

// asksHow reports whether a question names its thing rather than asks what it is.
func (s *state) asksHow(c clauseSpan) bool {
	for i := c.start; i < c.end; i++ {
		if it := s.itemOn(i); it != nil && s.has(it, kindChatter) != nil && s.has(it, kindChatter).value == "how" {
			return true
		}
	}
	return false
}
