package token

import (
	"unicode"
	"unicode/utf8"
)

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

func isLetter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' }

func isFullWidthDigit(r rune) bool { return r >= '０' && r <= '９' }

func isDiameter(r rune) bool {
	return r == 'ø' || r == 'Ø' || r == '⌀' || r == '∅' || r == 'φ' || r == 'Φ'
}

// degree stands for the degree sign among the folded signs.
const degree = 1

// foldSign is the ASCII sign that a typographic one stands for, or 0.
func foldSign(r rune) byte {
	switch r {
	case '“', '”', '„', '‟', '″', '〞', '＂', '«', '»':
		return '"'
	case '‘', '’', '‚', '‛', '′', 'ʼ', '´', '＇':
		return '\''
	case '‐', '‑', '‒', '–', '—', '―', '−', '－', '﹣':
		return '-'
	case '°', 'º', '˚':
		return degree
	case '\u00a0', '\u202f', '\u2009', '\u2007', '\u3000':
		return ' '
	case '•', '·', '…', '‧':
		return ';'
	case '∕', '⁄', '／':
		return '/'
	case '：':
		return ':'
	case '，', '、':
		return ','
	case '。':
		return '.'
	case '？', '¿':
		return '?'
	case '！', '¡':
		return '!'
	case '％':
		return '%'
	}
	return 0
}

// vulgar is the value of a one-sign fraction.
func vulgar(r rune) (float64, bool) {
	switch r {
	case '¼':
		return 0.25, true
	case '½':
		return 0.5, true
	case '¾':
		return 0.75, true
	case '⅓':
		return 1.0 / 3, true
	case '⅔':
		return 2.0 / 3, true
	case '⅛':
		return 0.125, true
	case '⅜':
		return 0.375, true
	case '⅝':
		return 0.625, true
	case '⅞':
		return 0.875, true
	}
	return 0, false
}

// latin holds the letters without their accents, from U+00C0 on.
const latin = "AAAAAAACEEEEIIIIDNOOOOO.OUUUUYTsaaaaaaaceeeeiiiidnooooo.ouuuuyty" +
	"AaAaAaCcCcCcCcDdDdEeEeEeEeEeGgGgGgGgHhHhIiIiIiIiIiIiJjKkkLlLlLlLlLlNnNnNnnNnOoOoOoOoRrRrRrSsSsSsSsTtTtTtUuUuUuUuUuUuWwYyYZzZzZzs"

var latinLetter = func() (t [len(latin)]string) {
	for i := range t {
		c := latin[i]
		if c >= 'A' && c <= 'Z' {
			c += 'a' - 'A'
		}
		t[i] = string(c)
	}
	t['Æ'-0xc0], t['æ'-0xc0], t['ß'-0xc0] = "ae", "ae", "ss"
	t['×'-0xc0], t['÷'-0xc0] = "", ""
	return t
}()

// foldLetter is a letter beyond ASCII in lower case without its accent; "" when the rune is no letter.
func foldLetter(r rune) string {
	switch {
	case r >= 0xc0 && int(r) < 0xc0+len(latin):
		return latinLetter[r-0xc0]
	case r >= 'Ａ' && r <= 'Ｚ':
		return signText['a'+r-'Ａ']
	case r >= 'ａ' && r <= 'ｚ':
		return signText['a'+r-'ａ']
	case r == '℃':
		return "c"
	case r == '℉':
		return "f"
	case unicode.IsLetter(r) && r != utf8.RuneError && r != 'º' && r != 'ª':
		return string(unicode.ToLower(r))
	}
	return ""
}
