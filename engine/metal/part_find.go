package metal

import "slices"

// PartSpan is the name of a part in a running text.
type PartSpan struct {
	Start, End int         // byte offsets in the text
	Matches    []PartMatch // best first; P sums to at most 1
}

// FindParts lists the names of parts in a running text, from left to right: at each place the longest known
// name, without overlap. Where names stand side by side ("pump shaft coupling bolt") the last one is the
// head, the span covers all, and the chance is reduced. An everyday sense ("a bit harder", "grinding
// wheel"), and a word behind that names another thing ("bolt hole"), void a match (part_context.csv,
// part_words.csv).
func (c *Catalogue) FindParts(text string) []PartSpan {
	var room [64]token
	var letters [512]byte
	m := matcher{c: c}
	m.toks, _ = tokens(text, room[:0], letters[:0])
	var placedRoom [8]placed
	names := placedRoom[:0]
	for at := 0; at < len(m.toks) && len(names) < maxSpans; {
		found, ok := m.longest(at, len(m.toks), false)
		if !ok || m.void(found, at) {
			at++
			continue
		}
		name := placed{hit: found, from: at, first: at, trust: wholePhrase}
		if c.parts.variants[found.variant].words == 1 {
			name.trust = m.trustOfOne(found, at)
		}
		if last := len(names) - 1; last >= 0 && names[last].end == at && !m.toks[at].gap {
			name.trust, name.first = behindName, names[last].first
			names = names[:last]
		}
		names = append(names, name)
		at = found.end
	}
	return m.spans(names)
}

// maxSpans is more than the parts that anybody names in one message.
const maxSpans = 32

// clueWords is how many words on either side of an ambiguous name may tell which part it means.
const clueWords = 20

// placed is a name at its place: from is its first word, first that of the names before it that it absorbed.
type placed struct {
	hit
	from, first int
	trust       float64
}

// trustOfOne is how far a name of one word is trusted in running text: less behind a word that is not known
// with it, since that may make it another thing ("sling link").
func (m *matcher) trustOfOne(found hit, from int) float64 {
	if from == 0 || m.toks[from].gap {
		return oneWordInRun
	}
	before := m.toks[from-1].folded
	if len(before) < 4 || m.c.parts.kinds[string(before)] != "" || hasDigit(before) {
		return oneWordInRun
	}
	for _, t := range m.c.parts.variants[found.variant].targets {
		if m.c.parts.clues[t.part][string(before)] {
			return oneWordInRun
		}
	}
	return headOfOne
}

func hasDigit(word []byte) bool {
	for _, ch := range word {
		if isDigit(rune(ch)) {
			return true
		}
	}
	return false
}

// spans gives the names their parts. A name of one word that stands in a longer name of the same text ("kiln
// shell ... the kiln") speaks of that part again.
func (m *matcher) spans(names []placed) []PartSpan {
	if len(names) == 0 {
		return nil
	}
	out := make([]PartSpan, len(names))
	for i, n := range names {
		low, high := max(0, n.from-clueWords), min(len(m.toks), n.end+clueWords)
		out[i] = PartSpan{m.toks[n.first].start, m.toks[n.end-1].end, nil}
		if n.first < n.from {
			out[i].Matches = m.namedAndClued(n.first, n.end)
		}
		if out[i].Matches != nil {
			out[i].Matches = m.tip(out[i].Matches, nameAndClue, low, high)
			continue
		}
		out[i].Matches = m.share(n.hit, low, high, n.trust)
	}
	for i, n := range names {
		if j := m.longer(names, i); j >= 0 && n.end-n.from == 1 {
			out[i].Matches = out[j].Matches
		}
	}
	return out
}

// longer is the first name of several words that holds the one word of name i, or -1.
func (m *matcher) longer(names []placed, i int) int {
	word := m.toks[names[i].from].folded
	for j, n := range names {
		for at := n.from; at < n.end && n.end-n.from > 1; at++ {
			if string(m.toks[at].folded) == string(word) {
				return j
			}
		}
	}
	return -1
}

// nearWords is how many words on either side count as near.
const nearWords = 6

// void holds when the words around a match show that no part is meant.
func (m *matcher) void(found hit, from int) bool {
	if found.end < len(m.toks) && !m.toks[found.end].gap && m.c.parts.kinds[string(m.toks[found.end].folded)] == following {
		return true
	}
	for _, v := range m.c.parts.contexts[found.variant] {
		switch n := len(v.words); v.side {
		case "before":
			if from >= n && m.stands(v.words, from-n) {
				return true
			}
		case "after":
			if found.end+n <= len(m.toks) && m.stands(v.words, found.end) {
				return true
			}
		default:
			for i := max(0, from-nearWords); i+n <= min(len(m.toks), found.end+nearWords); i++ {
				if m.stands(v.words, i) {
					return true
				}
			}
		}
	}
	return false
}

func (m *matcher) stands(words [][]byte, at int) bool {
	return slices.EqualFunc(words, m.toks[at:at+len(words)], func(w []byte, t token) bool { return string(w) == string(t.folded) })
}
