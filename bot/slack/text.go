package slack

import (
	"regexp"
	"strings"
	"unicode"
)

// Slack keeps &, < and > for itself in message text and decodes exactly these three entities.
var (
	entities = strings.NewReplacer("&lt;", "<", "&gt;", ">", "&amp;", "&")
	controls = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")
)

// escape makes any text harmless where Slack reads markup: no mention, no link, no channel call survives it.
func escape(text string) string { return controls.Replace(text) }

func unescape(text string) string { return entities.Replace(text) }

// reference is what Slack puts between < and >: a mention, a channel, a call or a link, with a label after a bar.
var reference = regexp.MustCompile(`<([^<>|]*)(?:\|([^<>]*))?>`)

// mentioned reports whether the text as Slack sends it mentions the bot.
func (b *bot) mentioned(text string) bool {
	return strings.Contains(text, "<@"+b.self.user+">") || strings.Contains(text, "<@"+b.self.user+"|")
}

// words is a message as the person saw it in his own composer: the bot's mention gone, links and mentions
// as the words they show, entities decoded, bold and italic marks taken off. A crossed-out ~word~ keeps its
// marks, because a fact that somebody crossed out must not turn into one that he stated.
func (b *bot) words(text string) string {
	text = reference.ReplaceAllStringFunc(text, func(raw string) string {
		part := reference.FindStringSubmatch(raw)
		return b.shown(part[1], part[2])
	})
	text = withoutEmphasis(text)
	return strings.TrimSpace(unescape(text))
}

// shown is the plain form of one reference.
func (b *bot) shown(target, label string) string {
	switch {
	case strings.HasPrefix(target, "@"):
		if target == "@"+b.self.user {
			return ""
		}
		return "@" + strings.TrimPrefix(firstOf(label, "somebody"), "@")
	case strings.HasPrefix(target, "#"):
		return "#" + firstOf(label, "channel")
	case strings.HasPrefix(target, "!subteam"):
		return "@" + strings.TrimPrefix(firstOf(label, "group"), "@")
	case strings.HasPrefix(target, "!"):
		return firstOf(label, "@"+strings.TrimPrefix(target, "!"))
	case label != "":
		return label
	default:
		return strings.TrimPrefix(strings.TrimPrefix(target, "mailto:"), "tel:")
	}
}

// withoutEmphasis takes off *…*, _…_ and `…` around whole words. A mark counts only where Slack would count
// it: at the edge of words. So 2*3*4 and part_no_3 keep theirs.
func withoutEmphasis(text string) string {
	text = strings.ReplaceAll(text, "```", " ")
	for _, mark := range []rune{'*', '_', '`'} {
		if strings.ContainsRune(text, mark) {
			text = withoutMark(text, mark)
		}
	}
	return text
}

func withoutMark(text string, mark rune) string {
	runes := []rune(text)
	keep := make([]rune, 0, len(runes))
	open := -1 // where in keep the last opening mark stands
	for i, r := range runes {
		switch {
		case r == '\n':
			open = -1
			keep = append(keep, r)
		case r != mark:
			keep = append(keep, r)
		case open >= 0 && closes(runes, i):
			keep = append(keep[:open], keep[open+1:]...)
			open = -1
		default:
			if opens(runes, i) {
				open = len(keep)
			}
			keep = append(keep, r)
		}
	}
	return string(keep)
}

func opens(runes []rune, i int) bool {
	before := i == 0 || !wordly(runes[i-1])
	return before && i+1 < len(runes) && !unicode.IsSpace(runes[i+1]) && runes[i+1] != runes[i]
}

func closes(runes []rune, i int) bool {
	after := i+1 == len(runes) || !wordly(runes[i+1])
	return after && !unicode.IsSpace(runes[i-1]) && runes[i-1] != runes[i]
}

func wordly(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }

// plain keeps one line of text showing what it says: control characters and the marks that turn the
// direction of writing become spaces.
func plain(line string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == unicode.ReplacementChar, unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r):
			return ' '
		default:
			return r
		}
	}, line)
}
