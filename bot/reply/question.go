package reply

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rodcall/engine"
	"rodcall/engine/formula"
	"rodcall/engine/measure"
)

// Answered makes one screen of the answer to a question of figures; says are the words that lead on, and rest is what
// did not fit, for the word "more".
func Answered(lines []string, c Context, says ...string) (r Reply, rest []string) {
	var actions []Action
	for _, say := range says[:min(MaxActions, len(says))] {
		actions = append(actions, action(say, c))
	}
	foot := wordsLine(actions, c, false).lines()
	if room := MaxLines - len(foot); len(lines) > room {
		actions = append([]Action{{Label: "more", Say: "more"}}, actions...)
		foot = wordsLine(actions, c, false).lines()
		room = MaxLines - len(foot)
		rest, lines = append([]string{}, lines[room:]...), lines[:room]
	}
	return Reply{Case: c.Case, Lines: append(append([]string{}, lines...), foot...), Actions: actions}, rest
}

// PreheatAsked is a question of the heat with its answer.
type PreheatAsked struct {
	Judgment engine.Judgment // made for the thickness asked about
	engine.Preheating
	ThicknessMM float64 // 0: not asked about
	Own         bool    // the question gives hydrogen, heat or restraint of its own
	TriedC      float64 // a preheat asked about; 0 when none is

	CoveredAtShown float64 // share that the judgment's own figure covers, 0 to 1
}

// PreheatAt answers a question about the heat: one figure, the share that it covers, its basis and how far the ways lie apart.
func PreheatAt(p PreheatAsked, c Context) []string {
	head := ""
	if p.ThicknessMM > 0 {
		head = "At " + length(p.ThicknessMM, c) + " thick: "
	}
	j := p.Judgment
	if p.Own && j.PreheatC != nil {
		j.PreheatC = &engine.Preheat{Min: p.Min, Max: p.Max, Basis: p.Basis, Share: p.Share, Hotter: p.Hotter}
	}
	if j.PreheatC == nil && j.Decision == testFirst && j.Why != "facts-disagree" && p.Max > 0 {
		return planning(head, p, c)
	}
	text := heatText(j, c)
	if text == "" || j.PreheatC == nil {
		return paragraph(head + strings.Replace(noneYet(j), "No rod", "No heat", 1))
	}
	lines := paragraph(upperFirst(head + "heat " + text + "."))
	lines = append(lines, paragraph(coverText(*j.PreheatC, p, c))...)
	if p.TriedC > 0 {
		lines = append(lines, paragraph(triedText(p, j, c))...)
	}
	lines = append(lines, byLines(j.PreheatC.Basis, c)...)
	if spread := spreadText(p.Grades, c); spread != "" && p.Hardens > 0.5 {
		lines = append(lines, paragraph(spread)...)
	}
	if j.Cooling != "" {
		lines = append(lines, labelled("Cool", bothDegrees(j.Cooling, c))...)
	}
	return append(lines, p.supposed()...)
}

// supposed is what was supposed of the joint, where the heat depends on it.
func (p PreheatAsked) supposed() []string {
	if p.Hardens <= 0.5 {
		return nil
	}
	return supposed(p.Assumed)
}

// triedText judges the preheat that was asked about.
func triedText(p PreheatAsked, j engine.Judgment, c Context) string {
	switch asked := degrees(p.TriedC, c); {
	case cold(j) && p.TriedC > j.PreheatC.Max+10:
		return "! " + asked + " is too hot for it: keep to the heat above."
	case j.InterpassMaxC != nil && p.TriedC > *j.InterpassMaxC:
		return "! " + asked + " is over what it takes between beads."
	default:
		return asked + " serves " + tenthsOf(p.Tried) + " of what this may be."
	}
}

// byLines are the basis without the share, which stands in its own line.
func byLines(basis string, c Context) []string {
	if basis, _, _ = strings.Cut(basis, ";"); !strings.Contains(basis, ",") {
		basis += ", usual practice"
	}
	return wrap("By: "+bothDegrees(basis, c)+".", "", "  ")
}

// planning is the heat while a test comes first: a figure to plan by, no leave to weld.
func planning(head string, p PreheatAsked, c Context) []string {
	lines := paragraph("TEST FIRST. To plan by, not to weld by: " + lowerFirst(head) + "heat " + degreeRange(p.Min, p.Max, c) + ".")
	lines = append(lines, paragraph(coverText(engine.Preheat{Share: p.Share, Hotter: p.Hotter}, p, c))...)
	lines = append(lines, byLines(p.Basis, c)...)
	return append(lines, p.supposed()...)
}

