package reader

import "strings"

// comparisons reads "shorter than the mild steel bar", "more stars than a bolt": the stream of the part
// beside that of a known piece on the same wheel.
func (s *state) comparisons() {
	for n := range s.fields {
		if s.fields[n].key == keyAgainst {
			s.againstField(&s.fields[n])
		}
	}
	for n := range s.items {
		it := &s.items[n]
		e := s.has(it, kindComparer)
		if e == nil || s.marks[it.start]&markUsed != 0 || !s.sparkSpoken(it) && !s.besideKnown(it, e) {
			continue
		}
		s.comparison(it, e)
	}
}

// againstField reads the printed form: "length less than low-carbon-steel, bursts more than …".
func (s *state) againstField(f *fieldSpan) {
	feature, start := "", f.from
	for i := f.from; i < f.to; i++ {
		switch text := s.tokens[i].Text; text {
		case "length", "volume", "bursts":
			feature, start = text, i
		case "less", "same", "more":
			piece := s.after(i+1, pieceReach, func(j int) bool { return j < f.to && s.familyOf(s.itemOn(j)) != "" })
			if piece < 0 {
				continue
			}
			known := s.itemOn(piece)
			s.mark(start, known.end, markUsed)
			s.add(fact{key: keyAgainst, value: text, by: feature + "/" + s.familyOf(known), start: start, end: known.end, from: start, to: known.end})
		}
	}
}

// Reach of a comparison in tokens: to its "than", and from there to the piece.
const (
	thanReach  = 6
	pieceReach = 6
)

func (s *state) comparison(it *item, e *entry) {
	than := s.than(it)
	if than < 0 {
		s.samePiece(it, e)
		return
	}
	piece := s.after(than+1, pieceReach, func(i int) bool { return s.familyOf(s.itemOn(i)) != "" })
	if piece < 0 {
		return
	}
	known := s.itemOn(piece)
	feature := e.role
	if feature == "" {
		feature = s.feature(it.end, than, e.value)
	}
	if over := s.marks[it.start] | s.marks[known.start]; over&(markHedged|markOrdered|markAsked) != 0 {
		s.mark(it.start, known.end, markHeard)
		return
	}
	value := e.value
	if n := s.negatorBefore(it.start); n >= 0 {
		if value != "same" {
			s.leave(s.items[n].start, known.end, "")
			return
		}
		value = "less" // "not as many bursts as the file"
		s.mark(s.items[n].start, s.items[n].end, markHeard)
	}
	s.mark(it.start, known.end, markUsed)
	s.add(fact{key: keyAgainst, value: value, by: feature + "/" + s.familyOf(known), start: it.start, end: known.end, from: it.start, to: known.end})
}

// than is the token of the "than" or "as" of a comparison: its own last word ("just like"), or one soon after; -1.
func (s *state) than(it *item) int {
	if s.has(&item{node: s.single(it.end - 1)}, kindThan) != nil {
		return it.end - 1
	}
	return s.after(it.end, thanReach, func(i int) bool { return s.has(s.itemOn(i), kindThan) != nil })
}

// samePiece goes on with the piece of the comparison before: "shorter than mild steel, fewer bursts".
func (s *state) samePiece(it *item, e *entry) {
	if e.role == "" || s.negatorBefore(it.start) >= 0 || s.marks[it.start]&(markHedged|markOrdered|markAsked) != 0 {
		return
	}
	if len(s.facts) == 0 || s.facts[len(s.facts)-1].key != keyAgainst {
		s.pieceBefore(it, e)
		return
	}
	last := &s.facts[len(s.facts)-1]
	if it.start-last.end > thanReach || !s.sameSentence(last.end-1, it.start) {
		return
	}
	_, piece, _ := strings.Cut(last.by, "/")
	s.mark(it.start, it.end, markUsed)
	s.add(fact{key: keyAgainst, value: e.value, by: e.role + "/" + piece, start: it.start, end: it.end, from: it.start, to: it.end})
}

