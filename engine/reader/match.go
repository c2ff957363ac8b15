package reader

import (
	"slices"

	"rodcall/engine/reader/token"
)

// match covers the message with phrases: from left to right the longest one, parts of the catalogue among
// them. The meaning of a phrase is settled later, by its company.
func (s *state) match() {
	part := 0
	for i := 0; i < len(s.tokens); {
		end, node := s.phraseAt(i)
		guessed := false
		if end == 0 && s.tokens[i].Kind == token.Word && s.words[i] == 0 {
			if w := s.guess(s.tokens[i].Text); w != 0 {
				s.words[i] = w
				end, node = s.phraseAt(i)
				if guessed = end > 0; !guessed {
					s.words[i] = 0
				}
			}
		}
		for part < len(s.parts) && s.parts[part].start < s.tokens[i].Start {
			part++
		}
		if part < len(s.parts) && s.parts[part].start == s.tokens[i].Start && (s.field[i] == keyNone || s.field[i] == keyPart) {
			if stop := s.tokenEndingAt(i, s.parts[part].end); s.partWins(stop-i, end-i, node) || guessed && stop >= end {
				s.addItem(item{start: i, end: stop, tail: s.tailNode(i, stop), kind: kindPart, topic: topicOther, part: part, negator: -1})
				i = stop
				continue
			}
		}
		if end == 0 {
			i++
			continue
		}
		s.addItem(s.itemOf(i, end, node, guessed))
		i = end
	}
}

// looseCode reports whether a letter or two and a short figure stand apart: "P 20" is phosphorus, P20 a steel.
func (s *state) looseCode(i int) bool {
	if i+1 >= len(s.tokens) || s.tokens[i].Kind != token.Word || len(s.tokens[i].Text) > 2 {
		return false
	}
	next := &s.tokens[i+1]
	return next.Kind == token.Number && len(next.Text) <= 2 && !next.Has(token.Glued) && s.has(&item{node: s.single(i)}, kindElement) != nil
}

// single is the node of one word alone.
func (s *state) single(i int) int32 {
	_, node := s.lexicon.longestMatch(s.words[i:i+1], 0)
	return node
}

// phraseReach bounds the length of a phrase with the small words inside it, in tokens.
const phraseReach = 24

// phraseAt is the longest phrase at a token; inside a structured value a word of its key wins a tie.
func (s *state) phraseAt(i int) (end int, node int32) {
	limit := i + 1
	for limit < len(s.tokens) && limit < i+phraseReach && s.field[limit] == s.field[i] {
		limit++
	}
	if s.field[i] == keyChem || s.looseCode(i) {
		limit = i + 1
	}
	end, node = s.lexicon.longestMatch(s.words[:limit], i)
	if s.field[i] == keyNone {
		return end, node
	}
	if fieldEnd, fieldNode := s.lexicon.fieldMatch(s.words[:limit], i); fieldEnd > 0 && fieldEnd >= end && s.valueOf(fieldNode, s.field[i]) {
		return fieldEnd, fieldNode
	}
	return end, node
}

// valueOf reports whether a word of the field trie is one of a key's words.
func (s *state) valueOf(node int32, field key) bool {
	for _, e := range s.lexicon.at[node] {
		k := s.lexicon.entries[e].key
		if k == field || (field == keyColorNear || field == keyColorEnd) && k == keyColor {
			return true
		}
	}
	return false
}

// guess tries a word as typed and without its plural ending.
func (s *state) guess(typed string) word {
	if s.lexicon.plain[typed] || s.lexicon.plain[singular(typed)] {
		return 0
	}
	if w := s.lexicon.guess(typed); w != 0 {
		return w
	}
	if single := singular(typed); single != typed {
		return s.lexicon.guess(single)
	}
	return 0
}

// partWins reports whether a part's name of n tokens beats a phrase of m tokens: the longer one does; of
// equal length a phrase that names a test or gives a value does.
func (s *state) partWins(n, m int, node int32) bool {
	if n <= 0 {
		return false
	}
	if n != m {
		return n > m
	}
	for _, e := range s.lexicon.at[node] {
		switch entry := &s.lexicon.entries[e]; entry.kind {
		case kindTopic, kindMetal, kindScale, kindNegator, kindHedge, kindComparer, kindDegree:
			return false
		case kindWord:
			if keys[entry.key].seen {
				return false
			}
		}
	}
	return true
}

// tokenEndingAt is one past the last token that ends at or before a byte.
func (s *state) tokenEndingAt(i, end int) int {
	for i < len(s.tokens) && s.tokens[i].End <= end {
		i++
	}
	return i
}

func (s *state) addItem(it item) {
	for i := it.start; i < it.end; i++ {
		s.itemAt[i] = int32(len(s.items))
	}
	s.items = append(s.items, it)
}

// itemOf describes a phrase by its rows: the kind is the weightiest of them, the topic that of a row that
// names one or that gives its value without company.
func (s *state) itemOf(start, end int, node int32, guessed bool) item {
	it := item{start: start, end: end, node: node, kind: kindCount, part: -1, negator: -1, guessed: guessed}
	for _, e := range s.lexicon.at[node] {
		entry := &s.lexicon.entries[e]
		it.kind = min(it.kind, entry.kind)
		if entry.kind == kindTopic || entry.topic != topicNone && !entry.conditional() && it.topic == topicNone {
			it.topic = entry.topic
		}
	}
	return it
}

// tailNode is the phrase that a part's name makes in the vocabulary, or its last word alone: a pump shaft is
// a shaft.
func (s *state) tailNode(start, end int) int32 {
	if stop, node := s.lexicon.longestMatch(s.words[:end], start); stop == end {
		return node
	}
	_, node := s.lexicon.longestMatch(s.words[:end], end-1)
	return node
}

// conditional reports whether a row holds only in some company, or is a colour that sparks may have too:
// "silver white" names no topic by itself.
func (e *entry) conditional() bool {
	ofSpark := func(c company) bool { return c.topic == topicSpark }
	return len(e.near) > 0 || e.topic == topicColor && slices.ContainsFunc(e.notNear, ofSpark)
}

// fieldOnly reports whether a row holds only as the value of a structured key.
func (e *entry) fieldOnly() bool {
	for _, c := range e.near {
		if c.field == keyNone {
			return false
		}
	}
	return len(e.near) > 0
}

// names is has, or for a part what its name or last word is in the vocabulary.
func (s *state) names(it *item, k kind) *entry {
	if e := s.has(it, k); e != nil || it == nil || it.tail == 0 {
		return e
	}
	tail := item{node: it.tail}
	return s.has(&tail, k)
}

// has reports whether one of an item's rows is of a kind, and which.
func (s *state) has(it *item, k kind) *entry {
	if it == nil || s.lexicon.kinds[it.node]&(1<<k) == 0 {
		return nil
	}
	for _, e := range s.lexicon.at[it.node] {
		if s.lexicon.entries[e].kind == k {
			return &s.lexicon.entries[e]
		}
	}
	return nil
}
