package weld

// pair is what the matching tables say of a joint between two families.
type pair struct {
	a, b    int
	rows    map[pairPlace][]rule
	good    [roleCount][]int32
	lead    [roleCount][]int32
	shut    shutting
	actions []action
}

type pairPlace struct {
	role  Role
	class int
}

// pairOf is the pair of two families in either order, made when it is first named at load.
func (b *Book) pairOf(x, y int) *pair {
	if x > y {
		x, y = y, x
	}
	p, ok := b.pairs[[2]int{x, y}]
	if !ok {
		p = &pair{a: x, b: y, rows: map[pairPlace][]rule{}}
		b.pairs[[2]int{x, y}] = p
	}
	return p
}

func (p *pair) add(r placedRule, stickOfWire bool) {
	at := pairPlace{r.role, r.class}
	// Rows of a subgroup speak of a part in its service (rail in track), where the stop rules come first.
	if r.subgroup != "" {
		return
	}
	if r.good() {
		list(&p.good[r.role], r.class)
		if !r.twin || stickOfWire {
			list(&p.lead[r.role], r.class)
		}
	}
	p.rows[at] = append(p.rows[at], r.rule)
}

// faresOnPair is how a class fares between the base and the piece it is joined to: by the pair's own rows
// and, on top, the unconditional nevers of both sides; where the tables hold no such pair it is worked out
// (pair_derived.go).
func (b *Book) faresOnPair(base int, role Role, class int, s *situation) outcome {
	other := s.joined
	if why := b.shut[other].closes(role, b.classes[class].process, s.met&noPreheat != 0); why != 0 {
		return outcome{kind: Never, why: why}
	}
	family := b.bases[base].Family
	if family == other {
		return b.faresAlone(base, role, class, s)
	}
	p, ok := b.pairs[[2]int{min(family, other), max(family, other)}]
	if !ok {
		return b.derived(base, other, role, class, s)
	}
	if why := p.shut.closes(role, b.classes[class].process, s.met&noPreheat != 0); why != 0 {
		return outcome{kind: Never, why: why}
	}
	o, spoken := b.weigh(p.rows[pairPlace{role, class}], s.metOn(b, base, role), s.can)
	if spoken && o.need&buttered != 0 {
		return o
	}
	for _, side := range [2]int{base, other} {
		if never, yes := b.neverAlways(side, role, class); yes {
			return never
		}
	}
	if spoken {
		return o
	}
	worse := b.worseSide(base, other, role, class, s)
	if worse.kind.suits() {
		worse = outcome{kind: NotAdvised, utility: utilityNotAdvised, why: b.silence(base, class).why}
	}
	return worse
}

// neverAlways is the unconditional never of a class on a base.
func (b *Book) neverAlways(base int, role Role, class int) (outcome, bool) {
	i := b.cells[b.cell(base, role, class)]
	if i < 0 {
		return outcome{}, false
	}
	for _, r := range b.entries[i].rules {
		if r.verdict == verdictNever && r.names&^ofSubgroup == 0 {
			return b.badOutcome(true, r.consequence, r.why), true
		}
	}
	return outcome{}, false
}

func (b *Book) worseSide(base, other int, role Role, class int, s *situation) outcome {
	return b.worse(b.faresAlone(base, role, class, s), b.faresAlone(other, role, class, s))
}

// worse is the worse outcome of two sides; a filler that both take is tolerant at best (judgement).
func (b *Book) worse(x, y outcome) outcome {
	if y.utility < x.utility {
		x, y = y, x
	}
	if x.kind.suits() {
		x.need |= y.need
		x.why = b.bothSides
		if x.kind != Tolerant {
			x.kind = Tolerant
			x.utility -= 1 - utilityTolerant
			x.utility = max(x.utility, utilityNotAdvised+0.01)
		}
	}
	return x
}
