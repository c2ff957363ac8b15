package reader

import (
	"strings"

	"rodcall/engine/reader/token"
)

// quantity is a figure with its unit: tokens [from, to).
type quantity struct {
	from, to int
	value    float64 // mean of a range, in the dimension's own unit (mm, g/cm3, °C)
	raw      float64 // mean as written
	factor   float64 // of the unit
	alt      float64 // the other reading of a comma, in the dimension's unit; 0 when there is none
	unit     string  // dimension: length, density, celsius, fahrenheit, …; "" when no unit was written
	fraction bool
	decimal  bool
}

// measures reads the figures that carry a unit or a scale. A bare figure is never read.
func (s *state) measures() {
	s.hardness()
	for i := 0; i < len(s.tokens); i++ {
		if it := s.itemOn(i); it != nil && it.start == i && s.has(it, kindNumeral) != nil {
			s.numeral(it)
			continue
		}
		if s.tokens[i].Kind != token.Number || s.marks[i]&markUsed != 0 || s.namesThing(i) {
			continue
		}
		q := s.quantityAt(i)
		s.place3(&q)
		i = q.to - 1
	}
}

// numberAt is the figure at a token, nil when there is none.
func (s *state) numberAt(i int) *token.Token {
	if i >= len(s.tokens) || s.tokens[i].Kind != token.Number {
		return nil
	}
	return &s.tokens[i]
}

// rangeByWord is the token of the upper figure of "80 to 100 mm", 0 when there is none.
func (s *state) rangeByWord(i int) int {
	top := s.numberAt(i + 2)
	if top == nil || s.tokens[i+1].Text != "to" || top.Value <= s.tokens[i].High {
		return 0
	}
	if _, _, dimension := s.unitAt(i + 3); dimension == "" && (i+3 >= len(s.tokens) || s.tokens[i+3].Kind != token.Unit) {
		return 0
	}
	return i + 2
}

// namesThing reports whether a figure is the name of a metal, a rod or a mark and no unit follows it.
func (s *state) namesThing(i int) bool {
	it := s.itemOn(i)
	if it == nil || s.field[i] != keyNone || it.kind != kindMetal && s.has(it, kindMetal) == nil && s.has(it, kindWord) == nil {
		return false
	}
	if it.end > i+1 {
		return true
	}
	_, _, dimension := s.unitAt(i + 1)
	return dimension == "" && (i+1 >= len(s.tokens) || s.tokens[i+1].Kind != token.Unit)
}

// numeral reads a length whose figure is in words: "half inch plate", "inch and a half thick".
func (s *state) numeral(it *item) {
	e := s.has(it, kindNumeral)
	q := quantity{from: it.start, to: it.end, raw: e.factor, unit: "length", factor: 25.4, fraction: true}
	if e.value == "" {
		end, factor, dimension := s.unitAt(it.end)
		if dimension != "length" || s.tokens[it.end].Text == "m" || s.tokens[it.end].Text == "in" && s.placeFollows(it.end+1) {
			return
		}
		q.to, q.factor = end, factor
	}
	q.value = q.raw * q.factor
	s.place3(&q)
}

// quantityAt reads the figure at token i with its unit; feet and inches together are one length.
func (s *state) quantityAt(i int) quantity {
	t := &s.tokens[i]
	q := quantity{from: i, to: i + 1, raw: (t.Value + t.High) / 2, alt: t.Alt, fraction: t.Has(token.Fraction), decimal: t.Has(token.Decimal)}
	if top := s.rangeByWord(i); top > 0 {
		q.to, q.raw = top+1, (t.Value+s.tokens[top].High)/2
	}
	end, factor, dimension := s.unitAt(q.to)
	if dimension == "" {
		q.value = q.raw
		return q
	}
	sign := s.tokens[q.to].Text
	q.to, q.unit = end, dimension
	q.value, q.alt, q.factor = q.raw*factor, q.alt*factor, factor
	if dimension == "fahrenheit" {
		q.value, q.unit = (q.raw-32)*5/9, "celsius"
	}
	if t.Has(token.Minus) && q.unit == "celsius" {
		q.value = -q.value
	}
	if next := s.numberAt(end); next != nil && sign == "inch" && next.Has(token.Fraction|token.Glued) && next.Value < 1 {
		q.value += next.Value * factor // 1"1/4
		q.to = end + 1
	}
	if sign == "foot" && end < len(s.tokens) && s.tokens[end].Kind == token.Number {
		if inchEnd, inch, d := s.unitAt(end + 1); d == "length" && inch == 25.4 {
			q.value += (s.tokens[end].Value + s.tokens[end].High) / 2 * inch
			q.to = inchEnd
		}
	}
	return q
}

