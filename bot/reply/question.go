package reply

import (
	"fmt"
	"math"
	"strings"

	"rodcall/engine"
	"rodcall/engine/formula"
	"rodcall/engine/measure"
)

// PreheatAt answers a question about the heat at another thickness, mm; the judgment was made for that thickness.
func PreheatAt(j engine.Judgment, mm float64, c Context) []string {
	return append(paragraph("At "+length(mm, c)+" thick:"), Preheat(j, c)...)
}

// Ways tells how the ways to a preheat compare for the likeliest grade, and what was supposed of the joint.
func Ways(p engine.Preheating, c Context) []string {
	var lines []string
	for _, w := range p.Grades[:min(1, len(p.Grades))] {
		text := fmt.Sprintf("%s: %s by %s", Clean(w.Grade), degrees(w.Middle, c), w.Basis)
		if w.Rich > w.Middle {
			text += ", rich end " + degrees(w.Rich, c)
		}
		if w.ControlIn {
			text += fmt.Sprintf("; AWS hydrogen control %s", degrees(w.Control, c))
		}
		if w.OldChart > 0 {
			text += fmt.Sprintf("; old chart %s", degrees(w.OldChart, c))
		}
		if w.MethodA.Needed != formula.Open {
			text += fmt.Sprintf("; EN 1011-2 method A, preheat: %s", w.MethodA.Needed)
		}
		lines = append(lines, paragraph(text+".")...)
	}
	if len(p.Assumed) > 0 {
		lines = append(lines, paragraph("Supposed: "+strings.Join(p.Assumed, ", ")+".")...)
	}
	return lines
}

// HardnessOn answers what a hardness is on another scale.
func HardnessOn(value float64, from, to measure.Scale, is measure.Converted) []string {
	places := 0
	if to == measure.HRC || to == measure.HRB || to == measure.HRA {
		places = 1
	}
	lines := paragraph(fmt.Sprintf("%s%c%s is about %s%c%s.", trimNumber(value, 1), noBreak, from, trimNumber(is.Value, places), noBreak, to))
	if is.Table != "" {
		lines = append(lines, paragraph("By table "+is.Table+".")...)
	}
	if is.Note != "" {
		lines = append(lines, paragraph(upperFirst(is.Note)+".")...)
	}
	return lines
}

// DepositOn answers what a filler becomes on the likeliest grade of a part at one share of base metal.
func DepositOn(d engine.Deposit, base engine.GradeChance, share float64, c Context) []string {
	lines := paragraph(fmt.Sprintf("%s on %s (%s), %.0f%c%% dilution:", className(d.Class), Clean(base.Designation), percent(base.P), share*100, noBreak))
	lines = append(lines, paragraph(fmt.Sprintf("Cr eq. %.1f, Ni eq. %.1f (Schaeffler, %s).", d.Cr, d.Ni, inRange(d.InRange)))...)
	switch {
	case d.Martensite == formula.Present:
		lines = append(lines, paragraph("! Martensite: hard, cracks. Butter first or dilute less.")...)
	case d.Martensite == formula.Doubtful:
		lines = append(lines, paragraph("! Near the martensite line (+-1.5): dilute less.")...)
	case d.FerriteThere == formula.Absent:
		lines = append(lines, paragraph("! No ferrite: hot cracks. Small beads, low heat.")...)
	default:
		lines = append(lines, paragraph(fmt.Sprintf("Austenite with about %.0f%c%% ferrite.", math.Min(d.Ferrite, 100), noBreak))...)
	}
	if d.Most > 0 {
		lines = append(lines, paragraph(fmt.Sprintf("Free of martensite, with some ferrite: up to %.0f%c%% dilution.", d.Most*100, noBreak))...)
	} else {
		lines = append(lines, paragraph("No dilution is wholly safe with it on this metal.")...)
	}
	return append(lines, paragraph("At the middle of both limits; yours may differ.")...)
}

func inRange(in bool) string {
	if in {
		return "in range"
	}
	return "out of range: rough"
}
