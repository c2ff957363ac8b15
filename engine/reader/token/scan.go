package token

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// scanner walks once over the text. It looks ahead by a bounded number of bytes only.
type scanner struct {
	text   string
	at     int
	out    []Token
	base   int // length of the caller's buffer: tokens before it are not ours
	folded strings.Builder
	gap    bool // space stood before at
	hyphen bool // a single hyphen without spaces stood before at
	quoted bool // inside a quotation that a `"` opened
}

// usualToken is about how many bytes a token and the space behind it take.
const usualToken = 5

// Scan appends the tokens of text to buf and returns the extended slice; a caller that scans often passes
// buf[:0] of an earlier result.
func Scan(text string, buf []Token) []Token {
	if buf == nil {
		buf = make([]Token, 0, len(text)/usualToken+8)
	}
	s := scanner{text: text, out: buf, base: len(buf), gap: true}
	for s.at < len(text) {
		s.step()
	}
	return s.out
}

func (s *scanner) step() {
	c := s.text[s.at]
	switch {
	case isDigit(c), c == '.' && s.pointBegins():
		s.number()
	case isLetter(c):
		s.word()
	case c == '\n':
		s.mark("\n", 1, Sentence)
		s.gap = true
	case c <= ' ', c == 0x7f:
		s.space(1)
	case c < utf8.RuneSelf:
		s.sign(c, 1)
	default:
		s.wide()
	}
}

// wide handles what is not ASCII: letters, folded signs, spaces, emoji, bytes that are no text.
func (s *scanner) wide() {
	r, size := utf8.DecodeRuneInString(s.text[s.at:])
	if r == utf8.RuneError && size <= 1 {
		s.space(1)
		return
	}
	if _, ok := vulgar(r); ok {
		s.number()
		return
	}
	if sign := foldSign(r); sign != 0 {
		s.foldedSign(sign, size)
		return
	}
	switch {
	case r == '→' || r == '⇒':
		s.mark(Arrow, size, Clause)
	case isDiameter(r) && s.digitFollows(s.at+size):
		s.push(Token{Start: s.at, End: s.at + size, Text: "diameter", Kind: Word})
		s.at += size
	case r == '×' || r == '✕' || r == '✖':
		s.push(Token{Start: s.at, End: s.at + size, Text: "x", Kind: Word})
		s.at += size
	case isFullWidthDigit(r):
		s.number()
	case foldLetter(r) != "":
		s.word()
	case unicode.IsSpace(r), r == '\u200b', r == '\ufeff':
		s.space(size)
	case unicode.Is(unicode.Mn, r), r == '\u200d', r == '\ufe0f':
		s.at += size // a combining mark belongs to what stands before it
	default:
		s.push(Token{Start: s.at, End: s.at + size, Text: "", Kind: Other, Break: Clause})
		s.at += size
	}
}

func (s *scanner) space(size int) {
	s.at += size
	s.gap, s.hyphen = true, false
}

func (s *scanner) mark(text string, size int, strength Break) {
	s.push(Token{Start: s.at, End: s.at + size, Text: text, Kind: Mark, Break: strength})
	s.at += size
}

func (s *scanner) unit(text string, size int) {
	s.push(Token{Start: s.at, End: s.at + size, Text: text, Kind: Unit})
	s.at += size
}

func (s *scanner) push(t Token) {
	if !s.gap && len(s.out) > s.base {
		t.Flags |= Glued
	}
	if s.hyphen {
		t.Flags |= Hyphened
	}
	s.gap, s.hyphen = false, false
	s.out = append(s.out, t)
}

// last is the token before, or nil.
func (s *scanner) last() *Token {
	if len(s.out) == s.base {
		return nil
	}
	return &s.out[len(s.out)-1]
}

// touchesNumber reports whether a figure ends right here.
func (s *scanner) touchesNumber() bool {
	t := s.last()
	return t != nil && t.Kind == Number && !s.gap && !s.hyphen
}

var signText = func() (t [128]string) {
	for c := range t {
		t[c] = string(rune(c))
	}
	return t
}()

func (s *scanner) foldedSign(sign byte, size int) {
	if sign == ' ' {
		s.space(size)
		return
	}
	s.sign(sign, size)
}

// sign handles one sign, already folded to ASCII.
func (s *scanner) sign(c byte, size int) {
	if (c == '-' || c == '=') && s.at+1 < len(s.text) && s.text[s.at+1] == '>' {
		s.mark(Arrow, 2, Clause)
		return
	}
	switch c {
	case '"':
		s.doubleQuote(size)
	case '\'':
		s.singleQuote(size)
	case '-':
		s.dash(size)
	case '%':
		s.unit("%", size)
	case degree:
		s.unit("deg", size)
	case '.', '!', '?':
		s.mark(signText[c], size, Sentence)
	case ',', ';', '(', ')', '[', ']', '{', '}', '|', '>', '<', '*':
		s.mark(signText[c], size, Clause)
	case '/', '&', '+':
		s.mark(signText[c], size, Weak)
	default:
		s.mark(signText[c&0x7f], size, None)
	}
}

