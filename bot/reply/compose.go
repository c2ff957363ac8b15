package reply

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"rodcall/engine"
)

// Decision words of the machine contract.
const (
	weld      = "weld"
	testFirst = "test-first"
	stop      = "stop"
)

// Context is what a reply needs to know beside the judgment: the case, the person and his units, what
// he was told before.
type Context struct {
	Case       int64
	Part       int                                      // number of the part, 1 or more
	Parts      int                                      // how many parts the case has; above 1 the reply names the part
	Name       func(family string) (name, short string) // what people call a family
	Units      string                                   // metric | us | both
	Inch       bool                                     // the rep told sizes in inches
	Shown      []string                                 // routine cautions that this person was shown today
	Cannot     []string                                 // tests that he cannot do
	Kept       bool                                     // the open question was put before and is not put again: its stop is told
	Lead       string                                   // opens the first line ("UNDONE"); empty: CHANGED where the call changed
	Before     *engine.Judgment                         // the call told last; nil when there was none
	Changes    []Change                                 // what this message did to the facts
	Again      bool                                     // a follow-up to an earlier message of the case
	Unread     []string                                 // words of this message that were not understood
	Photos     int                                      // photos that came with the message
	NotProven  bool                                     // remind that field tests prove nothing for a loaded part
	Notes      []string                                 // sentences that stand right under the first line
	AfterWords []string                                 // more words that lead on ("undo")
}

func (c Context) name(family string) (string, string) {
	if c.Name != nil {
		if full, short := c.Name(family); full != "" {
			if short == "" {
				short = full
			}
			return Clean(full), Clean(short)
		}
	}
	return spoken(Clean(family)), spoken(Clean(family))
}

// Compose makes the reply to one judgment.
func Compose(j engine.Judgment, c Context) Reply {
	var blocks []block
	blocks = append(blocks, headline(j, c))
	for _, note := range c.Notes {
		blocks = append(blocks, may(cutChanged, paragraph(note)))
	}
	blocks = append(blocks, changed(j, c)...)
	switch {
	case open(j, c):
		blocks = append(blocks, questionBlocks(j, c)...)
	case j.Decision == stop:
		blocks = append(blocks, stopBlocks(j, c)...)
	default:
		blocks = append(blocks, adviceBlocks(j, c)...)
	}
	hazards, shown := cautionBlocks(j, c)
	blocks = append(blocks, hazards...)
	blocks = append(blocks, asideBlocks(j, c)...)
	actions := actionsFor(j, c)
	blocks = append(blocks, wordsLine(actions, c, j.Decision == stop))
	r := Reply{Case: c.Case, Lines: fit(blocks, MaxLines), Actions: actions, Shown: shown}
	if !slices.ContainsFunc(r.Lines, func(line string) bool {
		return strings.HasPrefix(line, usualPrefix)
	}) {
		r.Shown = nil // there was no room for them: the next reply tells them
	}
	return r
}

// open says whether the reply puts the judgment's question; one that was put before is told as a stop.
func open(j engine.Judgment, c Context) bool { return j.Question != nil && !c.Kept }

// decisionWord is the word that a locked phone shows first.
func decisionWord(j engine.Judgment, c Context) string {
	switch {
	case open(j, c):
		return "ONE QUESTION"
	case j.Decision == stop:
		return "STOP"
	case notWelded(j):
		return "NO ROD"
	case j.Decision == testFirst:
		return "TEST FIRST"
	case cold(j):
		return "WELD, COLD"
	}
	return "WELD"
}

// notWelded says whether the answer is another way to join, a new part, or to relax what leaves nothing.
func notWelded(j engine.Judgment) bool { return insteadOf(j) != "" }

// insteadOf is that answer; "" where a test or a rod is the answer.
func insteadOf(j engine.Judgment) string {
	switch {
	case j.Decision != testFirst:
		return ""
	case j.Why == "replace":
		return after("Instead: ", j.Replace)
	case j.Why == "limits":
		return sentence(upperFirst(j.LimitNote))
	}
	return ""
}

// cold says whether the leading metal, when it is at least likely, is one that heat harms and the
// judgment keeps the preheat low.
func cold(j engine.Judgment) bool {
	if len(j.Families) == 0 || len(j.Consumables) == 0 || doubtOf(j).names == 0 || doubtOf(j).from < 0.5 {
		return false
	}
	limit, harmed := words().cold[j.Families[0].ID]
	return harmed && (j.PreheatC == nil || j.PreheatC.Max <= limit)
}

