package reader

import "rodcall/engine/reader/token"

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
	if dimension == "length" && s.tokens[i+1].Text == "in" && s.numberAt(i+2) != nil {
		return true // "7018 in 3.2": the rod's own size follows
	}
	return dimension == "" && (i+1 >= len(s.tokens) || s.tokens[i+1].Kind != token.Unit)
}

// numeral reads a length whose figure is in words: "half inch plate", "inch and a half thick".
func (s *state) numeral(it *item) {
	e := s.has(it, kindNumeral)
	q := quantity{from: it.start, to: it.end, raw: e.factor, unit: "length", factor: 25.4, fraction: true}
	if sp, ok := s.spokenAt(it.start); ok {
		q.to, q.raw = sp.to, sp.value
	}
	if e.value == "" && e.factor < 1 && e.factor > 0 && s.measuredNext(q.to) {
		q.value = q.raw * q.factor // "three eighths plate" is of an inch
		s.settle(&q)
		return
	}
	if e.value == "" {
		end, factor, dimension := s.unitAt(q.to)
		if dimension != "length" || s.tokens[q.to].Text == "m" || s.tokens[q.to].Text == "in" && s.placeFollows(q.to+1) {
			return
		}
		q.to, q.factor = end, factor
	}
	q.value = q.raw * q.factor
	s.settle(&q)
}

// measuredNext reports whether what a figure measures is named right behind it.
func (s *state) measuredNext(i int) bool {
	it := s.itemOn(i)
	return it != nil && it.start == i && (s.has(it, kindMeasure) != nil || s.names(it, kindSection) != nil)
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

// negatedFigure reports whether "not" stands right before a figure: "not 3/4" takes a value back. "no" before a figure
// corrects: "3/4, no 7/8".
func (s *state) negatedFigure(i int) bool {
	return i > 0 && s.sameClause(i-1, i) && s.tokens[i-1].Text != "no" && s.has(s.itemOn(i-1), kindNegator) != nil
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

// ofTool reports whether the figure describes a tool or rod: "the 8 in bench grinder", "3.2 mm rods".
func (s *state) ofTool(q *quantity) bool {
	for i := q.to; i < len(s.tokens) && i < q.to+3 && s.sameClause(i, q.from) && s.field[i] == s.field[q.from]; i++ {
		it := s.itemOn(i)
		if e := s.has(it, kindVoid); e != nil && e.value == "" {
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
