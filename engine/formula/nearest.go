package formula

import (
	"slices"
	"strings"
)

const (
	maxNear     = 3  // how many near words an error lists
	longestWord = 64 // bounds the work on one word: nothing longer is near to a known one
)

// nearest lists the known words nearest to a word, at most three, best first: those that hold it or differ by
// few letters, within the letters allowed.
func nearest(word string, known []string, allowed int) []string {
	word = strings.ToLower(clip(word))
	type near struct {
		word     string
		distance int
	}
	var all []near
	for _, k := range known {
		folded := strings.ToLower(clip(k))
		d := distance(word, folded)
		if len(word) > 1 && len(folded) > 1 && (strings.Contains(folded, word) || strings.Contains(word, folded)) {
			d = min(d, 2)
		}
		if d <= allowed {
			all = append(all, near{k, d})
		}
	}
	slices.SortStableFunc(all, func(a, b near) int { return a.distance - b.distance })
	var out []string
	for _, n := range all[:min(maxNear, len(all))] {
		out = append(out, n.word)
	}
	return out
}

// clip cuts a word that is too long to be one.
func clip(word string) string {
	if len(word) > longestWord {
		return strings.ToValidUTF8(word[:longestWord], "")
	}
	return word
}

// distance is the number of letters to change, add or leave out to come from a to b.
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		corner := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			corner, row[j+1] = row[j+1], min(corner+cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
