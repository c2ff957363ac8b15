package conversation

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"rodcall/engine/data"
	"rodcall/engine/measure"
)

// Kinds of words in a question of figures.
const (
	isTopic     = "topic"
	isWeak      = "weak"
	asksWord    = "asks"
	isProcess   = "process"
	isUse       = "use"
	isRestraint = "restraint"
	joinsWord   = "joins"
	smallWord   = "small"
)

var askSchema = data.Schema{File: "ask_words.csv", Key: []string{"phrase"}, Columns: []data.Column{
	{Name: "phrase", Kind: data.Text, Required: true, Doc: "the words, in lower case"},
	{Name: "kind", Kind: data.Word, Required: true, Of: []string{isTopic, isWeak, asksWord, isProcess, isUse, isRestraint, joinsWord, smallWord}, Doc: "what they do in a question"},
	{Name: "means", Kind: data.Text, Doc: "the topic or value that they stand for"},
	{Name: "mark", Kind: data.Word, Required: true, Of: []string{"judgement"}, Doc: "how firmly the row is held"},
}}

type askWord struct{ kind, means string }

// askVocabulary is ask_words.csv by phrase.
type askVocabulary struct {
	words   map[string]askWord
	longest int // words in the longest phrase
}

var askOnce = sync.OnceValue(func() askVocabulary {
	faults := &data.Faults{}
	v := askVocabulary{words: map[string]askWord{}}
	for _, row := range data.Read(files, askSchema, faults).Rows {
		phrase := row.Text("phrase")
		v.words[phrase] = askWord{row.Text("kind"), row.Text("means")}
		v.longest = max(v.longest, len(strings.Fields(phrase)))
	}
	if err := faults.Err(); err != nil {
		panic(err)
	}
	return v
})

// figure is a number that a question gives, with the words it was given in.
type figure struct {
	value float64
	given bool
	words string
}

// asked is a message read as a question of figures.
type asked struct {
	topic                                    string // "" when no word names one
	weak                                     bool   // the topic was named by a weak word only
	opens                                    bool   // an asking word or a question mark
	put                                      bool   // a question mark, or "can i": it tells no limit
	again                                    bool   // "what about ...": goes on from the question before
	onThis                                   bool
	first                                    bool   // the topic is the first word
	thickness, hydrogen, heat, preheat, cent figure // words; ml/100 g; kJ/mm; C; %
	hardness                                 figure
	from, to                                 measure.Scale
	fillers                                  []string
	other                                    string // the other side of a joint
	layers                                   int
	process, use, restraint                  string
	bare                                     []string // numbers without a unit
	left                                     []string // words that say nothing here
}

const number = `-?[0-9]+(?:[.,][0-9]+)?`

const scaleNames = `hrc|rc|rockwell c|hbw|hb|bhn|brinell|hv|vickers|hrb|rb|hra|hld|leeb`

var (
	hydrogenWords  = regexp.MustCompile(`(` + number + `) ?ml(?: ?(?:/|per) ?100 ?g)?\b`)
	designator     = regexp.MustCompile(`\bh(2|4|5|8|10|15|16)\b`)
	heatWords      = regexp.MustCompile(`(` + number + `) ?kj ?(?:/|per|a) ?(mm|inch|in|cm)\b`)
	temperature    = regexp.MustCompile(`(` + number + `) ?(?:°|deg(?:rees?)?\.?)? ?(celsius|fahrenheit|c|f)\b`)
	percentage     = regexp.MustCompile(`(` + number + `) ?(?:%|percent\b|per cent\b|pct\b)`)
	toScale        = regexp.MustCompile(`(` + number + `) ?(` + scaleNames + `)\b(?: hardness)? ?(?:in|to|as|into|=|is what in|is how many) ?(?:how many )?(` + scaleNames + `)\b`)
	howMany        = regexp.MustCompile(`how many (` + scaleNames + `) (?:is|are|in|for|from) (` + number + `) ?(` + scaleNames + `)\b`)
	toStrength     = regexp.MustCompile(`(` + number + `) ?(` + scaleNames + `)\b(?: hardness)? ?(?:in|to|as|into|=) ?(?:mpa|ksi|psi|n/mm2)\b`)
	onScale        = regexp.MustCompile(`(` + number + `) ?(` + scaleNames + `)\b`)
	sizeWords      = regexp.MustCompile(`(-?[0-9][0-9 ./-]*) ?("|''|inches\b|inch\b|in\b|mm\b|cm\b)(?: thick\b)?`)
	layersWords    = regexp.MustCompile(`\b(two|three|four|[2-4]) (?:layers?|passes)\b`)
	otherSide      = regexp.MustCompile(`\b(?:joining|between|from|weld(?:ing)?|join)? ?(?:this|it) (?:to|and|onto) (?:a |an |the |some )?([a-z0-9][a-z0-9 -]*?)(?: at\b| with\b| using\b|,|$)`)
	bareNumber     = regexp.MustCompile(`^` + number + `$`)
	questionsFirst = regexp.MustCompile(`[?!]+`)
)

