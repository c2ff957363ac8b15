package weld

import "slices"

// avoidShare is the chance of harm from which a class is warned of (judgement).
const avoidShare = 0.05

// avoid lists the classes that a rep has at hand or commonly carries and that would do harm here: those at
// hand first, then by chance of harm and how commonly they are carried.
func (b *Book) avoid(picked []candidate, s *situation) []Avoid {
	type warned struct {
		class  int
		have   bool
		weight float64
		why    string
	}
	var out []warned
	role := s.roles[0].role
	for class := range b.classes {
		have := slices.Contains(s.have, class)
		if !have && b.classes[class].Carried == 0 ||
			slices.ContainsFunc(picked, func(c candidate) bool { return b.leader[c.class] == b.leader[class] }) {
			continue
		}
		r := role
		if b.classes[class].process&^(brazing|oxyfuel) == 0 && b.classes[class].Group == "braze" {
			r = Braze
		}
		if harm, why := b.harmOf(class, r, s); harm >= avoidShare {
			out = append(out, warned{class, have, harm * float64(1+b.classes[class].Carried), why})
		}
	}
	slices.SortStableFunc(out, func(x, y warned) int {
		switch {
		case x.have != y.have && x.have:
			return -1
		case x.have != y.have:
			return 1
		case x.weight > y.weight:
			return -1
		case x.weight < y.weight:
			return 1
		}
		return x.class - y.class
	})
	var named []Avoid
	for _, w := range out[:min(len(out), bestShown)] {
		named = append(named, Avoid{b.classes[w.class].ID, w.why})
	}
	return named
}

// harmOf is the chance-weighted harm of a class, and what it does on the metal where it does most.
func (b *Book) harmOf(class int, role Role, s *situation) (harm float64, why string) {
	most := 0.0
	worst, family := outcome{}, -1
	for _, m := range s.bases {
		o := b.fares(m.base, role, class, s)
		weight := 0.0
		switch o.kind {
		case Never:
			weight = m.p
		case Poor:
			weight = m.p * float64(1-o.utility) * 0.7
		}
		harm += weight
		if weight > most {
			most, worst, family = weight, o, b.bases[m.base].Family
		}
	}
	if family < 0 {
		return 0, ""
	}
	return harm, "on " + b.names[family].short + ": " + b.what(worst)
}
