package reader

import "rodcall/engine/reader/token"

// plausible are the figures that a scale gives on metals; others are a mistake of scale or no reading.
var plausible = map[string][2]float64{
	"HB": {10, 750}, "HRC": {5, 68}, "HRB": {10, 115}, "HRA": {40, 95}, "HV": {20, 3000}, "HLD": {150, 960},
}

// hardness reads the figures beside the names of scales: 45 HRC, HB 210-230, 44 45 47 HRC.
func (s *state) hardness() {
	for n := range s.items {
		it := &s.items[n]
		e := s.has(it, kindScale)
		if e == nil || s.marks[it.start]&markUsed != 0 {
			continue
		}
		s.scaleAt(it, e)
	}
}

func (s *state) scaleAt(it *item, e *entry) {
	if s.spokenReading(it, e) {
		return
	}
	limits, known := plausible[e.value]
	fits := func(i int) bool {
		if i < 0 || i >= len(s.tokens) || s.tokens[i].Kind != token.Number || s.marks[i]&markUsed != 0 || !s.sameSentence(i, it.start) {
			return false
		}
		t := &s.tokens[i]
		return known && t.Value >= limits[0] && t.High <= limits[1] && !t.Has(token.Fraction)
	}
	from, to := it.start, it.end
	switch before, after := s.figureBefore(it.start), s.figureAfter(it.end); {
	case fits(before):
		from = before
		for s.listed(from-1) && fits(from-2) {
			from -= 2
		}
		for fits(from-1) && s.plainFigure(from-1) {
			from--
		}
	case fits(after) && !s.ownUnit(after+1):
		to = after + 1
		for s.listed(to) && fits(to+1) && !s.ownUnit(to+2) {
			to += 2
		}
		for fits(to) && s.plainFigure(to) && !s.ownUnit(to+1) {
			to++
		}
	case s.correctedScale(it, e.value):
		return
	default:
		s.leaveScale(it, e.value)
		return
	}
	s.readings(it, e.value, from, to)
}

// correctedScale puts the reading before a correction on another scale: "52 HRC no wait HRB".
func (s *state) correctedScale(it *item, scale string) bool {
	last := s.lastReading(it.start)
	if last == nil {
		return false
	}
	last.value, last.to = scale, it.end
	s.mark(it.start, it.end, markUsed)
	return true
}

// lastReading is the reading that a correction right before token i takes back, nil when there is none.
func (s *state) lastReading(i int) *fact {
	if len(s.facts) == 0 {
		return nil
	}
	last := &s.facts[len(s.facts)-1]
	if last.key != keyHardness || i < last.end || i-last.end > reach || !s.correctedBetween(last.end, i) || !s.cleanBefore(last.to, i) {
		return nil
	}
	return last
}

// correctedReading reads a figure without its scale that corrects a reading: "60 HRC, no sorry, 50".
func (s *state) correctedReading(q *quantity) bool {
	last := s.lastReading(q.from)
	if last == nil {
		return false
	}
	if limits := plausible[last.value]; q.raw < limits[0] || q.raw > limits[1] || s.marks[q.from]&(markAsked|markHedged|markOrdered) != 0 {
		return false
	}
	s.mark(q.from, q.to, markUsed)
	s.add(fact{key: keyHardness, value: last.value, number: q.raw, start: q.from, end: q.to, from: q.from, to: q.to})
	return true
}

// spokenReading reads a figure in words beside a scale: "forty five rockwell", "brinell two twenty".
func (s *state) spokenReading(it *item, e *entry) bool {
	sp, ok := s.spokenBefore(s.figureBefore(it.start) + 1)
	if !ok {
		sp, ok = s.spokenAt(it.end)
	}
	limits, known := plausible[e.value]
	if !ok || !known || sp.value < limits[0] || sp.value > limits[1] || s.marks[it.start]&(markHedged|markOrdered|markAsked) != 0 || s.bounded(sp.from) {
		return false
	}
	from, to := min(sp.from, it.start), max(sp.to, it.end)
	s.mark(from, to, markUsed)
	s.add(fact{key: keyHardness, value: e.value, number: sp.value, start: from, end: to, from: from, to: to})
	return true
}

