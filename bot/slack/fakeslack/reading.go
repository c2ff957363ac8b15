package fakeslack

import (
	"regexp"
	"strings"
)

var (
	pingMark   = regexp.MustCompile(`<([@!#][^<>]*)>`)
	linkMark   = regexp.MustCompile(`<((?:https?|mailto|tel):[^<>]*)>|\bhttps?://\S+`)
	strongMark = regexp.MustCompile(`(?:^|[\s(])([*_~][^\s*_~][^*_~\n]*[*_~])(?:$|[\s).,!?:;])`)
	emojiMark  = regexp.MustCompile(`:[a-z0-9_+-]+:`)
)

// Effects lists what a message would do beyond showing its words: mentions that ping, links, bold and
// emoji. It reads each text by the rules of the object that it stands in: mrkdwn is markup, plain_text knows
// emoji only when asked for them, a rich_text element's text is literal.
func (m Message) Effects() []string {
	var effects []string
	effects = append(effects, pingMark.FindAllString(m.Text, -1)...)
	walk(m.Blocks, func(o object) {
		text, _ := o["text"].(string)
		switch o["type"] {
		case "mrkdwn":
			effects = append(effects, markup(text, o["verbatim"] == true)...)
		case "plain_text":
			if o["emoji"] == true {
				effects = append(effects, emojiMark.FindAllString(text, -1)...)
			}
		case "user", "usergroup", "broadcast", "channel", "link", "emoji":
			effects = append(effects, o["type"].(string))
		}
	})
	return effects
}

func markup(text string, verbatim bool) []string {
	found := pingMark.FindAllString(text, -1)
	parts := strings.Split(text, "```")
	for i := 0; i < len(parts); i += 2 { // what stands between fences is code
		for _, strong := range strongMark.FindAllStringSubmatch(parts[i], -1) {
			found = append(found, strong[1])
		}
		found = append(found, emojiMark.FindAllString(parts[i], -1)...)
		if !verbatim {
			found = append(found, linkMark.FindAllString(parts[i], -1)...)
		}
	}
	return found
}

// Shown is what a person reads in the app, line by line: the texts of the blocks, or the text where there
// are none. Buttons are left out.
func (m Message) Shown() string {
	var lines []string
	walk(m.Blocks, func(o object) {
		text, ok := o["text"].(string)
		switch {
		case !ok:
		case o["type"] == "text": // rich text, literal
			lines = append(lines, text)
		case o["type"] == "mrkdwn":
			lines = append(lines, unescape(text))
		}
	})
	if len(lines) == 0 {
		return unescape(m.Text)
	}
	return strings.Join(lines, "\n")
}

func unescape(text string) string {
	return strings.NewReplacer("&lt;", "<", "&gt;", ">", "&amp;", "&").Replace(text)
}
