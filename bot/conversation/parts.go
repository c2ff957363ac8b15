package conversation

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// piece is what a message says of one part.
type piece struct {
	part int // number of the part, 1 or more
	text string
}

var (
	numbered  = regexp.MustCompile(`(?i)^\s*(part ?|#)?([1-9])(\s*[:.)]\s*|\s+-\s+|\s+)(\S.*)$`)
	another   = regexp.MustCompile(`(?i)(?:[.;,\n]\s*|\s)(?:and )?(?:also|plus|another one|second part|2nd part|other part|next part|then there(?:'s| is))[:,]?\s+`)
	unitWords = []string{"in", "inch", "inches", "mm", "cm", "m", "ft", "feet", "kg", "lb", "lbs", "t", "ton", "tons", "hb", "hrc", "hrb", "hv", "hld",
		"c", "f", "x", "of", "or", "to", "min", "mins", "minutes", "hours", "days", "pcs", "pieces", "off", "teeth", "tooth", "bolts", "cracks",
		"passes", "layers", "places", "spots", "holes", "rods", "more", "new", "broken", "cracked", "worn"}
)

// split cuts a message into pieces by part. problem is a sentence for the rep when a number names a part
// that the case cannot have.
func (t *turn) split(text string) (pieces []piece, problem string) {
	if pieces, problem = t.numberedLines(text); pieces != nil || problem != "" {
		return pieces, problem
	}
	if !t.open || len(t.c.Parts) == 0 {
		if pieces = t.secondPart(text); pieces != nil {
			return pieces, ""
		}
	}
	n := 1
	if t.open && len(t.c.Parts) > 0 {
		n = t.c.Current + 1
	}
	return []piece{{n, text}}, ""
}

// numberedLines reads "2 magnet none" and "1 adapter ... / 2 shaft ..."; nil when no line is numbered.
func (t *turn) numberedLines(text string) (pieces []piece, problem string) {
	parts := 0
	if t.open {
		parts = len(t.c.Parts)
	}
	list := opensList(text)
	for _, line := range strings.Split(text, "\n") {
		n, rest, marked := partNumber(line)
		known := n >= 1 && n <= parts && parts > 1
		if n == 0 || !known && !marked && !list {
			if len(pieces) == 0 {
				return nil, ""
			}
			last := &pieces[len(pieces)-1] // a line without a number goes on with the part before it
			last.text += "\n" + line
			continue
		}
		if n > parts+1 || n > maxParts {
			return nil, fmt.Sprintf("There is no part %d in this case: it has %s. Say part %d and what it is.", n, counted(parts, "part"), parts+1)
		}
		parts = max(parts, n)
		pieces = append(pieces, piece{n, rest})
	}
	return joinPieces(pieces), ""
}

// partNumber reads the number of a part at the beginning of a line; marked says that it can be nothing
// else ("part 2", "#2", "2:").
func partNumber(line string) (n int, rest string, marked bool) {
	m := numbered.FindStringSubmatch(line)
	if m == nil {
		return 0, "", false
	}
	marked = m[1] != "" || strings.ContainsAny(m[3], ":)")
	first := strings.ToLower(strings.TrimRight(strings.Fields(m[4])[0], ".,;:"))
	if first == "" {
		return 0, "", false // marks only
	}
	if !marked && (slices.Contains(unitWords, first) || strings.HasPrefix(m[4], `"`) || first[0] >= '0' && first[0] <= '9') {
		return 0, "", false
	}
	n, _ = strconv.Atoi(m[2])
	return n, m[4], marked
}

// opensList says whether a message is a list: lines numbered 1, 2 ... from the first on.
func opensList(text string) bool {
	want := 1
	for _, line := range strings.Split(text, "\n") {
		if n, _, _ := partNumber(line); n == want {
			want++
		}
	}
	first, _, _ := strings.Cut(text, "\n")
	n, _, _ := partNumber(first)
	return n == 1 && want > 2
}

// joinPieces puts lines of the same part together.
func joinPieces(pieces []piece) []piece {
	var out []piece
	for _, p := range pieces {
		at := slices.IndexFunc(out, func(o piece) bool { return o.part == p.part })
		if at < 0 {
			out = append(out, p)
			continue
		}
		out[at].text += "\n" + p.text
	}
	return out
}

// secondPart cuts the first message of a case before "also a pump shaft": only where both sides name a
// part, and not the same one.
func (t *turn) secondPart(text string) []piece {
	for _, at := range another.FindAllStringIndex(text, -1) {
		left, right := strings.TrimSpace(text[:at[0]]), strings.TrimSpace(text[at[1]:])
		if left == "" || right == "" {
			continue
		}
		one, two := t.door.engine.Read(left).Observation.Part, t.door.engine.Read(right).Observation.Part
		if one != "" && two != "" && one != two {
			return []piece{{1, left}, {2, right}}
		}
	}
	return nil
}
