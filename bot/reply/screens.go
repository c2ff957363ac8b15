package reply

import (
	"fmt"
	"strings"
)

// Line is one word that a person can type, with what it does.
type Line struct {
	Word, Does string
}

// FirstScreen answers a bare greeting: what to tell, what comes back.
func FirstScreen(c Context, open string) Reply {
	lines := []string{
		"Tell me about the part, your own words:",
		"  sprocket cracked, magnet pulls, long",
		"  yellow sparks, file bites",
		"You get: the metal, the rod, the heat,",
		"the one test worth doing.",
		"No test done? Part + damage is enough.",
		`Say "bench" or "outside" for where you`,
		"weld, and which rods you carry.",
		"Short words: rods why next undo help",
	}
	actions := []Action{{"help", "help"}}
	if c.Case > 0 {
		text := fmt.Sprintf("Case %d is open", c.Case)
		if open != "" {
			text += " (" + clip(open, 24) + ")"
		}
		lines = append(lines, clipLines(paragraph(text+": new facts go there; say new for another job."), 3)...)
		actions = append(actions, Action{"why", "why"}, Action{"new", "new"})
	}
	return Reply{Case: c.Case, Lines: lines, Actions: actions}
}

// Help lists the words, and questions of figures to copy.
func Help(words []Line, c Context) []string {
	lines := paragraph("Facts in your own words, or a word:")
	for _, w := range words {
		lines = append(lines, wrap(w.Word+" - "+w.Does, "", "  ")...)
	}
	lines = append(lines, paragraph("Or ask for figures:")...)
	for _, question := range []string{"what preheat at 2 in thick", "309L on this at 30 % dilution", "HAZ hardness at 20 mm", "45 HRC in HB"} {
		lines = append(lines, wrap(question, "  ", "  ")...)
	}
	return lines
}

// Photo answers a photo without words.
func Photo(c Context, asked string) Reply {
	where := "Photo kept."
	if c.Case > 0 {
		where = fmt.Sprintf("Photo kept with case %d.", c.Case)
	}
	lines := paragraph(where + " I do not read metal from a photo.")
	if asked != "" {
		lines = append(lines, clipLines(paragraph("Still open: "+asked), 4)...)
		return Reply{Case: c.Case, Lines: lines, Actions: []Action{action("why", c)}}
	}
	lines = append(lines,
		"Two facts move it most:",
		" 1 magnet on clean metal: pulls or not",
		" 2 what part is it, off what machine",
		"Then 10 seconds: file a corner. Dust",
		"black on the fingers = cast iron.",
		"Photo of a stamp or plate? Type what",
		"it says, I use that.")
	return Reply{Case: c.Case, Lines: lines, Actions: []Action{{"help", "help"}}}
}

// Sentence is a reply of one sentence or a few, for what is neither call nor detail. The text must say
// what to type instead.
func Sentence(text string, c Context, says ...string) Reply {
	r := Reply{Case: c.Case, Lines: clipLines(paragraph(text), MaxLines)}
	for _, say := range says[:min(MaxActions, len(says))] {
		r.Actions = append(r.Actions, Action{say, say})
	}
	return r
}

// NothingRead answers words in which no fact was found: what was not understood, the nearest words that
// would be, one example to copy.
func NothingRead(said string, meant []string, c Context) Reply {
	text := "I read no fact of a part in that"
	if quoted := clip(said, 30); quoted != "" {
		text += `: "` + quoted + `"`
	}
	lines := clipLines(paragraph(text+"."), 3)
	if len(meant) > 0 {
		lines = append(lines, clipLines(paragraph("Did you mean "+strings.Join(meant, " or ")+"?"), 2)...)
	}
	if c.Case > 0 {
		lines = append(lines, clipLines(paragraph(fmt.Sprintf("Case %d is as it was.", c.Case)), 2)...)
	}
	lines = append(lines,
		"Tell part, damage and tests, like:",
		"  jaw plate worn, no magnet, file slides",
		"or say help.")
	actions := []Action{{"help", "help"}}
	for _, m := range meant {
		actions = append(actions, Action{m, m})
	}
	return Reply{Case: c.Case, Lines: lines, Actions: actions}
}