// coverText says what share a figure covers, and what wants more. Where no preheat is possible the figure was not chosen to
// cover anything: then it says what would.
func coverText(shown engine.Preheat, p PreheatAsked, c Context) string {
	if shown.Share == 0 {
		return "! Covers " + tenthsOf(p.CoveredAtShown) + " of what this may be; " + degrees(p.Min, c) + " would cover " + tenthsOf(p.Share) + "."
	}
	text := "Covers " + tenthsOf(shown.Share) + " of what this may be"
	if shown.Hotter != "" {
		text += "; " + bothDegrees(shown.Hotter, c)
	}
	return text + "."
}

// tenthsOf says a share as a rep counts: "9 in 10", "all"; never more than it is.
func tenthsOf(share float64) string {
	switch n := int(math.Floor(share*10 + 1e-6)); {
	case share > 0.995:
		return "all"
	case n < 1:
		return "less than 1 in 10"
	default:
		return fmt.Sprintf("%d in 10", n)
	}
}

func supposed(assumed []string) []string {
	if len(assumed) == 0 {
		return nil
	}
	return paragraph("Supposed: " + strings.Join(assumed, ", ") + ".")
}

// spreadText says between which figures the ways to the preheat of the likeliest grade lie.
func spreadText(grades []engine.WaysFor, c Context) string {
	if len(grades) == 0 {
		return ""
	}
	w := grades[0]
	if len(waysIn(w)) < 2 {
		return "Only one way reaches " + gradeName(w.Grade) + ": ways"
	}
	low, high := w.Middle, math.Max(w.Middle, w.Rich)
	for _, v := range waysIn(w) {
		low, high = math.Min(low, v), math.Max(high, v)
	}
	low, high = math.Max(low, 20), math.Max(high, 20) // below the workshop no heat is asked
	if high-low < 1 {
		return "The ways agree: ways"
	}
	return "The ways give " + degreeRange(low, high, c) + " for " + gradeName(w.Grade) + ": ways"
}

// waysIn are the figures of the ways that hold for a grade.
func waysIn(w engine.WaysFor) []float64 {
	var out []float64
	if w.MethodBIn {
		out = append(out, w.MethodB)
	}
	if w.ControlIn {
		out = append(out, w.Control)
	}
	for _, v := range []float64{w.Table, w.OldChart} {
		if v > 0 {
			out = append(out, v)
		}
	}
	return out
}

func gradeName(designation string) string {
	return clip(strings.TrimPrefix(Clean(designation), "AISI/SAE "), 24)
}

// Ways tells the ways to a preheat side by side for the likeliest grade, why they differ, and what was supposed of the joint.
func Ways(p engine.Preheating, c Context) []string {
	if p.Conflict != "" {
		return paragraph("No one heat: " + bothDegrees(p.Conflict, c) + ".")
	}
	if len(p.Grades) == 0 || p.Hardens <= 0.5 {
		return paragraph("Method A, method B and AWS are for steel that cracks by hydrogen. For this metal: " + bothDegrees(p.Basis, c) + ".")
	}
	w := p.Grades[0]
	lines := paragraph(fmt.Sprintf("%s (%s), by each way:", gradeName(w.Grade), percent(w.P)))
	row := func(name, text string) { lines = append(lines, wrap(name+": "+text, "", "  ")...) }
	row("EN 1011-2 B", orNone(w.MethodB, c)+outside(w.MethodBIn)+fmt.Sprintf(" (CET %.2f)", w.CET))
	row("EN 1011-2 A", methodAText(w.MethodA, c)+fmt.Sprintf(" (CE %.2f)", w.CE))
	row("AWS D1.1", orNone(w.Control, c)+outside(w.ControlIn)+fmt.Sprintf(" (group %s, Pcm %.2f)", w.Group, w.Pcm))
	if w.Table > 0 {
		row("Table by grade", degrees(w.Table, c))
	}
	if w.OldChart > 0 {
		row("Old chart", degrees(w.OldChart, c)+", any thickness")
	}
	row("Taken", degrees(w.Middle, c)+" by "+w.Basis+richEnd(w, c))
	lines = append(lines, paragraph(whyApart(w))...)
	for _, other := range p.Grades[1:] {
		lines = append(lines, wrap(fmt.Sprintf("%s (%s): %s by %s%s.", gradeName(other.Grade), percent(other.P), degrees(other.Middle, c), other.Basis, richEnd(other, c)), "", "  ")...)
	}
	return append(lines, supposed(p.Assumed)...)
}

