package weld

import "slices"

// avoidShare is the chance of harm from which a class is warned of (judgement).
const avoidShare = 0.05

// harmShare is the chance below which a base is not asked about harm.
const harmShare = 0.005

// poorHarm is how a poor outcome counts beside a never one when classes to avoid are listed (judgement).
const poorHarm = 0.7

// avoid lists the classes that a rep has at hand or commonly carries and that would do harm here: those at
// hand first, then by chance of harm and how commonly they are carried.
func (b *Book) avoid(picked []candidate, s *situation) []Avoid {
	type warned struct {
		class  int
		have   bool
		weight float64
		worst  outcome
		family int
	}
	var place [16]warned // keeps an ordinary list off the heap
	out := place[:0]
	role := s.roles[0].role
	for _, class := range b.tempting(s) {
		have := slices.Contains(s.have, class)
		if slices.ContainsFunc(picked, func(c candidate) bool { return b.leader[c.class] == b.leader[class] }) {
			continue
		}
		r := role
		if b.classes[class].process&^(brazing|oxyfuel) == 0 && b.classes[class].Group == "braze" {
			r = Braze
		}
		if harm, worst, family := b.harmOf(class, r, have, s); harm >= avoidShare {
			out = append(out, warned{class, have, harm * float64(1+b.classes[class].Carried), worst, family})
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
		named = append(named, Avoid{b.classes[w.class].ID, "on " + b.names[w.family].short + ": " + b.what(w.worst)})
	}
	return named
}

// tempting are the classes that a rep has at hand or that trucks carry.
func (b *Book) tempting(s *situation) []int {
	out := b.carried
	for _, class := range s.have {
		if b.classes[class].Carried == 0 {
			out = append(out[:len(out):len(out)], class)
		}
	}
	return out
}

// merelySilent holds when no row of the tables speaks of a class on a base: a rod that nobody would try.
func (b *Book) merelySilent(o *outcome, base, class int) bool {
	return *o == b.silence(base, class) || o.why == b.shut[base].own && o.why != 0
}

// harmOf is the chance-weighted harm of a class, with the outcome and the family where it does most; the
// family is -1 when it does none.
func (b *Book) harmOf(class int, role Role, have bool, s *situation) (harm float64, worst outcome, family int) {
	most := 0.0
	family = -1
	f := b.faring(role, class, s)
	for _, m := range s.bases {
		if m.p < harmShare {
			break
		}
		o := f.on(m.base)
		weight := 0.0
		switch {
		case o.kind > Poor || !have && b.merelySilent(o, m.base, class):
		case o.kind == Never:
			weight = m.p
		default:
			weight = m.p * float64(1-o.utility) * poorHarm
		}
		harm += weight
		if weight > most {
			most, worst, family = weight, *o, m.family
		}
	}
	return harm, worst, family
}