// dash is a hyphen inside a word or figure, a sign before a figure, or a clause mark with space around it.
func (s *scanner) dash(size int) {
	after := s.at + size
	touched := !s.gap && s.last() != nil && s.last().Kind != Mark
	next := byte(' ')
	if after < len(s.text) {
		next = s.text[after]
	}
	switch {
	case touched && next > ' ' && next != '-':
		s.at, s.hyphen = after, true
	case !touched && isDigit(next):
		s.at = after
		s.gap = true
		s.number()
		s.out[len(s.out)-1].Flags |= Minus
	default:
		for after < len(s.text) && s.text[after] == '-' {
			after++
		}
		s.mark("-", after-s.at, Clause)
	}
}

// doubleQuote is an inch mark after a figure, else a quotation mark. Inside a quotation it closes, unless
// the same line holds a further mark that closes instead (part:"3/4" plate").
func (s *scanner) doubleQuote(size int) {
	if s.touchesNumber() && (!s.quoted || s.closesLater(s.at+size)) {
		s.unit("inch", size)
		return
	}
	s.quoted = !s.quoted
	s.mark(`"`, size, None)
}

const quoteReach = 80 // bytes: how far a closing mark is looked for

func (s *scanner) closesLater(from int) bool {
	to := min(from+quoteReach, len(s.text))
	for i := from; i < to; i++ {
		switch s.text[i] {
		case '\n':
			return false
		case '"':
			before := s.text[i-1]
			return i > from && before != ':' && before != '=' && before != ' '
		}
	}
	return false
}

// singleQuote is a foot mark after a figure, two of them an inch mark; elsewhere it parts nothing.
func (s *scanner) singleQuote(size int) {
	after := s.at + size
	if s.touchesNumber() {
		if after < len(s.text) && s.text[after] == '\'' {
			s.unit("inch", size+1)
			return
		}
		if after >= len(s.text) || !isLetter(s.text[after]) || s.text[after] == 'x' {
			s.unit("foot", size)
			return
		}
	}
	s.mark("'", size, None)
}

// word reads a run of letters; an apostrophe inside is dropped, so "don't" and "dont" are one word.
func (s *scanner) word() {
	start, plain := s.at, true
	i := s.at
	for i < len(s.text) {
		c := s.text[i]
		switch {
		case c >= 'a' && c <= 'z':
			i++
			continue
		case c >= 'A' && c <= 'Z':
			plain = false
			i++
			continue
		}
		size := s.letterAt(i)
		if size == 0 {
			break
		}
		plain = false
		i += size
	}
	text := s.text[start:i]
	if !plain {
		text = s.fold(text)
	}
	s.push(Token{Start: start, End: i, Text: text, Kind: Word, Break: breakOf(text)})
	s.at = i
}

// letterAt is the length of what continues a word at i: a letter beyond ASCII, a combining mark, or an
// apostrophe between letters; 0 when the word ends.
func (s *scanner) letterAt(i int) int {
	c := s.text[i]
	if c == '\'' {
		if i+1 < len(s.text) && isLetter(s.text[i+1]) {
			return 1
		}
		return 0
	}
	if c < utf8.RuneSelf {
		return 0
	}
	r, size := utf8.DecodeRuneInString(s.text[i:])
	switch {
	case r == utf8.RuneError && size <= 1:
		return 0
	case r == '’' || r == '‘' || r == 'ʼ':
		if i+size < len(s.text) && isLetter(s.text[i+size]) {
			return size
		}
		return 0
	case unicode.Is(unicode.Mn, r) || foldLetter(r) != "":
		return size
	}
	return 0
}

// fold writes the folded word into the scanner's own buffer and returns that part of it.
func (s *scanner) fold(word string) string {
	from := s.folded.Len()
	if from == 0 {
		s.folded.Grow(len(s.text) + 8)
	}
	for _, r := range word {
		switch {
		case r >= 'a' && r <= 'z':
			s.folded.WriteByte(byte(r))
		case r >= 'A' && r <= 'Z':
			s.folded.WriteByte(byte(r) + 'a' - 'A')
		case r >= utf8.RuneSelf:
			s.folded.WriteString(foldLetter(r))
		}
	}
	return s.folded.String()[from:]
}
