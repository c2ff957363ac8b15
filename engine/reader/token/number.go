package token

import (
	"strconv"
	"unicode/utf8"
)

// pointBegins reports whether a point begins a figure (".42"): digits follow, and no figure or longer
// word touches it before ("C.42" is an analysis, "end.42" the end of a sentence).
func (s *scanner) pointBegins() bool {
	if !s.digitFollows(s.at+1) || s.at+1 < len(s.text) && s.text[s.at+1] == ' ' {
		return false
	}
	t := s.last()
	if t == nil || s.gap {
		return true
	}
	return t.Kind == Mark || t.Kind == Word && len(t.Text) <= 2 && t.Text != "no"
}

// digitFollows reports whether a figure begins at i, one space allowed.
func (s *scanner) digitFollows(i int) bool {
	if i < len(s.text) && s.text[i] == ' ' {
		i++
	}
	return i < len(s.text) && isDigit(s.text[i])
}

// figure is one figure without sign or range.
type figure struct {
	end        int
	value, alt float64
	flags      Flag
}

// number reads a figure and, when another one follows a dash upwards, the range of both.
func (s *scanner) number() {
	start := s.at
	f := s.figureAt(start)
	if f.end == start { // ".4.2" is no figure
		s.mark(".", 1, Sentence)
		return
	}
	high := f.value
	if end, top, flags, ok := s.rangeAt(f); ok {
		f.end, high = end, top
		f.flags |= flags
	}
	text := s.text[start:f.end]
	s.push(Token{Start: start, End: f.end, Text: text, Kind: Number, Value: f.value, High: high, Alt: f.alt, Flags: f.flags})
	s.at = f.end
}

// rangeAt reads "-230" after 210: a dash, with or without a space on both sides, and a greater figure that
// nothing continues. 17-4 and 1045-3-2 are no ranges.
func (s *scanner) rangeAt(low figure) (end int, high float64, flags Flag, ok bool) {
	i := low.end
	spaced := i < len(s.text) && s.text[i] == ' '
	if spaced {
		i++
	}
	size := s.dashAt(i)
	if size == 0 {
		return 0, 0, 0, false
	}
	i += size
	if spaced != (i < len(s.text) && s.text[i] == ' ') {
		return 0, 0, 0, false
	}
	if spaced {
		i++
	}
	if i >= len(s.text) || !isDigit(s.text[i]) && s.text[i] != '.' {
		return 0, 0, 0, false
	}
	f := s.figureAt(i)
	if f.end == i || f.value <= low.value || s.dashAt(f.end) > 0 {
		return 0, 0, 0, false
	}
	return f.end, f.value, f.flags, true
}

// dashAt is the length of the dash at i, 0 when there is none.
func (s *scanner) dashAt(i int) int {
	if i >= len(s.text) {
		return 0
	}
	if s.text[i] == '-' {
		return 1
	}
	if s.text[i] < utf8.RuneSelf {
		return 0
	}
	r, size := utf8.DecodeRuneInString(s.text[i:])
	if foldSign(r) == '-' {
		return size
	}
	return 0
}

// figureAt reads one figure: 45  0.5  .42  0,5  1,200  3/4  1-1/2  1 1/2  1½  ½.
func (s *scanner) figureAt(start int) figure {
	if v, size := s.vulgarAt(start); size > 0 {
		return figure{end: start + size, value: v, flags: Fraction}
	}
	end := s.digits(start)
	if wide := s.wideDigits(start); wide > end {
		return figure{end: wide}
	}
	whole := parse(s.text[start:end])
	if s.isByte(end, '.') && !(start > 0 && end > start && s.text[start-1] == '.') {
		if stop := s.digits(end + 1); stop > end+1 && !s.moreParts(stop, '.') {
			return figure{end: stop, value: parse(s.text[start:stop]), flags: Decimal}
		}
		return figure{end: end, value: whole}
	}
	if s.isByte(end, ',') {
		if f, ok := s.comma(start, end); ok {
			return f
		}
	}
	return s.fraction(start, end, whole)
}

// moreParts reports whether separator and digit follow: dates, versions and lists are no decimals.
func (s *scanner) moreParts(i int, separator byte) bool {
	return s.isByte(i, separator) && i+1 < len(s.text) && isDigit(s.text[i+1])
}

