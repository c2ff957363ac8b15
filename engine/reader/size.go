package reader

import (
	"strings"

	"rodcall/engine/reader/token"
)

// Threads that a metric bolt may have, in mm.
const (
	finestThread = 3
	widestThread = 100
)

// thread reads the size of a metric thread, M16, as a diameter.
func (s *state) thread(q *quantity) bool {
	i := q.from - 1
	if i < 0 || s.tokens[i].Text != "m" || !s.tokens[q.from].Has(token.Glued) || i > 0 && s.tokens[i].Has(token.Glued) && s.tokens[i-1].Kind != token.Mark ||
		q.value < finestThread || q.value > widestThread || s.tokens[q.from].IsRange() {
		return false
	}
	s.mark(i, q.to, markUsed)
	s.add(fact{key: keyDiameter, number: q.value, start: i, end: q.to, from: i, to: q.to})
	return true
}

// dimension gives a length to the part or to the spark.
func (s *state) dimension(q *quantity) {
	factor := 1.0
	if q.unit == "" {
		factor = 25.4 // a fraction without a unit is of an inch
	}
	k, from, to := s.dimensionKey(q)
	if q.unit == "" && !q.fraction {
		if name := s.fieldOf(q.from); strings.HasSuffix(name, "_mm") || strings.HasSuffix(name, "_in") {
			factor = 1
			k, from, to = s.field[q.from], q.from, q.to
		} else if k != keyNone {
			k = keyNone
		}
	}
	if k == keyNone {
		k = s.correctedKey(q)
	}
	if k == keyNone || s.bounded(q.from) || q.value <= 0 || q.value > farthest {
		s.leaveDimension(q, from, to)
		return
	}
	v := q.value * factor
	if k == keyLengthIn && (q.unit != "" || q.fraction) {
		v /= 25.4
	}
	s.mark(q.from, q.to, markUsed)
	for i := from; i < to; i++ {
		if it := s.itemOn(i); it != nil && it.kind == kindMeasure {
			s.mark(it.start, it.end, markUsed)
		}
		if it := s.itemOn(i); it != nil && s.has(it, kindMeasure) != nil && s.has(it, kindWord) != nil && keys[s.has(it, kindWord).key].topic == topicSpark {
			s.mark(it.start, it.end, markUsed)
		}
	}
	s.add(fact{key: k, number: v, start: q.from, end: q.to, from: from, to: to})
}

// correctedKey is the dimension that a figure without its own corrects: "20 mm thick, sorry, 25 mm".
func (s *state) correctedKey(q *quantity) key {
	if len(s.facts) == 0 {
		return keyNone
	}
	last := &s.facts[len(s.facts)-1]
	if last.key < keyThickness || last.key > keyDiameter || q.from-last.end > reach || !s.correctedBetween(last.end, q.from) {
		return keyNone
	}
	return last.key
}

// metricBare reports whether a figure without a unit is of millimetres: a dimension word follows, and another length
// of the message is told in millimetres ("22 mm thick by 300 wide").
func (s *state) metricBare(q *quantity) bool {
	if q.fraction || q.decimal || q.to >= len(s.tokens) || !s.sameClause(q.from, q.to) || s.sparkLength(q) {
		return false
	}
	e := s.has(s.itemOn(q.to), kindMeasure)
	if e == nil || e.key == keyDepth {
		return false
	}
	for i := range s.tokens {
		if s.tokens[i].Text == "mm" {
			return true
		}
	}
	return false
}

// farthest is the longest part that is believed, in mm.
const farthest = 100000

func (s *state) leaveDimension(q *quantity, from, to int) {
	if s.bounded(q.from) {
		from = min(from, q.from-1)
	}
	s.left = append(s.left, unreadSpan{from, to, ""})
	s.mark(q.from, q.to, markUsed)
}

// fieldOf is the name of the structured field that a token belongs to.
func (s *state) fieldOf(i int) string {
	for f := range s.fields {
		if i >= s.fields[f].from && i < s.fields[f].to {
			return s.fields[f].name
		}
	}
	return ""
}

