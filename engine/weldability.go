package engine

import (
	"fmt"
	"slices"

	"rodcall/engine/formula"
	"rodcall/engine/measure"
	"rodcall/engine/observation"
	"rodcall/engine/weld"
)

// Hardness converts a hardness to another scale by the published tables for a family's kind of metal; an empty family is
// steel. Metals without a table are read on that of steel, and the note says so. Outside the tables it fails
// with a sentence.
func (e *Engine) Hardness(value float64, from, to measure.Scale, family string) (measure.Converted, error) {
	material, note := measure.Steel, ""
	switch group := e.cat.FamilyGroup(family); {
	case family == "austenitic-stainless" || family == "duplex-stainless":
		material = measure.Austenitic
		if _, _, ok := e.scale.Range(from, to, material); !ok {
			material, note = measure.Steel, "table of steel, rough for this metal"
		}
	case family == "tungsten-carbide":
		material = measure.Carbide
	case family != "" && !slices.Contains([]string{"carbon-steel", "alloy-steel", "tool-steel", "stainless"}, group) || family == "austenitic-manganese-steel":
		note = "table of steel, rough for this metal"
	}
	c, err := e.scale.Convert(value, from, to, material)
	if note != "" {
		c.Note = note
	}
	return c, err
}

// Deposit is what stainless filler becomes on a base metal at one share of base.
type Deposit struct {
	Class        string
	Cr, Ni       float64 // Schaeffler equivalents, wt%
	Ferrite      float64 // %, by Seferian's fit; holds to about 30
	Martensite   formula.Presence
	FerriteThere formula.Presence
	InRange      bool
	Most         float64 // greatest share of base metal without martensite and with some ferrite; 0 when there is none
}

// DepositOn is the constitution of a filler class ("309L") on a grade at a share of base metal from 0 to 1, both at the middle
// of their limits, by the Schaeffler diagram. It fails on a class that is not known or no stainless one.
func (e *Engine) DepositOn(filler, grade string, share float64) (Deposit, error) {
	metal, class, ok := e.book.DepositOf(filler)
	if !ok || metal[formula.Cr] < leastStainless {
		return Deposit{}, fmt.Errorf("dilution: %s is no stainless class that I know with its analysis; say 309L, 312 or 308L", clipWord(filler))
	}
	base, ok := e.book.MiddleOf(grade)
	if !ok {
		return Deposit{}, fmt.Errorf("dilution: unknown grade %q", clipWord(grade))
	}
	constitution := func(x formula.Values) (formula.Phases, formula.Equivalents) {
		q := formula.EquivalentsOf(x)
		return e.formulas.Constitution(q.SchaefflerCr, q.SchaefflerNi), q
	}
	phases, q := constitution(formula.Dilute(base, metal, share))
	out := Deposit{Class: class, Cr: q.SchaefflerCr, Ni: q.SchaefflerNi, Ferrite: phases.FerritePct, Martensite: phases.Martensite,
		FerriteThere: phases.Ferrite, InRange: phases.InRange}
	out.Most, _ = formula.Window(base, metal, 100, func(x formula.Values) bool {
		p, _ := constitution(x)
		return p.Martensite == formula.Absent && p.Ferrite != formula.Absent
	})
	return out, nil
}

// leastStainless is the chromium from which a filler is read on the Schaeffler diagram, wt% (common practice).
const leastStainless = 11

// clipWord bounds what of a message is repeated.
func clipWord(word string) string {
	const letters = 20
	if r := []rune(word); len(r) > letters {
		return string(r[:letters])
	}
	return word
}

// Joint is what is known of a joint beside the observation; what is zero is supposed and said.
type Joint = weld.Conditions

// Preheating is the heat for what the metal may be, with every way to it.
type Preheating = weld.Preheating

// Preheating works out the heat against cracking for an observation and a joint: the figure that covers nine in ten of
// what the metal may be, and EN 1011-2 method B and A, AWS hydrogen control and the tables side by side. It knows no
// stop: where Judge gives none, it is not to be shown.
func (e *Engine) Preheating(o observation.Observation, joint Joint) Preheating {
	scratch := e.scratch.Get().(*scratch)
	defer e.scratch.Put(scratch)
	posterior := e.identify.Identify(&o, e.cat.MatchPart(o.Part), scratch.identify)
	return e.book.Preheating(weld.Question{Observation: &o, Grades: posterior.Grades, Unlisted: posterior.Unlisted}, joint)
}
