package weld

import (
	"cmp"
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
	Columns []int       // by grade of the catalogue: place of its base in Bases; -1 for a negligible one (worth no more than waiting)
	Utility [][]float64 // by action, by place in Bases
}

// weighed is a class in a role while the actions are sought.
type weighed struct {
	class  int
	role   Role
	worth  []float64            // by base of the situation, heat left aside
	bare   float64              // over the posterior, heat left aside
	heated [regimeCount]float64 // over the posterior in each regime, once heat was asked for
	asked  bool
	deed   [regimeCount]int // place of the deed in that regime, or -1
}

// deed is an action while it is being weighed.
type deed struct {
	at       int // place of its class among the weighed ones
	regime   Regime
	expected float64
	best     bool // best for some base of the named share
	order    int  // in which it was found
}

// stakesScratch is the working memory of the stakes; what Stakes gives back lies in it.
type stakesScratch struct {
	out      Stakes
	fits     [][regimeCount]float64 // by base of the situation: what each regime is worth
	classes  []weighed
	placeOf  []int // role*classes + class: place among the weighed ones + 1; 0 for none
	best     []int // by base of the situation: place of its best class, or -1
	deeds    []deed
	order    []int
	columnOf []int // by base of the book
	worth    []float64
	utility  []float64
}

// Stakes works out the actions for the bases that are not negligible.
func (b *Book) Stakes(q Question) Stakes { return b.Ready(q, &Scratch{}).Stakes() }

// Stakes are the actions worth weighing. They are good until the scratch is used again.
func (r Ready) Stakes() Stakes {
	b, s, k := r.book, r.s, &r.scratch.stakes
	b.fillFits(s, k)
	b.bestPerBase(s, k)
	b.weighClasses(s, k)
	k.findDeeds(s)
	n, out := len(s.bases), &k.out
	k.utility = sized(k.utility, (len(k.deeds)+1)*n)
	out.Actions, out.Utility = out.Actions[:0], out.Utility[:0]
	for i, d := range k.deeds {
		c, row := &k.classes[d.at], k.utility[i*n:(i+1)*n:(i+1)*n]
		for j := range row {
			row[j] = c.worth[j] * k.fits[j][d.regime]
		}
		out.Actions = append(out.Actions, Action{Class: b.classes[c.class].ID, Regime: d.regime, Role: c.role})
		out.Utility = append(out.Utility, row)
	}
	wait := k.utility[len(k.deeds)*n:]
	for j := range wait {
		wait[j] = waitUtility
	}
	out.Actions = append(out.Actions, Action{Wait: true})
	out.Utility = append(out.Utility, wait)
	b.fillColumns(s, k)
	return *out
}

// fillColumns lists the bases of the situation, and finds that of each grade among them.
func (b *Book) fillColumns(s *situation, k *stakesScratch) {
	k.columnOf = sized(k.columnOf, len(b.bases))
	for i := range k.columnOf {
		k.columnOf[i] = -1
	}
	k.out.Bases = k.out.Bases[:0]
	for j, m := range s.bases {
		k.out.Bases = append(k.out.Bases, m.base)
		k.columnOf[m.base] = j
	}
	k.out.Columns = sized(k.out.Columns, len(b.baseOf))
	for g, base := range b.baseOf {
		k.out.Columns[g] = k.columnOf[base]
	}
}

