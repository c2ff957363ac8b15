package engine

import (
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

// Strength is the tensile strength in MPa that goes with a Brinell hardness of steel; in says whether the formula holds there.
func (e *Engine) Strength(hb float64) (mpa float64, in bool) {
	x := formula.AtBrinell(hb)
	return formula.TensileFromBrinell.Eval(x), formula.TensileFromBrinell.InRange(x)
}

// Laying is a filler on the metal of an observation; Deposit is what it becomes there.
type (
	Laying      = weld.Laying
	Deposit     = weld.Deposit
	Layer       = weld.Layer
	Constituted = weld.Constituted
	Hazard      = weld.Hazard
)

// The hazards of a stainless deposit.
const (
	Martensite     = weld.Martensite
	NearMartensite = weld.NearMartensite
	HotCrack       = weld.HotCrack
	Sigma          = weld.Sigma
	OffDiagram     = weld.Unread
)

// Constitution is what fillers become on what an observation may be, by the Schaeffler and WRC-1992 diagrams: equivalents,
// phases, ferrite number, hazards and the window of dilution that keeps the deposit free of them. It fails with a
// sentence on a class that is no stainless one and on a metal that the diagrams know nothing of.
func (e *Engine) Constitution(o observation.Observation, l Laying) (Deposit, error) {
	q, done := e.question(&o)
	defer done()
	return e.book.Constitution(q, l)
}

// PlainDeposit is what a steel filler becomes on the likeliest steel.
type PlainDeposit = weld.PlainDeposit

// PlainDeposit is what a steel filler becomes on what an observation likely is: carbon, carbon equivalent and crack index.
func (e *Engine) PlainDeposit(o observation.Observation, l Laying) (PlainDeposit, error) {
	q, done := e.question(&o)
	defer done()
	return e.book.PlainDeposit(q, l)
}

// HydrogenOf is the diffusible hydrogen that a filler is reckoned with, ml/100 g; 0 for a dry basic rod and for no steel.
func (e *Engine) HydrogenOf(word string) float64 { return e.book.HydrogenOf(word) }

// Hardening is cooling time and hardness beside a weld, Hardened that of one grade.
type (
	Hardening = weld.Hardening
	Hardened  = weld.Hardened
)

// Hardening works out t8/5 and the hardness of the heat-affected zone for what an observation may be. A preheat in C that
// is not given is that of the plan.
func (e *Engine) Hardening(o observation.Observation, joint Joint, preheat float64, given bool) Hardening {
	q, done := e.question(&o)
	defer done()
	return e.book.Hardening(q, joint, preheat, given)
}

// Signs are the indices of a metal.
type (
	Signs = weld.Signs
	Sign  = weld.Sign
)

// Signs are carbon equivalents, crack and corrosion indices of what an observation likely is; ok is false for a metal that
// is neither steel nor stainless.
func (e *Engine) Signs(o observation.Observation) (s Signs, ok bool) {
	q, done := e.question(&o)
	defer done()
	return e.book.Signs(q)
}

// IsFiller says whether a word names a consumable class.
func (e *Engine) IsFiller(word string) bool { return e.book.IsFiller(word) }

// question is an observation with its posterior; done gives the working memory back.
func (e *Engine) question(o *observation.Observation) (q weld.Question, done func()) {
	scratch := e.scratch.Get().(*scratch)
	posterior := e.identify.Identify(o, e.cat.MatchPart(o.Part), scratch.identify)
	return weld.Question{Observation: o, Grades: posterior.Grades, Unlisted: posterior.Unlisted}, func() { e.scratch.Put(scratch) }
}

// Joint is what is known of a joint beside the observation; what is zero is supposed and said.
type Joint = weld.Conditions

// Preheating is the heat for what the metal may be, with every way to it.
type (
	Preheating = weld.Preheating
	WaysFor    = weld.WaysFor
)

// Preheating works out the heat against cracking for an observation and a joint: the figure that covers nine in ten of
// what the metal may be, and EN 1011-2 method B and A, AWS hydrogen control and the tables side by side. It knows no
// stop: where Judge gives none, it is not to be shown.
func (e *Engine) Preheating(o observation.Observation, joint Joint) Preheating {
	q, done := e.question(&o)
	defer done()
	return e.book.Preheating(q, joint)
}
