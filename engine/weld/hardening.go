package weld

import (
	"cmp"
	"slices"

	"rodcall/engine/formula"
	"rodcall/engine/measure"
)

// Hardening is how fast the metal beside a weld cools and how hard it gets for what the metal may be.
type Hardening struct {
	Preheat, Heat, ThicknessMM float64 // as computed with: C, kJ/mm, mm
	Seconds                    float64 // t8/5
	Thick                      bool    // the thickness does not count
	Grades                     []Hardened
	Most                       float64 // HV under which nine in ten of what it may be stay
	Share                      float64 // of it that gets over 350 HV
	Hardens                    float64 // share of what the metal may be that the models concern; under a half nothing is worked out
	Assumed                    []string
}

// Hardened is one grade.
type Hardened struct {
	Grade            string
	P                float64
	Yurioka          float64 // HV
	YuriokaIn        bool
	LorenzDueren     float64
	LorenzDuerenIn   bool
	Ms, MsApart      float64 // mean martensite start of three formulas, C, and how far apart they are
	MsIn             bool
	Retained         float64 // share of austenite at 20 C, of the mean
	PreheatFor350    float64 // least preheat, C, at which both models in range stay under 350 HV; 0 when none up to 400 C does
	NoPreheatFor350  bool    // it stays under without any
	SecondsFor350    float64 // that cooling time
	RetainedMatters  bool
	heightOfHardness float64
}

const (
	limitHV = 350 // above it cold cracks can be expected (Dearden and O'Neill as told by EWI, seen)
	room    = 20  // C

	mostCarbonLorenz = 0.3 // wt%, to which Lorenz and Dueren is used (formula.HardnessLorenzDueren)
	mostTried        = 400 // C: no higher preheat is tried against hardness
	retainedMost     = 0.1 // of austenite at room temperature, from which it matters (Koistinen and Marburger; common practice)
)

// Hardening works out cooling time and hardness of the heat-affected zone; a preheat that is not given is that of the plan.
func (b *Book) Hardening(q Question, c Conditions, preheat float64, given bool) Hardening {
	s := b.situationOf(atThickness(q, c.ThicknessMM), &Scratch{})
	j := s.jointOf(c)
	out := Hardening{Preheat: preheat, Heat: j.heat, ThicknessMM: j.thickness, Assumed: j.supposedHeat(c)}
	if !given {
		out.Preheat = max(room, b.Preheating(q, c).Min)
	}
	if out.Hardens = b.hydrogenShare(s); out.Hardens < 0.5 {
		return out
	}
	out.Seconds, out.Thick = formula.Cooling(measure.Celsius(out.Preheat), j.heat, measure.MM(j.thickness), 1, 1)
	out.Grades, out.Most, out.Share = b.hardened(s, &j, out.Seconds)
	return out
}

// supposedHeat lists what of the joint nobody told and the cooling depends on.
func (j *joint) supposedHeat(c Conditions) []string {
	var out []string
	for _, text := range j.supposed(c, &situation{met: h4}) {
		if text != usualRestraint+" restraint" {
			out = append(out, text)
		}
	}
	return append(out, "bead on plate")
}

// hardened is the hardness of each grade that hardens, likeliest first, what covers nine in ten, and the share over 350 HV.
func (b *Book) hardened(s *situation, j *joint, seconds float64) (out []Hardened, most, over float64) {
	total := 0.0
	for i, p := range s.grades {
		if p < tracedGrade || !b.gradeHeats[i].computed {
			continue
		}
		x := b.compositionOf(i, &s.analysis)
		h := hardenedAt(x, seconds)
		h.Grade, h.P = b.gradeHeats[i].designation, p
		h.toLimit(x, j)
		out, total = append(out, h), total+p
		if h.heightOfHardness > limitHV {
			over += p
		}
	}
	if total <= 0 {
		return nil, 0, 0
	}
	slices.SortStableFunc(out, func(x, y Hardened) int { return cmp.Compare(x.heightOfHardness, y.heightOfHardness) })
	sum := 0.0
	for _, h := range out {
		if sum += h.P; most == 0 && sum >= coveredShare*total-1e-9 {
			most = h.heightOfHardness
		}
	}
	slices.SortStableFunc(out, func(x, y Hardened) int { return cmp.Compare(y.P, x.P) })
	return out, most, over / total
}

// hardenedAt is what a composition gets at a cooling time, by both models.
func hardenedAt(x formula.Values, seconds float64) Hardened {
	x = formula.CooledIn(x, seconds)
	h := Hardened{LorenzDueren: formula.HardnessLorenzDueren.Eval(x), LorenzDuerenIn: formula.HardnessLorenzDueren.InRange(x), heightOfHardness: hardest(x)}
	if formula.HardnessYurioka.Refuse(x) == "" {
		h.Yurioka, h.YuriokaIn = formula.HardnessYurioka.Eval(x), formula.HardnessYurioka.InRange(x)
	}
	h.Ms, h.MsApart = formula.Ms(x)
	h.MsIn = formula.MsMean.InRange(x)
	h.Retained = formula.Retained(h.Ms, room)
	h.RetainedMatters = h.Retained > retainedMost
	return h
}

// hardest is the higher of the models that hold for a composition with its cooling time, HV: Yurioka, and to 0.3 % C Lorenz
// and Dueren, which alone stands where the alloy is beyond Yurioka.
func hardest(x formula.Values) float64 {
	yurioka := 0.0
	if formula.HardnessYurioka.Refuse(x) == "" {
		yurioka = formula.HardnessYurioka.Eval(x)
	}
	if x[formula.C] <= mostCarbonLorenz || yurioka == 0 {
		return max(yurioka, formula.HardnessLorenzDueren.Eval(x))
	}
	return yurioka
}

// toLimit finds the least preheat at which the hardness stays under 350 HV: hardness falls as the preheat rises.
func (h *Hardened) toLimit(x formula.Values, j *joint) {
	const step = 5
	for preheat := float64(room); preheat <= mostTried; preheat += step {
		seconds, _ := formula.Cooling(measure.Celsius(preheat), j.heat, measure.MM(j.thickness), 1, 1)
		if hardest(formula.CooledIn(x, seconds)) <= limitHV {
			h.SecondsFor350, h.PreheatFor350, h.NoPreheatFor350 = seconds, preheat, preheat == room
			return
		}
	}
}
