package metal

import "strings"

// typoLetters is the length from which a word may be taken for a mistyped one: shorter words have too many
// neighbours (judgement).
const typoLetters = 6

// typos finds the words of part names that a mistyped word may mean: one letter wrong, missing, doubled or
// two swapped, the first letter right.
type typos struct {
	words    [][]byte
	known    map[string]bool // every word of a name, misspelt ones included
	model    map[string]bool // the well spelt ones of words
	ordinary map[string]bool
	deleted  map[uint64][]int32 // hash of a word with one letter taken out, or none → words
}

func newTypos() *typos {
	return &typos{known: map[string]bool{}, model: map[string]bool{}, ordinary: map[string]bool{}, deleted: map[uint64][]int32{}}
}

// learn makes a word known; only a well spelt one is what others may be mistyped from.
func (t *typos) learn(word string, wellSpelt bool) {
	t.known[word] = true
	if !wellSpelt || len(word) < typoLetters || t.model[word] {
		return
	}
	t.model[word] = true
	i := int32(len(t.words))
	t.words = append(t.words, []byte(word))
	for skip := -1; skip < len(word); skip++ {
		h := hashWithout(t.words[i], skip)
		if list := t.deleted[h]; len(list) == 0 || list[len(list)-1] != i {
			t.deleted[h] = append(list, i)
		}
	}
}

// of appends the words that a word may be a mistyped form of; none when it is a known or an everyday word.
func (t *typos) of(word []byte, into [][]byte) [][]byte {
	if len(word) < typoLetters || len(word) > 24 || t.known[string(word)] || t.ordinary[string(word)] {
		return into
	}
	for skip := -1; skip < len(word); skip++ {
		for _, i := range t.deleted[hashWithout(word, skip)] {
			candidate := t.words[i]
			if candidate[0] == word[0] && !contains(into, candidate) && oneEdit(word, candidate) {
				into = append(into, candidate)
			}
		}
	}
	return into
}

func contains(list [][]byte, word []byte) bool {
	for _, other := range list {
		if string(other) == string(word) {
			return true
		}
	}
	return false
}

// hashWithout is the FNV-1a hash of a word without one of its letters (-1: with all of them).
func hashWithout(word []byte, skip int) uint64 {
	h := uint64(14695981039346656037)
	for i, ch := range word {
		if i != skip {
			h = (h ^ uint64(ch)) * 1099511628211
		}
	}
	return h
}

// mixedUp lists the letters that are written for one another: neighbours on the keyboard, and those that
// sound alike. Any other changed letter more likely makes another word ("report" is no retort).
var mixedUp = [26]string{0: "eioqswz", 'b' - 'a': "vghnp", 'c' - 'a': "xdfvks", 'd' - 'a': "serfcxt", 'e' - 'a': "aiouwrds",
	'f' - 'a': "drtgcv", 'g' - 'a': "ftyhbvj", 'h' - 'a': "gyujbn", 'i' - 'a': "aeouykj", 'j' - 'a': "huiknmg", 'k' - 'a': "jiolmc",
	'l' - 'a': "kop", 'm' - 'a': "njk", 'n' - 'a': "bhjm", 'o' - 'a': "aeuipkl", 'p' - 'a': "olb", 'q' - 'a': "wak", 'r' - 'a': "edft",
	's' - 'a': "awedxzc", 't' - 'a': "rfgyd", 'u' - 'a': "aeoyihj", 'v' - 'a': "cfgbw", 'w' - 'a': "qasev", 'x' - 'a': "zsdc",
	'y' - 'a': "tughi", 'z' - 'a': "asx"}

func confused(a, b byte) bool {
	return a >= 'a' && a <= 'z' && strings.IndexByte(mixedUp[a-'a'], b) >= 0
}

// oneEdit holds when one letter mixed up, added, dropped or swapped with its neighbour turns a into b.
func oneEdit(a, b []byte) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	switch {
	case len(b)-len(a) > 1:
		return false
	case len(b) > len(a):
		return string(a[i:]) == string(b[i+1:])
	case i == len(a):
		return false
	case string(a[i+1:]) == string(b[i+1:]):
		return confused(a[i], b[i])
	default:
		return i+1 < len(a) && a[i] == b[i+1] && a[i+1] == b[i] && string(a[i+2:]) == string(b[i+2:])
	}
}
