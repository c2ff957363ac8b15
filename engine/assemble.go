package engine

import (
	"math"
	"slices"

	"rodcall/engine/identify"
	"rodcall/engine/metal"
	"rodcall/engine/observation"
	"rodcall/engine/safety"
	"rodcall/engine/weld"
)

// shownGrades is how many grades a judgment names.
const shownGrades = 5

// assemble fills the judgment by its decision: a stop names no consumable and no heat, a test first only
// what is sound for every metal that it may be.
func (e *Engine) assemble(o *observation.Observation, p identify.Result, tests []identify.Proposal, plan weld.Plan, d decision, v safety.Verdict) Judgment {
	j := Judgment{Observation: *o, Unread: []string{}, Unlisted: round6(p.Unlisted), Fit: p.Fit, Repeat: p.Repeat, Decision: d.word, Why: d.why,
		StopReasons: []string{}, Consumables: []Consumable{}, Avoid: []Avoid{}, Procedure: []string{}, Engine: e.name}
	j.Families = familyChances(p.Families, j.Unlisted)
	j.Grades = e.gradeChances(p.Grades)
	j.Evidence = evidence(p.Evidence)
	j.NextTests = e.nextTests(tests)
	j.Assumed = e.assumed(o, plan)
	j.Cautions = cautions(v)
	switch d.word {
	case Stop:
		j.stop(v)
	case TestFirst:
		j.testFirst(plan, tests, d)
	default:
		j.weld(plan)
		if len(plan.Consumables) > 0 {
			j.Quantity, _ = e.book.Amount(o, plan.Consumables[0].Class, plan.Consumables[0].Role)
		}
		e.addItems(&j, o, plan)
		if o.Cost != nil {
			j.Estimate = e.book.Estimate(o, plan, j.Quantity)
		}
	}
	return j
}

func (j *Judgment) stop(v safety.Verdict) {
	j.StopKind, j.StopReasons, j.ReferTo = &v.StopKind, v.Reasons, v.ReferTo
	if v.Question != nil {
		j.Question = &Question{Caution: v.Question.Caution, Ask: v.Question.Ask, Answers: v.Question.Answers}
	}
}

// testFirst names what is sound whatever the metal is; nothing at all where a wrong guess would hurt somebody.
func (j *Judgment) testFirst(plan weld.Plan, tests []identify.Proposal, d decision) {
	if d.why != uncertain {
		j.Consumables = consumables(plan.SafeForAll)
	}
	j.Avoid = avoid(plan.Avoid)
	j.Conflict = plan.ConflictWhy
	if d.why == noRod || d.why == replaceIt {
		j.Replace = plan.Replace
	}
	if d.why == limits {
		j.LimitNote = plan.LimitNote
	}
	if d.why == replaceIt {
		j.Procedure = append(j.Procedure, plan.Replace)
		return
	}
	j.Procedure = append(j.Procedure, plan.Prepare...)
	if len(tests) > 0 {
		j.Procedure = append(j.Procedure, tests[0].How)
	}
}

func (j *Judgment) weld(plan weld.Plan) {
	j.Consumables = consumables(plan.Consumables)
	j.Avoid = avoid(plan.Avoid)
	j.Procedure = append(j.Procedure, plan.Steps...)
	if h := plan.Heat; h.Preheat != nil {
		j.PreheatC = &Preheat{Min: h.Preheat.Min, Max: h.Preheat.Max, Basis: h.Preheat.Basis, Share: round6(h.Preheat.Share), Hotter: h.Preheat.Hotter}
		if h.InterpassC != nil { // no preheat above what the part may reach between the beads
			j.PreheatC.Max = max(h.Preheat.Min, min(h.Preheat.Max, *h.InterpassC))
		}
	}
	j.InterpassMaxC, j.PWHT, j.Cooling = plan.Heat.InterpassC, plan.Heat.PWHT, plan.Heat.Cooling
	j.Facing, j.Methods = plan.Facing, plan.Methods
	j.Replace, j.HaveNote, j.LimitNote = plan.Replace, plan.HaveNote, plan.LimitNote
	for _, a := range plan.AtHand {
		j.RodsAtHand = append(j.RodsAtHand, RodAtHand(a))
	}
}

