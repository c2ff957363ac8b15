package scene

import (
	"slices"

	"rodcall/engine/reader/token"
)

// message is one text being read.
type message struct {
	reader  *Reader
	tokens  []token.Token
	words   []word
	matches []match  // in the order of their first words
	first   []int32  // by word: the first match that begins there
	byName  []int32  // indexes of the matches, ordered by phrase
	said    []uint64 // bitset of the phrases that stand in the message
	covered []bool   // by word: lies in a phrase that leaves no ambiguity
	used    []bool   // by word: was understood
	values  []value
	asks    []string
	named   []namedPart // the whole parts that the message names
}

// value is one tag with the words that it came from; from == to for what came from a part's name.
type value struct {
	tag      int
	from, to int32
}

// longest is the number of words that a phrase may span, gaps included.
const longest = 12

// matchAll finds every phrase at each place.
func (m *message) matchAll() {
	n := len(m.words)
	flags := make([]bool, 2*n)
	m.covered, m.used = flags[:n], flags[n:]
	m.said = make([]uint64, (m.reader.trie.size+63)/64)
	m.matches = make([]match, 0, 2*n+8)
	m.first = make([]int32, n+1)
	m.takeBack()
	for i := range m.words {
		m.first[i] = int32(len(m.matches))
		m.matches = m.reader.trie.find(m.words, int32(i), m.matches)
	}
	m.first[n] = int32(len(m.matches))
	for _, found := range m.matches {
		m.said[found.phrase>>6] |= 1 << (found.phrase & 63)
	}
}

// starting are the matches that begin at words [from,to).
func (m *message) starting(from, to int32) []match {
	return m.matches[m.first[max(from, 0)]:m.first[min(to, int32(len(m.words)))]]
}

// around are the longer matches that hold a whole match.
func (m *message) around(f match, want func(match) bool) bool {
	for _, l := range m.starting(f.to-longest, f.from+1) {
		if f.to <= l.to && l.to-l.from > f.to-f.from && want(l) {
			return true
		}
	}
	return false
}

func (m *message) says(phrase int32) bool { return m.said[phrase>>6]&(1<<(phrase&63)) != 0 }

func (m *message) saysAny(phrases []int32) bool {
	return slices.ContainsFunc(phrases, m.says)
}

// readSenses applies scene_words.csv. A phrase inside a longer one that says something is part of it.
func (m *message) readSenses() {
	for _, f := range m.matches {
		senses := m.reader.uses[f.phrase].senses
		if len(senses) == 0 || m.around(f, m.speaks) || m.denied(f) {
			continue
		}
		for _, s := range senses {
			if m.applies(&m.reader.senses[s]) {
				m.apply(&m.reader.senses[s], f)
			}
		}
	}
}

// speaks reports whether a match says something of the scene here.
func (m *message) speaks(f match) bool {
	for _, s := range m.reader.uses[f.phrase].senses {
		if m.applies(&m.reader.senses[s]) {
			return true
		}
	}
	return false
}

func (m *message) applies(s *sense) bool {
	return !m.saysAny(s.unless) && (len(s.near) == 0 || m.saysAny(s.near))
}

func (m *message) apply(s *sense, f match) {
	doubtful := slices.ContainsFunc(s.tags, func(tag int) bool { return m.reader.tags.At(tag).Lifts }) && m.doubted(f)
	for _, tag := range s.tags {
		if doubtful && m.reader.tags.At(tag).Lifts {
			continue
		}
		m.hold(tag, f)
	}
	m.asks = append(m.asks, s.asks...)
	for i := f.from; i < f.to; i++ {
		m.covered[i] = m.covered[i] || s.covers
		m.used[i] = m.used[i] || len(s.tags)+len(s.asks) > 0
	}
}

// signBefore finds the nearest sign that ends at or before a word of the same clause, at most reach words
// away, and the number of words between.
func (m *message) signBefore(at int32, kind sign, reach int32) (between int32, ok bool) {
	best := reach + 1
	for _, f := range m.starting(at-reach-longest, at) {
		if f.to > at || at-f.to >= best || m.reader.uses[f.phrase].sign&kind == 0 || m.words[f.from].clause != m.words[at].clause {
			continue
		}
		corrected := kind == denies && m.reader.uses[f.phrase].sign&corrects != 0 && (m.words[f.to].article != none || m.answers(f))
		if !corrected && !m.excused(f) { // "no the tail skid" denies nothing
			best = at - f.to
		}
	}
	return best, best <= reach
}

