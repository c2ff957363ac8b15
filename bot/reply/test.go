package reply

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rodcall/engine"
)

// NextTest is the first of the judgment's tests that the rep can do; ok is false when none is left.
func NextTest(j engine.Judgment, cannot []string) (t engine.NextTest, ok bool) {
	for _, t := range j.NextTests {
		if !slices.Contains(cannot, t.Test) {
			return t, true
		}
	}
	return engine.NextTest{}, false
}

// Proposed is the test that the reply to a judgment puts before the rep; ok is false when it puts none.
func Proposed(j engine.Judgment, cannot []string) (t engine.NextTest, ok bool) {
	t, ok = NextTest(j, cannot)
	return t, ok && offered(j, t)
}

// waits is the longest test, in minutes, that a reply offers beside a weld decision; the word next gives all.
const waits = 30

// offered says whether a test stands in the reply: always before welding is decided; beside a weld
// decision when it is short, unless the metal is almost sure and the rest harmless to the rod.
func offered(j engine.Judgment, t engine.NextTest) bool {
	if j.Decision == weld && t.Minutes > waits {
		return false
	}
	if j.Decision != weld || doubtOf(j).from < 0.95 || len(j.Consumables) == 0 {
		return true
	}
	return len(picks(j)[0].classes[0].WrongIf) > 0
}

func testBlock(j engine.Judgment, c Context) []block {
	t, ok := NextTest(j, c.Cannot)
	if !ok {
		return noTestBlock(j, c)
	}
	if !offered(j, t) {
		return nil
	}
	if asksPart(j, t) {
		text := partQuestion + " Or, in " + minutes(t.Minutes) + ": " + lowerFirst(testHow(t, c))
		return []block{terse(paragraph(text), 4)}
	}
	opening := "Do this (" + minutes(t.Minutes) + "): "
	if repeatsFirst(j) && t.Test == j.NextTests[0].Test {
		opening = "Do it again, fresh spot (" + minutes(t.Minutes) + "): "
	}
	if j.Decision == weld {
		opening = "Test worth " + minutes(t.Minutes) + ": "
	}
	how := paragraph(opening + upperFirst(testHow(t, c)))
	forms := [][]string{append(slices.Clone(how), outcomeLines(t, c)...)}
	if most := t; len(t.Outcomes) > 3 { // the rarest of them is told by the word next
		most.Outcomes = t.Outcomes[:3]
		forms = append(forms, append(slices.Clone(how), outcomeLines(most, c)...))
	}
	if short := outcomesInOne(t); len(short) <= 4 {
		forms = append(forms, append(slices.Clone(how), short...))
	}
	forms = append(forms, how)
	forms = append(forms, clipLines(how, 3), clipLines(how, 2))
	if j.Decision == weld {
		return []block{{cutAnswers, append(forms, nil)}}
	}
	return []block{{cutAnswers, forms}}
}

// partQuestion asks for the fact that says most and costs nothing.
const partQuestion = "What part is it, and off what machine?"

// asksPart says whether the part is asked for instead of a test that would keep the work waiting.
func asksPart(j engine.Judgment, t engine.NextTest) bool {
	return j.Decision == testFirst && j.Observation.Part == "" && t.Minutes > waits
}

// noTestBlock stands where a test is wanted and none is left.
func noTestBlock(j engine.Judgment, c Context) []block {
	if j.Decision != testFirst || j.Why == "no-rod" && known(j) {
		return nil
	}
	text := "No test that you can do here would settle it: send a chip to a laboratory, or have it analysed."
	if j.Observation.Part == "" {
		text = partQuestion
	}
	return []block{terse(paragraph(text), 3)}
}

func testHow(t engine.NextTest, c Context) string {
	how := Clean(bothDegrees(t.How, c))
	if how == "" {
		how = keyLabel(t.Test) + " test"
	}
	return how
}

// outcomeLines lists what can be seen, and what each would lead to.
func outcomeLines(t engine.NextTest, c Context) []string {
	var lines []string
	for i, o := range t.Outcomes {
		lines = append(lines, wrap(fmt.Sprintf("%d%c%s", i+1, noBreak, outcomeText(o, c)), " ", "   ")...)
	}
	return lines
}

func outcomeText(o engine.TestOutcome, c Context) string {
	return strings.TrimSpace(Clean(o.Seen) + " - " + Clean(bothDegrees(o.Then, c)))
}

// outcomesInOne names what can be seen without what follows from it.
func outcomesInOne(t engine.NextTest) []string {
	var seen []string
	for i, o := range t.Outcomes {
		seen = append(seen, fmt.Sprintf("%d%c%s", i+1, noBreak, Clean(o.Seen)))
	}
	return wrap(strings.Join(seen, "; "), " ", "   ")
}

func minutes(m float64) string {
	switch {
	case m < 1:
		return fmt.Sprintf("%.0f%cs", max(10, math.Round(m*6)*10), noBreak)
	case m >= 2*24*60:
		return fmt.Sprintf("%.0f%cdays", m/(24*60), noBreak)
	case m >= 2*60:
		return fmt.Sprintf("%.0f%ch", m/60, noBreak)
	}
	return fmt.Sprintf("%.0f%cmin", m, noBreak)
}
