package reader

// shortestGuess is the length from which on a word may be a typing error of another.
const shortestGuess = 5

// finish builds what matching looks up: the kinds of each phrase, and the index of typing errors, every word
// of the vocabulary under each form with one letter left out.
func (l *lexicon) finish() {
	l.kinds = make([]uint64, len(l.at))
	for node, entries := range l.at {
		for _, e := range entries {
			l.kinds[node] |= 1 << l.entries[e].kind
		}
	}
	l.near = map[string][]word{}
	for w, text := range l.names {
		if len(text) < shortestGuess || !letters(text) || l.stop[w] {
			continue
		}
		l.near[text] = append(l.near[text], word(w))
		for i := range text {
			short := text[:i] + text[i+1:]
			if known := l.near[short]; len(known) == 0 || known[len(known)-1] != word(w) {
				l.near[short] = append(known, word(w))
			}
		}
	}
}

func letters(text string) bool {
	for i := 0; i < len(text); i++ {
		if text[i] < 'a' || text[i] > 'z' {
			return false
		}
	}
	return true
}

// longestGuess bounds the work on one word.
const longestGuess = 24

// guess is the one word of the vocabulary that a typed word differs from by one letter left out, added,
// changed or swapped with its neighbour; 0 when there is none, or several.
func (l *lexicon) guess(typed string) word {
	if len(typed) < shortestGuess || len(typed) > longestGuess || !letters(typed) {
		return 0
	}
	var found, swapped word // swapped: the same letters, which is the likelier slip
	several, severalSwapped := false, false
	consider := func(candidates []word) {
		for _, w := range candidates {
			if w == found || w == swapped || !oneEdit(typed, l.names[w]) {
				continue
			}
			if len(typed) == len(l.names[w]) && isSwap(typed, l.names[w]) {
				severalSwapped = severalSwapped || swapped != 0
				swapped = w
				continue
			}
			several = several || found != 0
			found = w
		}
	}
	consider(l.near[typed])
	var buf [longestGuess]byte
	for i := range typed {
		short := append(append(buf[:0], typed[:i]...), typed[i+1:]...)
		consider(l.near[string(short)])
	}
	switch {
	case severalSwapped:
		return 0
	case swapped != 0:
		return swapped
	case several:
		return 0
	}
	return found
}

// isSwap reports whether two words of one length differ by neighbours that changed places.
func isSwap(a, b string) bool {
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	return i+1 < len(a) && a[i] == b[i+1] && a[i+1] == b[i]
}

// oneEdit reports whether two words differ by one letter, the first letter being the same.
func oneEdit(a, b string) bool {
	if a[0] != b[0] || a == b {
		return false
	}
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] {
		i++
	}
	j := 0
	for j < len(a)-i && j < len(b)-i && a[len(a)-1-j] == b[len(b)-1-j] {
		j++
	}
	restA, restB := a[i:len(a)-j], b[i:len(b)-j]
	switch {
	case len(restA) == 2 && len(restB) == 2:
		return restA[0] == restB[1] && restA[1] == restB[0]
	default:
		return len(restA) <= 1 && len(restB) <= 1
	}
}
