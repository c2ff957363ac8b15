package scene

import (
	"strings"

	"rodcall/engine/reader/token"
)

// none is the id of a word that the vocabulary does not hold; number is that of any figure ("#").
const (
	none   int32 = -1
	number int32 = 0
	gap    int32 = 1 // "~" in a phrase: up to maxGap words of the same clause
)

// maxGap is how many words "~" may span.
const maxGap = 3

// word is one telling word of a message: articles and marks are left out.
type word struct {
	id     int32 // of the word as written, singular
	stem   int32 // of its verb ("grinding": grind), or none
	token  int32 // index of its token
	clause int32

	article int32 // id of the article right before it, or none
	figure  bool
}

// isArticle holds for the small words that carry nothing of their own. They are skipped in messages and
// phrases alike, but for a phrase that would be one word without them or that ends in one ("spark the").
func isArticle(text string) bool {
	switch text {
	case "the", "a", "an", "my", "his", "her", "its", "our", "your", "their", "this", "that", "these", "those":
		return true
	}
	return false
}

// form is what a word as written stands for: the id of its singular and of its verb.
type form struct{ id, stem int32 }

// lexicon gives every word of the vocabulary its id.
type lexicon struct {
	ids      map[string]int32
	forms    map[string]form // the vocabulary as written, so that most words are found at once
	scratch  phraseScratch
	variants map[string]string // another spelling → the spelling of the vocabulary; a word that maps to itself is no verb form
}

// phraseScratch is the working memory of reading one phrase of the vocabulary.
type phraseScratch struct {
	tokens       []token.Token
	all, telling []int32
}

func newLexicon() lexicon {
	return lexicon{ids: map[string]int32{"#": number, "~": gap}, variants: map[string]string{}}
}

// canonical is the singular of a word in the spelling of the vocabulary.
func (l *lexicon) canonical(text string) string {
	if to, ok := l.variants[text]; ok {
		return to
	}
	one := singular(text)
	if to, ok := l.variants[one]; ok {
		return to
	}
	return one
}

// enter gives a word of the vocabulary its id.
func (l *lexicon) enter(text string) int32 {
	text = l.canonical(text)
	id, ok := l.ids[text]
	if !ok {
		id = int32(len(l.ids))
		l.ids[text] = id
	}
	return id
}

// settle remembers the forms of the whole vocabulary; nothing is entered afterwards.
func (l *lexicon) settle() {
	l.forms = make(map[string]form, len(l.ids)+len(l.variants))
	for text := range l.variants {
		l.forms[text] = form{l.find(text), l.verb(text)}
	}
	for text := range l.ids {
		l.forms[text] = form{l.find(text), l.verb(text)}
	}
}

// form finds what a word of a message stands for.
func (l *lexicon) form(text string) form {
	if f, ok := l.forms[text]; ok {
		return f
	}
	if len(text) < 3 {
		return form{none, none}
	}
	return form{l.find(text), l.verb(text)}
}

func (l *lexicon) find(text string) int32 {
	if id, ok := l.ids[l.canonical(text)]; ok {
		return id
	}
	return none
}

// verb is the id of the verb that a word is a form of, or none.
func (l *lexicon) verb(text string) int32 {
	if l.variants[text] == text {
		return none
	}
	base := ""
	switch {
	case len(text) > 5 && strings.HasSuffix(text, "ing"):
		base = text[:len(text)-3]
	case len(text) > 4 && strings.HasSuffix(text, "ed"):
		base = text[:len(text)-2]
	default:
		return none
	}
	if id, ok := l.ids[base]; ok {
		return id
	}
	if n := len(base); n > 2 && base[n-1] == base[n-2] {
		if id, ok := l.ids[base[:n-1]]; ok {
			return id
		}
	}
	if strings.HasSuffix(text, "ed") {
		if id, ok := l.ids[text[:len(text)-1]]; ok {
			return id
		}
		return none
	}
	return l.findJoined(base)
}

// findJoined looks a verb up with the e that it lost ("scraping": scrape).
func (l *lexicon) findJoined(base string) int32 {
	var buf [24]byte
	if len(base) >= len(buf) {
		return none
	}
	n := copy(buf[:], base)
	buf[n] = 'e'
	if id, ok := l.ids[string(buf[:n+1])]; ok {
		return id
	}
	return none
}

// singular strips the plural of a word, by rule; the same rule runs over the vocabulary.
func singular(text string) string {
	n := len(text)
	switch {
	case n > 4 && strings.HasSuffix(text, "ies"):
		return text[:n-3] + "y"
	case n > 4 && (strings.HasSuffix(text, "ches") || strings.HasSuffix(text, "shes") || strings.HasSuffix(text, "xes") || strings.HasSuffix(text, "sses")):
		return text[:n-2]
	case n > 3 && text[n-1] == 's' && text[n-2] != 's' && text[n-2] != 'u' && text[n-2] != 'i':
		return text[:n-1]
	}
	return text
}

// words are the telling words of a message.
func (l *lexicon) words(tokens []token.Token) []word {
	out := make([]word, 0, len(tokens))
	clause, article := int32(0), none
	for i := range tokens {
		t := &tokens[i]
		if t.Break >= token.Clause {
			clause++
		}
		switch t.Kind {
		case token.Word:
			if isArticle(t.Text) {
				article = l.form(t.Text).id
				continue
			}
			f := l.form(t.Text)
			out = append(out, word{id: f.id, stem: f.stem, token: int32(i), clause: clause, article: article})
		case token.Number, token.Unit:
			out = append(out, word{id: l.form(t.Text).id, stem: none, token: int32(i), clause: clause, article: article, figure: t.Kind == token.Number})
		case token.Mark, token.Other:
		}
		article = none
	}
	return out
}
