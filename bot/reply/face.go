package reply

import (
	"fmt"
	"slices"
	"strings"

	"rodcall/engine"
)

// weakFace is how little a face stands up, of 1, when the reply says so.
const weakFace = 0.3

var reliefText = map[string]string{
	"expected":   "Fine cracks across the bead are expected: leave them.",
	"when-thick": "It cracks across when thick.",
	"few":        "A few fine cracks across do no harm.",
	"none":       "No crack is normal: grind out any.",
}

var finishText = map[string]string{"yes": "machines", "carbide-tools": "machines with carbide tools", "grind": "grind only", "no": "neither machined nor filed"}

// Face is how a hard face is laid, and what its alloy gives up for what.
func Face(j engine.Judgment, c Context) []string {
	f := j.Facing
	if f == nil {
		if j.Decision == weld && len(j.Consumables) > 0 {
			return paragraph("No hard face is laid here. Say hardface and how it wears: sand, rock, knocks, metal on metal, heat.")
		}
		return paragraph(strings.Replace(noneYet(j), "No rod", "No face", 1))
	}
	lines := paragraph(fmt.Sprintf("Against %s: %s, %s.", spokenList(f.Mechanisms), f.Group, className(f.Class)))
	if f.Stands < weakFace {
		lines = append(lines, paragraph("Nothing of mine stands up well to that on this metal.")...)
	}
	if f.Buffer != "" {
		lines = append(lines, paragraph("Under it "+className(f.Buffer)+".")...)
	}
	lines = append(lines, paragraph(thickText(f, c))...)
	lines = append(lines, wrap("Beads: "+f.Pattern, "", "  ")...)
	lines = append(lines, paragraph(reliefText[f.Relief])...)
	lines = append(lines, paragraph(upperFirst(f.Hardness)+"; "+finishText[f.Machinable]+".")...)
	lines = append(lines, paragraph("Loss to sand (mm3, ASTM G65) and blows taken (of 10):")...)
	for _, t := range f.TradeOff {
		name := t.Group
		if t.Class != "" && t.Class != f.Class {
			name += " " + className(t.Class)
		}
		lines = append(lines, wrap(fmt.Sprintf("%s: %.0f-%.0f, %.0f", name, t.G65[0], t.G65[1], t.Impact), "  ", "    ")...)
	}
	const figures = 3
	for i, m := range f.Measured[:min(figures, len(f.Measured))] {
		if i == 0 {
			lines = append(lines, "Published:")
		}
		lines = append(lines, wrap(m, "  ", "    ")...)
	}
	return lines
}

func thickText(f *engine.Facing, c Context) string {
	switch {
	case f.LayersMax > 0 && f.ThicknessMaxMM > 0:
		return fmt.Sprintf("At most %d layers, %s in all.", f.LayersMax, length(f.ThicknessMaxMM, c))
	case f.ThicknessMaxMM > 0:
		return "At most " + length(f.ThicknessMaxMM, c) + " in all."
	}
	return "As thick as it is worn."
}

func spokenList(words []string) string {
	said := slices.Clone(words)
	for i := range said {
		said[i] = spoken(said[i])
	}
	return strings.Join(said, ", ")
}
