package weld

import (
	"cmp"
	"slices"
	"strconv"

	"rodcall/engine/formula"
	"rodcall/engine/measure"
	"rodcall/engine/observation"
)

// Preheating is the heat against cracking for what the metal may be, with the ways to it side by side.
type Preheating struct {
	Band               // the figure that covers its share, C; zero when there is a conflict
	Tried    float64   // the share that the preheat asked about covers
	Conflict string    // why one heat cannot serve what the metal may be; no figure then
	Assumed  []string  // what was supposed of the joint (judgement)
	Hardens  float64   // share of what the metal may be whose preheat is one against hydrogen cracks
	Grades   []WaysFor // the likeliest grades that method B concerns, at most five
}

// WaysFor is the preheat of one grade by each way, C.
type WaysFor struct {
	Grade        string // designation
	P            float64
	Middle, Rich float64         // the figure at the middle and at the rich end of its limits
	Basis        string          // which way gave Middle
	CET, CE, Pcm float64         // carbon equivalents at the middle, wt%
	MethodB      float64         // EN 1011-2 method B as its equation gives it, at the middle
	MethodBIn    bool            // inside its range of CET, carbon and alloy
	Table        float64         // published table by grade for the thickness; 0 when none names it
	MethodA      formula.MethodA // EN 1011-2 method A for a butt joint of two plates; it gives no temperature
	Control      float64         // hydrogen control of AWS D1.1
	ControlIn    bool            // inside its range of Pcm
	Group        string          // its susceptibility group
	OldChart     float64         // old chart by grade without thickness and hydrogen, the cautious end; 0 when none names it
}

const shownGrades = 5

// Preheating works out the heat for a question under given conditions; what they leave open is taken from the observation,
// else supposed, and Assumed says so.
func (b *Book) Preheating(q Question, c Conditions) Preheating {
	s := b.situationOf(atThickness(q, c.ThicknessMM), &Scratch{})
	j := s.jointOf(c)
	out := Preheating{Assumed: j.supposed(c, s)}
	if len(s.bases) == 0 {
		return out
	}
	h := b.heatMasses(s)
	met := s.heatMet(false)
	low, high, bad := b.settleHeat(h, met)
	if bad != nil {
		out.Conflict = bad.why
		b.favourMethods(h, met)
	} else {
		h = b.servedBy(b.firstChoice(s), h, s)
		all := b.calls(h, s, &j)
		out.Band, _, _ = b.cover(h, all, low, high, &j)
		out.Tried = coveredBy(h, all, c.TriedC)
	}
	out.Hardens = b.hydrogenShare(s)
	out.Grades = b.waysFor(h, s, &j, restraintOf(c))
	return out
}

// hydrogenShare is the share of the grades whose preheat method B computes, 0 to 1.
func (b *Book) hydrogenShare(s *situation) float64 {
	share, total := 0.0, 0.0
	for i, p := range s.grades {
		if total += p; b.gradeHeats[i].computed {
			share += p
		}
	}
	if total <= 0 {
		return 0
	}
	return share / total
}

// coveredBy is the share of the calls that a preheat serves, 0 to 1: hot enough for them, and no hotter than the metal takes.
func coveredBy(h []heated, all []call, preheat float64) float64 {
	total, share := 0.0, 0.0
	for _, c := range all {
		if total += c.p; serves(h, &c, preheat) {
			share += c.p
		}
	}
	if total <= 0 {
		return 0
	}
	return share / total
}

// firstChoice is the class that the plan would name first; nil when it names none.
func (b *Book) firstChoice(s *situation) *candidate {
	picked := b.withHelpers(b.pick(b.carrying(s), s), s)
	if len(picked) == 0 {
		return nil
	}
	return &picked[0]
}

// atThickness is a question as if the part had a thickness; 0 leaves it.
func atThickness(q Question, mm float64) Question {
	if mm <= 0 {
		return q
	}
	o, size := observation.Observation{}, observation.Size{}
	if q.Observation != nil {
		o = *q.Observation
	}
	if o.Size != nil {
		size = *o.Size
	}
	size.ThicknessMM = &mm
	o.Size = &size
	q.Observation = &o
	return q
}

func restraintOf(c Conditions) string {
	if c.Restraint == "" {
		return usualRestraint
	}
	return c.Restraint
}

// supposed lists what of the joint nobody told.
func (j *joint) supposed(c Conditions, s *situation) []string {
	var out []string
	if !j.told {
		out = append(out, degreesFree(j.thickness)+" mm thick")
	}
	if c.Hydrogen <= 0 && s.met&h4 == 0 && s.can&h4 != 0 {
		out = append(out, degreesFree(j.hydrogen)+" ml hydrogen (dry basic rod)")
	}
	if c.HeatInput <= 0 {
		out = append(out, strconv.FormatFloat(j.heat, 'g', -1, 64)+" kJ/mm")
	}
	if c.Restraint == "" {
		out = append(out, usualRestraint+" restraint")
	}
	return out
}

// waysFor lists the likeliest grades that method B concerns with every way to their preheat.
func (b *Book) waysFor(h []heated, s *situation, j *joint, restraint string) []WaysFor {
	var likeliest []int
	for i, p := range s.grades {
		if p >= tracedGrade && b.gradeHeats[i].computed {
			likeliest = append(likeliest, i)
		}
	}
	slices.SortStableFunc(likeliest, func(x, y int) int { return cmp.Compare(s.grades[y], s.grades[x]) })
	var out []WaysFor
	for _, i := range likeliest[:min(shownGrades, len(likeliest))] {
		g := b.heatOfGradeAt(i, s)
		k := slices.IndexFunc(h, func(x heated) bool { return x.group == int(g.group) })
		if k < 0 || h[k].method == nil {
			continue
		}
		w := WaysFor{Grade: g.designation, P: s.grades[i], OldChart: g.cautious}
		var by basis
		w.Middle, by = g.need(g.middle, h[k].method, j)
		w.Rich, _ = g.need(g.rich, h[k].method, j)
		w.Basis = basisText[by]
		w.MethodA = b.formulas.MethodA(g.ce, measure.MM(2*j.thickness), j.heat, j.hydrogen)
		w.CET, w.CE, w.Pcm = g.middle.cet, g.ce, g.pcm
		w.MethodB = float64(formula.MethodB(g.middle.cet, measure.MM(j.thickness), j.hydrogen, j.heat))
		w.MethodBIn = g.alloyInRange && w.CET >= leastCET && w.CET <= mostCET && g.middle.carbon <= mostCarbonB && j.thickness >= leastPlate && j.thickness <= mostPlate
		if len(g.table) > 0 {
			w.Table = g.tableAt(j.section)
		}
		control, group, _, in := b.formulas.HydrogenControl(g.pcm, j.hydrogen, restraint, measure.MM(j.thickness))
		w.Control, w.ControlIn, w.Group = float64(control), in, group
		out = append(out, w)
	}
	return out
}
