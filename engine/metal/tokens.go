package metal

// token is a word of a running text: folded is lower case without apostrophes, start and end are byte
// offsets of the original.
type token struct {
	folded     []byte
	start, end int
	gap        bool // something other than a space or a dash parts it from the word before
}

// tokenizer parts a text into words.
type tokenizer struct {
	words       []token
	letters     []byte // the folded bytes of all words
	start, from int    // where the open word begins in the text and in letters; start is -1 when none is open
	gap         bool
}

// tokens parts a text into words without touching it, appending to what the caller lends.
func tokens(text string, words []token, letters []byte) ([]token, []byte) {
	t := tokenizer{words: words, letters: letters, start: -1}
	for i := 0; i < len(text); i++ {
		ch := text[i]
		size, letter := wordAt(text, i)
		switch {
		case letter != 0:
			if t.start < 0 {
				t.start, t.from = i, len(t.letters)
			}
			t.letters = append(t.letters, letter)
		case ch == '\'' || size == 3 && isApostrophe(text[i:]):
		case ch == '.' && t.start >= 0 && i+1 < len(text) && isDigit(rune(text[i-1])) && isDigit(rune(text[i+1])):
			t.letters = append(t.letters, '.')
		default:
			t.close(i)
			t.gap = t.gap || ch != ' ' && ch != '-' && ch != '\t'
		}
		i += size - 1
	}
	t.close(len(text))
	return t.words, t.letters
}

func (t *tokenizer) close(end int) {
	if t.start < 0 {
		return
	}
	t.words = append(t.words, token{folded: t.letters[t.from:len(t.letters):len(t.letters)], start: t.start, end: end, gap: t.gap})
	t.start, t.gap = -1, false
}

// wordAt is the lower-case byte of a word that stands at i, or 0, and how many bytes to go on.
func wordAt(text string, i int) (size int, word byte) {
	switch ch := text[i]; {
	case ch >= 'a' && ch <= 'z', ch >= '0' && ch <= '9':
		return 1, ch
	case ch >= 'A' && ch <= 'Z':
		return 1, ch + 'a' - 'A'
	case ch == 0xE2 && i+2 < len(text) && text[i+1] == 0x80: // dashes, quotes and dots of Unicode
		return 3, 0
	case ch >= 0x80:
		return 1, ch
	default:
		return 1, 0
	}
}

func isApostrophe(text string) bool { return len(text) >= 3 && (text[2] == 0x99 || text[2] == 0x98) }

// singulars appends the forms that a word may be the plural of; their bytes go into scratch.
func singulars(word []byte, into [][]byte, scratch []byte) [][]byte {
	n := len(word)
	switch {
	case string(word) == "teeth":
		into = append(into, []byte("tooth"))
	case string(word) == "feet":
		into = append(into, []byte("foot"))
	case n < 3 || word[n-1] != 's' || word[n-2] == 's':
	default:
		into = append(into, word[:n-1])
		if n > 4 && word[n-2] == 'e' {
			into = append(into, word[:n-2])
			into = esSingulars(word, into, scratch)
		}
	}
	return into
}

// esSingulars: knives, shelves, pulleys spelt pullies.
func esSingulars(word []byte, into [][]byte, scratch []byte) [][]byte {
	stem := word[:len(word)-3]
	switch word[len(word)-3] {
	case 'v':
		scratch = append(append(scratch, stem...), "fe"...)
		into = append(into, scratch[:len(scratch)-1], scratch)
	case 'i':
		into = append(into, append(append(scratch, stem...), 'y'))
	}
	return into
}
