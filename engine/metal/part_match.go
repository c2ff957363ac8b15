package metal

import "slices"

// How far a match of part names is trusted (judgement): the whole phrase is a known name; a known name and
// behind it words of the same part; a known name of several words, or of one, stands at its end behind words that are not known with it; a letter was wrong;
// a name of one word stands in running text; another name stands right before it.
const (
	wholePhrase  = 1.0
	nameAndClue  = 0.9
	headOfWords  = 0.8
	headOfOne    = 0.6
	mistyped     = 0.85
	oneWordInRun = 0.85
	behindName   = 0.7
)

// clueWeight is how much more likely a part is, among those that an ambiguous name may mean, when a word
// beside it belongs to that part and not to all of them (judgement).
const clueWeight = 5.0

// longestName is the number of words that a name of a part may span in a text.
const longestName = 8

// hit is a variant that spans some words.
type hit struct {
	variant int32
	end     int // the word after the last one
	typo    bool
}

// matcher is one search over the words of one text.
type matcher struct {
	c    *Catalogue
	toks []token
}

// reach is the state of one longest-name search.
type reach struct {
	from, end int
	whole     bool // only a name that spans all words counts
	best      hit
	ok        bool
	clash     bool // two different mistyped names are equally long
}

// longest is the longest variant that begins at word from and, when whole is set, spans all words to end.
// Of two equally long ones a rightly spelt one wins; two different mistyped ones cancel each other.
func (m *matcher) longest(from, end int, whole bool) (hit, bool) {
	r := reach{from: from, end: end, whole: whole}
	m.try(&r, top, from, false)
	return r.best, r.ok && !r.clash
}

func (m *matcher) try(r *reach, node int32, at int, typo bool) {
	if at > r.from && (!r.whole || at == r.end) {
		m.note(r, m.c.parts.trie.nodes[node].variant, at, typo)
	}
	if at == r.end || at-r.from == longestName || at > r.from && m.toks[at].gap {
		return
	}
	word := m.toks[at].folded
	if m.c.parts.trie.step(node, word[0]) == dead {
		return // plural and mistyped forms keep the first letter
	}
	if next := m.c.parts.trie.walk(node, word); next != dead {
		m.try(r, next, at+1, typo)
	}
	if plural := word[len(word)-1] == 's' || string(word) == "teeth" || string(word) == "feet"; plural {
		m.trySingulars(r, node, at, typo)
	}
	if typo || len(word) < typoLetters || m.c.parts.typos.known[string(word)] {
		return
	}
	for _, candidate := range m.mended(word) {
		if next := m.c.parts.trie.walk(node, candidate); next != dead {
			m.try(r, next, at+1, true)
		}
	}
}

func (m *matcher) trySingulars(r *reach, node int32, at int, typo bool) {
	var room [4][]byte
	var letters [48]byte
	for _, form := range singulars(m.toks[at].folded, room[:0], letters[:0]) {
		if next := m.c.parts.trie.walk(node, form); next != dead {
			m.try(r, next, at+1, typo)
		}
	}
}

// mended lists the words of part names that a word, or its singular, may be mistyped from.
func (m *matcher) mended(word []byte) [][]byte {
	var room [4][]byte
	var letters [48]byte
	candidates := m.c.parts.typos.of(word, nil)
	for _, form := range singulars(word, room[:0], letters[:0]) {
		if m.c.parts.typos.known[string(form)] || m.c.parts.typos.ordinary[string(form)] {
			return nil
		}
		candidates = m.c.parts.typos.of(form, candidates)
	}
	return candidates
}

func (m *matcher) note(r *reach, variant int32, at int, typo bool) {
	if variant < 0 || !r.whole && m.c.parts.variants[variant].phraseOnly {
		return
	}
	found := hit{variant, at, typo}
	switch {
	case !r.ok || found.end > r.best.end || found.end == r.best.end && r.best.typo && !typo:
		r.best, r.ok, r.clash = found, true, false
	case found.end == r.best.end && typo && r.best.typo && !m.sameParts(found.variant, r.best.variant):
		r.clash = true
	}
}

func (m *matcher) sameParts(a, b int32) bool {
	return slices.Equal(m.c.parts.variants[a].targets, m.c.parts.variants[b].targets)
}

// MatchPart says which parts a phrase may name. A known name, however spaced, hyphenated or in the plural,
// gives chances that sum to 1, shared among the parts that it may mean; words of the phrase that belong to
// one of them tip the shares. A known name at the end of the phrase ("hydraulic pump shaft") keeps part of
// the chance; one that stands elsewhere in the phrase gives nothing. Best first; nil when nothing fits.
func (c *Catalogue) MatchPart(phrase string) []PartMatch {
	m := &matcher{c: c}
	m.toks, _ = tokens(phrase, nil, nil)
	for i := range m.toks {
		m.toks[i].gap = false
	}
	if len(m.toks) == 0 || len(m.toks) > maxPhraseWords {
		return nil
	}
	return m.phrase(0, len(m.toks))
}

