package reply

import (
	"strings"
	"unicode"

	"golang.org/x/text/width"
)

// noBreak holds a figure and its unit together; it becomes a plain space when a line is made.
const noBreak = '\u00a0'

// Width is the number of columns that text takes on a screen: combining marks take none, wide East
// Asian characters and emoji two.
func Width(text string) int {
	columns := 0
	for _, r := range text {
		columns += runeWidth(r)
	}
	return columns
}

func runeWidth(r rune) int {
	switch {
	case r == '\ufe0f': // asks for the emoji form of the character before it, which may be one column wider
		return 1
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	}
	switch width.LookupRune(r).Kind() {
	case width.EastAsianWide, width.EastAsianFullwidth:
		return 2
	case width.Neutral, width.EastAsianAmbiguous, width.EastAsianNarrow, width.EastAsianHalfwidth:
		return 1
	}
	return 1
}

// Clean makes one line of any text: control characters and line breaks become spaces, bytes that are
// no text go, runs of spaces shrink to one.
func Clean(text string) string {
	var b strings.Builder
	for _, r := range text {
		switch {
		case r == unicode.ReplacementChar:
		case unicode.Is(unicode.Cf, r) && r != '\u200d': // directional overrides turn a line around; the joiner holds emoji together
		case unicode.IsControl(r), unicode.IsSpace(r) && r != noBreak:
			b.WriteByte(' ')
		default:
			b.WriteRune(r)
		}
	}
	return strings.Join(strings.FieldsFunc(b.String(), func(r rune) bool { return r == ' ' }), " ")
}

// wrap breaks text into lines of at most Columns columns, greedily at spaces; every line after the first
// starts with hang. A word longer than a line is broken where the line ends.
func wrap(text, first, hang string) []string {
	words := strings.FieldsFunc(Clean(text), func(r rune) bool { return r == ' ' })
	if len(words) == 0 {
		return nil
	}
	var lines []string
	line, empty := first, true
	flush := func() {
		lines = append(lines, finish(line))
		line, empty = hang, true
	}
	for _, word := range words {
		gap := " "
		if empty {
			gap = ""
		}
		if Width(line)+len(gap)+Width(word) <= Columns {
			line, empty = line+gap+word, false
			continue
		}
		if !empty {
			flush()
		}
		for Width(line)+Width(word) > Columns {
			head, tail := cut(word, Columns-Width(line))
			line += head
			word = tail
			flush()
		}
		line, empty = line+word, false
	}
	if !empty {
		flush()
	}
	return lines
}

// finish gives a line its plain spaces back.
func finish(line string) string {
	return strings.TrimRight(strings.ReplaceAll(line, string(noBreak), " "), " ")
}

// cut parts text after at most columns columns, never between a character and its combining mark, and
// always after one character at least.
func cut(text string, columns int) (head, tail string) {
	used := 0
	for i, r := range text {
		w := runeWidth(r)
		if i > 0 && used+w > columns {
			return text[:i], text[i:]
		}
		used += w
	}
	return text, ""
}

// clip shortens text to at most columns columns; what was cut shows as "..".
func clip(text string, columns int) string {
	text = finish(Clean(text))
	if Width(text) <= columns {
		return text
	}
	head, _ := cut(text, columns-2)
	return strings.TrimRight(head, " ,;:.") + ".."
}

// clipLines keeps at most n lines; what was cut shows as ".." at the end of the last.
func clipLines(lines []string, n int) []string {
	if len(lines) <= n {
		return lines
	}
	kept := append([]string{}, lines[:n]...)
	head, _ := cut(kept[n-1], Columns-2)
	if Width(kept[n-1]) <= Columns-2 {
		head = kept[n-1]
	}
	kept[n-1] = strings.TrimRight(head, " ,;:.") + ".."
	return kept
}

// paragraph wraps with the hanging indent of two columns that every item of a reply has.
func paragraph(text string) []string { return wrap(text, "", "  ") }

// labelled wraps text behind a label of the figures' column ("Rod", "Heat", "Cool").
func labelled(label, text string) []string {
	return wrap(text, label+strings.Repeat(" ", max(1, 5-len(label))), "     ")
}
