package reader

import (
	"cmp"
	"slices"

	"rodcall/engine/reader/token"
)

// unread lists the words that gave no meaning, in the order of the message: stretches without small words
// at their ends, and in a structured field each with the name of its key.
func (s *state) unread(out *Result) {
	s.fieldLeftovers()
	s.leftovers()
	slices.SortStableFunc(s.left, func(a, b unreadSpan) int {
		return cmp.Or(a.from-b.from, a.to-b.to)
	})
	var seen map[string]bool
	if len(s.left) > 1 {
		seen = make(map[string]bool, len(s.left))
	}
	for _, u := range s.left {
		words := s.original(u.from, u.to)
		if u.name != "" {
			words = u.name + `: "` + words + `"`
		}
		if words == "" || seen[words] {
			continue
		}
		if seen != nil {
			seen[words] = true
		}
		out.Unread = append(out.Unread, words)
		out.Left = append(out.Left, token.Span{Start: s.tokens[u.from].Start, End: s.tokens[u.to-1].End})
	}
}

// silent are the phrases that say nothing when nothing needs them.
func (s *state) silent(it *item) bool {
	if it.kind == kindPart {
		return true
	}
	switch it.kind {
	case kindTopic, kindSection, kindMeasure, kindPlace, kindTurn, kindDegree, kindThan, kindNegator, kindHedge, kindAsker, kindNumeral,
		kindOrder, kindCorrector, kindBy, kindJoiner, kindVoid, kindUnit, kindBound, kindChatter, kindScale, kindThing:
		return true
	}
	return false
}

// open reports whether token i says something that nobody has read.
func (s *state) open(i int) bool {
	if s.marks[i]&(markUsed|markHeard|markOrdered) != 0 {
		return false
	}
	t := &s.tokens[i]
	if t.Kind == token.Mark || t.Kind == token.Other || t.Kind == token.Unit && (i == 0 || s.tokens[i-1].Kind != token.Number) {
		return false
	}
	if t.Kind == token.Word && len(t.Text) == 1 && s.words[i] == 0 && !t.Has(token.Glued) {
		return false
	}
	if s.isCount(i) {
		return false
	}
	if it := s.itemOn(i); it != nil && s.silent(it) {
		return s.has(it, kindUnit) != nil && i > 0 && s.tokens[i-1].Kind == token.Number && s.marks[i-1]&markUsed == 0
	}
	return !s.isStop(i)
}

// mostCount is up to where a bare figure before a word only counts things: "2 teeth gone".
const mostCount = 24

func (s *state) isCount(i int) bool {
	t := &s.tokens[i]
	if t.Kind != token.Number || t.Has(token.Decimal) || t.Has(token.Fraction) || t.IsRange() || t.Value > mostCount || s.has(s.itemOn(i), kindWord) != nil {
		return false
	}
	return i+1 < len(s.tokens) && s.tokens[i+1].Kind == token.Word && !s.tokens[i+1].Has(token.Glued) && s.has(s.itemOn(i+1), kindUnit) == nil
}

// leftovers gathers the open tokens of each clause into stretches; small words inside them belong to them.
func (s *state) leftovers() {
	for i := 0; i < len(s.tokens); i++ {
		if !s.open(i) {
			continue
		}
		end := i + 1
		for j := end; j < len(s.tokens) && s.sameClause(i, j) && j-end < 2; j++ {
			switch {
			case s.open(j):
				end = j + 1
			case s.tokens[j].Kind == token.Mark && s.tokens[j].Text != "/", s.marks[j]&(markUsed|markHeard) != 0, s.itemOn(j) != nil:
				j = len(s.tokens)
			}
		}
		s.left = append(s.left, unreadSpan{i, end, ""})
		i = end - 1
	}
}

// fieldLeftovers lists what a structured field holds beyond its key's words, with the key's name.
func (s *state) fieldLeftovers() {
	for n := range s.fields {
		f := &s.fields[n]
		if !s.closedField(f.key) {
			continue
		}
		for i := f.from; i < f.to; i++ {
			if !s.strange(i) {
				continue
			}
			end := i + 1
			for end < f.to && s.strange(end) {
				end++
			}
			s.leave(i, end, f.name)
			i = end
		}
	}
}

// closedField reports whether a key takes closed words only.
func (s *state) closedField(k key) bool {
	return closedLists[k] != nil || k == keySpark || k == keySparkSkin || k == keyColorNear || k == keyColorEnd || k == keyClaim ||
		k == keyExcluded || k == keyJoinedTo || k == keyHave || k == keyHardness || k == keyDensity
}

// strange reports whether a token of a structured value has no meaning there.
func (s *state) strange(i int) bool {
	if s.marks[i]&(markUsed|markHeard) != 0 || s.tokens[i].Kind == token.Mark || s.tokens[i].Kind == token.Other {
		return false
	}
	if it := s.itemOn(i); it != nil && (it.kind == kindTopic || it.kind == kindNegator || it.kind == kindDegree || it.kind == kindPlace ||
		it.kind == kindTurn || it.kind == kindChatter || it.kind == kindHedge || it.kind == kindCorrector || it.kind == kindBy) {
		return false
	}
	return s.words[i] == 0 || !s.lexicon.filler[s.words[i]]
}