// beforeReach is how far before a comparison its piece may have been named, in tokens.
const beforeReach = 12

// pieceBefore reads a piece that was named first: "compared with mild steel the sparks are shorter".
func (s *state) pieceBefore(it *item, e *entry) {
	for i := it.start - 1; i >= max(1, it.start-beforeReach) && s.sameSentence(i, it.start); i-- {
		piece := s.itemOn(i)
		if s.familyOf(piece) == "" || piece.start == 0 {
			continue
		}
		than := piece.start - 1
		for than > 0 && s.isStop(than) && s.has(s.itemOn(than), kindThan) == nil {
			than--
		}
		if s.has(s.itemOn(than), kindThan) == nil || s.marks[piece.start]&(markHedged|markOrdered|markAsked) != 0 {
			return
		}
		from := s.itemOn(than).start
		s.mark(from, piece.end, markUsed)
		s.mark(it.start, it.end, markUsed)
		s.add(fact{key: keyAgainst, value: e.value, by: e.role + "/" + s.familyOf(piece), start: it.start, end: it.end, from: from, to: it.end})
		return
	}
}

// after is the first token from i on, within a reach and the clause, for which a condition holds; -1.
func (s *state) after(i, reach int, holds func(int) bool) int {
	for j := i; j < len(s.tokens) && j < i+reach && s.sameClause(i-1, j); j++ {
		if holds(j) {
			return j
		}
	}
	return -1
}

// feature is what of the stream is compared: named between the comparison and its "than", or before it; ""
// is the whole stream.
func (s *state) feature(from, than int, value string) string {
	for i := from; i < than; i++ {
		if it := s.itemOn(i); it != nil {
			switch {
			case it.topic == topicBurst:
				return "bursts"
			case s.has(it, kindMeasure) != nil:
				return "length"
			case it.topic == topicSpark && value != "same":
				return "volume"
			}
		}
	}
	for i := from - 2; i >= max(0, from-5); i-- {
		if it := s.itemOn(i); it != nil {
			switch {
			case it.topic == topicBurst:
				return "bursts"
			case s.has(it, kindMeasure) != nil:
				return "length"
			}
		}
	}
	return ""
}

// familyOf is the family of a known piece; "" when the item is none.
func (s *state) familyOf(it *item) string {
	if it == nil || it.node == 0 && it.tail == 0 {
		return ""
	}
	if e := s.names(it, kindPiece); e != nil {
		return e.value
	}
	if e := s.metalOf(it); e != nil {
		return firstWord(e.negated)
	}
	return ""
}

func firstWord(list string) string {
	for i := 0; i < len(list); i++ {
		if list[i] == ' ' {
			return list[:i]
		}
	}
	return list
}

// besideKnown reports whether a length or its bursts are compared with a known piece and nothing else of the
// message has that length: "magnet strong, shorter than the mild steel bar". Only sparks are told so.
func (s *state) besideKnown(it *item, e *entry) bool {
	if e.role != "length" && e.role != "bursts" || !s.cleanBefore(s.clauses[s.clause[it.start]].start, it.start) {
		return false
	}
	than := s.than(it)
	return than >= 0 && s.after(than+1, pieceReach, func(i int) bool { return s.familyOf(s.itemOn(i)) != "" }) >= 0
}

// sparkSpoken reports whether the stream of sparks is spoken of around an item.
func (s *state) sparkSpoken(it *item) bool {
	if f := s.field[it.start]; f == keySpark || f == keySparkSkin || f == keyAgainst {
		return true
	}
	if e := s.has(it, kindComparer); e.role == "bursts" {
		return true // "more stars" are of a spark
	}
	if a := s.anchorPrev[it.start]; a >= 0 && s.items[a].topic.suits(topicSpark) {
		return true
	}
	for i := it.end; i < len(s.tokens) && i < it.end+reach && s.sameClause(i, it.start); i++ {
		if other := s.itemOn(i); other != nil && other.topic.suits(topicSpark) {
			return true
		}
	}
	return false
}