// fillFits works out what each regime is worth on each base of the situation.
func (b *Book) fillFits(s *situation, k *stakesScratch) {
	k.fits = sized(k.fits, len(s.bases))
	met := s.heatMet(false)
	var scratch [4]int
	for j, m := range s.bases {
		g, fits := &b.heatGroups[b.heatOf[m.base]], &k.fits[j]
		*fits = [regimeCount]float64{}
		for _, i := range g.methodsFor(met, scratch[:0]) {
			for r := range fits {
				fits[r] = max(fits[r], g.methods[i].fits[r])
			}
		}
		if s.met&noPreheat != 0 {
			fits[Warm], fits[Hot], fits[Soak] = 0, 0, 0
		}
	}
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

// rankedClass is a class in a role with its worth on one base, handling taken off; place is -1 for none.
type rankedClass struct {
	place, class int
	role         Role
	worth        float64
}

// bestPerBase gathers the best few classes of each base, and notes by base the place of its best one.
func (b *Book) bestPerBase(s *situation, k *stakesScratch) {
	all, inOrder := s.limited(), s.ordinary()
	k.classes, k.best = k.classes[:0], k.best[:0]
	k.placeOf = sized(k.placeOf, int(roleCount)*len(b.classes))
	clear(k.placeOf)
	for _, m := range s.bases {
		top := [perBase]rankedClass{{place: -1}, {place: -1}}
		for _, r := range s.roles {
			if r.order != 1 {
				continue
			}
			for _, list := range b.offered(m.base, r.role, all, s) {
				for _, class := range list {
					if !b.rankInto(&top, m.base, int(class), r.role, s) && inOrder {
						break // the rest of the list is worth less
					}
				}
			}
		}
		best := -1
		for i, t := range top {
			if t.place < 0 {
				continue
			}
			if k.placeOf[t.place] == 0 {
				k.classes = append(k.classes, weighed{class: t.class, role: t.role})
				k.placeOf[t.place] = len(k.classes)
			}
			if i == 0 {
				best = k.placeOf[t.place] - 1
			}
		}
		k.best = append(k.best, best)
	}
}

// rankInto puts a class among the best of a base; it reports whether it belongs there.
func (b *Book) rankInto(top *[perBase]rankedClass, base, class int, role Role, s *situation) bool {
	if !s.usable(&b.classes[class]) {
		return false
	}
	o := b.fares(base, role, class, s)
	if !o.kind.suits() {
		return false
	}
	t := rankedClass{int(role)*len(b.classes) + class, class, role, float64(o.utility) - b.handling(class, s)}
	for i := range top {
		if top[i].place < 0 || t.worth > top[i].worth {
			copy(top[i+1:], top[i:])
			top[i] = t
			return true
		}
		if top[i].place == t.place {
			return true
		}
	}
	return false
}

// weighClasses works out what each class is worth, on each base and over the posterior, heat left aside.
func (b *Book) weighClasses(s *situation, k *stakesScratch) {
	n := len(s.bases)
	k.worth = sized(k.worth, len(k.classes)*n)
	for i := range k.classes {
		c := &k.classes[i]
		c.worth = k.worth[i*n : (i+1)*n : (i+1)*n]
		f := b.faring(c.role, c.class, s)
		for j, m := range s.bases {
			c.worth[j] = float64(f.on(m.base).utility)
			c.bare += m.p * c.worth[j]
		}
		for r := range c.deed {
			c.deed[r] = -1
		}
	}
}

// heat is what a class is worth over the posterior in each regime.
func (k *stakesScratch) heat(at int, s *situation) *[regimeCount]float64 {
	c := &k.classes[at]
	if c.asked {
		return &c.heated
	}
	var cold, asIs, warm, hot, soak float64
	for j, m := range s.bases {
		share, fits := m.p*c.worth[j], &k.fits[j]
		cold += share * fits[Cold]
		asIs += share * fits[AsIs]
		warm += share * fits[Warm]
		hot += share * fits[Hot]
		soak += share * fits[Soak]
	}
	c.heated, c.asked = [regimeCount]float64{cold, asIs, warm, hot, soak}, true
	return &c.heated
}

// findDeeds pairs classes with regimes: for each base its best class in the regime that suits the base, for
// each class of high worth the regime that is best over the posterior. The best for some base come first,
// then by expected worth.
func (k *stakesScratch) findDeeds(s *situation) {
	k.deeds = k.deeds[:0]
	for j, at := range k.best {
		if at >= 0 {
			k.addDeed(at, bestRegime(&k.fits[j]), s.bases[j].p >= namedShare, s)
		}
	}
	for _, at := range k.mostWorth() {
		k.addDeed(at, bestRegime(k.heat(at, s)), false, s)
	}
	slices.SortFunc(k.deeds, func(x, y deed) int {
		switch {
		case x.best != y.best && x.best:
			return -1
		case x.best != y.best:
			return 1
		}
		return cmp.Or(cmp.Compare(y.expected, x.expected), x.order-y.order)
	})
	k.deeds = k.deeds[:min(len(k.deeds), maxActions-1)]
}

func (k *stakesScratch) addDeed(at int, r Regime, best bool, s *situation) {
	c := &k.classes[at]
	if c.deed[r] < 0 {
		c.deed[r] = len(k.deeds)
		k.deeds = append(k.deeds, deed{at: at, regime: r, expected: k.heat(at, s)[r], order: len(k.deeds)})
	}
	d := &k.deeds[c.deed[r]]
	d.best = d.best || best
}

func bestRegime(worth *[regimeCount]float64) Regime {
	best := Regime(0)
	for r := range worth {
		if worth[r] > worth[best] {
			best = Regime(r)
		}
	}
	return best
}

// heatedClasses is how many classes are tried in the regime that is best over the posterior.
const heatedClasses = 12

// mostWorth are the classes of the highest worth over the posterior, heat left aside, best first.
func (k *stakesScratch) mostWorth() []int {
	k.order = sized(k.order, len(k.classes))
	for at := range k.order {
		k.order[at] = at
	}
	slices.SortFunc(k.order, func(x, y int) int { return cmp.Or(cmp.Compare(k.classes[y].bare, k.classes[x].bare), x-y) })
	return k.order[:min(len(k.order), heatedClasses)]
}
