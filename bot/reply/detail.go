package reply

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"rodcall/engine"
	"rodcall/engine/observation"
)

// The details that a follow-up word asks for. Each returns all its lines; Page cuts them to a screen.

// Why gives the families with their chances, and the evidence in words and bits.
func Why(j engine.Judgment, c Context) []string {
	lines := paragraph("How sure, in numbers (" + DoubtWord(j) + "):")
	lines = append(lines, chances(j, c)...)
	if len(j.Families) > 0 {
		lines = append(lines, evidenceLines(j, c)...)
	}
	if j.Fit != "" && j.Fit != "good" {
		lines = append(lines, disagreement(j).lines()...)
	}
	if len(j.Grades) > 0 {
		var grades []string
		for _, g := range j.Grades[:min(3, len(j.Grades))] {
			grades = append(grades, Clean(g.Designation)+" "+percent(g.P))
		}
		lines = append(lines, paragraph("Grades: "+strings.Join(grades, ", ")+".")...)
	}
	if len(j.Assumed) > 0 {
		lines = append(lines, paragraph("Supposed: "+strings.Join(j.Assumed, "; ")+".")...)
	}
	if j.Engine != "" {
		lines = append(lines, paragraph("By "+Clean(j.Engine)+".")...)
	}
	return lines
}

// chances lists families until 95 percent is told, five at most, and what is left.
func chances(j engine.Judgment, c Context) []string {
	var lines []string
	told := 0.0
	for i, f := range j.Families {
		if i == 5 || told >= 0.95 || f.P < 0.01 {
			break
		}
		full, _ := c.name(f.ID)
		lines = append(lines, wrap(full+counted(i, f.P), percentColumn(f.P), "      ")...)
		told += f.P
	}
	if rest := 1 - told - j.Unlisted; rest >= 0.005 {
		lines = append(lines, wrap("other listed metals", percentColumn(rest), "      ")...)
	}
	if j.Unlisted >= 0.005 {
		lines = append(lines, wrap("none that I list", percentColumn(j.Unlisted), "      ")...)
	}
	return lines
}

func percentColumn(p float64) string { return fmt.Sprintf("%4s ", percent(p)) }

// percent rounds, but never to 0 or 100, which would claim certainty.
func percent(p float64) string {
	switch {
	case p > 0.99 && p < 1:
		return ">99%"
	case p < 0.01 && p > 0:
		return "<1%"
	}
	return fmt.Sprintf("%.0f%%", p*100)
}

// counted adds the natural count of a rival, where one helps: "1 in 4".
func counted(place int, p float64) string {
	if place == 0 || p < 0.08 || p > 0.45 {
		return ""
	}
	return fmt.Sprintf(" (1 in %.0f)", math.Round(1/p))
}

// evidenceLines tell for each fact how far it moves the leading family against the next, strongest first.
func evidenceLines(j engine.Judgment, c Context) []string {
	lead := j.Families[0].ID
	evidence := slices.Clone(j.Evidence)
	slices.SortStableFunc(evidence, func(a, b engine.Evidence) int {
		return cmp.Compare(math.Abs(b.Bits[lead]), math.Abs(a.Bits[lead]))
	})
	_, short := c.name(lead)
	var lines []string
	for i, e := range evidence {
		if i == 0 {
			lines = append(lines, paragraph("For or against "+short+":")...)
		}
		lines = append(lines, wrap(weightWord(e.Bits[lead])+" "+factText(e), fmt.Sprintf("%+5.1f ", round1(e.Bits[lead])), "      ")...)
	}
	if len(evidence) > 0 {
		lines = append(lines, paragraph("(bits: +1 doubles the odds)")...)
	}
	return lines
}

func round1(v float64) float64 {
	if v = math.Round(v*10) / 10; v == 0 {
		return 0 // not -0
	}
	return v
}

