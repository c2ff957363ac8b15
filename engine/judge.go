package engine

import (
	"rodcall/engine/identify"
	"rodcall/engine/metal"
	"rodcall/engine/observation"
	"rodcall/engine/safety"
	"rodcall/engine/weld"
)

// Judge is the one path from an observation to a judgment:
//
//	observation → posterior over grades → stops → what hangs on the metal → next test → plan → decision → cautions
//
// Answers are what was answered to the questions of open stops.
func (e *Engine) Judge(o observation.Observation, answers ...safety.Answer) Judgment {
	scratch := e.scratch.Get().(*scratch)
	defer e.scratch.Put(scratch)

	posterior := e.identify.Identify(&o, e.cat.MatchPart(o.Part), scratch.identify)
	question := weld.Question{Observation: &o, Grades: posterior.Grades, Unlisted: posterior.Unlisted}
	scene := safety.Scene{Observation: &o, Families: scratch.sharesOf(posterior.Families), FitGood: posterior.Fit == "good",
		Unlisted: posterior.Unlisted, Consumable: true, Country: e.country(), Answers: answers}
	stops := e.rules.Stops(scene)

	ready := e.book.Ready(question, &scratch.weld)
	stakes := ready.Stakes()
	var plan weld.Plan
	if len(stops.Stops) == 0 { // a stop names no consumable and no heat
		plan = ready.Plan()
		plan.Steps = append(plan.Steps, ready.Figured(&plan)...)
	}
	tests := e.identify.NextTests(&posterior, &o, identify.Wanted{Tools: e.settings.Tools, Forbidden: stops.ForbiddenTests,
		Stakes: stakesOf(stakes), Apart: plan.ConflictOf}, scratch.identify)
	worth := stakes.Worth(posterior.Grades)
	decision := decide(&o, stops.Verdict, plan, posterior, tests, worth)

	j := e.assemble(&o, posterior, tests, plan, decision, e.cautions(stops, scene, plan, tests, decision))
	if decision.word != Stop {
		j.Worth = &worth
	}
	return j
}

// cautions asks the safety rules for their warnings and notes, with what the answer itself would do.
func (e *Engine) cautions(stops *safety.Ruling, scene safety.Scene, plan weld.Plan, tests []identify.Proposal, d decision) safety.Verdict {
	scene.TestFirst = d.word == TestFirst
	if len(tests) > 0 {
		scene.Proposed = []string{tests[0].Test}
	}
	if d.word == Weld {
		if len(plan.Consumables) > 0 {
			scene.ConsumableProcess, scene.ConsumableClass = plan.Consumables[0].Process, plan.Consumables[0].Class
		}
		if plan.Heat.Preheat != nil {
			scene.PreheatMinC = plan.Heat.Preheat.Min
		}
		scene.Grinds, scene.Peens = mentions(plan.Steps, "grind"), mentions(plan.Steps, "peen")
	}
	return stops.Cautions(scene)
}

func (e *Engine) country() string {
	if e.settings.Country == "" {
		return "us"
	}
	return e.settings.Country
}

// sharesOf are the families with their chances, in the order of metal.Families.
func (s *scratch) sharesOf(families []float64) []metal.Share {
	s.shares = s.shares[:0]
	for f, p := range families {
		s.shares = append(s.shares, metal.Share{ID: metal.Families[f], P: p})
	}
	return s.shares
}
