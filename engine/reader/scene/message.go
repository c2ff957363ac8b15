package scene

import (
	"cmp"
	"slices"

	"rodcall/engine/reader/token"
)

// message is one text being read.
type message struct {
	reader  *Reader
	tokens  []token.Token
	words   []word
	matches []match
	said    []uint64 // bitset of the phrases that stand in the message
	covered []bool   // by word: lies in a phrase that leaves no ambiguity
	used    []bool   // by word: was understood
	values  []value
	asks    []string
	named   []namedPart // the part that the message names, when it is one
}

// value is one tag with the words that it came from; from == to for what came from a part's name.
type value struct {
	tag      int
	from, to int32
}

// matchAll finds every phrase, longest first at each place.
func (m *message) matchAll() {
	m.covered = make([]bool, 2*len(m.words))
	m.used = m.covered[len(m.words):]
	m.covered = m.covered[:len(m.words)]
	m.said = make([]uint64, (m.reader.trie.size+63)/64)
	m.matches = make([]match, 0, 2*len(m.words)+8)
	for i := range m.words {
		m.matches = m.reader.trie.find(m.words, int32(i), m.matches)
	}
	for _, found := range m.matches {
		m.said[found.phrase>>6] |= 1 << (found.phrase & 63)
	}
}

func (m *message) says(phrase int32) bool { return m.said[phrase>>6]&(1<<(phrase&63)) != 0 }

func (m *message) saysAny(phrases []int32) bool {
	return slices.ContainsFunc(phrases, m.says)
}

// readSenses applies scene_words.csv: longer phrases first, a phrase inside a longer one is part of it.
func (m *message) readSenses() {
	var found []match
	for _, f := range m.matches {
		if len(m.reader.uses[f.phrase].senses) > 0 {
			found = append(found, f)
		}
	}
	slices.SortStableFunc(found, func(a, b match) int {
		return cmp.Or(cmp.Compare(b.to-b.from, a.to-a.from), cmp.Compare(a.from, b.from))
	})
	for i, f := range found {
		if inside(f, found[:i]) || m.denied(f) {
			continue
		}
		for _, s := range m.reader.uses[f.phrase].senses {
			m.apply(&m.reader.senses[s], f)
		}
	}
}

func inside(f match, longer []match) bool {
	return slices.ContainsFunc(longer, func(l match) bool {
		return l.from <= f.from && f.to <= l.to && l.to-l.from > f.to-f.from
	})
}

func (m *message) apply(s *sense, f match) {
	if m.saysAny(s.unless) || len(s.near) > 0 && !m.saysAny(s.near) {
		return
	}
	doubtful := m.doubted(f)
	for _, tag := range s.tags {
		if doubtful && m.reader.tags.At(tag).Lifts {
			continue
		}
		m.values = append(m.values, value{tag, f.from, f.to})
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
	for i := range m.matches {
		f := &m.matches[i]
		if f.to > at || at-f.to >= best || m.reader.uses[f.phrase].sign&kind == 0 || m.words[f.from].clause != m.words[at].clause {
			continue
		}
		if m.excused(f) {
			continue
		}
		best = at - f.to
	}
	return best, best <= reach
}

// excused holds for a sign that is part of a longer phrase without that sign: "no idea", "not only".
func (m *message) excused(f *match) bool {
	own := m.reader.uses[f.phrase].sign
	for i := range m.matches {
		l := &m.matches[i]
		if l.from <= f.from && f.to <= l.to && l.to-l.from > f.to-f.from && m.reader.uses[l.phrase].sign&own != own && m.isSign(l.phrase) {
			return true
		}
	}
	return false
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
	for i := range m.matches {
		f := &m.matches[i]
		if f.from <= at && at < f.to && m.reader.uses[f.phrase].sign&blocks != 0 {
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