func richEnd(w engine.WaysFor, c Context) string {
	if w.Rich <= w.Middle+5 {
		return ""
	}
	return ", rich heats " + degrees(w.Rich, c)
}

func orNone(celsius float64, c Context) string {
	if celsius <= 20 {
		return "none"
	}
	return degrees(celsius, c)
}

func outside(in bool) string {
	if in {
		return ""
	}
	return ", out of range"
}

// methodAText is what the points of method A say; its curves are not at hand, so it gives no temperature.
func methodAText(a formula.MethodA, c Context) string {
	most := ""
	if !a.AtLeast && a.InRange {
		most = ", none up to " + length(float64(a.Thickness), c) + " combined"
	}
	switch a.Needed {
	case formula.Yes:
		return "preheat" + most
	case formula.No:
		return "none" + most
	}
	return "its points do not reach"
}

// whyApart says why the ways of a grade differ.
func whyApart(w engine.WaysFor) string {
	switch in := waysIn(w); {
	case w.MethodBIn && len(in) > 1 && slices.Max(in)-slices.Min(in) <= 10:
		return "They agree."
	case w.CET > 0.5 && w.Table > 0:
		return "They differ: method B ends at CET 0.50, AWS at Pcm 0.38; above that the table rules."
	case w.CET > 0.5:
		return "They differ: method B ends at CET 0.50, AWS at Pcm 0.38; no table names it, so the higher of B's end and usual practice stands."
	case w.CET < 0.2:
		return "They differ little: under CET 0.20 hydrogen asks for little heat."
	case w.OldChart > w.Middle+30:
		return "They differ: the old chart knows neither thickness nor hydrogen and is the cautious end; AWS knows no heat input."
	}
	return "They differ: B counts heat input, AWS restraint; A has only its table's points."
}

// Clash answers a question about the heat where one heat cannot serve what the metal may be.
func Clash(p engine.Preheating, j engine.Judgment, c Context) []string {
	lines := paragraph("TEST FIRST, no figure: " + bothDegrees(p.Conflict, c) + ".")
	if t, ok := NextTest(j, c.Cannot); ok {
		lines = append(lines, clipLines(paragraph("Do this ("+minutes(t.Minutes)+"): "+upperFirst(testHow(t, c))), 4)...)
	}
	return lines
}

// HardnessOn answers what a hardness is on another scale.
func HardnessOn(value float64, from, to measure.Scale, is measure.Converted) []string {
	lines := paragraph(fmt.Sprintf("%s%c%s is about %s.", trimNumber(value, 1), noBreak, from, onScale(is.Value, to)))
	if is.Table != "" {
		lines = append(lines, paragraph("By table "+is.Table+".")...)
	}
	if is.Note != "" {
		lines = append(lines, paragraph(upperFirst(is.Note)+".")...)
	}
	return lines
}

// onScale is a hardness to the whole number, as ASTM E140 clause 1.10 asks of a conversion.
func onScale(value float64, scale measure.Scale) string {
	value = math.Round(value)
	return fmt.Sprintf("%s%c%s", trimNumber(value, 1), noBreak, scale)
}

// StrengthOf answers the tensile strength that goes with a hardness.
func StrengthOf(value float64, from measure.Scale, hb, mpa float64, in bool) []string {
	lines := paragraph(fmt.Sprintf("%s%c%s: about %.0f%cMPa (%.0f%cksi).", trimNumber(value, 1), noBreak, from, math.Round(mpa/5)*5, noBreak, mpa/6.894757, noBreak))
	if from != measure.HB {
		lines = append(lines, paragraph(fmt.Sprintf("Over %s; ", onScale(hb, measure.HB))+"3.45 MPa a point of HB.")...)
	} else {
		lines = append(lines, paragraph("3.45 MPa a point of HB.")...)
	}
	if !in {
		lines = append(lines, paragraph("! Out of range: it holds for 150-400 HB.")...)
	}
	return append(lines, paragraph("Steel only: not stainless, not cast iron.")...)
}

// Rebound says what a rebound reading is worth.
func Rebound() string {
	return "No published table turns HLD into another scale here, and a rebound reading strays by about 10 % with mass, finish and direction. Set the tester to HB for steel, three hits, and tell me that."
}
