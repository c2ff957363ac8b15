package weld

import (
	"slices"
)

// Regime is how hot the work is run.
type Regime uint8

const (
	Cold Regime = iota // no preheat and low interpass: short beads, let it cool
	AsIs               // no preheat, ordinary interpass
	Warm               // 100-200 C
	Hot                // 250-400 C
	Soak               // 450-650 C, the whole piece
	regimeCount
)

var regimeWords = []string{"cold", "as is", "warm", "hot", "soak"}

// String is the regime in words.
func (r Regime) String() string { return regimeWords[r] }

// regimeRange is the preheat of a regime in C.
var regimeRange = [regimeCount][2]float64{{0, 60}, {0, 60}, {100, 200}, {250, 400}, {450, 650}}

// What a regime is worth on a metal that wants another (judgement).
const (
	fitBand      = 1.00 // within the band to aim at
	fitAccept    = 0.96 // within what the metal takes
	fitNeedless  = 0.98 // cold beads where they are not needed: slow
	fitSpoilt    = 0.10 // heat that spoils the metal for good
	fitColdFloor = 0.30 // far too cold: cracks
	fitHotFloor  = 0.40 // far too hot: soft, or cracked in the heated zone
	coldSpanC    = 250.0
	hotSpanC     = 300.0
	lowInterpass = 120.0 // C; a metal that must stay under it is not run at ordinary interpass
	fitInterpass = 0.75
)

// waitUtility is what not welding yet is worth: a sample sent for analysis, a part out of use for days
// (judgement). An action below it is worse than waiting.
const waitUtility = 0.55

// maxActions bounds the actions, so that weighing a test stays cheap.
const maxActions = 24

// Action is one thing that can be done: a class run in a heat regime, or, with Wait, nothing yet.
type Action struct {
	Class  string
	Regime Regime
	Role   Role
	Wait   bool
}

// Stakes are the actions worth weighing and what each is worth on each metal: 1 a sound repair, 0 a part
// lost or somebody hurt.
type Stakes struct {
	Actions []Action
	Bases   []int       // index into Book.Bases, most likely first
	Utility [][]float64 // by action, by place in Bases
}

// deed is an action while it is being weighed.
type deed struct {
	class    int
	role     Role
	regime   Regime
	expected float64
	best     bool // best for some base of the named share
}

// Stakes works out the actions for the bases that are not negligible.
func (b *Book) Stakes(q Question) Stakes { return b.Ready(q).Stakes() }

// Stakes are the actions worth weighing.
func (r Ready) Stakes() Stakes {
	b, s := r.book, r.s
	n := len(s.bases)
	fits := b.fitTable(s)
	classes, best := b.bestPerBase(s)
	worth := make([]float64, len(classes)*n)
	for i, c := range classes {
		for j, m := range s.bases {
			worth[i*n+j] = float64(b.fares(m.base, c.role, c.class, s).utility)
		}
	}
	deeds, source := b.deeds(s, classes, best, worth, fits)
	out := Stakes{Bases: make([]int, n), Actions: make([]Action, 0, len(deeds)+1), Utility: make([][]float64, 0, len(deeds)+1)}
	for j, m := range s.bases {
		out.Bases[j] = m.base
	}
	flatUtility := make([]float64, (len(deeds)+1)*n)
	for k, d := range deeds {
		row := flatUtility[k*n : (k+1)*n : (k+1)*n]
		for j := range row {
			row[j] = worth[source[k]*n+j] * fits[j][d.regime]
		}
		out.Actions = append(out.Actions, Action{Class: b.classes[d.class].ID, Regime: d.regime, Role: d.role})
		out.Utility = append(out.Utility, row)
	}
	wait := flatUtility[len(deeds)*n:]
	for j := range wait {
		wait[j] = waitUtility
	}
	out.Actions = append(out.Actions, Action{Wait: true})
	out.Utility = append(out.Utility, wait)
	return out
}

// GradeColumns gives, for each grade of the catalogue, the place of its base in the Bases of the stakes, or
// -1 for a grade whose base is negligible (worth no more than waiting).
func (b *Book) GradeColumns(s Stakes) []int {
	column := make([]int, len(b.bases))
	for i := range column {
		column[i] = -1
	}
	for j, base := range s.Bases {
		column[base] = j
	}
	out := make([]int, len(b.baseOf))
	for i, base := range b.baseOf {
		out[i] = column[base]
	}
	return out
}

// fitTable is what each regime is worth on each base of the situation.
func (b *Book) fitTable(s *situation) [][regimeCount]float64 {
	out := make([][regimeCount]float64, len(s.bases))
	met := s.heatMet(false)
	var scratch [4]int
	for j, m := range s.bases {
		g := &b.heatGroups[b.heatOf[m.base]]
		for _, k := range g.methodsFor(met, scratch[:0]) {
			for r := range out[j] {
				out[j][r] = max(out[j][r], fit(&g.methods[k], Regime(r)))
			}
		}
		if s.met&noPreheat != 0 {
			out[j][Warm], out[j][Hot], out[j][Soak] = 0, 0, 0
		}
	}
	return out
}