// answers reports whether a "no" answers the question before it and then names something else: "leaf off a
// harrow? no truck leaf spring".
func (m *message) answers(f match) bool {
	if f.from == 0 || m.words[f.from].token == 0 || m.tokens[m.words[f.from].token-1].Text != "?" {
		return false
	}
	asked := m.words[f.from-1].clause
	for i := f.from - 1; i >= 0 && m.words[i].clause == asked; i-- {
		if w := m.words[i]; w.id == m.words[f.to].id || w.stem != none && w.stem == m.words[f.to].id {
			return false // "paint? no paint"
		}
	}
	return true
}

// excused holds for a sign that is part of a longer phrase without that sign: "no idea", "not only".
func (m *message) excused(f match) bool {
	own := m.reader.uses[f.phrase].sign
	return m.around(f, func(l match) bool { return m.reader.uses[l.phrase].sign&own != own && m.isSign(l.phrase) })
}

// isSign reports whether a phrase stands in the table of signs or means something of its own.
func (m *message) isSign(phrase int32) bool {
	return m.reader.uses[phrase].plain || m.reader.uses[phrase].sign != 0 || len(m.reader.uses[phrase].senses) > 0
}

// denied reports whether a word of denial clings to a phrase: "no", "not a", "without any" right before
// it, with at most two words of its own compound between and no preposition or verb; "never" only the
// next word.
func (m *message) denied(f match) bool {
	if _, ok := m.signBefore(f.from, never, 0); ok {
		return true
	}
	between, ok := m.signBefore(f.from, denies, 2)
	if !ok {
		return false
	}
	for i := f.from - between; i < f.from; i++ {
		if m.blocked(i) {
			return false
		}
	}
	return true
}

// blocked reports whether a word ends the reach of a denial.
func (m *message) blocked(at int32) bool {
	for _, f := range m.starting(at-longest, at+1) {
		if at < f.to && m.reader.uses[f.phrase].sign&blocks != 0 {
			return true
		}
	}
	return false
}

// doubted reports whether a phrase stands in doubt: "not sure if", "maybe", "should be".
func (m *message) doubted(f match) bool {
	_, ok := m.signBefore(f.from, doubts, 4)
	return ok
}

// longestSlip is up to how many words the name of a thing that is taken back has.
const longestSlip = 3

// takeBack forgets the name of a thing that the very next words correct: "crane mat? no its the belly plate".
// Only a short clause that holds nothing but a name is taken back, and only for another thing that is named
// with its article.
func (m *message) takeBack() {
	var found []match
	for from := 0; from < len(m.words); {
		to := from + 1
		for to < len(m.words) && m.words[to].clause == m.words[from].clause {
			to++
		}
		if to < len(m.words) && to-from <= longestSlip && m.reader.mayCorrect(m.words[to].id) && m.correctsAt(to, &found) && m.onlyNames(from, to, &found) {
			for i := from; i < to; i++ {
				m.words[i].id, m.words[i].stem, m.used[i] = none, none, true
			}
		}
		from = to
	}
}

// onlyNames reports whether no word of a clause says what is or what befell: "tank empty" is no slip.
func (m *message) onlyNames(from, to int, found *[]match) bool {
	for i := from; i < to; i++ {
		if m.words[i].figure {
			return false
		}
		*found = m.reader.trie.find(m.words, int32(i), (*found)[:0])
		for _, f := range *found {
			use := &m.reader.uses[f.phrase]
			if use.sign&(denies|never|doubts|originates|blocks|happens|corrects) != 0 || use.plain {
				return false
			}
			if int(f.to) == to && to-i == 1 && len(use.senses) > 0 && len(use.parts)+len(use.entries) == 0 {
				return false
			}
		}
	}
	return true
}

// correctsAt reports whether a correction begins at a word and names another thing.
func (m *message) correctsAt(at int, found *[]match) bool {
	*found = m.reader.trie.find(m.words, int32(at), (*found)[:0])
	for _, f := range *found {
		if m.reader.uses[f.phrase].sign&corrects == 0 || int(f.to) >= len(m.words) {
			continue
		}
		if next := int(f.to); m.words[next].article != none {
			return !m.signAlone(next, piece|attaches|spot, found)
		}
		if f.to == int32(at)+1 && m.signAlone(at+1, corrects, found) {
			return m.correctsAt(at+1, found) // "nah sorry its the"
		}
	}
	return false
}

// signAlone reports whether a word by itself is a sign.
func (m *message) signAlone(at int, kind sign, found *[]match) bool {
	*found = m.reader.trie.find(m.words[:at+1], int32(at), (*found)[:0])
	return slices.ContainsFunc(*found, func(f match) bool { return m.reader.uses[f.phrase].sign&kind != 0 })
}