// familyChances lists every family, most likely first; what rounding leaves goes to the first, so that the
// printed chances sum to 1 with unlisted.
func familyChances(families []float64, unlisted float64) []FamilyChance {
	out := make([]FamilyChance, 0, len(families))
	rest := 1 - unlisted
	for f, p := range families {
		chance := FamilyChance{metal.Families[f], round6(p)}
		at, _ := slices.BinarySearchFunc(out, chance.P, func(c FamilyChance, p float64) int {
			if c.P >= p {
				return -1
			}
			return 1
		})
		out = slices.Insert(out, at, chance)
	}
	for _, f := range out[1:] {
		rest -= f.P
	}
	out[0].P = round6(rest)
	return out
}

// gradeChances are the likeliest grades, most likely first.
func (e *Engine) gradeChances(grades []float64) []GradeChance {
	top := make([]int, 0, shownGrades+1)
	for g, p := range grades {
		if len(top) == shownGrades && p <= grades[top[shownGrades-1]] {
			continue
		}
		at := len(top)
		for at > 0 && p > grades[top[at-1]] {
			at--
		}
		top = slices.Insert(top, at, g)
		top = top[:min(len(top), shownGrades)]
	}
	out := make([]GradeChance, 0, len(top))
	for _, g := range top {
		grade := &e.cat.Grades[g]
		out = append(out, GradeChance{grade.ID, grade.Designations[0], round6(grades[g])})
	}
	return out
}

func evidence(list []identify.Evidence) []Evidence {
	out := make([]Evidence, 0, len(list))
	for _, e := range list {
		bits := make(map[string]float64, len(e.Bits))
		for _, b := range e.Bits {
			bits[b.Family] = b.Bits
		}
		out = append(out, Evidence{e.Key, e.Value, bits})
	}
	return out
}

func (e *Engine) nextTests(list []identify.Proposal) []NextTest {
	out := make([]NextTest, 0, len(list))
	for _, p := range list {
		t := NextTest{Test: p.Test, Minutes: p.Minutes, Needs: notNil(p.Needs), Gain: p.Gain, How: p.How, Separates: notNil(p.Separates)}
		for _, o := range p.Outcomes {
			_, short := e.cat.FamilyName(o.Family)
			t.Outcomes = append(t.Outcomes, TestOutcome{Seen: o.Seen, Then: short + ": " + o.Action})
		}
		out = append(out, t)
	}
	return out
}

// assumed says what the judgment supposed, and which reading moved nothing.
func (e *Engine) assumed(o *observation.Observation, plan weld.Plan) []string {
	out := slices.Clone(plan.Assumed)
	if slices.ContainsFunc(o.Hardness, func(h observation.Hardness) bool { return h.Scale == "HLD" }) {
		out = append(out, "no published table turns HLD into HB here: it moved nothing; give the HB reading")
	}
	return out
}

func consumables(list []weld.Choice) []Consumable {
	out := make([]Consumable, 0, len(list))
	for _, c := range list {
		wrong := make([]WrongIf, 0, len(c.WrongIf))
		for _, w := range c.WrongIf {
			wrong = append(wrong, WrongIf{w.Family, round6(w.P), w.What})
		}
		out = append(out, Consumable{Class: c.Class, Standard: c.Standard, Process: c.Process, SuitsP: round6(c.SuitsP), Role: c.Role.String(),
			Why: c.Why, WrongIf: wrong, Need: c.Need, AtHand: c.AtHand})
	}
	return out
}

func avoid(list []weld.Avoid) []Avoid {
	out := make([]Avoid, 0, len(list))
	for _, a := range list {
		out = append(out, Avoid(a))
	}
	return out
}

func cautions(v safety.Verdict) []Caution {
	out := make([]Caution, 0, len(v.Stops)+len(v.Warns)+len(v.Notes))
	add := func(c safety.Caution) {
		out = append(out, Caution{ID: c.ID, Severity: c.Severity, Title: c.Title, Text: c.Text, Authority: c.Authority, Routine: c.Routine, Later: c.Later})
	}
	for _, s := range v.Stops {
		add(s.Caution)
	}
	for _, c := range v.Warns {
		add(c)
	}
	for _, c := range v.Notes {
		add(c)
	}
	return out
}

func notNil(list []string) []string {
	if list == nil {
		return []string{}
	}
	return list
}

func round6(v float64) float64 { return math.Round(v*1e6) / 1e6 }
