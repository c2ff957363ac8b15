// Package reader turns a message of a rep into an observation. It knows words (vocabulary/*.csv), figures
// and scopes; it knows nothing of the odds of metals. Nothing is guessed: what is not understood is listed,
// and a word that may mean two things without company to settle it stays unread.
//
// One pass over the tokens finds phrases, a second resolves each phrase by its company; work grows with the
// length of the text only.
package reader

import (
	"fmt"
	"sync"

	"rodcall/engine/data"
	"rodcall/engine/metal"
	"rodcall/engine/observation"
	"rodcall/engine/reader/token"
)

// Reader reads messages. It is built once, immutable, and safe for concurrent use.
type Reader struct {
	lexicon *lexicon
	parts   partFinder
	metal   func(words string) (family, grade string, ok bool)
	scratch sync.Pool // *state, kept between messages
}

// foundPart is a stretch of a text that names a part; name is empty when it may mean several.
type foundPart struct {
	start, end int
	name       string
}

// partFinder finds the names of parts in a text.
type partFinder func(text string, into []foundPart) []foundPart

// New builds a reader from the catalogue and the team's own words (a CSV with the columns word, kind, means;
// nil means none). Every fault of the vocabulary and of the team's words is reported in one error.
func New(cat *metal.Catalogue, own []byte) (*Reader, error) {
	return build(vocabularyFiles, cat, catalogueParts(cat), own)
}

// Result is a Reading together with the stretches of text that gave no meaning, so that a second reader
// (of the scene) can look at them before they are listed as unread.
type Result struct {
	observation.Reading
	Left  []token.Span // where the words of Unread stand, in the same order; an empty span has no place
	Parts []Part       // every part that the message names, in its order
}

// Part is a part named in a message. Its Name is empty when the words may mean several parts.
type Part struct {
	token.Span
	Name string
}

// Read says what a message reports.
func (r *Reader) Read(text string) observation.Reading { return r.Result(text).Reading }

// Result is Read with the places of what was not understood.
func (r *Reader) Result(text string) Result {
	s := r.scratch.Get().(*state)
	defer r.scratch.Put(s)
	return s.read(text)
}

func (s *state) read(text string) Result {
	s.begin(text)
	s.structured()
	s.match()
	s.fieldTopics()
	s.scopes()
	s.anchors()
	s.chemistry()
	s.measures()
	s.comparisons()
	s.resolve()
	s.metals()
	out := s.assemble()
	s.text = ""
	return out
}

func build(files dataFiles, cat *metal.Catalogue, parts partFinder, own []byte) (*Reader, error) {
	faults := &data.Faults{}
	l := newLexicon(files, cat, faults)
	l.ownWords(own, cat, faults)
	if err := faults.Err(); err != nil {
		return nil, fmt.Errorf("the reader's words: %w", err)
	}
	l.finish()
	r := &Reader{lexicon: l, parts: parts, metal: cat.FindMetal}
	r.scratch.New = func() any { return &state{reader: r, lexicon: l} }
	return r, nil
}