// fit is what a regime is worth under one method of a metal.
func fit(m *method, r Regime) float64 {
	low, high := regimeRange[r][0], regimeRange[r][1]
	worth := fitAccept
	switch {
	case max(low, m.min) <= min(high, m.max):
		worth = fitBand
	case high < m.acceptMin:
		worth = max(fitColdFloor, 1-(m.acceptMin-high)/coldSpanC)
	case low > m.acceptMax && m.spoils:
		worth = fitSpoilt
	case low > m.acceptMax:
		worth = max(fitHotFloor, 1-(low-m.acceptMax)/hotSpanC)
	}
	switch {
	case r == Cold && m.name != "cold" && m.interpass > lowInterpass:
		worth *= fitNeedless
	case r == AsIs && (m.name == "cold" || m.interpass <= lowInterpass):
		worth *= fitInterpass
	}
	return worth
}

// perBase is how many classes of a base and role are weighed.
const perBase = 2

// bestPerBase gathers the best few classes of each base; best holds, by base, the place of its best one.
func (b *Book) bestPerBase(s *situation) (classes []deed, best []int) {
	all := s.processes != 0 || s.positions != 0 || s.acOnly || s.dcOnly
	best = make([]int, len(s.bases))
	for j, m := range s.bases {
		var top [perBase]deed
		for i := range top {
			top[i].class = -1
		}
		for _, r := range s.roles {
			if r.order != 1 {
				continue
			}
			for _, list := range b.offered(m.base, r.role, all, s) {
				for _, class := range list {
					b.rankInto(&top, m.base, int(class), r.role, s)
				}
			}
		}
		best[j] = -1
		for i, d := range top {
			if d.class < 0 {
				continue
			}
			at := slices.IndexFunc(classes, func(c deed) bool { return c.class == d.class && c.role == d.role })
			if at < 0 {
				at = len(classes)
				classes = append(classes, deed{class: d.class, role: d.role})
			}
			if i == 0 {
				best[j] = at
			}
		}
	}
	return classes, best
}

func (b *Book) rankInto(top *[perBase]deed, base, class int, role Role, s *situation) {
	if ok, _ := s.usable(&b.classes[class]); !ok {
		return
	}
	o := b.fares(base, role, class, s)
	if !o.kind.suits() {
		return
	}
	d := deed{class: class, role: role, expected: float64(o.utility) - b.handling(class, s)}
	for i := range top {
		if top[i].class < 0 || d.expected > top[i].expected {
			copy(top[i+1:], top[i:])
			top[i] = d
			return
		}
		if top[i].class == class && top[i].role == role {
			return
		}
	}
}

// deeds pairs classes with regimes: for each base its best class in the regime that suits the base, for
// each class the regime that is best over the posterior. The best for some base come first, then by
// expected worth. source holds the place of each deed's class.
func (b *Book) deeds(s *situation, classes []deed, best []int, worth []float64, fits [][regimeCount]float64) (out []deed, source []int) {
	n := len(s.bases)
	var pairs []struct {
		deed
		at int
	}
	add := func(at int, r Regime, isBest bool) {
		for i := range pairs {
			if pairs[i].at == at && pairs[i].regime == r {
				pairs[i].best = pairs[i].best || isBest
				return
			}
		}
		d := classes[at]
		d.regime, d.best, d.expected = r, isBest, 0
		for j, m := range s.bases {
			d.expected += m.p * worth[at*n+j] * fits[j][r]
		}
		pairs = append(pairs, struct {
			deed
			at int
		}{d, at})
	}
	for j, at := range best {
		if at >= 0 {
			add(at, bestRegime(&fits[j]), s.bases[j].p >= namedShare)
		}
	}
	for _, at := range mostWorth(s, len(classes), worth) {
		add(at, regimeOver(s, worth[at*n:(at+1)*n], fits), false)
	}
	slices.SortStableFunc(pairs, func(x, y struct {
		deed
		at int
	}) int {
		switch {
		case x.best != y.best && x.best:
			return -1
		case x.best != y.best:
			return 1
		case x.expected > y.expected:
			return -1
		case x.expected < y.expected:
			return 1
		}
		return 0
	})
	for _, p := range pairs[:min(len(pairs), maxActions-1)] {
		out, source = append(out, p.deed), append(source, p.at)
	}
	return out, source
}

func bestRegime(fits *[regimeCount]float64) Regime {
	best := Regime(0)
	for r := range fits {
		if fits[r] > fits[best] {
			best = Regime(r)
		}
	}
	return best
}

// heatedClasses is how many classes are tried in the regime that is best over the posterior.
const heatedClasses = 12

// mostWorth are the classes of the highest worth over the posterior, heat left aside, best first.
func mostWorth(s *situation, classes int, worth []float64) []int {
	n := len(s.bases)
	order, sums := make([]int, classes), make([]float64, classes)
	for at := range order {
		order[at] = at
		for j, m := range s.bases {
			sums[at] += m.p * worth[at*n+j]
		}
	}
	slices.SortStableFunc(order, func(x, y int) int {
		switch {
		case sums[x] > sums[y]:
			return -1
		case sums[x] < sums[y]:
			return 1
		}
		return 0
	})
	return order[:min(classes, heatedClasses)]
}

// regimeOver is the regime in which a class is worth most over the posterior.
func regimeOver(s *situation, worth []float64, fits [][regimeCount]float64) Regime {
	best, most := Regime(0), -1.0
	for r := range regimeCount {
		sum := 0.0
		for j, m := range s.bases {
			sum += m.p * worth[j] * fits[j][r]
		}
		if sum > most {
			best, most = r, sum
		}
	}
	return best
}
