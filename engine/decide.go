package engine

import (
	"slices"
	"strings"

	"rodcall/engine/identify"
	"rodcall/engine/observation"
	"rodcall/engine/safety"
	"rodcall/engine/weld"
)

// The three decisions, gravest first.
const (
	Stop      = "stop"
	TestFirst = "test-first"
	Weld      = "weld"
)

// uncertain is the reason of a test first where a wrong guess would hurt somebody: no consumable is named then.
const uncertain = "uncertain"

// replaceIt is the reason where no weld is the answer: another way to join, or a new part.
const replaceIt = "replace"

// limits is the reason where what the rep stated leaves nothing: the judgment says which limit to relax.
const limits = "limits"

// sureOfIt is the chance of a family from which a new part is advised without a test (judgement).
const sureOfIt = 0.8

// noRod is the reason where no class is sound for all that the metal may be.
const noRod = "no-rod"

// decision is what to do, and the closed word of why when it is to test first.
type decision struct {
	word string
	why  string // conflict | uncertain | near-danger | facts-disagree | no-rod | replace | limits | wait | still-open | test-pays
}

// A test comes first when its expected gain is at least this share of a whole repair while the best thing
// that one could weld now is worth less than settled (judgement).
const (
	testPays = 0.02
	settled  = 0.78
	// Below this chance of the likeliest family the metal is still open: no rod before a test (judgement).
	stillOpen = 0.35
	// What a minute of a part out of use costs, as a share of a whole repair: three days are a fifth (judgement).
	minuteCost = 0.00005
)

// decide weighs: a stop before a test, a test before a weld.
func decide(o *observation.Observation, stops safety.Verdict, plan weld.Plan, p identify.Result, tests []identify.Proposal, worth weld.Worth) decision {
	switch {
	case len(stops.Stops) > 0:
		return decision{word: Stop}
	case stops.TestFirst:
		return decision{TestFirst, "near-danger"}
	case stops.Uncertain:
		return decision{TestFirst, uncertain}
	case p.Fit == "poor":
		return decision{TestFirst, "facts-disagree"}
	case plan.Conflict:
		return decision{TestFirst, "conflict"}
	case len(plan.Consumables) == 0 && plan.Replace != "" && slices.Max(p.Families) >= sureOfIt:
		return decision{TestFirst, replaceIt}
	case len(plan.Consumables) == 0 && plan.LimitNote != "":
		return decision{TestFirst, limits}
	case len(plan.Consumables) == 0:
		return decision{TestFirst, noRod}
	case worth.Now <= worth.Wait && plan.LimitNote != "":
		return decision{TestFirst, limits}
	case worth.Now <= worth.Wait:
		return decision{TestFirst, "wait"}
	case slices.Max(p.Families) < stillOpen && (o.Part == "" || pays(tests, 0)): // the part can still be told
		return decision{TestFirst, "still-open"}
	case worth.Now < settled && pays(tests, testPays):
		return decision{TestFirst, "test-pays"}
	default:
		return decision{word: Weld}
	}
}

// pays holds when the first test gains so much more than the part's idle time costs.
func pays(tests []identify.Proposal, least float64) bool {
	return len(tests) > 0 && tests[0].Gain-minuteCost*tests[0].Minutes >= least
}

// stakesOf names the actions of the stakes for the outlook.
func stakesOf(s weld.Stakes) identify.Stakes {
	return identify.Stakes{Base: s.Columns, Utility: s.Utility, Name: func(action int) string { return actionWords(s.Actions[action]) }}
}

var regimeWords = map[weld.Regime]string{weld.Cold: "weld cold", weld.AsIs: "no preheat", weld.Warm: "weld warm", weld.Hot: "weld hot", weld.Soak: "heat the whole piece"}

func actionWords(a weld.Action) string {
	if a.Wait {
		return "send for analysis"
	}
	return a.Class + ", " + regimeWords[a.Regime]
}

// mentions says whether a step says a word.
func mentions(steps []string, word string) bool {
	return slices.ContainsFunc(steps, func(step string) bool { return strings.Contains(strings.ToLower(step), word) })
}