func weightWord(bits float64) string {
	side := "for:"
	if bits < 0 {
		side = "against:"
	}
	switch size := math.Abs(bits); {
	case size < 0.2:
		return "no weight:"
	case size < 1:
		return "weakly " + side
	case size < 2.5:
		return side
	}
	return "strongly " + side
}

// Rods lists the classes with how far each suits and where it would be wrong.
func Rods(j engine.Judgment, c Context) []string {
	if len(j.Consumables) == 0 {
		return paragraph(noneYet(j))
	}
	var lines []string
	for _, x := range j.Consumables {
		head := className(x.Class) + ", " + roleWord(x.Role)
		if x.Process != "" {
			head += ", " + Clean(x.Process)
		}
		if slices.Contains(j.Observation.Have, x.Class) {
			head += " (you carry it)"
		}
		lines = append(lines, paragraph(head+": suits "+percent(x.SuitsP)+".")...)
		if x.Why != "" {
			lines = append(lines, wrap(bothDegrees(x.Why, c), "  ", "  ")...)
		}
		if x.Item != nil {
			lines = append(lines, wrap(priceText(*x.Item, c), "  Take ", "  ")...)
		}
		for _, w := range x.WrongIf {
			_, short := c.name(w.Family)
			text := fmt.Sprintf("Wrong if %s (%s): %s", short, percent(w.P), bothDegrees(w.What, c))
			lines = append(lines, wrap(text, "  ", "  ")...)
		}
	}
	for _, b := range atHand(j, c) {
		lines = append(lines, b.lines()...)
	}
	return lines
}

func noneYet(j engine.Judgment) string {
	switch {
	case j.Question != nil:
		return "No rod until the question is answered: " + j.Question.Ask
	case j.Decision == stop:
		return "No rod from me on this one: it is a stop. Say why."
	case notWelded(j):
		return "No rod takes this. " + insteadOf(j)
	case j.Decision == testFirst && j.Why == "no-rod" && known(j):
		return "No rod of mine does that job on this metal."
	case j.Decision == testFirst:
		return "No rod yet: the metals in question want different ones. Say next for the test that parts them."
	}
	return "None of my classes is sound here."
}

// Steps is the procedure, numbered.
func Steps(j engine.Judgment, c Context) []string {
	if len(j.Procedure) == 0 {
		return paragraph(strings.Replace(noneYet(j), "No rod", "No steps", 1))
	}
	var lines []string
	for i, step := range j.Procedure {
		lines = append(lines, wrap(bothDegrees(step, c), fmt.Sprintf("%d ", i+1), "  ")...)
	}
	return lines
}

// Preheat is heat before, between and after welding.
func Preheat(j engine.Judgment, c Context) []string {
	var lines []string
	if text := heatText(j, c); text != "" {
		lines = append(lines, labelled("Heat", text)...)
	}
	if j.PreheatC != nil && j.PreheatC.Basis != "" {
		lines = append(lines, wrap("By: "+bothDegrees(j.PreheatC.Basis, c), "     ", "     ")...)
	}
	lines = append(lines, labelled("Cool", bothDegrees(j.Cooling, c))...)
	if j.PWHT != nil {
		lines = append(lines, paragraph("After welding: "+bothDegrees(*j.PWHT, c))...)
	}
	if len(lines) == 0 {
		return paragraph(strings.Replace(noneYet(j), "No rod", "No heat", 1))
	}
	return append(lines, methodLines(j, c)...)
}

// methodLines tell the ways that the metal takes: why this one here, and what the others would be.
func methodLines(j engine.Judgment, c Context) []string {
	var lines []string
	for _, m := range j.Methods {
		name := upperFirst(spoken(m.Name))
		if m.Proposed {
			lines = append(lines, wrap(name+", here: "+bothDegrees(m.Why, c), "", "  ")...)
			continue
		}
		lines = append(lines, wrap("Or "+spoken(m.Name)+", "+degreeRange(m.MinC, m.MaxC, c)+": "+bothDegrees(m.Why, c), "", "  ")...)
	}
	return lines
}