func headline(j engine.Judgment, c Context) block {
	word := decisionWord(j, c)
	text := word + ". "
	switch {
	case word == "ONE QUESTION":
		text = "ONE QUESTION before I name a rod:"
		if j.Decision != stop {
			text = "ONE QUESTION:"
		}
	case word == "STOP":
		text += stopTitle(j)
	default:
		text += metalSentence(j, c)
	}
	if c.Parts > 1 {
		text = fmt.Sprintf("%d %s: ", c.Part, partName(j)) + text
	}
	switch {
	case c.Lead != "":
		text = c.Lead + ": " + text
	case c.Before != nil && callChanged(*c.Before, j, c):
		text = "CHANGED: " + text
	case c.Before != nil && word != "ONE QUESTION":
		text = "STILL " + text
	}
	return terse(paragraph(text), 3)
}

func partName(j engine.Judgment) string {
	if j.Observation.Part == "" {
		return "this part"
	}
	return clip(j.Observation.Part, 24)
}

// callChanged says whether the rep has to do something else than he was told last.
func callChanged(before, now engine.Judgment, c Context) bool {
	was := c
	was.Kept = c.Kept && before.Question != nil
	if decisionWord(before, was) != decisionWord(now, c) {
		return true
	}
	if now.Decision == stop {
		return !slices.Equal(before.StopReasons, now.StopReasons)
	}
	return metalSentence(before, c) != metalSentence(now, c) || rodText(before) != rodText(now) || heatText(before, c) != heatText(now, c)
}

func changed(j engine.Judgment, c Context) []block {
	var blocks []block
	if len(c.Changes) > 0 {
		blocks = append(blocks, block{cutChanged, changeForms(c.Changes)})
	} else if c.Again && c.Lead == "" && c.Before != nil {
		blocks = append(blocks, may(cutNote, paragraph("Nothing in that changes the facts.")))
	}
	if c.Before != nil && callChanged(*c.Before, j, c) && c.Before.Decision != stop && len(c.Before.Families) > 0 {
		was := strings.TrimSuffix(lowerFirst(metalSentence(*c.Before, c)), ".")
		word := decisionWord(*c.Before, c)
		blocks = append(blocks, may(cutNote, paragraph("Was: "+word+", "+was+".")))
	}
	return blocks
}

// adviceBlocks are rod, heat, cooling and test of a decision that is no stop.
func adviceBlocks(j engine.Judgment, c Context) []block {
	var blocks []block
	if notWelded(j) {
		blocks = append(blocks, terse(paragraph(bothDegrees(insteadOf(j), c)), 5))
		if _, ok := NextTest(j, c.Cannot); ok {
			blocks = append(blocks, may(cutNote, paragraph("A test could still change that: say next.")))
		}
		return blocks
	}
	if doubtOf(j).word == words().disagree.word {
		blocks = append(blocks, disagreement(j))
	}
	if text := whyTest(j, c); text != "" {
		blocks = append(blocks, may(cutHazards, paragraph(bothDegrees(text, c))))
	}
	if j.Replace != "" {
		blocks = append(blocks, may(cutAnswers, paragraph("Better not welded: "+bothDegrees(j.Replace, c))))
	}
	test := testBlock(j, c)
	if j.Decision == testFirst {
		blocks = append(blocks, test...)
	}
	blocks = append(blocks, rodBlocks(j, c)...)
	if text := heatText(j, c); text != "" {
		lines := labelled("Heat", text)
		blocks = append(blocks, terse(lines, 2))
		if p := j.PreheatC; p != nil && p.Hotter != "" && !cold(j) {
			blocks = append(blocks, may(cutHazards, labelled("", "for "+tenthsOf(p.Share)+"; "+bothDegrees(p.Hotter, c))))
		}
	}
	if text := Clean(bothDegrees(j.Cooling, c)); text != "" && j.Decision == weld {
		lines := labelled("Cool", text)
		blocks = append(blocks, may(cutCooling, lines, clipLines(lines, 2), clipLines(lines, 1)))
	}
	if j.Decision != testFirst {
		blocks = append(blocks, test...)
	}
	return blocks
}

// whyTest says why a test comes before a weld; "" where the reply says so in another place.
func whyTest(j engine.Judgment, c Context) string {
	if j.Decision != testFirst {
		return ""
	}
	switch j.Why {
	case "conflict":
		if j.Conflict != "" {
			return sentence(upperFirst(j.Conflict))
		}
		return "The metals in question want opposite treatment."
	case "uncertain":
		return "Somebody may be hurt if it breaks: no rod before the metal is known."
	case "no-rod":
		if known(j) {
			_, short := c.name(j.Families[0].ID)
			return "No rod of mine does that job on " + short + ". Replace it, or ask a specialist."
		}
		return "No rod of mine is sound for all of them."
	case "wait":
		return "Welding now risks more than waiting for the test."
	case "test-pays":
		return "The test may change the rod or the heat."
	}
	return "" // near-danger stands as a hazard, facts-disagree as the two facts, still-open in the first line
}

// known says whether one metal leads so far that no test would bring another rod in.
func known(j engine.Judgment) bool { return len(j.Families) > 0 && j.Families[0].P >= 0.8 }

