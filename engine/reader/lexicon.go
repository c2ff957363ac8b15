package reader

import (
	"strconv"
	"strings"

	"rodcall/engine/data"
	"rodcall/engine/reader/token"
)

// word is a folded word of the vocabulary; 0 is a word that the vocabulary does not hold.
type word int32

// entry is one row of the vocabulary, ready for matching.
type entry struct {
	phrase  string
	kind    kind
	key     key
	value   string
	negated string // value under a negation; "-" is understood and says nothing; "" is not read
	weak    string // value under "slightly", "hardly"; "" means that the degree changes nothing
	role    string // what a place, comparison, element or job word is about
	near    []company
	notNear []company
	topic   topic
	factor  float64
	id      bool // the phrase is an id of the contract
	words   int  // length of the phrase
}

// company is a condition on what stands around a phrase: a topic, the value of a structured key, a word, or
// nothing at all in its clause.
type company struct {
	topic topic
	field key
	word  word
	alone bool
}

// lexicon holds every phrase in one trie over words.
type lexicon struct {
	forms   map[string]word   // folded form, as typed or singular → word
	same    map[string]string // spelling → the spelling that the vocabulary uses
	steps   map[uint64]int32  // node and word → node
	at      [][]int32         // node → entries that end there
	entries []entry
	kinds   []uint64 // by node: the kinds of its entries, one bit each
	filler  []bool   // by word: a small word
	inside  []bool   // by word: may stand inside a phrase without being named there
	stop    []bool   // by word: says nothing by itself
	near    map[string][]word
	names   []string        // word → its text
	plain   map[string]bool // words of the language that are never taken for typing errors
	longest int
	tags    *data.Tags
	tokens  []token.Token // of the phrase that is being added
}

func (l *lexicon) word(text string) word {
	text = l.canonical(text)
	if w, ok := l.forms[text]; ok {
		return w
	}
	w := word(len(l.names))
	l.forms[text] = w
	l.names = append(l.names, text)
	l.filler = append(l.filler, false)
	l.stop = append(l.stop, false)
	l.inside = append(l.inside, false)
	return w
}

// canonical is the form under which a word is kept: the vocabulary's spelling, singular.
func (l *lexicon) canonical(text string) string {
	if same, ok := l.same[text]; ok {
		return same
	}
	single := singular(text)
	if single != text {
		if same, ok := l.same[single]; ok {
			return same
		}
	}
	return single
}

// singular takes the plural or third-person ending off.
func singular(text string) string {
	n := len(text)
	if n < 4 || text[n-1] != 's' {
		return text
	}
	switch text[n-2] {
	case 's', 'u', 'i':
		return text
	case 'e':
		if n > 4 && text[n-3] == 'i' {
			return text[:n-3] + "y"
		}
		for _, ending := range []string{"sses", "ches", "shes", "xes", "zes"} {
			if strings.HasSuffix(text, ending) {
				return text[:n-2]
			}
		}
	}
	return text[:n-1]
}

// The roots of the trie: phrases of running text, and words that hold only as values of structured keys.
const (
	rootPhrases int32 = iota
	rootFields
	roots
)

// add puts an entry under its phrase.
func (l *lexicon) add(e entry) {
	node := rootPhrases
	if e.fieldOnly() {
		node = rootFields
	}
	tokens := token.Scan(e.phrase, l.tokens[:0])
	l.tokens = tokens
	for i := range tokens {
		w := l.word(tokenText(&tokens[i]))
		step := uint64(node)<<32 | uint64(uint32(w))
		next, ok := l.steps[step]
		if !ok {
			next = int32(len(l.at))
			l.at = append(l.at, nil)
			l.steps[step] = next
		}
		node = next
	}
	e.words = len(tokens)
	l.longest = max(l.longest, len(tokens))
	l.at[node] = append(l.at[node], int32(len(l.entries)))
	l.entries = append(l.entries, e)
}

// tokenText is the text under which a token is looked up: figures with a comma as if with a point.
func tokenText(t *token.Token) string {
	if t.Kind == token.Number && t.Has(token.Comma|token.Decimal) {
		return strconv.FormatFloat(t.Value, 'f', -1, 64)
	}
	return t.Text
}

// classes adds the consumable classes under their own names.
func (l *lexicon) classes(faults *data.Faults) {
	for _, class := range classNames(faults) {
		e := entry{phrase: class, kind: kindWord, key: keyHave, value: class, negated: "-"}
		if !tellsItself(strings.ToLower(class)) || strings.ContainsAny(class, " (") {
			e.near = []company{{field: keyHave}}
		}
		l.add(e)
	}
}

// lookup is the word of a token, 0 when the vocabulary does not hold it.
func (l *lexicon) lookup(t *token.Token) word {
	text := tokenText(t)
	if w, ok := l.forms[text]; ok {
		if same, other := l.same[text]; other {
			return l.forms[same]
		}
		return w
	}
	if t.Kind != token.Word {
		return 0
	}
	if same, ok := l.same[text]; ok {
		return l.forms[same]
	}
	single := singular(text)
	if same, ok := l.same[single]; ok {
		return l.forms[same]
	}
	return l.forms[single]
}

// fillers that may stand between the words of a phrase.
const fillersInside = 2

// longestMatch walks the trie from token i and returns the end of the longest phrase and its node; node 0
// is no match. Small words inside a phrase are passed over.
func (l *lexicon) longestMatch(words []word, i int) (end int, node int32) {
	at, skipped := rootPhrases, 0
	for j := i; j < len(words); j++ {
		next, ok := int32(0), false
		if words[j] != 0 {
			next, ok = l.step(at, words[j])
			if ok && skipped > 0 && l.filler[words[j]] && l.filler[words[j-1]] {
				next, ok = 0, false // "spark on the outside" does not hold "spark the"
			}
		}
		if !ok {
			if j == i || words[j] == 0 || !l.inside[words[j]] || skipped == fillersInside {
				return end, node
			}
			skipped++
			continue
		}
		at = next
		if len(l.at[at]) > 0 {
			end, node = j+1, at
		}
	}
	return end, node
}

// fieldMatch is the longest word of a structured key at token i; node 0 is none.
func (l *lexicon) fieldMatch(words []word, i int) (end int, node int32) {
	at := rootFields
	for j := i; j < len(words) && words[j] != 0; j++ {
		next, ok := l.step(at, words[j])
		if !ok {
			return end, node
		}
		if at = next; len(l.at[at]) > 0 {
			end, node = j+1, at
		}
	}
	return end, node
}

func (l *lexicon) step(node int32, w word) (int32, bool) {
	next, ok := l.steps[uint64(node)<<32|uint64(uint32(w))]
	return next, ok
}
