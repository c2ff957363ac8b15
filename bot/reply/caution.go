package reply

import (
	"fmt"
	"slices"
	"strings"

	"rodcall/engine"
)

// stopTitle is what the first line of a stop says.
func stopTitle(j engine.Judgment) string {
	for _, c := range j.Cautions {
		if c.Severity == stop {
			return sentence(titleOf(c))
		}
	}
	return "No rod and no heat on this one."
}

func titleOf(c engine.Caution) string {
	if title := Clean(c.Title); title != "" {
		return title
	}
	return Clean(c.Text)
}

func sentence(text string) string {
	if text == "" || strings.ContainsAny(text[len(text)-1:], ".!?") {
		return text
	}
	return text + "."
}

// stopBlocks tell every stop in full, who takes over, and what can still be had.
func stopBlocks(j engine.Judgment, c Context) []block {
	var blocks []block
	for _, caution := range j.Cautions {
		if caution.Severity == stop {
			blocks = append(blocks, whole(paragraph(bothDegrees(caution.Text, c))))
		}
	}
	if c.Kept && j.Question != nil {
		blocks = append(blocks, may(cutNote, paragraph("It stays a stop until that is answered: "+shortAnswers(j.Question)+".")))
	}
	if who := Clean(j.ReferTo); who != "" {
		lines := paragraph("Who: " + bothDegrees(who, c))
		blocks = append(blocks, terse(lines, 4))
	}
	blocks = append(blocks, may(cutNote, paragraph("No rod, no heat from me on this one.")))
	return append(blocks, soFar(j, c))
}

// soFar says what the metal probably is where nothing may be welded yet.
func soFar(j engine.Judgment, c Context) block {
	text := "So far: " + lowerFirst(metalSentence(j, c))
	if doubtOf(j).word == "still open" && len(j.Families) > 0 && j.Observation.Part == "" {
		text = partQuestion
	}
	return may(cutNote, paragraph(text))
}

// questionBlocks put the one question, with its answers; stops that no question lifts stand in full.
func questionBlocks(j engine.Judgment, c Context) []block {
	q := j.Question
	blocks := []block{terse(paragraph(bothDegrees(q.Ask, c)), 3), answersBlock(q)}
	for _, caution := range j.Cautions {
		if caution.Severity != stop {
			continue
		}
		text := paragraph(bothDegrees(caution.Text, c))
		if caution.ID != q.Caution {
			blocks = append(blocks, whole(text))
			continue
		}
		blocks = append(blocks, may(cutRoutine, wrapped("Why: ", caution.Text, c), wrapped("Why: ", sentence(titleOf(caution)), c)))
	}
	return append(blocks, soFar(j, c))
}

func wrapped(before, text string, c Context) []string {
	return paragraph(before + bothDegrees(text, c))
}

// answersBlock lists the answers by number: a line each, then run in, then each cut to a few columns.
func answersBlock(q *engine.Question) block {
	var lines, items, short []string
	for i, a := range q.Answers {
		item := fmt.Sprintf("%d%c%s", i+1, noBreak, Clean(a))
		lines = append(lines, wrap(item, " ", "   ")...)
		items = append(items, item)
		short = append(short, fmt.Sprintf("%d%c%s", i+1, noBreak, strings.ReplaceAll(clip(a, 14), " ", string(noBreak))))
	}
	runIn := wrap(strings.Join(items, "; "), " ", "   ")
	return block{cutAnswers, [][]string{lines, runIn, clipLines(wrap(strings.Join(short, " "), " ", " "), 4)}}
}

// shortAnswers names the answers by their first words.
func shortAnswers(q *engine.Question) string {
	var short []string
	for _, a := range q.Answers {
		short = append(short, clip(a, 24))
	}
	return strings.Join(short, " / ")
}

// usualPrefix begins the line of the routine cautions.
const usualPrefix = "Usual: "

// usualCautions names a single routine caution, and counts several.
func usualCautions(usual []engine.Caution) []string {
	if len(usual) == 1 {
		return []string{usualPrefix + clip(titleOf(usual[0]), Columns-len(usualPrefix))}
	}
	return []string{fmt.Sprintf("%s%d hazards of every job: cautions", usualPrefix, len(usual))}
}

// cautionBlocks are the one or two hazards peculiar to the job and, once a day, the routine ones; shown
// lists the routine ones that the reply tells.
func cautionBlocks(j engine.Judgment, c Context) (blocks []block, shown []string) {
	var own, usual []engine.Caution
	for _, severity := range []string{"warn", "note"} {
		for _, caution := range j.Cautions {
			switch {
			case caution.Severity != severity:
			case !caution.Routine && caution.Later && j.Decision == testFirst && len(j.Consumables) == 0:
				// no rod is named yet: the next reply tells it
			case !caution.Routine:
				own = append(own, caution)
			case !slices.Contains(c.Shown, caution.ID):
				usual = append(usual, caution)
			}
		}
	}
	if j.Decision == stop { // nothing is welded: one hazard of looking at the part, no usual ones
		own, usual = own[:min(1, len(own))], nil
	}
	for i, caution := range own[:min(2, len(own))] {
		cut := cutHazard
		if i > 0 {
			cut = cutHazards
		}
		lines := paragraph("! " + sentence(bothDegrees(titleOf(caution), c)))
		blocks = append(blocks, block{cut, [][]string{lines, clipLines(lines, 2), clipLines(lines, 1), nil}[:4-keepOne(i)]})
	}
	if len(usual) > 0 {
		for _, caution := range usual {
			shown = append(shown, caution.ID)
		}
		blocks = append(blocks, may(cutHazard, usualCautions(usual)))
	}
	if c.NotProven {
		blocks = append(blocks, may(cutHazards, paragraph("Not proven: analysis before anybody stands under it.")))
	}
	return blocks, shown
}

// keepOne is 1 for the first hazard, which keeps a line whatever else must go.
func keepOne(i int) int {
	if i == 0 {
		return 1
	}
	return 0
}

// asideBlocks tell what was supposed and what was not understood.
func asideBlocks(j engine.Judgment, c Context) []block {
	var blocks []block
	if len(j.Assumed) > 0 {
		blocks = append(blocks, may(cutAside, paragraph("Supposed: "+strings.Join(j.Assumed, "; ")+".")))
	}
	if c.Photos > 0 {
		blocks = append(blocks, may(cutNote, paragraph("Photo kept; I read no metal from a photo.")))
	}
	if len(c.Unread) > 0 {
		var quoted []string
		for _, word := range c.Unread[:min(3, len(c.Unread))] {
			quoted = append(quoted, `"`+clip(word, 20)+`"`)
		}
		blocks = append(blocks, may(cutUnread, paragraph("Not understood: "+strings.Join(quoted, ", "))))
	}
	return blocks
}
