package reader

import "rodcall/engine/reader/token"

// mark is what is known of a token beside its text.
type mark uint16

const (
	markUsed     mark = 1 << iota // its meaning is taken
	markHeard                     // understood, says nothing: chatter, a doubt, a question
	markNegated                   // under a negation
	markHedged                    // under a doubt
	markAsked                     // inside a question about what it is
	markOrdered                   // inside an instruction to the program
	markSkin                      // speaks of the outer skin
	markClaimOff                  // inside "say that it is": no claim
)

// item is a phrase found in the message: tokens [start, end).
type item struct {
	start, end int
	node       int32 // entries of the phrase
	tail       int32 // of a part: entries of its last word
	kind       kind
	topic      topic
	part       int // index of the named part, -1 when it is none
	negator    int // item that negates it, -1
	guessed    bool
	acts       bool  // a negation that has found what it negates
	looked     bool  // next and later are known
	next       topic // what the phrase describes: the topic that follows at once
	later      topic // the first topic further on in its clause
}

// fact is a value that a stretch of the message gives to a key.
type fact struct {
	key        key
	value      string
	number     float64
	start, end int // tokens
	from, to   int // tokens of the words that it came from
	skin       bool
	guessed    bool
	by         string
	void       bool
}

// state is the working memory of one reading; it is kept between messages to spare allocations.
type state struct {
	reader  *Reader
	lexicon *lexicon
	text    string
	looks   int // phrases looked up around others: the measure of the work done

	tokens []token.Token
	words  []word
	marks  []mark
	itemAt []int32 // token → item that covers it, -1
	clause []int32 // token → number of its clause
	field  []key   // token → structured key whose value it belongs to
	items  []item
	facts  []fact
	left   []unreadSpan
	notes  []string
	parts  []foundPart
	fields []fieldSpan

	clauses    []clauseSpan
	anchorPrev []int32 // token → last item before it that names a test, in the same sentence; -1
	havePrev   []int32 // token → last item before it in its clause that speaks of rods at hand; -1
}

// clauseSpan is the tokens of a clause; asked clauses end in a question mark.
type clauseSpan struct {
	start, end int
	sentence   int32
	asked      bool
}

// unreadSpan is a stretch of tokens that gave no meaning, with a name before it in a structured field.
type unreadSpan struct {
	from, to int
	name     string
}

func (s *state) begin(text string) {
	s.text, s.looks = text, 0
	s.tokens = token.Scan(text, s.tokens[:0])
	n := len(s.tokens)
	s.words = grow(s.words, n)
	s.marks = grow(s.marks, n)
	s.itemAt = grow(s.itemAt, n)
	s.clause = grow(s.clause, n)
	s.field = grow(s.field, n)
	s.anchorPrev = grow(s.anchorPrev, n)
	s.havePrev = grow(s.havePrev, n)
	s.items, s.facts, s.left, s.fields, s.clauses = s.items[:0], s.facts[:0], s.left[:0], s.fields[:0], s.clauses[:0]
	s.notes = nil // the reading keeps them
	s.parts = s.reader.parts(text, s.parts[:0])
	for i := range s.tokens {
		s.words[i] = s.lexicon.lookup(&s.tokens[i])
		s.itemAt[i] = -1
	}
}

// grow is a zeroed slice of length n on the memory of an earlier one.
func grow[T any](old []T, n int) []T {
	if cap(old) < n {
		return make([]T, n, n+n/2+16)
	}
	old = old[:n]
	clear(old)
	return old
}

// entriesOf are the vocabulary rows of an item.
func (s *state) entriesOf(it *item) []int32 { return s.lexicon.at[it.node] }

func (s *state) mark(from, to int, m mark) {
	for i := from; i < to; i++ {
		s.marks[i] |= m
	}
}

// isStop reports whether a token says nothing by itself: a small word, a mark, a chatter word.
func (s *state) isStop(i int) bool {
	t := &s.tokens[i]
	switch t.Kind {
	case token.Mark, token.Other:
		return true
	case token.Unit:
		return false
	case token.Number, token.Word:
	}
	return s.words[i] != 0 && s.lexicon.stop[s.words[i]]
}

// itemOn is the item that covers token i, nil when there is none.
func (s *state) itemOn(i int) *item {
	s.looks++
	if i < 0 || i >= len(s.itemAt) || s.itemAt[i] < 0 {
		return nil
	}
	return &s.items[s.itemAt[i]]
}

// sameClause reports whether two tokens stand in one clause.
func (s *state) sameClause(i, j int) bool {
	return i >= 0 && j >= 0 && i < len(s.clause) && j < len(s.clause) && s.clause[i] == s.clause[j]
}

// words of the original text from token i up to token j.
func (s *state) original(i, j int) string {
	if i >= j {
		return ""
	}
	return s.text[s.tokens[i].Start:s.tokens[j-1].End]
}