// dimensionKey finds the word that says what a length measures: in its field, after it ("20 mm thick", "6 in
// crack"), or before it ("wall 12 mm").
func (s *state) dimensionKey(q *quantity) (k key, from, to int) {
	from, to = q.from, q.to
	if f := s.field[q.from]; f >= keyThickness && f <= keyDiameter {
		return f, from, to
	} else if f == keyLengthIn {
		return f, from, to
	}
	spark := s.sparkLength(q)
	for i, steps := q.to, 0; i < len(s.tokens) && steps < 3 && s.sameClause(i, q.from); i, steps = i+1, steps+1 {
		it := s.itemOn(i)
		if s.tokens[i].Kind == token.Number && s.metalOf(it) == nil || s.tokens[i].Break == token.Weak || partsFigure(s.tokens[i].Text) && s.has(it, kindMeasure) == nil {
			break
		}
		if e := s.has(it, kindMeasure); e != nil && (s.ownFigure(it) || e.key == keyDepth && q.value > deepestLoss && s.sectionBefore(q.from)) {
			break
		} else if e != nil {
			if spark && e.key == keyPartLength {
				return keyLengthIn, from, it.end
			}
			return e.key, from, it.end
		}
		if e := s.names(it, kindSection); e != nil {
			return e.key, from, it.end
		}
		if it != nil && it.topic.suits(topicSpark) {
			return keyLengthIn, from, it.end
		}
	}
	for i := q.from - 1; i >= max(0, q.from-4) && s.sameClause(i, q.from); i-- {
		it := s.itemOn(i)
		if e := s.has(it, kindMeasure); e != nil && !s.takenByFigure(it.start) {
			if e.key == keyDepth && s.tokens[q.from-1].Text == "to" {
				break // "worn to 15 mm" tells what is left
			}
			if spark && e.key == keyPartLength {
				return keyLengthIn, it.start, to
			}
			return e.key, it.start, to
		}
		if q.to < len(s.tokens) && offSize(s.tokens[q.to].Text) {
			break // "journal 0.8 mm under"
		}
		if e := s.names(it, kindSection); e != nil && (q.unit != "" || q.fraction && e.key != keyPartLength) && s.cleanBefore(it.end, q.from) && !s.takenByFigure(it.start) {
			return e.key, it.start, to
		}
		if s.tokens[i].Kind == token.Number || s.tokens[i].Kind == token.Unit {
			break
		}
	}
	if spark {
		return keyLengthIn, from, to
	}
	if s.besideMetal(q) {
		return keyThickness, from, to
	}
	return s.sectionTold(q), from, to
}

// thickest is up to where a length right beside the name of a metal is the thickness of its plate (mm, judgement).
const thickest = 50

// besideMetal reports whether a length stands right beside the name of a metal: "25 mm mild", "AR400 10 mm".
func (s *state) besideMetal(q *quantity) bool {
	if q.unit != "length" || q.value > thickest || s.field[q.from] != keyNone {
		return false
	}
	metal := func(i int) bool {
		return s.sameClause(i, q.from) && s.metalOf(s.itemOn(i)) != nil && s.marks[i]&(markNegated|markHedged|markAsked) == 0
	}
	return metal(q.to) || metal(q.from-1)
}

// sectionTold is the dimension of the one noun with a section that the sentence has named, for a length that is
// all of its clause: "belly plate, 16 mm, cracked".
func (s *state) sectionTold(q *quantity) key {
	c := s.clauses[s.clause[q.from]]
	if q.unit != "length" || !s.cleanBefore(c.start, q.from) || !s.cleanBefore(q.to, c.end) {
		return keyNone
	}
	k := keyNone
	for i := c.start - 1; i >= 0 && i >= c.start-lookBack && s.clauses[s.clause[i]].sentence == c.sentence; i-- {
		if s.has(s.itemOn(i), kindMeasure) != nil {
			return keyNone
		}
		if s.tokens[i].Kind == token.Number {
			if _, _, dimension := s.unitAt(i + 1); dimension == "length" {
				return keyNone
			}
		}
		if e := s.names(s.itemOn(i), kindSection); e != nil {
			if k != keyNone && k != e.key {
				return keyNone
			}
			k = e.key
		}
	}
	if k == keyPartLength && q.value < shortestCrack {
		return keyNone // "split along the fold, 3 mm" tells the sheet
	}
	return k
}

// shortestCrack is from where a lone length may be that of a crack (mm, judgement).
const shortestCrack = 20

// lookBack is how many tokens before a lone length the noun that it measures may stand.
const lookBack = 12

// deepestLoss is up to where "shaft 2 mm worn" tells the loss; "shaft 50 mm worn" tells the shaft (mm, judgement).
const deepestLoss = 12

// offSize reports whether a word behind a figure makes it a difference from the right size.
func offSize(word string) bool {
	return word == "under" || word == "undersize" || word == "over" || word == "oversize"
}

// sectionBefore reports whether a noun whose figure is a dimension stands right before a token.
func (s *state) sectionBefore(i int) bool {
	return i > 0 && s.sameClause(i-1, i) && s.names(s.itemOn(i-1), kindSection) != nil
}

// ownFigure reports whether a loss of metal has its own figure behind it and that figure nothing else to measure:
// "pin 32 mm worn 3 mm".
func (s *state) ownFigure(it *item) bool {
	e := s.has(it, kindMeasure)
	if next := s.numberAt(it.end); e.key != keyDepth || next == nil || !s.sameClause(it.start, it.end) {
		return false
	}
	end, _, dimension := s.unitAt(it.end + 1)
	if dimension != "length" && s.tokens[it.end+1].Kind != token.Unit {
		return false
	}
	for i := max(end, it.end+2); i < len(s.tokens) && i < it.end+5 && s.sameClause(i, it.start); i++ {
		if other := s.itemOn(i); s.has(other, kindMeasure) != nil || s.names(other, kindSection) != nil {
			return false
		}
	}
	return true
}

