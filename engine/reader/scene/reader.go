// Package scene reads from a message what surrounds a job: the place, the coat, what is shut and what
// is open, who stands by, and which kind of thing a dangerous word means. It speaks the tags of the
// safety rules and knows nothing of the odds of metals.
//
// Triggers fire on tags, never on bare words: a word with several meanings is decided by the words
// beside it, by the whole part that the message names, or it raises the one question that decides it.
// The vocabulary is data: scene_words.csv, word_tags.csv, part_tags.csv and the tables beside them.
package scene

import (
	"io/fs"

	"rodcall/engine/data"
	"rodcall/engine/observation"
	"rodcall/engine/reader/token"
)

// Reader reads scenes; immutable after New, safe for concurrent use.
type Reader struct {
	tags      *data.Tags
	lexicon   lexicon
	trie      trie
	uses      []use     // by phrase
	phrases   [][]int32 // the words of each phrase
	entries   []entry
	senses    []sense
	parts     map[string]partEntry
	partNames []string        // in the order of the table
	attached  map[int]string  // tag of a vessel → what is asked when only a loose thing of it is named
	settled   map[string]bool // questions that the head of a compound answers: a spring bracket is no spring
	questions map[string]bool
	corrects  []bool  // by word: begins a correction
	rpm       []int32 // ids of the words that mean turns a minute
	sizeUnits map[int32]float64
	rim       [2]int // tags slow and fast
}

// Part is a whole part that the message names, by its name in parts.csv, and where its words stand.
// End is zero when the place is not known.
type Part struct {
	Name       string
	Start, End int
}

// Span is a value and the bytes of the message that it came from.
type Span struct {
	Key, Value string
	Start, End int
}

// Found is what a message says of the scene.
type Found struct {
	Scene   observation.Scene
	Process []string
	Test    []string
	Service []string
	Spans   []Span       // one for each value read from words, in the order of the message
	Words   []token.Span // the bytes that were understood, in order, without overlaps
}

// usualPhrases is about how many phrases the vocabulary holds: room that need not be made again and again.
const usualPhrases = 13 << 10

// New loads the vocabulary. Every fault of the tables goes into faults.
func New(files fs.FS, faults *data.Faults) *Reader {
	r := &Reader{tags: data.LoadTags(files, faults), lexicon: newLexicon(), trie: newTrie(), parts: map[string]partEntry{},
		uses: make([]use, 0, usualPhrases), phrases: make([][]int32, 0, usualPhrases), attached: map[int]string{}, settled: map[string]bool{}, questions: map[string]bool{}}
	r.readQuestions(files, faults)
	r.readVariants(files, faults)
	r.readSigns(files, faults)
	r.readSenses(files, faults)
	r.readWords(files, faults)
	r.findCompounds()
	r.readParts(files, faults)
	r.readNames(files, faults)
	r.readAttachments(files, faults)
	r.prepareRim()
	r.prepareCorrections()
	r.lexicon.settle()
	r.trie.settle(len(r.lexicon.ids))
	return r
}

// prepareCorrections notes the words that begin a correction, so that other clauses are not looked at.
func (r *Reader) prepareCorrections() {
	r.corrects = make([]bool, len(r.lexicon.ids))
	for i := range r.uses {
		if r.uses[i].sign&corrects != 0 {
			r.corrects[r.phrases[i][0]] = true
		}
	}
}

func (r *Reader) mayCorrect(word int32) bool { return word >= 0 && r.corrects[word] }

// Read reads a message of which the given whole parts are known by name.
func (r *Reader) Read(text string, parts ...string) Found {
	named := make([]Part, len(parts))
	for i, name := range parts {
		named[i].Name = name
	}
	return r.ReadTokens(token.Scan(text, nil), named)
}

// ReadTokens reads a message that is cut into tokens already.
func (r *Reader) ReadTokens(tokens []token.Token, parts []Part) Found {
	m := message{reader: r, tokens: tokens, words: r.lexicon.words(tokens), values: make([]value, 0, 16)}
	m.matchAll()
	m.readSenses()
	m.readParts(parts)
	m.readEntries()
	m.readRim()
	return m.result()
}
