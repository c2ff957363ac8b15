package metal

import "strings"

// words parts text into lower-case words of letters, digits, and the points and dashes between digits.
// Apostrophes fall away, everything else separates.
func words(text string) []string {
	var out []string
	var b strings.Builder
	flush := func() {
		if b.Len() > 0 {
			out = append(out, b.String())
			b.Reset()
		}
	}
	runes := []rune(strings.ToLower(text))
	for i, r := range runes {
		switch {
		case isWordRune(r):
			b.WriteRune(r)
		case r == '\'' || r == '’' || r == '%':
		case (r == '.' || r == ',') && between(runes, i, isDigit):
			b.WriteByte('.')
		case r == '-' && between(runes, i, isWordRune):
			b.WriteByte('-')
		default:
			flush()
		}
	}
	flush()
	return out
}

func isWordRune(r rune) bool { return isDigit(r) || r >= 'a' && r <= 'z' || r > 127 }

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

func between(runes []rune, i int, is func(rune) bool) bool {
	return i > 0 && i+1 < len(runes) && is(runes[i-1]) && is(runes[i+1])
}

// fold joins words into one key: what separates two digits becomes a dash, every other separation falls
// away, so that "A 36", "A-36" and "a36", or "65-45-12" and "65 45 12", are one.
func fold(words []string) string {
	var b strings.Builder
	last := byte(0)
	for _, word := range words {
		for i := 0; i < len(word); i++ {
			ch := word[i]
			if ch == '-' {
				if i > 0 && i+1 < len(word) && isDigit(rune(word[i-1])) && isDigit(rune(word[i+1])) {
					b.WriteByte('-')
				}
				continue
			}
			if i == 0 && isDigit(rune(last)) && isDigit(rune(ch)) {
				b.WriteByte('-')
			}
			b.WriteByte(ch)
			last = ch
		}
	}
	return b.String()
}
