package reply

import (
	"fmt"
	"slices"
	"strings"

	"rodcall/engine"
)

// roleWords says in one word what a deposit is for; the order is that in which they are laid.
var roleWords = []struct{ role, word string }{
	{"join", "joint"}, {"braze", "braze"}, {"buffer", "buffer"}, {"build-up", "build-up"},
	{"surfacing-repair", "patch"}, {"overlay", "overlay"}, {"hardface", "hard face"},
}

func roleWord(role string) string {
	for _, r := range roleWords {
		if r.role == role {
			return r.word
		}
	}
	return spoken(role)
}

func stick(c engine.Consumable) bool {
	return c.Process == "" || strings.Contains(strings.ToUpper(c.Process), "SMAW")
}

// pick is the class to take for one role, with a second of the same kind where there is one.
type pick struct {
	role    string
	classes []engine.Consumable
}

// picks chooses what the reply names: for each of the first two roles, in the judgment's order, the
// first class that the rep carries, else the first and the next that runs by the same process.
func picks(j engine.Judgment) []pick {
	const rolesNamed, classesNamed = 2, 2
	have := j.Observation.Have
	var out []pick
	for _, role := range rolesIn(j.Consumables) {
		of := slices.DeleteFunc(slices.Clone(j.Consumables), func(c engine.Consumable) bool { return c.Role != role })
		if carried := slices.IndexFunc(of, func(c engine.Consumable) bool { return slices.Contains(have, c.Class) }); carried >= 0 {
			out = append(out, pick{role, of[carried : carried+1]})
			continue
		}
		p := pick{role, of[:1]}
		for _, c := range of[1:] {
			if len(p.classes) < classesNamed && c.Process == of[0].Process && c.Class != of[0].Class {
				p.classes = append(slices.Clone(p.classes), c)
			}
		}
		out = append(out, p)
	}
	return out[:min(rolesNamed, len(out))]
}

func rolesIn(consumables []engine.Consumable) []string {
	var roles []string
	for _, c := range consumables {
		if !slices.Contains(roles, c.Role) {
			roles = append(roles, c.Role)
		}
	}
	return roles
}

func (p pick) text() string {
	var names []string
	for _, c := range p.classes {
		names = append(names, className(c.Class))
	}
	text := strings.Join(names, " or ")
	if !stick(p.classes[0]) && p.classes[0].Process != "" {
		text += ", " + Clean(p.classes[0].Process)
	}
	return text + " (" + roleWord(p.role) + ")"
}

// className keeps the words of a class together on one line.
func className(class string) string { return strings.ReplaceAll(Clean(class), " ", string(noBreak)) }

// rodText is what the rep should pick up, in one string; "" when the judgment names nothing.
func rodText(j engine.Judgment) string {
	var parts []string
	for _, p := range picks(j) {
		parts = append(parts, p.text())
	}
	return strings.Join(parts, "; ")
}

func rodBlocks(j engine.Judgment, c Context) []block {
	text := rodText(j)
	if text == "" {
		if j.Decision != testFirst {
			return append([]block{terse(labelled("Rod", "none of mine is sound here"), 2)}, atHand(j, c)...)
		}
		return append([]block{may(cutNote, labelled("Rod", "none yet"))}, atHand(j, c)...)
	}
	blocks := []block{terse(labelled("Rod", text), 2)}
	if len(j.RodsAtHand) == 0 || takesOne(j) { // else the answer to the rods at hand names the item
		blocks = append(blocks, itemBlocks(j, c)...)
	}
	blocks = append(blocks, atHand(j, c)...)
	if line := second(j, c); line != "" {
		blocks = append(blocks, may(cutNote, paragraph(line)))
	}
	return blocks
}

// second says what the named rod does to the second metal in question.
func second(j engine.Judgment, c Context) string {
	d := doubtOf(j)
	if d.names < 2 || len(j.Families) < 2 || j.Decision == stop {
		return ""
	}
	rod, other := picks(j)[0].classes[0], j.Families[1]
	_, short := c.name(other.ID)
	for _, wrong := range rod.WrongIf {
		if wrong.Family == other.ID {
			return fmt.Sprintf("On %s %s: %s", short, className(rod.Class), lowerFirst(Clean(bothDegrees(wrong.What, c))))
		}
	}
	return "The rod does for both."
}

// atHand answers "which of mine": what to take or get, and what to leave.
func atHand(j engine.Judgment, c Context) []block {
	var blocks []block
	taken := takesOne(j)
	if note := Clean(j.HaveNote); note != "" && !(taken && len(j.Consumables) > 0) { // the rod line names the one to take
		blocks = append(blocks, noteBlock(note))
	} else if taken {
		// nothing to add
	} else if n := len(j.Observation.Have); n > 0 && !slices.ContainsFunc(j.Consumables, func(c engine.Consumable) bool { return slices.Contains(j.Observation.Have, c.Class) }) {
		blocks = append(blocks, may(cutAnswers, paragraph("None of yours suits ("+strings.Join(j.Observation.Have, ", ")+").")))
	}
	if note := Clean(bothDegrees(j.LimitNote, c)); note != "" {
		blocks = append(blocks, may(cutAnswers, paragraph(sentence(upperFirst(note)))))
	}
	for _, left := range leftInTheBox(j) {
		lines := paragraph("Not " + className(left.Class) + ": " + Clean(left.Why))
		blocks = append(blocks, may(cutAnswers, lines, clipLines(lines, 1)))
	}
	return blocks
}

// takesOne holds when one of the rods at hand is to be taken.
func takesOne(j engine.Judgment) bool {
	return slices.ContainsFunc(j.RodsAtHand, func(r engine.RodAtHand) bool { return r.Take })
}

// noteBlock answers which of the rods at hand; without room the price goes first.
func noteBlock(note string) block {
	short, _, priced := strings.Cut(note, " (")
	full := paragraph(sentence(upperFirst(note)))
	if !priced {
		return may(cutChanged, full, clipLines(full, 2))
	}
	return may(cutChanged, full, paragraph(sentence(upperFirst(short))))
}

// leftInTheBox are the rods at hand that are not to be taken, with the reason: harm first.
func leftInTheBox(j engine.Judgment) []engine.Avoid {
	var harm, rest []engine.Avoid
	for _, class := range j.Observation.Have {
		if at := slices.IndexFunc(j.Avoid, func(a engine.Avoid) bool { return a.Class == class }); at >= 0 {
			harm = append(harm, j.Avoid[at])
		}
	}
	for _, rod := range j.RodsAtHand {
		named := slices.ContainsFunc(harm, func(a engine.Avoid) bool { return a.Class == rod.Class })
		if !rod.Take && !named && rod.Why != "" {
			rest = append(rest, engine.Avoid{Class: rod.Class, Why: rod.Why})
		}
	}
	return append(harm, rest...)
}
