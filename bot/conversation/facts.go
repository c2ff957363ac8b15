package conversation

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"rodcall/bot/reply"
	"rodcall/engine"
	"rodcall/engine/observation"
)

// heard is what one piece of a message says of one part.
type heard struct {
	reading observation.Reading
	answer  *Answer                  // answer to the open question
	after   *observation.Observation // the part's facts with what the answer sets
	lost    bool                     // said nothing that can be used
	which   []string                 // things seen that the number of an outcome leaves open
}

// facts adds what a message tells to the case, judges, and says what changed.
func (t *turn) facts(text string) (reply.Reply, error) {
	pieces, problem := t.split(text)
	if problem != "" {
		return t.sentence(problem), nil
	}
	if len(pieces) == 1 {
		return t.onePiece(pieces[0])
	}
	return t.manyPieces(pieces)
}

// onePiece is the ordinary message, about one part.
func (t *turn) onePiece(p piece) (reply.Reply, error) {
	h := t.hear(p)
	if len(h.which) > 0 {
		return t.sentence("Which of them did you see: "+strings.Join(h.which, " / ")+"?", h.which...), nil
	}
	if h.lost && len(h.reading.Notes) > 0 {
		return t.sentence(strings.Join(h.reading.Notes, " ")), nil
	}
	if h.lost {
		return t.nothing(p.text)
	}
	if err := t.openCase(); err != nil {
		return reply.Reply{}, err
	}
	t.remember()
	before, told := t.partBefore(p.part)
	t.add(p.part, h)
	t.passAnswered(p.part, before.Test, h)
	c := t.context(p.part)
	c.Unread, c.Photos, c.Notes = h.reading.Unread, t.message.Files, h.reading.Notes
	if told {
		last := t.judge(before)
		c.Before, c.Again = &last, true
		c.Changes = reply.Changes(before.Observation, t.c.Parts[p.part-1].Observation, c)
		c.AfterWords = []string{"undo"}
		c.Notes = append(t.notes(before, h), h.reading.Notes...)
	}
	return t.call(p.part, c), nil
}

// passAnswered notes that a proposed test was answered: it is not put a second time, even where the facts
// still disagree after it was repeated.
func (t *turn) passAnswered(n int, test string, h heard) {
	if test == "" {
		return
	}
	key, _, _ := strings.Cut(test, "-")
	if slices.Contains(analyses, test) {
		key = "chem"
	}
	for _, entry := range h.reading.Observation.Entries() {
		if entry.Key == key || strings.HasPrefix(entry.Key, key+".") {
			p := &t.c.Parts[n-1]
			p.Cannot = append(slices.Clone(p.Cannot), test)
			return
		}
	}
}

// analyses are the tests that answer with a chemistry.
var analyses = []string{"xrf", "libs", "lab"}

// notes are the sentences that stand under the first line: the answer that was taken, and a hint where a
// message may have been meant for another case.
func (t *turn) notes(before Part, h heard) []string {
	var notes []string
	if h.answer != nil {
		notes = append(notes, `Taken as: "`+h.answer.Words+`".`)
	}
	now := h.reading.Observation.Part
	if now != "" && before.Observation.Part != "" && now != before.Observation.Part {
		notes = append(notes, "Another part? Say undo, then new.")
	}
	return notes
}

// manyPieces is a message about several parts.
func (t *turn) manyPieces(pieces []piece) (reply.Reply, error) {
	var all []heard
	for _, p := range pieces {
		all = append(all, t.hear(p))
	}
	if !slices.ContainsFunc(all, func(h heard) bool { return !h.lost }) {
		return t.nothing(t.message.Text)
	}
	if err := t.openCase(); err != nil {
		return reply.Reply{}, err
	}
	t.remember()
	changed := map[int]bool{}
	for i, p := range pieces {
		if !all[i].lost || p.part > len(t.c.Parts) {
			t.add(p.part, all[i])
			changed[p.part] = true
		}
	}
	var calls []reply.Call
	for n := 1; n <= len(t.c.Parts); n++ {
		if !changed[n] {
			continue
		}
		c := t.context(n)
		j := t.judge(t.c.Parts[n-1])
		c.Kept = t.putBefore(n, j)
		calls = append(calls, reply.Call{Judgment: j, Context: c})
		t.keep(n, j, c)
	}
	c := t.plainContext()
	c.Photos = t.message.Files
	return reply.Parts(calls, c), nil
}

