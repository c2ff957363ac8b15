package slack

import (
	"fmt"
	"regexp"
	"strings"
	"unicode/utf8"

	slackgo "github.com/slack-go/slack"

	"rodcall/bot/reply"
)

// page is one message as it is posted.
type page struct {
	text   string          // what the phone's lock screen shows and screen readers read; escaped
	blocks []slackgo.Block // what the app shows
}

const (
	pageRunes     = 3000     // a reply over it goes on in a further message; well under the 9,000 that we allow one message
	textRunes     = 3900     // the top-level text stays under the 4,000 that Slack advises
	buttonsInRow  = 3        // what a phone shows side by side
	buttonRunes   = 75       // Slack's limit for the text of a button
	buttonBytes   = 2000     // and for its value
	quoteRunes    = 1500     // of a slash command's text in the message that opens its thread
	sayPrefix     = "say."   // action ids of the buttons that say a word
	ellipsis      = "…"      // what a cut ends with
	commandAsks   = " asks:" // after the asker's name
	emptyFallback = "(no words)"
)

// render lays a reply out as one or more messages. The lines stand in one preformatted element of a rich_text block:
//   - its columns are even and keep their leading blanks, so the forty columns of the terminal read the same;
//   - a rich_text element holds text, not markup: there is nothing in it to escape, and no `<!channel>`,
//     *bold*, :emoji: or link in a rep's words can come to life. A section with a code fence would need
//     escaping and could be broken out of with three backticks of his own;
//   - twelve lines of forty stay under the roughly 700 characters at which Slack folds a message.
//
// Nothing is cut: a stop must be read in full, so what is over the size goes on in the next message, and the
// buttons stand under the last one.
func render(r reply.Reply, pressed *press) []page {
	if len(r.Lines) == 0 {
		return nil
	}
	chunks := paginate(r.Lines)
	pages := make([]page, len(chunks))
	for i, chunk := range chunks {
		pages[i] = page{text: escape(chunk), blocks: []slackgo.Block{preformatted(chunk)}}
	}
	if pressed != nil {
		pages[0].blocks = append([]slackgo.Block{pressedLine(*pressed)}, pages[0].blocks...)
	}
	last := &pages[len(pages)-1]
	last.blocks = append(last.blocks, buttons(r.Actions)...)
	return pages
}

// paginate groups lines into texts that fit one message, raw and escaped.
func paginate(lines []string) []string {
	var chunks []string
	var open []string
	runes, escaped := 0, 0
	for _, line := range fitting(lines) {
		n, e := utf8.RuneCountInString(line)+1, utf8.RuneCountInString(escape(line))+1
		if len(open) > 0 && (runes+n > pageRunes || escaped+e > textRunes) {
			chunks, open = append(chunks, whole(open)), nil
			runes, escaped = 0, 0
		}
		open = append(open, line)
		runes, escaped = runes+n, escaped+e
	}
	return append(chunks, whole(open))
}

// whole joins lines; Slack refuses an element without text.
func whole(lines []string) string {
	text := strings.Join(lines, "\n")
	if strings.TrimSpace(text) == "" {
		return emptyFallback
	}
	return text
}

// fitting cleans the lines and breaks one that alone would overfill a message.
func fitting(lines []string) []string {
	const most = textRunes/5 - 1 // every rune of it may be an ampersand, which grows to five
	var out []string
	for _, line := range lines {
		runes := []rune(strings.TrimRight(plain(line), " "))
		for len(runes) > most {
			out, runes = append(out, string(runes[:most])), runes[most:]
		}
		out = append(out, string(runes))
	}
	return out
}

func preformatted(text string) *slackgo.RichTextBlock {
	return slackgo.NewRichTextBlock("", &slackgo.RichTextPreformatted{
		Type:     slackgo.RTEPreformatted,
		Elements: []slackgo.RichTextSectionElement{slackgo.NewRichTextSectionTextElement(text, nil)},
	})
}

// pressedLine says which button the message answers and who pressed it: a press leaves no trace of its own
// in a thread, and the next reader would not know what was asked. The name is text, so nobody is pinged.
func pressedLine(p press) *slackgo.RichTextBlock {
	said := fmt.Sprintf("%s: %s", plain(p.name), plain(firstOf(p.label, "pressed")))
	return slackgo.NewRichTextBlock("", &slackgo.RichTextSection{
		Type:     slackgo.RTESection,
		Elements: []slackgo.RichTextSectionElement{slackgo.NewRichTextSectionTextElement(said, &slackgo.RichTextSectionTextStyle{Italic: true})},
	})
}

// buttons are the words that lead on, in rows that a phone shows whole. The value carries the word itself:
// a press works after a restart, and says the same as typing it.
func buttons(actions []reply.Action) []slackgo.Block {
	var rows []slackgo.Block
	var row []slackgo.BlockElement
	for i, action := range actions {
		label := strings.TrimSpace(plain(action.Label))
		if label == "" || action.Say == "" || len(action.Say) > buttonBytes {
			continue
		}
		text := slackgo.NewTextBlockObject(slackgo.PlainTextType, cutEscaped(label, buttonRunes), false, false)
		row = append(row, slackgo.NewButtonBlockElement(fmt.Sprintf("%s%d", sayPrefix, i), action.Say, text))
		if len(row) == buttonsInRow {
			rows, row = append(rows, slackgo.NewActionBlock("", row...)), nil
		}
	}
	if len(row) > 0 {
		rows = append(rows, slackgo.NewActionBlock("", row...))
	}
	return rows
}

// personID is the form of a user id; anything else is not made into a mention.
var personID = regexp.MustCompile(`^[UW][A-Z0-9]{2,20}$`)

// renderCommand is the message that opens the thread of a slash command. It names the asker by a real
// mention: he did not write the message, so without one Slack would not tell him of the answers in its thread.
func renderCommand(author, command, text string) page {
	said := strings.TrimSpace(command + " " + strings.Join(strings.Fields(plain(text)), " "))
	said = cut(said, quoteRunes)
	who, name := slackgo.RichTextSectionElement(slackgo.NewRichTextSectionTextElement("somebody", nil)), "somebody"
	if personID.MatchString(author) {
		who, name = slackgo.NewRichTextSectionUserElement(author, nil), "<@"+author+">"
	}
	return page{
		text: name + commandAsks + " " + cutEscaped(said, quoteRunes),
		blocks: []slackgo.Block{slackgo.NewRichTextBlock("",
			&slackgo.RichTextSection{
				Type:     slackgo.RTESection,
				Elements: []slackgo.RichTextSectionElement{who, slackgo.NewRichTextSectionTextElement(commandAsks, nil)},
			},
			&slackgo.RichTextQuote{
				Type:     slackgo.RTEQuote,
				Elements: []slackgo.RichTextSectionElement{slackgo.NewRichTextSectionTextElement(said, nil)},
			})},
	}
}

// cut shortens to at most so many characters, the last of them an ellipsis.
func cut(text string, most int) string {
	runes := []rune(text)
	if len(runes) <= most {
		return text
	}
	return string(runes[:most-1]) + ellipsis
}

// cutEscaped escapes and keeps the escaped form within the limit, never cutting through an entity.
func cutEscaped(text string, most int) string {
	for keep := most; ; keep-- {
		escaped := escape(cut(text, keep))
		if utf8.RuneCountInString(escaped) <= most {
			return escaped
		}
	}
}
