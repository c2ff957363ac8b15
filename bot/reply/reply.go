// Package reply turns a judgment into the few words that a rep reads on a phone. A Reply is values
// without markup: the terminal and Slack print the same one. It decides nothing of its own: metal,
// rod, heat, test and stop come from the judgment; only the order, the words for doubt and what is left
// out when the room is short are made here.
package reply

// Columns and MaxLines are the size of every ordinary reply; only the full text of a stop may exceed MaxLines.
const (
	Columns  = 40
	MaxLines = 12
)

// Reply is one answer. Lines are plain text of at most Columns columns, the first one standing alone on
// a locked phone. Text that came from the user is in them as he wrote it, control characters removed;
// a surface escapes it for its own markup.
type Reply struct {
	Case    int64    // number of the case, 0 when there is none (help, first screen)
	Lines   []string // the answer, in order
	Actions []Action // the words that lead on, at most five
	Shown   []string // ids of the routine cautions that the lines show or point to
}

// Action is one follow-up: what the button shows and what tapping it says.
type Action struct {
	Label string
	Say   string
}

// Text is the reply as plain text, the same on every surface.
func (r Reply) Text() string {
	text := ""
	for i, line := range r.Lines {
		if i > 0 {
			text += "\n"
		}
		text += line
	}
	return text
}