// heatText is preheat and interpass limit; "" when the judgment gives neither.
func heatText(j engine.Judgment, c Context) string {
	const workshop = 50 // degrees C up to which "preheat" only means a dry, not a frozen, part
	most := ""
	if j.InterpassMaxC != nil {
		most = degrees(*j.InterpassMaxC, c)
	}
	p := j.PreheatC
	switch {
	case p == nil && j.Decision != weld:
		return after("never above ", most)
	case p == nil || p.Max <= workshop && p.Min < workshop/2:
		return "none, dry" + after(". Stop at ", most)
	case j.InterpassMaxC != nil && p.Min < workshop/2 && p.Max >= *j.InterpassMaxC:
		return "up to " + most + ", no hotter"
	case j.InterpassMaxC != nil && p.Max == *j.InterpassMaxC:
		return degreeRange(p.Min, p.Max, c) + ", no hotter"
	case p.Min < workshop/2:
		return "up to " + degrees(p.Max, c) + after(", max ", most)
	}
	return degreeRange(p.Min, p.Max, c) + after(", max ", most)
}

// after puts words before a text, unless the text is empty.
func after(words, text string) string {
	if text == "" {
		return ""
	}
	return words + text
}

func joinText(parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), "; ")
}

// disagreement names the two facts that contradict each other most, and the one to repeat.
func disagreement(j engine.Judgment) block {
	a, b := quarrel(j)
	text := ""
	switch {
	case a != "" && b != "":
		text = a + " does not go with " + b + "."
	case a != "":
		text = a + " fits no metal that goes with the rest."
	default:
		text = "No metal that I list fits them."
	}
	if j.Repeat != "" && !repeatsFirst(j) {
		text += " Repeat the " + keyLabel(j.Repeat) + " on a fresh ground spot, away from the old one."
	}
	return terse(paragraph(upperFirst(text)), 4)
}

// repeatsFirst says whether the test that the reply puts first is the repetition itself.
func repeatsFirst(j engine.Judgment) bool {
	test := ""
	if len(j.NextTests) > 0 {
		test = j.NextTests[0].Test
	}
	return j.Fit != "good" && j.Repeat != "" && (sameKey(test, j.Repeat) || strings.HasPrefix(test, j.Repeat+"-"))
}

// quarrel finds the fact to repeat and the one that it contradicts most: their bits over the leading
// families point opposite ways.
func quarrel(j engine.Judgment) (a, b string) {
	first := slices.IndexFunc(j.Evidence, func(e engine.Evidence) bool { return sameKey(e.Key, j.Repeat) })
	if j.Repeat == "" || first < 0 {
		return strongestPair(j.Evidence)
	}
	second, worst := -1, 0.0
	for i := range j.Evidence {
		if agreement := dot(j.Evidence[first], j.Evidence[i], j.Families); i != first && agreement < worst {
			second, worst = i, agreement
		}
	}
	if second < 0 {
		return factText(j.Evidence[first]), ""
	}
	return factText(j.Evidence[first]), factText(j.Evidence[second])
}

func strongestPair(evidence []engine.Evidence) (a, b string) {
	worst := 0.0
	for i := range evidence {
		for k := i + 1; k < len(evidence); k++ {
			if agreement := dot(evidence[i], evidence[k], nil); agreement < worst {
				worst, a, b = agreement, factText(evidence[i]), factText(evidence[k])
			}
		}
	}
	return a, b
}

// dot is how much two facts agree: the sum over families of the product of their bits, families in a
// fixed order.
func dot(a, b engine.Evidence, families []engine.FamilyChance) float64 {
	var ids []string
	for _, f := range families {
		ids = append(ids, f.ID)
	}
	if ids == nil {
		for id := range a.Bits {
			ids = append(ids, id)
		}
		slices.Sort(ids)
	}
	sum := 0.0
	for _, id := range ids {
		sum += a.Bits[id] * b.Bits[id]
	}
	return sum
}

func sameKey(evidence, repeat string) bool {
	return evidence == repeat || strings.HasPrefix(evidence, repeat+".") || strings.HasPrefix(repeat, evidence+"-")
}

func factText(e engine.Evidence) string {
	return strings.TrimSpace(keyLabel(e.Key) + " " + Clean(spoken(e.Value)))
}

// keyLabel is what a person calls an observation key or a test.
func keyLabel(key string) string {
	return strings.NewReplacer("_g_cm3", "", "_", " ", "-", " ", ".", " ").Replace(Clean(key))
}

func upperFirst(text string) string { return mapFirst(text, unicode.ToUpper) }
func lowerFirst(text string) string { return mapFirst(text, unicode.ToLower) }

func mapFirst(text string, f func(rune) rune) string {
	r, size := utf8.DecodeRuneInString(text)
	if size == 0 {
		return text
	}
	return string(f(r)) + text[size:]
}
