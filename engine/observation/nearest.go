package observation

import (
	"slices"
	"strings"
)

// Nearest lists the known words that lie nearest to a word, at most three, best first: those that hold it or
// differ by few letters. It is what an error offers instead of an unknown word.
func Nearest(word string, known []string) []string {
	type near struct {
		word     string
		distance int
	}
	var all []near
	folded := strings.ToLower(strings.NewReplacer(" ", "-", "_", "-").Replace(word))
	for _, k := range known {
		d := 2 * distance(folded, strings.ToLower(k))
		if folded != "" && (strings.Contains(k, folded) || strings.Contains(folded, k)) {
			d = min(d, 3)
		}
		all = append(all, near{k, d})
	}
	slices.SortStableFunc(all, func(a, b near) int { return a.distance - b.distance })
	var out []string
	for _, n := range all {
		if len(out) < 3 {
			out = append(out, n.word)
		}
	}
	return out
}

// longestWord bounds the work on one word: nothing longer is near to a known one.
const longestWord = 64

// distance is the number of letters to change, add or leave out to come from a to b.
func distance(a, b string) int {
	if len(a) > longestWord {
		a = a[:longestWord]
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		last := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := last
			if a[i-1] != b[j-1] {
				cost++
			}
			last = row[j]
			row[j] = min(cost, row[j]+1, row[j-1]+1)
		}
	}
	return row[len(b)]
}
