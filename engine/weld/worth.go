package weld

import "rodcall/engine/quantity"

// costOfTest is what a cheap test takes off the worth of a repair: a minute or two beside the job (judgement). A class
// that is named is never for less than neverShare of what the metal may be; a test that costs no more than such
// a class may lose is worth doing where one is ruled out, so that knowing more never leaves less.
const costOfTest = 0.03

// Worth is what the best choice comes to in expectation, 1 a sound repair, 0 a part lost or somebody hurt.
type Worth struct {
	Now       float64 `json:"now"`        // the best action at once, or waiting
	TestFirst float64 `json:"test_first"` // the best action once a test has told the metal, less the cost of the test
	Wait      float64 `json:"wait"`       // no weld yet
}

// Worth weighs the actions by the chances of the grades, in catalogue order; a metal that is no column is worth waiting.
func (s Stakes) Worth(grades []float64) Worth {
	mass, total := make([]float64, len(s.Bases)), 0.0
	for g, column := range s.Columns {
		if column >= 0 {
			mass[column] += grades[g]
			total += grades[g]
		}
	}
	w := Worth{Now: waitUtility, Wait: waitUtility}
	if total == 0 {
		return w
	}
	known := make([]float64, len(mass))
	for _, row := range s.Utility {
		sum := 0.0
		for j, u := range row {
			sum += mass[j] / total * u
			known[j] = max(known[j], u)
		}
		w.Now = max(w.Now, sum)
	}
	for j, u := range known {
		w.TestFirst += mass[j] / total * u
	}
	w.TestFirst = max(0, w.TestFirst-costOfTest)
	w.Now, w.TestFirst = quantity.SixDigits(w.Now), quantity.SixDigits(w.TestFirst)
	return w
}
