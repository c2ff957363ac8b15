package reply

import (
	"fmt"

	"rodcall/engine"
)

// Call is one part of a case with its judgment and what the reply must know of it.
type Call struct {
	Judgment engine.Judgment
	Context  Context
}

// Parts makes the reply to one message that told of several parts: for each its number, decision, metal
// and the next thing to do, every stop in full.
func Parts(calls []Call, c Context) Reply {
	counts := []string{"NO", "ONE", "TWO", "THREE", "FOUR", "FIVE"}
	count := fmt.Sprint(len(calls))
	if len(calls) < len(counts) {
		count = counts[len(calls)]
	}
	blocks := []block{whole(paragraph(count + " PARTS. I keep them apart:"))}
	var actions []Action
	for _, call := range calls {
		call.Context.Parts = len(calls)
		blocks = append(blocks, partBlocks(call.Judgment, call.Context)...)
		if len(actions) < MaxActions {
			actions = append(actions, action(partAction(call.Judgment, call.Context), call.Context))
		}
	}
	if c.Photos > 0 {
		blocks = append(blocks, may(cutNote, paragraph("Photo kept; I read no metal from a photo.")))
	}
	blocks = append(blocks, may(cutHazard, paragraph("Write the number before each new fact: \"2 magnet none\".")))
	blocks = append(blocks, wordsLine(actions, c, true))
	return Reply{Case: c.Case, Lines: fit(blocks, MaxLines), Actions: actions}
}

func partAction(j engine.Judgment, c Context) string {
	switch {
	case open(j, c) || j.Decision == stop:
		return "why"
	case j.Decision == testFirst:
		return "next"
	}
	return "steps"
}

// partBlocks is one part in short: the headline, then what to do next.
func partBlocks(j engine.Judgment, c Context) []block {
	head := headline(j, c).lines()
	blocks := []block{{cutHead, [][]string{head, clipLines(head, 2)}}}
	switch {
	case open(j, c):
		ask := wrap(bothDegrees(j.Question.Ask, c)+" ("+shortAnswers(j.Question)+")", "  ", "  ")
		blocks = append(blocks, block{cutAnswers, [][]string{ask, clipLines(wrap(bothDegrees(j.Question.Ask, c), "  ", "  "), 2)}})
		return append(blocks, fullStops(j, c, j.Question.Caution)...)
	case j.Decision == stop:
		return append(blocks, fullStops(j, c, "")...)
	case j.Decision == testFirst:
		if t, ok := NextTest(j, c.Cannot); ok {
			how := wrap(testHow(t, c), "  ", "  ")
			blocks = append(blocks, block{cutAnswers, [][]string{clipLines(how, 3), clipLines(how, 2), clipLines(how, 1)}})
		}
		return blocks
	}
	heat := ""
	if j.PreheatC != nil {
		j.InterpassMaxC = nil // the limit between beads is for the part's own reply
		heat = "heat " + heatText(j, c)
	}
	text := joinText(rodText(j), heat)
	lines := wrap(text, "  ", "  ")
	return append(blocks, block{cutHazards, [][]string{clipLines(lines, 3), clipLines(lines, 2), clipLines(lines, 1)}})
}

// fullStops are the texts of the stops, without the one that a question may still lift.
func fullStops(j engine.Judgment, c Context, without string) []block {
	var blocks []block
	for _, caution := range j.Cautions {
		if caution.Severity == stop && caution.ID != without {
			blocks = append(blocks, whole(wrap(bothDegrees(caution.Text, c), "  ", "  ")))
		}
	}
	return blocks
}