// comma reads 1,200 (thousands, other reading 1.2) and 0,5 (decimal; other reading: a list). Longer rows of
// commas are thousands or a list.
func (s *scanner) comma(start, end int) (figure, bool) {
	stop := s.digits(end + 1)
	before, after := end-start, stop-end-1
	if before == 0 || before > 3 || after == 0 || start > 0 && s.text[start-1] == ',' {
		return figure{}, false
	}
	decimal := parse(s.text[start:end] + "." + s.text[end+1:stop])
	if s.moreParts(stop, ',') {
		return s.thousands(start, end)
	}
	if after == 3 && s.text[start] != '0' {
		f := figure{end: stop, value: parse(s.text[start:end] + s.text[end+1:stop]), alt: decimal, flags: Comma}
		if s.isByte(stop, '.') {
			if last := s.digits(stop + 1); last > stop+1 {
				f.value += parse("0" + s.text[stop:last])
				f.end, f.flags, f.alt = last, Decimal, 0
			}
		}
		return f, true
	}
	return figure{end: stop, value: decimal, flags: Comma | Decimal}, true
}

// mostGroups bounds the look ahead: longer rows of three figures are a list.
const mostGroups = 4

// thousands reads 1,200,000; other rows of figures with commas are a list.
func (s *scanner) thousands(start, end int) (figure, bool) {
	value := parse(s.text[start:end])
	for groups := 0; s.moreParts(end, ','); groups++ {
		stop := s.digits(end + 1)
		if stop-end-1 != 3 || groups == mostGroups {
			return figure{}, false
		}
		value = value*1000 + parse(s.text[end+1:stop])
		end = stop
	}
	return figure{end: end, value: value}, true
}

// fraction reads what may follow a whole figure: a stroke and denominator, or a fraction of its own.
func (s *scanner) fraction(start, end int, whole float64) figure {
	if part, stop := s.stroke(start, end); stop > 0 {
		return figure{end: stop, value: part, flags: Fraction}
	}
	plain := figure{end: end, value: whole}
	if end-start > 2 {
		return plain
	}
	if v, size := s.vulgarAt(end); size > 0 {
		return figure{end: end + size, value: whole + v, flags: Fraction}
	}
	if !s.isByte(end, '-') && !s.isByte(end, ' ') {
		return plain
	}
	if v, size := s.vulgarAt(end + 1); size > 0 {
		return figure{end: end + 1 + size, value: whole + v, flags: Fraction}
	}
	numerator := s.digits(end + 1)
	if part, stop := s.stroke(end+1, numerator); stop > 0 && part < 1 {
		return figure{end: stop, value: whole + part, flags: Fraction}
	}
	return plain
}

// stroke reads 3/4: the denominator is one that a rule or tape shows, and nothing continues it.
func (s *scanner) stroke(start, end int) (float64, int) {
	if end == start || end-start > 2 || !s.isByte(end, '/') && s.strokeSize(end) == 0 {
		return 0, 0
	}
	from := end + max(1, s.strokeSize(end))
	stop := s.digits(from)
	switch s.text[min(from, len(s.text)):stop] {
	case "2", "3", "4", "8", "16", "32", "64":
	default:
		return 0, 0
	}
	if s.isByte(stop, '/') || s.moreParts(stop, '.') {
		return 0, 0
	}
	numerator, denominator := parse(s.text[start:end]), parse(s.text[from:stop])
	if numerator == 0 || numerator >= 4*denominator {
		return 0, 0
	}
	return numerator / denominator, stop
}

func (s *scanner) strokeSize(i int) int {
	if i >= len(s.text) || s.text[i] < utf8.RuneSelf {
		return 0
	}
	r, size := utf8.DecodeRuneInString(s.text[i:])
	if foldSign(r) == '/' {
		return size
	}
	return 0
}

func (s *scanner) vulgarAt(i int) (float64, int) {
	if i >= len(s.text) || s.text[i] < utf8.RuneSelf {
		return 0, 0
	}
	r, size := utf8.DecodeRuneInString(s.text[i:])
	if v, ok := vulgar(r); ok {
		return v, size
	}
	return 0, 0
}

func (s *scanner) isByte(i int, c byte) bool { return i < len(s.text) && s.text[i] == c }

func (s *scanner) digits(i int) int {
	for i < len(s.text) && isDigit(s.text[i]) {
		i++
	}
	return i
}

// wideDigits skips full-width digits, whose value is left out: they come with text that this reader does not know.
func (s *scanner) wideDigits(i int) int {
	for i < len(s.text) {
		r, size := utf8.DecodeRuneInString(s.text[i:])
		if !isFullWidthDigit(r) {
			break
		}
		i += size
	}
	return i
}

// longest is how many digits a figure may have: longer rows are serial numbers, whose value is not used.
const longest = 15

func parse(digits string) float64 {
	if len(digits) > longest {
		return 0
	}
	v, err := strconv.ParseFloat(digits, 64)
	if err != nil {
		return 0
	}
	return v
}