// readings notes the figures between two tokens as readings of a scale.
func (s *state) readings(it *item, scale string, from, to int) {
	first := from
	if it.start == from {
		first = it.end
	}
	over := s.marks[first] | s.marks[it.start]
	doubted := over&(markHedged|markOrdered|markAsked) != 0
	if !doubted && (s.bounded(first) || it.negator >= 0 || s.negatedFigure(from)) {
		s.leave(max(0, from-1), to, "")
		return
	}
	for i := from; i < to; i++ {
		t := &s.tokens[i]
		if t.Kind != token.Number || i >= it.start && i < it.end || doubted {
			continue
		}
		value, second := (t.Value+t.High)/2, 0.0
		if t.Has(token.Comma|token.Decimal) && t.Value*100 != float64(int(t.Value*10))*10 {
			value, second = splitComma(t) // 45,46 is two readings: nobody reads to the hundredth
		}
		s.add(fact{key: keyHardness, value: scale, number: value, start: i, end: i + 1, from: from, to: to})
		if second > 0 {
			s.add(fact{key: keyHardness, value: scale, number: second, start: i, end: i + 1, from: from, to: to})
		}
	}
	s.mark(from, to, markUsed)
}

// splitComma takes "45,46" apart.
func splitComma(t *token.Token) (whole, part float64) {
	comma := 0
	for i := 0; i < len(t.Text); i++ {
		c := t.Text[i]
		switch {
		case c == ',':
			comma = i
		case comma == 0:
			whole = whole*10 + float64(c-'0')
		default:
			part = part*10 + float64(c-'0')
		}
	}
	return whole, part
}

// figureBefore is the token of the figure before a scale: "45 HRC", "52 on the C scale".
func (s *state) figureBefore(i int) int {
	j := i - 1
	for j >= max(0, i-3) && s.tokens[j].Kind == token.Word && s.words[j] != 0 && s.lexicon.inside[s.words[j]] {
		j--
	}
	return j
}

// figureAfter is the token of a figure that follows a scale, small words and signs between.
func (s *state) figureAfter(i int) int {
	for j := i; j < len(s.tokens) && j < i+3; j++ {
		if s.tokens[j].Kind == token.Number {
			return j
		}
		if s.tokens[j].Break >= token.Clause || !s.isStop(j) {
			return -1
		}
	}
	return -1
}

// ownUnit reports whether a unit or another scale follows a figure.
func (s *state) ownUnit(i int) bool {
	if i >= len(s.tokens) {
		return false
	}
	_, _, dimension := s.unitAt(i)
	return dimension != "" || s.tokens[i].Kind == token.Unit || s.has(s.itemOn(i), kindScale) != nil
}

// listed reports whether a token parts the figures of a list.
func (s *state) listed(i int) bool {
	if i < 0 || i >= len(s.tokens) {
		return false
	}
	switch s.tokens[i].Text {
	case ",", "/", "and", "to", "&", "or":
		return true
	}
	return false
}

// plainFigure reports whether a figure in a row without commas is another reading.
func (s *state) plainFigure(i int) bool {
	return s.itemOn(i) == nil && (!s.tokens[i].Has(token.Glued) || i > 0 && s.tokens[i-1].Kind == token.Mark)
}

func (s *state) sameSentence(i, j int) bool {
	return s.clauses[s.clause[i]].sentence == s.clauses[s.clause[j]].sentence
}

// leaveScale lists a scale whose figure is impossible, and says where the scale ends.
func (s *state) leaveScale(it *item, scale string) {
	from, to := it.start, it.end
	if it.start > 0 && s.tokens[it.start-1].Kind == token.Number && s.sameClause(it.start-1, it.start) {
		from--
	} else if to < len(s.tokens) && s.tokens[to].Kind == token.Number {
		to++
		if s.ownUnit(to) {
			return // "leeb 520 HLD": the figure has its own scale
		}
	} else {
		return // "rockwell tester": the scale alone says nothing
	}
	if s.marks[from]&(markHedged|markAsked|markOrdered) == 0 {
		s.leave(from, to, "")
		if limits, known := plausible[scale]; known {
			s.note("%s runs from %g to %g on metals: look at the tester again, then tell me figure and scale.", scale, limits[0], limits[1])
		}
	}
}