// Cautions lists every caution in full with its authority: stops first, then those peculiar to the job.
func Cautions(j engine.Judgment, c Context) []string {
	if len(j.Cautions) == 0 {
		return paragraph("No caution of mine applies to what you told me. Say where you weld and what was in or on the part.")
	}
	marks := map[string]string{stop: "STOP", "warn": "!", "note": "-"}
	var lines []string
	ordered := slices.Clone(j.Cautions)
	slices.SortStableFunc(ordered, func(a, b engine.Caution) int { return cmp.Compare(rank(a), rank(b)) })
	for _, x := range ordered {
		text := marks[x.Severity] + " " + bothDegrees(x.Text, c)
		if x.Authority != "" {
			text += " (" + x.Authority + ")"
		}
		lines = append(lines, paragraph(text)...)
	}
	return lines
}

// rank puts stops first, then what is peculiar to the job, then the usual.
func rank(c engine.Caution) int {
	switch {
	case c.Severity == stop:
		return 0
	case !c.Routine:
		return 1
	}
	return 2
}

// Next lists the tests that are left, best first.
func Next(j engine.Judgment, c Context) []string {
	var lines []string
	for _, t := range j.NextTests {
		if slices.Contains(c.Cannot, t.Test) {
			continue
		}
		head := fmt.Sprintf("%s, %s: %s", upperFirst(keyLabel(t.Test)), minutes(t.Minutes), testHow(t, c))
		lines = append(lines, paragraph(head)...)
		for i, o := range t.Outcomes {
			lines = append(lines, wrap(fmt.Sprintf("%d%c%s", i+1, noBreak, outcomeText(o, c)), "  ", "    ")...)
		}
	}
	if len(lines) > 0 {
		return lines
	}
	if len(c.Cannot) > 0 {
		return paragraph("No other test is left that would change what you do. A laboratory analysis of a chip always helps.")
	}
	return paragraph("No test would change what you do now.")
}

// Avoid lists the classes to leave in the box, with the reason.
func Avoid(j engine.Judgment, c Context) []string {
	if len(j.Avoid) == 0 {
		return paragraph("Nothing special to avoid that I know of; a class that I do not name is not thereby good. Say rods.")
	}
	var lines []string
	for _, a := range j.Avoid {
		lines = append(lines, paragraph("Not "+className(a.Class)+": "+bothDegrees(a.Why, c))...)
	}
	return lines
}

// Told lists the facts of a part as the case holds them.
func Told(o observation.Observation, c Context) []string {
	var lines []string
	for _, f := range Facts(o, c) {
		lines = append(lines, paragraph(upperFirst(f.Label)+": "+f.Value)...)
	}
	if len(lines) == 0 {
		return paragraph("No facts yet. Name the part and what broke.")
	}
	return lines
}

// Page makes one screen of a detail; rest holds the lines that did not fit, for the word "more".
func Page(title string, lines []string, c Context) (r Reply, rest []string) {
	var head []string
	if title != "" {
		head = paragraph(title)
	}
	room := MaxLines - len(head) - 1
	next := action("why", c)
	actions := []Action{next}
	if len(lines) > room {
		rest = slices.Clone(lines[room:])
		lines = lines[:room]
		actions = []Action{{Label: "more", Say: "more"}}
	}
	foot := ""
	if c.Case > 0 {
		foot = fmt.Sprintf("case %d", c.Case)
	}
	if len(rest) > 0 {
		foot = strings.TrimPrefix(foot+fmt.Sprintf(": more (%d lines left)", len(rest)), ": ")
	}
	out := append(slices.Clone(head), lines...)
	if foot != "" {
		out = append(out, paragraph(foot)...)
	}
	return Reply{Case: c.Case, Lines: out, Actions: actions}, rest
}
