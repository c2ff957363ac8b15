package reply

import (
	"fmt"
	"slices"
	"strings"

	"rodcall/engine"
)

// MaxActions is how many words a reply leads on with.
const MaxActions = 5

// actionsFor are the follow-ups that make sense after this judgment.
func actionsFor(j engine.Judgment, c Context) []Action {
	var words []string
	_, test := NextTest(j, c.Cannot)
	switch {
	case open(j, c):
		return questionActions(j.Question, c)
	case j.Decision == stop:
		words = []string{"why", "cautions", "new"}
	case j.Decision == testFirst:
		words = []string{"why", "next", "can't"}
		if !test {
			words = []string{"why", "cautions"}
		}
	default:
		words = []string{"why", "steps", "rods"}
		if test {
			words = append(words, "next")
		}
	}
	for _, more := range c.AfterWords {
		if !slices.Contains(words, more) {
			words = append(words, more)
		}
	}
	var actions []Action
	for _, word := range words[:min(MaxActions, len(words))] {
		actions = append(actions, action(word, c))
	}
	return actions
}

func action(word string, c Context) Action {
	if c.Parts > 1 && word != "new" && word != "undo" {
		word = fmt.Sprintf("%s %d", word, c.Part)
	}
	return Action{Label: word, Say: word}
}

// questionActions are the answers, as many as there is room for beside "skip"; tapping one says it in full.
func questionActions(q *engine.Question, c Context) []Action {
	var actions []Action
	for _, a := range q.Answers[:min(MaxActions-1, len(q.Answers))] {
		say := Clean(a)
		if c.Parts > 1 {
			say = fmt.Sprintf("%d %s", c.Part, say)
		}
		actions = append(actions, Action{Label: clip(a, 24), Say: say})
	}
	return append(actions, action("skip", c))
}

// wordsLine closes the reply: the case, and the words that lead on. Under a question the answers are
// listed already, so only the way around them is told.
// Behind a stop, which may be longer than a screen, they always stand.
func wordsLine(actions []Action, c Context, inFull bool) block {
	var labels []string
	for _, a := range actions {
		labels = append(labels, a.Label)
	}
	if n := len(actions); n > 0 && strings.HasPrefix(actions[n-1].Say, "skip") {
		labels = []string{"answer, or say " + actions[n-1].Label}
	}
	text := strings.Join(labels, " - ")
	if c.Case > 0 {
		text = fmt.Sprintf("case%c%d: ", noBreak, c.Case) + text
	}
	two, one := clipLines(wrap(text, "", " "), 2), clipLines(wrap(text, "", " "), 1)
	if inFull {
		return block{cutWords, [][]string{two, one}}
	}
	return may(cutWords, two, one)
}