var scaleWords = map[string]measure.Scale{"hrc": measure.HRC, "rc": measure.HRC, "rockwell c": measure.HRC, "hb": measure.HB, "hbw": measure.HB, "bhn": measure.HB,
	"brinell": measure.HB, "hv": measure.HV, "vickers": measure.HV, "hrb": measure.HRB, "rb": measure.HRB, "hra": measure.HRA, "hld": measure.HLD, "leeb": measure.HLD}

var layerWords = map[string]int{"two": 2, "three": 3, "four": 4, "2": 2, "3": 3, "4": 4}

// longestQuestion is the number of words up to which a message is looked at as a question.
const longestQuestion = 24

// fractions are the signs of a phone's keyboard.
var fractions = strings.NewReplacer("½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8", "″", "\"", "”", "\"", "\u00a0", " ", "×", "x")

// readAsk reads a message as a question of figures; isFiller tells a consumable class from other words.
func readAsk(text string, isFiller func(string) bool) (a asked) {
	said := strings.ToLower(strings.Join(strings.Fields(fractions.Replace(apostrophes.Replace(text))), " "))
	if len(strings.Fields(said)) > longestQuestion {
		return asked{left: []string{said}}
	}
	a.put = strings.Contains(said, "?")
	a.opens = a.put
	said = questionsFirst.ReplaceAllString(said, " ")
	said = a.figures(said)
	a.wordsIn(said, isFiller)
	return a
}

// figures takes the numbers with a unit out of the text.
func (a *asked) figures(said string) string {
	take := func(pattern *regexp.Regexp, use func(m []string)) {
		said = pattern.ReplaceAllStringFunc(said, func(found string) string {
			use(pattern.FindStringSubmatch(found))
			return " "
		})
	}
	if m := otherSide.FindStringSubmatch(strings.TrimSpace(said)); m != nil && !onScale.MatchString(m[1]) && !temperature.MatchString(m[1]) && !sizeWords.MatchString(m[1]) {
		a.other = m[1]
		said = strings.Replace(said, m[0], strings.Replace(m[0], m[1], "", 1), 1)
	}
	take(toScale, func(m []string) {
		a.hardness, a.from, a.to = figureOf(m[1], m[0]), scaleWords[m[2]], scaleWords[m[3]]
	})
	take(howMany, func(m []string) {
		a.hardness, a.from, a.to = figureOf(m[2], m[0]), scaleWords[m[3]], scaleWords[m[1]]
	})
	take(toStrength, func(m []string) {
		a.hardness, a.from, a.topic = figureOf(m[1], m[0]), scaleWords[m[2]], "strength"
	})
	take(onScale, func(m []string) { a.hardness, a.from = figureOf(m[1], m[0]), scaleWords[m[2]] })
	take(hydrogenWords, func(m []string) { a.hydrogen = figureOf(m[1], m[0]) })
	take(designator, func(m []string) { a.hydrogen = figureOf(m[1], m[0]) })
	take(heatWords, func(m []string) { a.heat = inKJPerMM(figureOf(m[1], m[0]), m[2]) })
	take(percentage, func(m []string) { a.cent = figureOf(m[1], m[0]) })
	take(layersWords, func(m []string) { a.layers = layerWords[m[1]] })
	take(sizeWords, func(m []string) {
		a.thickness = figure{given: true, words: strings.TrimSpace(m[0])}
		if v := figureOf(strings.TrimSpace(m[1]), m[0]); strings.HasPrefix(m[1], "-") || v.given && v.value <= 0 {
			a.thickness.value = -1
		}
	})
	take(temperature, func(m []string) {
		a.preheat = figureOf(m[1], m[0])
		if strings.HasPrefix(m[2], "f") {
			a.preheat.value = float64(measure.Fahrenheit(a.preheat.value).Celsius())
		}
	})
	return said
}

