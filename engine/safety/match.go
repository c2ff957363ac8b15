package safety

import (
	"slices"
	"strconv"
	"strings"
)

// maxAnswerWords is how long a message may be to count as an answer; a longer one is a message.
const maxAnswerWords = 40

var (
	yesWords  = strings.Fields("yes y yep yeah yup aye ja si correct true affirmative sure")
	noWords   = strings.Fields("no n nope nah nay negative false")
	skipWords = strings.Fields("skip pass later next idk dunno unsure maybe dk")
	unsureSay = phrases("not sure", "no idea", "dont know", "do not know", "cant tell", "can not tell", "cannot tell", "cant say",
		"hard to say", "who knows", "no clue", "not certain", "dont remember", "cant", "cannot", "not known", "unknown", "could be")
	negators = strings.Fields("not never no isnt dont doesnt wont without aint neither nor cant")
)

func phrases(texts ...string) [][]string {
	out := make([][]string, len(texts))
	for i, text := range texts {
		out[i] = answerTokens(text)
	}
	return out
}

// answerTokens are the words of an answer in lower case, without apostrophes, signs and plural endings.
func answerTokens(text string) []string {
	text = strings.NewReplacer("'", "", "’", "").Replace(strings.ToLower(text))
	words := strings.FieldsFunc(text, func(c rune) bool {
		return c < 0x80 && !(c >= 'a' && c <= 'z' || c >= '0' && c <= '9')
	})
	if len(words) == 0 {
		return []string{""}
	}
	for i, word := range words {
		if len(word) > 3 && strings.HasSuffix(word, "s") && !strings.HasSuffix(word, "ss") && !strings.HasSuffix(word, "us") {
			words[i] = word[:len(word)-1]
		}
	}
	return words
}

// match finds the answer that words mean, or -1; skipped holds for words that decline to answer.
func (w *row) match(words []string) (at int, skipped bool) {
	if len(words) > maxAnswerWords {
		return -1, false
	}
	if n, ok := number(words); ok {
		if n >= 1 && n <= len(w.answers) {
			return n - 1, false
		}
		return -1, false
	}
	if len(words) == 1 && slices.Contains(skipWords, words[0]) || slices.ContainsFunc(unsureSay, func(p []string) bool { return hasPhrase(words, p) }) {
		return slices.IndexFunc(w.answers, func(a answerRule) bool { return a.unsure }), true
	}
	return w.best(words), false
}

// number reads "2", "2.", "option 2", "(2)".
func number(words []string) (n int, ok bool) {
	if len(words) == 2 && slices.Contains([]string{"option", "answer", "nr", "number"}, words[0]) {
		words = words[1:]
	}
	if len(words) != 1 {
		return 0, false
	}
	n, err := strconv.Atoi(words[0])
	return n, err == nil
}

// best is the answer whose words the message shares most. Of two that tie, one that keeps the caution
// wins: a doubtful answer never clears a stop.
func (w *row) best(words []string) int {
	yes, no := slices.Contains(yesWords, words[0]), slices.Contains(noWords, words[0])
	best, at := 0, -1
	for i := range w.answers {
		a := &w.answers[i]
		if yes && a.no || no && a.yes {
			continue
		}
		score := a.score(words)
		if yes && a.yes || no && a.no {
			score += 3
		}
		switch {
		case score > best:
			best, at = score, i
		case score == best && score > 0 && a.effect == Keeps && !a.unsure:
			at = i
		case score == best && score > 0 && bare(words) && a.key == "" && a.effect == w.answers[at].effect:
			at = i // a bare "no" claims no more than it says
		}
	}
	return at
}

func bare(words []string) bool { return len(words) == 1 }

// score counts what speaks for an answer: three a phrase, two for each of its words, one for each
// telling word of the label.
func (a *answerRule) score(words []string) int {
	best := 0
	for _, phrase := range a.says {
		if at := phraseAt(words, phrase); at >= 0 && !negated(words, at, phrase) {
			best = max(best, 3+2*len(phrase))
		}
	}
	for _, word := range a.content {
		if at := slices.Index(words, word); at >= 0 && !negated(words, at, []string{word}) {
			best++
		}
	}
	return best
}

// negated reports whether a word of denial stands within two words before a phrase that holds none itself.
func negated(words []string, at int, phrase []string) bool {
	if slices.Contains(negators, phrase[0]) {
		return false
	}
	for i := max(0, at-2); i < at; i++ {
		if slices.Contains(negators, words[i]) && i > 0 || words[i] == "not" || words[i] == "never" {
			return true
		}
	}
	return false
}

func hasPhrase(words, phrase []string) bool { return phraseAt(words, phrase) >= 0 }

func phraseAt(words, phrase []string) int {
	for i := 0; i+len(phrase) <= len(words); i++ {
		if slices.Equal(words[i:i+len(phrase)], phrase) {
			return i
		}
	}
	return -1
}
