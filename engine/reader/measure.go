package reader

import (
	"strings"

	"rodcall/engine/reader/token"
)

// measures reads the figures that carry a unit or a scale. A bare figure is never read.
func (s *state) measures() {
	s.hardness()
	for i := 0; i < len(s.tokens); i++ {
		if it := s.itemOn(i); it != nil && it.start == i && s.has(it, kindNumeral) != nil {
			if s.marks[i]&markUsed == 0 {
				s.numeral(it)
			}
			continue
		}
		if s.tokens[i].Kind != token.Number || s.marks[i]&markUsed != 0 || s.namesThing(i) {
			continue
		}
		q := s.quantityAt(i)
		s.settle(&q)
		i = q.to - 1
	}
}

// settle finds out what a quantity measures and notes the fact, or lists it as unread.
func (s *state) settle(q *quantity) {
	if s.marks[q.from]&(markOrdered|markHedged) != 0 || s.hedgedAround(q.from) {
		s.mark(q.from, q.to, markHeard)
		return
	}
	if s.negatedFigure(q.from) || s.ofTool(q) {
		s.mark(q.from, q.to, markHeard)
		return
	}
	field := s.field[q.from]
	switch {
	case s.timesFollows(q) && s.product(q):
	case (q.unit == "length" || q.fraction) && s.ofOtherPiece(q):
		s.mark(q.from, q.to, markHeard)
	case q.unit == "" && !q.fraction && s.correctedReading(q):
	case q.unit == "" && s.thread(q):
	case q.unit == "density" || q.unit == "" && s.densityNamed(q):
		s.density(q)
	case q.unit == "celsius" || field == keyServiceTemp:
		s.temperature(q)
	case q.unit == "length" || q.unit == "" && (q.fraction || field >= keyThickness && field <= keyDiameter || field == keyLengthIn):
		s.dimension(q)
	case q.unit == "" && field == keyNone && s.metricBare(q):
		q.unit, q.value, q.factor = "length", q.raw, 1
		s.dimension(q)
	case q.unit == "" && s.preheatBeside(q):
		s.leaveQuantity(q)
		s.note("%g of preheat in C or F? Say it with its letter, like 200 C or 400 F.", q.raw)
	case q.unit == "" && s.topicBefore(q.from, topicHardness) < q.from && s.cleanBefore(s.topicBefore(q.from, topicHardness)+1, q.from):
		s.leave(s.topicBefore(q.from, topicHardness), q.to, "")
		s.note("Hardness %g on which scale? Tell it with the scale, like 45 HRC or 210 HB.", q.raw)
	}
}

// hedgedAround reports whether the figure stands in a doubted stretch or right after a doubt.
func (s *state) hedgedAround(i int) bool {
	if s.marks[i]&markHedged != 0 {
		return true
	}
	for j := i - 1; j >= max(0, i-2) && s.sameClause(i, j); j-- {
		if s.has(s.itemOn(j), kindHedge) != nil {
			return true // "maybe 10 mm"
		}
	}
	return false
}

func (s *state) densityNamed(q *quantity) bool {
	f := s.field[q.from]
	if f == keyDensity {
		return true
	}
	if f != keyNone || !q.decimal {
		return false
	}
	if next := s.itemOn(q.to); next != nil && next.topic == topicDensity && s.sameClause(q.from, q.to) {
		return true
	}
	for i := q.from - 1; i >= max(0, q.from-4) && s.sameClause(i, q.from); i-- {
		if it := s.itemOn(i); it != nil && it.kind != kindChatter {
			return it.topic == topicDensity
		}
		if !s.isStop(i) {
			return false
		}
	}
	return false
}

// Densities of metals in g/cm3: outside them a figure is none, or a comma was a decimal one.
const (
	lightest = 0.5
	heaviest = 25
)

func (s *state) density(q *quantity) {
	v := q.value
	if (v < lightest || v > heaviest) && q.alt >= lightest && q.alt <= heaviest {
		v = q.alt
	}
	if v < lightest || v > heaviest || s.bounded(q.from) {
		s.leaveQuantity(q)
		return
	}
	from := s.topicBefore(q.from, topicDensity)
	s.mark(from, q.to, markUsed)
	s.add(fact{key: keyDensity, number: round(v), start: q.from, end: q.to, from: from, to: q.to})
}

// topicBefore is where the name of a topic stands shortly before a token, else the token.
func (s *state) topicBefore(i int, t topic) int {
	for j := i - 1; j >= max(0, i-4) && s.sameClause(i, j); j-- {
		if it := s.itemOn(j); it != nil && it.topic == t {
			return it.start
		}
	}
	return i
}

// temperature is read only where the message says that the part works at it; a preheat is no service.
func (s *state) temperature(q *quantity) {
	if s.field[q.from] == keyServiceTemp {
		s.mark(q.from, q.to, markUsed)
		s.add(fact{key: keyServiceTemp, number: round(q.value), start: q.from, end: q.to, from: q.from, to: q.to})
		return
	}
	for i := q.from - 1; i >= max(0, q.from-5) && s.sameClause(i, q.from) && !s.bounded(q.from); i-- {
		it := s.itemOn(i)
		if e := s.has(it, kindPlace); e != nil && e.role == "heat" {
			s.mark(it.start, q.to, markUsed)
			s.add(fact{key: keyServiceTemp, number: round(q.value), start: q.from, end: q.to, from: it.start, to: q.to})
			return
		}
	}
	s.leaveQuantity(q)
}

// preheatBeside reports whether a bare figure is a preheat without its unit.
func (s *state) preheatBeside(q *quantity) bool {
	for i := max(0, q.from-2); i < min(len(s.tokens), q.to+2); i++ {
		if (i < q.from || i >= q.to) && s.sameClause(i, q.from) && strings.HasPrefix(s.tokens[i].Text, "preheat") {
			return true
		}
	}
	return false
}

// leaveQuantity lists a figure as unread, with the heating word beside it.
func (s *state) leaveQuantity(q *quantity) {
	from, to := q.from, q.to
	for i := max(0, q.from-2); i < min(len(s.tokens), q.to+2); i++ {
		if s.sameClause(i, q.from) && strings.HasPrefix(s.tokens[i].Text, "preheat") {
			from, to = min(from, i), max(to, i+1)
		}
	}
	if s.bounded(q.from) {
		from = min(from, q.from-1)
	}
	s.left = append(s.left, unreadSpan{from, to, ""})
	s.mark(q.from, q.to, markUsed)
}