// maxPhraseWords is more than any phrase that names one part; a longer one is running text.
const maxPhraseWords = 24

func (m *matcher) phrase(from, end int) []PartMatch {
	if found, ok := m.longest(from, end, true); ok {
		return m.share(found, from, end, wholePhrase)
	}
	if at := m.preposition(from, end); at > from {
		return m.headBefore(from, at, end)
	}
	lean, leanEnd := m.trim(from, end)
	if lean != from || leanEnd != end {
		if found, ok := m.longest(lean, leanEnd, true); lean < leanEnd && ok {
			return m.share(found, from, end, wholePhrase)
		}
	}
	if matches := m.namedAndClued(lean, leanEnd); matches != nil {
		return m.tip(matches, nameAndClue, from, end)
	}
	for start := lean + 1; start < leanEnd; start++ {
		found, ok := m.longest(start, leanEnd, true)
		if !ok {
			continue
		}
		trust := headOfWords
		if leanEnd-start == 1 {
			trust = headOfOne
		}
		return m.share(found, from, end, trust)
	}
	return nil
}

// namedAndClued reads "slurry pump impeller": a known name begins the phrase, every word behind it belongs to one
// of its parts, and the last one ends a name of that part.
func (m *matcher) namedAndClued(from, end int) []PartMatch {
	for split := end - 1; split > from; split-- {
		found, ok := m.longest(from, split, true)
		if !ok {
			continue
		}
		matches := slices.Clone(m.c.parts.variants[found.variant].matches)
		matches = slices.DeleteFunc(matches, func(p PartMatch) bool {
			at := m.c.parts.at[p.Part.Name]
			own, head := m.c.parts.clues[at], m.toks[end-1].folded
			return !m.c.parts.heads[at][string(head)] || slices.ContainsFunc(m.toks[split:end], func(t token) bool { return !own[string(t.folded)] })
		})
		if len(matches) > 0 {
			return matches
		}
	}
	return nil
}

// headBefore reads "tooth of the bucket": the head stands before the preposition, what follows says which.
func (m *matcher) headBefore(from, at, end int) []PartMatch {
	tail, tailEnd := m.trim(at+1, end)
	head, headEnd := m.trim(from, at)
	turned := &matcher{c: m.c, toks: slices.Concat(m.toks[tail:tailEnd], m.toks[head:headEnd])}
	if n := len(turned.toks); n > 0 {
		if found, ok := turned.longest(0, n, true); ok {
			return turned.share(found, 0, n, wholePhrase)
		}
	}
	matches := m.phrase(from, at)
	if len(matches) == 0 {
		return nil
	}
	trust := 0.0
	for _, match := range matches {
		trust += match.P
	}
	return m.tip(matches, trust, from, end)
}

// preposition is the first preposition inside the words, or -1. A name that itself holds one ("weld-on
// edge") was found as a whole before.
func (m *matcher) preposition(from, end int) int {
	for i := from + 1; i < end-1; i++ {
		if m.c.parts.kinds[string(m.toks[i].folded)] == preposition {
			return i
		}
	}
	return -1
}

// trim takes the words off both ends that say how the piece is, not which one.
func (m *matcher) trim(from, end int) (int, int) {
	for from < end && m.c.parts.kinds[string(m.toks[from].folded)] == condition {
		from++
	}
	for end > from && m.c.parts.kinds[string(m.toks[end-1].folded)] == condition {
		end--
	}
	return from, end
}

// share gives the parts of a hit their chances; from and end bound the words that may tip them.
func (m *matcher) share(found hit, from, end int, trust float64) []PartMatch {
	if found.typo {
		trust *= mistyped
	}
	matches := slices.Clone(m.c.parts.variants[found.variant].matches)
	return m.tip(matches, trust, from, end)
}

// tip scales matches to sum to trust, with more for a part that the words between from and end speak of.
func (m *matcher) tip(matches []PartMatch, trust float64, from, end int) []PartMatch {
	total := 0.0
	for i := range matches {
		if len(matches) > 1 && m.speaksOf(matches, i, from, end) {
			matches[i].P *= clueWeight
		}
		total += matches[i].P
	}
	for i := range matches {
		matches[i].P *= trust / total
	}
	slices.SortStableFunc(matches, func(a, b PartMatch) int {
		switch {
		case a.P > b.P:
			return -1
		case a.P < b.P:
			return 1
		default:
			return 0
		}
	})
	return matches
}

// speaksOf holds when a word belongs to one of the parts and not to all of them.
func (m *matcher) speaksOf(matches []PartMatch, i, from, end int) bool {
	own := m.c.parts.clues[m.c.parts.at[matches[i].Part.Name]]
	for _, tok := range m.toks[from:end] {
		if m.c.parts.kinds[string(tok.folded)] != "" || !own[string(tok.folded)] {
			continue
		}
		for _, other := range matches {
			if !m.c.parts.clues[m.c.parts.at[other.Part.Name]][string(tok.folded)] {
				return true
			}
		}
	}
	return false
}