func figureOf(digits, words string) figure {
	v, err := strconv.ParseFloat(strings.Replace(digits, ",", ".", 1), 64)
	return figure{value: v, given: err == nil, words: strings.TrimSpace(words)}
}

func inKJPerMM(f figure, unit string) figure {
	switch unit {
	case "in", "inch":
		f.value /= 25.4
	case "cm":
		f.value /= 10
	}
	return f
}

// wordsIn reads what the figures left, the longest phrase first.
func (a *asked) wordsIn(said string, isFiller func(string) bool) {
	v := askOnce()
	var words []string
	for _, word := range strings.Fields(said) {
		if word = strings.Trim(word, ".,;:()\"'"); word != "" {
			words = append(words, word)
		}
	}
	for i := 0; i < len(words); {
		n := min(v.longest, len(words)-i)
		for ; n > 0; n-- {
			if w, known := v.words[strings.Join(words[i:i+n], " ")]; known {
				a.hear(w, i == 0)
				break
			}
		}
		if n == 0 {
			a.stranger(words[i], isFiller)
			n = 1
		}
		i += n
	}
}

func (a *asked) hear(w askWord, first bool) {
	switch w.kind {
	case isTopic, isWeak:
		if weak := w.kind == isWeak; a.topic == "" || a.weak && !weak {
			a.topic, a.weak = w.means, weak
			a.first = a.first || first && !weak
		}
	case asksWord:
		a.opens = a.opens || w.means == "" || w.means == "you" || w.means == "first" && first
		a.put = a.put || w.means == "you"
		a.again = a.again || first && w.means == "again"
	case isProcess:
		a.process = w.means
	case isUse:
		a.use = w.means
	case isRestraint:
		a.restraint = w.means
	case joinsWord:
		a.onThis = true
	}
}

func (a *asked) stranger(word string, isFiller func(string) bool) {
	switch {
	case len(word) >= 3 && strings.ContainsAny(word, "0123456789-") && isFiller(word) && !slices.Contains(a.fillers, word):
		a.fillers = append(a.fillers, word)
	case slices.Contains(a.fillers, word):
	case bareNumber.MatchString(word):
		a.bare = append(a.bare, word)
	default:
		a.left = append(a.left, word)
	}
}

// settle finds the topic where only the figures name it, and says whether the message is a question at all. A weak
// topic needs an asking word or a figure beside it.
func (a *asked) settle() bool {
	figures := a.thickness.given || a.hydrogen.given || a.heat.given || a.preheat.given || a.restraint != ""
	switch {
	case a.hardness.given && a.to != "":
		a.topic, a.weak = "hardness", false
	case a.hardness.given && a.topic == "strength":
		return true
	case a.hardness.given: // a reading is a fact, unless it is only asked about
		return a.topic == "hardness" && a.opens && len(a.left) == 0
	case len(a.fillers) > 0 && (a.cent.given || a.layers > 0 || a.onThis || a.other != "") && (a.topic == "" || a.weak):
		a.topic, a.weak = "dilution", false
	case a.topic == "" || a.weak && !a.opens && !figures, a.other != "" && a.topic != "dilution":
		return false
	case a.topic == "preheat" && a.process != "" && !a.opens && !figures: // "preheat and stick weld it" orders work
		return false
	}
	return true
}
