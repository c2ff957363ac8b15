package reply

// block is one item of a reply with its shorter forms. When a reply is too long, the block with the
// lowest cut gives way first: it takes its next form, an empty one at last where it may go altogether.
type block struct {
	cut   int
	forms [][]string
}

// The order in which items give way; what hurts the job least goes first. Decision, rod, heat and
// question have no empty form.
const (
	cutAside   = iota // what was supposed
	cutRoutine        // the day's usual cautions
	cutNote           // reminders, photo, what the second metal would do
	cutHazards        // the second hazard, and detail
	cutAnswers        // the outcomes of a test, the long form of answers
	cutUnread         // what was not understood
	cutChanged        // the facts that changed: down to one line
	cutCooling
	cutHazard // the first hazard
	cutTest   // the test, where it is only worth doing
	cutWords  // the words that lead on
	cutHead   // decision, rod, heat, question: only made terser
)

func (b block) lines() []string {
	if len(b.forms) == 0 {
		return nil
	}
	return b.forms[0]
}

// fit joins blocks into at most limit lines by taking shorter forms, lowest cut first and, of equals,
// the later block first. Blocks without a shorter form may leave it longer.
func fit(blocks []block, limit int) []string {
	blocks = append([]block{}, blocks...)
	total := 0
	for _, b := range blocks {
		total += len(b.lines())
	}
	for total > limit {
		at := -1
		for i, b := range blocks {
			if len(b.forms) > 1 && (at < 0 || b.cut <= blocks[at].cut) {
				at = i
			}
		}
		if at < 0 {
			break
		}
		total -= len(blocks[at].lines())
		blocks[at].forms = blocks[at].forms[1:]
		total += len(blocks[at].lines())
	}
	var lines []string
	for _, b := range blocks {
		lines = append(lines, b.lines()...)
	}
	return lines
}

// whole is a block that is never shortened.
func whole(lines []string) block { return block{cutHead, [][]string{lines}} }

// terse is a block that stays, cut to n lines and at last to two when the room is short.
func terse(lines []string, n int) block {
	return block{cutHead, [][]string{lines, clipLines(lines, n), clipLines(lines, 2)}}
}

// may is a block that goes when the room is short.
func may(cut int, forms ...[]string) block { return block{cut, append(forms, nil)} }