// partBefore is part n as it is before the message; told is false when nothing was told of it yet.
func (t *turn) partBefore(n int) (p Part, told bool) {
	if n > len(t.c.Parts) {
		return Part{}, false
	}
	return t.c.Parts[n-1], true
}

// add merges what was heard into part n, opening it when it is new.
func (t *turn) add(n int, h heard) {
	parts := slices.Clone(t.c.Parts)
	for len(parts) < n {
		parts = append(parts, Part{})
	}
	p := parts[n-1]
	if h.after != nil {
		p.Observation = *h.after
	}
	keepName(&h.reading.Observation, p.Observation)
	p.Observation = t.door.engine.Merge(p.Observation, h.reading.Observation)
	p.Unread = h.reading.Unread
	p.Inch = p.Inch || toldInInches(h.reading.Spans)
	if h.answer != nil {
		others := slices.DeleteFunc(slices.Clone(p.Answers), func(a Answer) bool { return a.Caution == h.answer.Caution })
		p.Answers = append(others, *h.answer)
	}
	parts[n-1] = p
	t.c.Parts, t.c.Current = parts, n-1
}

// keepName drops a later name of the part that only says less: "the casing" of a "pump casing".
func keepName(later *observation.Observation, earlier observation.Observation) {
	words := tokens(later.Part)
	if len(words) == 0 || len(words) >= len(tokens(earlier.Part)) || slices.ContainsFunc(words, func(w string) bool { return !slices.Contains(tokens(earlier.Part), w) }) {
		return
	}
	later.Part = ""
	if later.Scene != nil {
		scene := *later.Scene
		scene.Part, scene.Ask = nil, nil
		later.Scene = &scene
	}
}

var inchMark = regexp.MustCompile(`(?i)["\x{2033}\x{201d}]|[0-9 ]in\b|[0-9]/[0-9]|inch|[0-9' ]ft\b|feet|foot`)

// toldInInches says whether a size was read from words in inches or feet.
func toldInInches(spans map[string]string) bool {
	for key, words := range spans {
		if strings.HasPrefix(key, "size") && inchMark.MatchString(words) {
			return true
		}
	}
	return false
}

// hear reads a piece: as an answer to the open question, as the outcome of the proposed test, as facts.
func (t *turn) hear(p piece) heard {
	before, told := t.partBefore(p.part)
	if told && t.open {
		if h, ok := t.hearAnswer(before, p.text); ok {
			return h
		}
	}
	reading := t.door.engine.Read(p.text)
	if told && t.open && before.Test != "" {
		if which := t.leavesOpen(before, p.text); len(which) > 0 {
			return heard{which: which, lost: true}
		}
		if outcome, ok := t.hearOutcome(before, p.text, reading); ok {
			reading = outcome
		}
	}
	return heard{reading: reading, lost: len(t.factsOf(reading.Observation)) == 0}
}

func (t *turn) factsOf(o observation.Observation) []reply.Fact {
	facts := reply.Facts(o, t.plainContext())
	if o.Scene != nil {
		for _, tag := range slices.Concat(o.Scene.Part, o.Scene.Ask) {
			facts = append(facts, reply.Fact{Key: "scene.part", Label: "tag", Value: tag})
		}
	}
	for _, word := range slices.Concat(o.Process, o.Test) {
		facts = append(facts, reply.Fact{Key: "process", Label: "process", Value: word})
	}
	return facts
}

// nothing answers words in which no fact was found.
func (t *turn) nothing(text string) (reply.Reply, error) {
	if t.message.Files > 0 {
		return t.photo()
	}
	if p := t.current(); p != nil && p.Asked != "" && len(strings.Fields(text)) <= longestAnswer {
		if q := t.judge(*p).Question; q != nil && q.Caution == p.Asked {
			return t.unmatched(q), nil
		}
	}
	return reply.NothingRead(text, vocabularyOnce().meant(text), t.plainContext()), nil
}

// unmatched answers words that are no answer to the open question: not the question again, but what
// would be taken.
func (t *turn) unmatched(q *engine.Question) reply.Reply {
	var answers []string
	for i, a := range q.Answers {
		answers = append(answers, fmt.Sprintf("%d %s", i+1, a))
	}
	text := "I cannot match that to an answer. Say " + strings.Join(answers, "; ") + "; or skip."
	return t.sentence(text, "skip", "why")
}