// partsFigure reports whether a word parts a figure from what it measures: "worn 3/16 on the diameter".
func partsFigure(word string) bool {
	return word == "on" || word == "from" || word == "at" || word == "in"
}

// takenByFigure reports whether a figure stands right before a dimension word and owns it.
func (s *state) takenByFigure(i int) bool {
	if it := s.itemOn(i); i == 0 || s.has(it, kindMeasure) != nil && s.ownFigure(it) {
		return false
	}
	if s.metalOf(s.itemOn(i-1)) != nil {
		return false // "4140 shaft 2 in": the figure names the steel
	}
	before := &s.tokens[i-1]
	return before.Kind == token.Number || before.Kind == token.Unit || s.has(s.itemOn(i-1), kindUnit) != nil && i > 1 && s.tokens[i-2].Kind == token.Number
}

// sparkLength reports whether the figure stands where the stream of sparks is spoken of.
func (s *state) sparkLength(q *quantity) bool {
	if f := s.field[q.from]; f == keySpark || f == keySparkSkin || f == keyLengthIn {
		return true
	}
	a := s.anchorPrev[q.from]
	if a < 0 || !s.items[a].topic.suits(topicSpark) || q.from-s.items[a].end > streamReach {
		return false
	}
	for i := s.items[a].end; i < q.from; i++ { // a plate or crack between is what is measured
		if it := s.itemOn(i); it != nil && (it.kind == kindPart || s.names(it, kindSection) != nil || it.topic == topicOther && s.has(it, kindMeasure) == nil) {
			return false
		}
	}
	return true
}

// streamReach is how far before its length a stream may have been named, in tokens.
const streamReach = 8

// timesFollows reports whether a product of sides begins with a figure.
func (s *state) timesFollows(q *quantity) bool {
	if q.from > 0 && s.tokens[q.from-1].Text == "x" {
		return false
	}
	return q.to+1 < len(s.tokens) && s.tokens[q.to].Text == "x" && s.tokens[q.to+1].Kind == token.Number
}

// roundBar reports whether something round is named right beside two sides: "shaft 50 x 600 mm".
func (s *state) roundBar(from, to int) bool {
	for _, i := range [2]int{from - 1, to} {
		if e := s.names(s.itemOn(i), kindSection); e != nil && e.key == keyDiameter && s.sameClause(i, from) {
			return true
		}
		if e := s.has(s.itemOn(i), kindMeasure); i < from && e != nil && e.key == keyDiameter && s.sameClause(i, from) {
			return true
		}
	}
	return false
}

// leastFlat is from where the wider side of a flat bar without a unit can only be in millimetres (judgement).
const leastFlat = 20

// flatStock reports whether two bare sides are those of a bar in millimetres: "20 x 75 flat bar".
func (s *state) flatStock(sides []quantity, end int) bool {
	if len(sides) != 2 || max(sides[0].raw, sides[1].raw) < leastFlat || sides[0].decimal || sides[1].decimal {
		return false
	}
	for i := end; i < len(s.tokens) && i < end+2 && s.sameClause(i, sides[0].from); i++ {
		switch s.tokens[i].Text {
		case "bar", "flat", "flats", "strap":
			return true
		}
	}
	return sides[0].from > 0 && s.sameClause(sides[0].from-1, sides[0].from) && s.tokens[sides[0].from-1].Text == "bar"
}

// product reads 200 x 100 x 20 mm: length, width and thickness, the greatest first; of two sides width and
// thickness. The last unit holds for all.
func (s *state) product(q *quantity) bool {
	var room [3]quantity
	sides := append(room[:0], *q)
	end := q.to
	for len(sides) < len(room) && end+1 < len(s.tokens) && s.tokens[end].Text == "x" && s.tokens[end+1].Kind == token.Number {
		next := s.quantityAt(end + 1)
		sides = append(sides, next)
		end = next.to
	}
	factor := 0.0
	last := sides[len(sides)-1]
	switch {
	case last.unit == "length":
		factor = last.factor
	case last.unit == "" && last.fraction:
		factor = 25.4
	case last.unit == "" && s.flatStock(sides, end):
		factor = 1
	default:
		return false
	}
	var figures [3]float64
	values := figures[:len(sides)]
	for i, side := range sides {
		values[i] = side.raw * factor
		if side.unit == "length" {
			values[i] = side.value
		}
	}
	for i := range values {
		for j := i + 1; j < len(values); j++ {
			if values[j] > values[i] {
				values[i], values[j] = values[j], values[i]
			}
		}
	}
	if values[len(values)-1] <= 0 || values[0] > farthest {
		return false
	}
	into := []key{keyPartLength, keyWidth, keyThickness}[3-len(values):]
	if len(values) == 2 && s.roundBar(q.from, end) {
		into = []key{keyPartLength, keyDiameter}
	}
	s.mark(q.from, end, markUsed)
	for i, v := range values {
		s.add(fact{key: into[i], number: v, start: q.from, end: end, from: q.from, to: end})
	}
	return true
}
