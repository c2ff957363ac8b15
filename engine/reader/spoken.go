package reader

// spoken is a figure in words: "forty five", "two hundred and twenty", "point four two". Tokens [from, to).
type spoken struct {
	from, to int
	value    float64
	decimal  bool
}

// longestSpoken bounds a figure in words, in tokens.
const longestSpoken = 8

// spokenAt reads the longest figure in words that begins at token i.
func (s *state) spokenAt(i int) (spoken, bool) {
	sp := spoken{from: i, to: i}
	for sp.to < i+longestSpoken {
		next := sp.to
		if sp.value >= 100 && next < len(s.tokens) && s.tokens[next].Text == "and" {
			next++
		}
		n, end := s.numeralAt(next)
		if end == next || sp.to > i && !continues(sp.value, n) {
			break
		}
		sp.value, sp.to = joinNumerals(sp.value, n), end
	}
	ok := s.spokenDecimals(&sp) || sp.to > i
	return sp, ok
}

// numeralAt is the whole number that the numeral at token i means, and its end; i when there is none.
func (s *state) numeralAt(i int) (n float64, end int) {
	if i >= len(s.tokens) {
		return 0, i
	}
	if nought(s.tokens[i].Text) {
		return 0, i + 1
	}
	it := s.itemOn(i)
	e := s.has(it, kindNumeral)
	if e == nil || it.start != i || e.value != "" || e.factor != float64(int(e.factor)) {
		return 0, i
	}
	return e.factor, it.end
}

func nought(word string) bool { return word == "oh" || word == "zero" || word == "nought" }

// continues reports whether a numeral goes on with the number before it: two hundred | twenty, twenty | five,
// two | twenty (which is how 220 is read off a dial).
func continues(value, n float64) bool {
	whole := int(value)
	switch {
	case n == 0 || n >= 100:
		return false
	case whole >= 100:
		return whole%100 == 0 || whole%10 == 0 && whole%100 >= 20 && n < 10
	case whole >= 20:
		return whole%10 == 0 && n < 10
	}
	return whole > 0 && whole < 10 && n >= 10
}

func joinNumerals(value, n float64) float64 {
	if value > 0 && value < 10 && n >= 10 {
		return value*100 + n
	}
	return value + n
}

// spokenDecimals reads what follows the point, digit by digit: "point four two".
func (s *state) spokenDecimals(sp *spoken) bool {
	if sp.to >= len(s.tokens) || s.tokens[sp.to].Text != "point" {
		return false
	}
	at, digit := sp.to+1, 0.1
	for at < sp.from+2*longestSpoken {
		n, end := s.numeralAt(at)
		if end == at || n >= 100 || n >= 10 && digit < 0.1 {
			break
		}
		if n >= 10 {
			digit /= 10 // "point forty two"
		}
		sp.value += n * digit
		digit, at = digit/10, end
	}
	if at == sp.to+1 {
		return false
	}
	sp.value = round(sp.value)
	sp.to, sp.decimal = at, true
	return true
}

// spokenBefore is the figure in words that ends at token i, when there is one.
func (s *state) spokenBefore(i int) (spoken, bool) {
	var best spoken
	found := false
	for from := i - 1; from >= max(0, i-longestSpoken) && s.numberWord(from); from-- {
		if sp, ok := s.spokenAt(from); ok && sp.to == i {
			best, found = sp, true
		}
	}
	return best, found
}

// numberWord reports whether a token may stand in a figure in words.
func (s *state) numberWord(i int) bool {
	switch text := s.tokens[i].Text; {
	case text == "and", text == "point", nought(text):
		return true
	}
	return s.has(s.itemOn(i), kindNumeral) != nil
}
