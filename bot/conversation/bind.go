package conversation

import (
	"slices"
	"strconv"
	"strings"
	"unicode"

	"rodcall/engine"
	"rodcall/engine/observation"
)

// longestAnswer is the number of words up to which a message is looked at as an answer; a longer one is
// a description.
const longestAnswer = 8

// skips is the effect of words that decline to answer.
const skips = "skips"

// listed says whether words are, letter for letter, an answer that the open question lists.
func (t *turn) listed(said string) bool {
	p := t.current()
	if p == nil || p.Asked == "" {
		return false
	}
	q := t.judge(*p).Question
	return q != nil && slices.ContainsFunc(q.Answers, func(a string) bool { return plain(a) == plain(said) })
}

// hearAnswer binds a piece to the open question of its part. Facts told beside the answer are read too.
// ok is false when the piece answers nothing, and when it only declines to answer.
func (t *turn) hearAnswer(p Part, text string) (h heard, ok bool) {
	if p.Asked == "" {
		return heard{}, false
	}
	said, rest := t.answerIn(p, text)
	if said == "" {
		return heard{}, false
	}
	after, label, effect, _ := t.door.engine.Answer(p.Observation, p.Asked, said)
	h.answer = &Answer{Caution: p.Asked, Words: label, Said: said, Effect: effect, By: t.message.Author, At: t.message.At}
	h.after = &after
	if rest != "" {
		h.reading = t.door.engine.Read(rest)
	}
	return h, true
}

// answerIn finds the words of a piece that answer the open question, and the rest that are facts: the
// whole piece, or a clause of it. Clauses that answer differently answer nothing: an answer may lift a
// stop and is not guessed.
func (t *turn) answerIn(p Part, text string) (said, rest string) {
	text = strings.TrimRight(strings.TrimSpace(text), "?")
	if _, ok := t.means(p, text); ok {
		return text, ""
	}
	var others []string
	label := ""
	for _, clause := range clauses(text) {
		means, ok := t.means(p, clause)
		switch {
		case !ok:
			others = append(others, clause)
		case said != "" && means != label:
			return "", text
		default:
			said, label = clause, means
		}
	}
	return said, strings.Join(others, ", ")
}

// means is the answer to the open question that words give which tell no fact of the part itself.
func (t *turn) means(p Part, words string) (label string, ok bool) {
	if n := len(tokens(words)); n == 0 || n > longestAnswer {
		return "", false
	}
	_, label, effect, ok := t.door.engine.Answer(p.Observation, p.Asked, words)
	if !ok || effect == skips {
		return "", false
	}
	if plain(words) == plain(label) {
		return label, true
	}
	read := t.door.engine.Read(words).Observation
	return label, !hasTest(read) && read.Part == "" && read.Size == nil && len(read.Have) == 0
}

// clauses are the parts of a text between marks.
func clauses(text string) []string {
	var out []string
	for _, clause := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(",.;:!\n", r) }) {
		if clause = strings.TrimSpace(clause); clause != "" {
			out = append(out, clause)
		}
	}
	return out
}

// small are words that say nothing of their own in an answer.
var small = []string{"runs", "goes", "use", "used", "there", "here", "yeah", "mate", "please", "a", "an", "the", "it", "its", "it's", "is", "are", "was", "on", "in", "at", "to", "of", "just", "only", "i", "we", "that", "this", "from", "by", "and", "my", "our"}

// tokens are the words of a text that carry meaning.
func tokens(text string) []string {
	fields := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '\'' && r != '-'
	})
	return slices.DeleteFunc(fields, func(w string) bool { return slices.Contains(small, w) })
}

// hearOutcome reads a bare answer to the test that was proposed ("just drags", "2"), or a comparison of
// the spark that was told before, by putting the test's name before it. Words that are facts of their
// own are left to themselves.
func (t *turn) hearOutcome(p Part, text string, read observation.Reading) (observation.Reading, bool) {
	if len(strings.Fields(text)) > longestAnswer || len(t.factsOf(read.Observation)) > 0 && !onlyColour(read.Observation, p.Test) {
		return observation.Reading{}, false
	}
	said := text
	if seen, ok := t.outcome(p, text); ok {
		said = seen
	}
	if r, ok := t.readAs(p.Test, said); ok {
		return r, true
	}
	if p.Observation.Spark != nil && len(strings.Fields(text)) > 1 {
		return t.readAs("spark", text)
	}
	return observation.Reading{}, false
}

// outcome is what the outcome of the proposed test says whose number was typed.
func (t *turn) outcome(p Part, text string) (seen string, ok bool) {
	n, err := strconv.Atoi(plain(text))
	next, proposed := t.proposed(p)
	if err != nil || !proposed || n < 1 || n > len(next.Outcomes) {
		return "", false
	}
	return next.Outcomes[n-1].Seen, true
}

// leavesOpen lists what could have been seen when a typed number stands for an outcome that names several
// things ("just drags or hangs": both lead to the same weld, but not to the same metal).
func (t *turn) leavesOpen(p Part, text string) []string {
	seen, ok := t.outcome(p, text)
	if !ok {
		return nil
	}
	which := strings.Split(strings.ReplaceAll(seen, ", ", " or "), " or ")
	for _, one := range which {
		if _, reads := t.readAs(p.Test, one); !reads {
			return nil
		}
	}
	if len(which) < 2 {
		return nil
	}
	return which
}

// readAs reads words as the result of a test; ok is false when they are none.
func (t *turn) readAs(test, said string) (r observation.Reading, ok bool) {
	key, _, _ := strings.Cut(test, "-")
	wordings := []string{key + ": " + said, key + " " + said, said}
	if full, known := vocabularyOnce().reads[key+"\t"+plain(said)]; known {
		wordings = []string{full}
	}
	for _, wording := range wordings {
		if r = t.door.engine.Read(wording); t.holds(r.Observation, key) && len(r.Unread) == 0 {
			return r, true
		}
	}
	return observation.Reading{}, false
}

// onlyColour says whether all that was read is a colour while a spark test is open: then it is the spark's.
func onlyColour(o observation.Observation, test string) bool {
	o.Color = nil
	return test == "spark" && len(tokens(strings.Join(o.Marks, " "))) == 0 && o.Part == "" && !hasTest(o) && o.Job == "" && o.Size == nil
}

func (t *turn) proposed(p Part) (engine.NextTest, bool) {
	for _, next := range t.judge(p).NextTests {
		if next.Test == p.Test {
			return next, true
		}
	}
	return engine.NextTest{}, false
}

// holds says whether an observation holds a value of a test's key.
func (t *turn) holds(o observation.Observation, key string) bool {
	if key == "xrf" || key == "libs" || key == "lab" {
		return len(o.Chem) > 0
	}
	for _, f := range t.factsOf(o) {
		if f.Key == key || strings.HasPrefix(f.Key, key+".") || strings.HasPrefix(f.Key, key+"_") {
			return true
		}
	}
	return false
}