// unitAt reads a unit at token i. "in" is a unit only when no place follows it ("2 in the yard").
func (s *state) unitAt(i int) (end int, factor float64, dimension string) {
	if i >= len(s.tokens) {
		return 0, 0, ""
	}
	if s.tokens[i].Text == "deg" && i+1 < len(s.tokens) {
		if end, factor, dimension = s.unitAt(i + 1); dimension == "celsius" || dimension == "fahrenheit" {
			return end, factor, dimension
		}
		return 0, 0, ""
	}
	it := s.itemOn(i)
	e := s.has(it, kindUnit)
	if e == nil || it.start != i {
		return 0, 0, ""
	}
	if s.tokens[i].Text == "in" && !s.tokens[i].Has(token.Glued) && s.placeFollows(i+1) {
		return 0, 0, ""
	}
	return it.end, e.factor, e.value
}

func (s *state) placeFollows(i int) bool {
	if i >= len(s.tokens) {
		return false
	}
	switch s.tokens[i].Text {
	case "the", "a", "an", "my", "our", "his", "her", "their", "it", "this", "that", "place", "two", "half", "situ", "there", "here",
		"service", "use", "one", "total", "position":
		return true
	}
	return false
}

// place3 finds out what a quantity measures and notes the fact, or lists it as unread.
func (s *state) place3(q *quantity) {
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
	case q.unit == "" && s.thread(q):
	case q.unit == "density" || q.unit == "" && s.densityNamed(q):
		s.density(q)
	case q.unit == "celsius" || field == keyServiceTemp:
		s.temperature(q)
	case q.unit == "length" || q.unit == "" && (q.fraction || field >= keyThickness && field <= keyDiameter || field == keyLengthIn):
		s.dimension(q)
	case q.unit == "" && s.preheatBeside(q):
		s.leaveQuantity(q)
	case q.unit == "" && s.topicBefore(q.from, topicHardness) < q.from && s.cleanBefore(s.topicBefore(q.from, topicHardness)+1, q.from):
		s.leave(s.topicBefore(q.from, topicHardness), q.to, "") // a hardness without its scale
	}
}

// hedgedAround reports whether the figure stands in a doubted stretch.
func (s *state) hedgedAround(i int) bool { return s.marks[i]&markHedged != 0 }

// negatedFigure reports whether "not" stands right before a figure: "not 3/4" takes a value back.
func (s *state) negatedFigure(i int) bool {
	return i > 0 && s.sameClause(i-1, i) && s.has(s.itemOn(i-1), kindNegator) != nil
}

// bounded reports whether the figure is a bound: "over 60 HRC" is no reading.
func (s *state) bounded(i int) bool {
	if i == 0 {
		return false
	}
	return s.has(s.itemOn(i-1), kindBound) != nil || s.tokens[i-1].Text == ">" || s.tokens[i-1].Text == "<"
}

// ofOtherPiece reports whether the figure describes the piece that the part is joined to: "onto 10 mm plate".
func (s *state) ofOtherPiece(q *quantity) bool {
	for i := q.from - 1; i >= max(0, q.from-3) && s.sameClause(i, q.from); i-- {
		if e := s.has(s.itemOn(i), kindJoiner); e != nil && e.value == "sure" {
			return true
		}
	}
	return false
}

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

// ofTool reports whether the figure describes a tool or rod: "the 8 in bench grinder", "3.2 mm rods".
func (s *state) ofTool(q *quantity) bool {
	for i := q.to; i < len(s.tokens) && i < q.to+3 && s.sameClause(i, q.from) && s.field[i] == s.field[q.from]; i++ {
		it := s.itemOn(i)
		if e := s.has(it, kindVoid); e != nil && e.value != "before" {
			return true
		}
		if e := s.has(it, kindWord); e != nil && e.key == keyHave {
			return true
		}
		if it != nil && (s.has(it, kindMeasure) != nil || s.names(it, kindSection) != nil) || s.tokens[i].Kind == token.Number {
			return false
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
		if s.tokens[i].Kind == token.Number || s.tokens[i].Break == token.Weak || partsFigure(s.tokens[i].Text) && s.has(it, kindMeasure) == nil {
			break
		}
		if e := s.has(it, kindMeasure); e != nil {
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
			if spark && e.key == keyPartLength {
				return keyLengthIn, it.start, to
			}
			return e.key, it.start, to
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
	return keyNone, from, to
}

// partsFigure reports whether a word parts a figure from what it measures: "worn 3/16 on the diameter".
func partsFigure(word string) bool {
	return word == "on" || word == "from" || word == "at" || word == "in"
}

// takenByFigure reports whether a figure stands right before a dimension word and owns it.
func (s *state) takenByFigure(i int) bool {
	if i == 0 {
		return false
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
	return a >= 0 && s.sameClause(s.items[a].start, q.from) && s.items[a].topic == topicSpark && q.from-s.items[a].end <= 5
}

// timesFollows reports whether a product of sides begins with a figure.
func (s *state) timesFollows(q *quantity) bool {
	if q.from > 0 && s.tokens[q.from-1].Text == "x" {
		return false
	}
	return q.to+1 < len(s.tokens) && s.tokens[q.to].Text == "x" && s.tokens[q.to+1].Kind == token.Number
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
	s.mark(q.from, end, markUsed)
	for i, v := range values {
		s.add(fact{key: into[i], number: v, start: q.from, end: end, from: q.from, to: end})
	}
	return true
}
