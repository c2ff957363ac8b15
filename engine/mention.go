package engine

import "strings"

// withoutMentions blanks calls on people and channels ("@everyone", "<!channel>", "<@U42>"): they are no words
// about a part. Every other byte keeps its place.
func withoutMentions(text string) string {
	if !strings.ContainsRune(text, '@') && !strings.Contains(text, "<!") && !strings.Contains(text, "<#") {
		return text
	}
	out := []byte(text)
	for i := 0; i < len(out); {
		n := mentionAt(text, i)
		for j := range n {
			out[i+j] = ' '
		}
		i += max(n, 1)
	}
	return string(out)
}

// longestMention is more bytes than a call on somebody takes.
const longestMention = 80

// mentionAt is the length of the mention that begins at a byte; 0 when none does.
func mentionAt(text string, at int) int {
	rest := text[at:min(len(text), at+longestMention)]
	if len(rest) > 2 && rest[0] == '<' && strings.IndexByte("!@#", rest[1]) >= 0 {
		return strings.IndexByte(rest, '>') + 1
	}
	if rest[0] != '@' || at > 0 && text[at-1] > ' ' || len(rest) < 2 || !nameByte(rest[1]) {
		return 0
	}
	n := 1
	for n < len(rest) && (nameByte(rest[n]) || n > 1 && strings.IndexByte("0123456789.-_", rest[n]) >= 0) {
		n++
	}
	return n
}

func nameByte(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' || c >= 0x80 }
