package identify

import (
	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

// Result is what one observation says: chances over families and grades that sum to 1 with Unlisted, what
// spoke for and against, and how well it all fits together. Its slices belong to the Scratch that made it.
type Result struct {
	Families []float64 // by place in metal.Families
	Grades   []float64 // by place in the catalogue
	Unlisted float64   // chance that none of the listed metals fits
	Evidence []Evidence
	Fit      string // good | strained | poor
	Repeat   string // key of the observation most worth repeating; "" when the fit is good
}

// member is one reported fact inside a group.
type member struct {
	key, value string
	row        []float64 // grade → chance of the report when the observer did look (damped)
	back       float64   // chance of the report over all metals: what a lapsed observer says
	outside    float64   // chance of the report on a metal outside the catalogue
	lapse      float64
	misread    float64 // chance that the report tells nothing, in the light of all
	agrees     float64 // how much likelier the report is in the light of the others than over all metals
}

// group is what shares one lapse: its members' chances multiply, and one slip spoils them all.
type group struct {
	members  []member
	owned    []float64 // storage for a computed row
	combined []float64 // grade → likelihood of the group, lapse inside
	slip     float64
	outside  float64
	lapse    float64
}

// Scratch is the working memory of one identification. A caller keeps one a worker and hands it in again;
// it must not be used by two at once.
type Scratch struct {
	groups   []group
	used     int
	p        []float64
	product  []float64
	families []float64
	row      []float64
	inverse  []float64
	streams  []float64
	hidden   hiddenScratch
	readings []reading
	outlook  outlookScratch
}

// NewScratch makes the working memory for this model.
func (m *Model) NewScratch() *Scratch {
	return &Scratch{p: make([]float64, m.n), product: make([]float64, m.n), families: make([]float64, len(metal.Families)),
		row: make([]float64, m.n), inverse: make([]float64, m.n), streams: make([]float64, len(m.spark.shared)), hidden: newHiddenScratch(len(m.hardness.bins)), outlook: newOutlookScratch(m)}
}

// next opens a group; the memory of an earlier message is used again.
func (s *Scratch) next(n int) *group {
	if s.used == len(s.groups) {
		s.groups = append(s.groups, group{combined: make([]float64, n)})
	}
	g := &s.groups[s.used]
	g.members = g.members[:0]
	s.used++
	return g
}

// own is a row of the group's own, filled with ones.
func (g *group) own(n int) []float64 {
	if g.owned == nil {
		g.owned = make([]float64, n)
	}
	for i := range g.owned {
		g.owned[i] = 1
	}
	return g.owned
}

// Identify computes the posterior of an observation. matches are the parts that its part words may mean.
//
//	posterior(grade) ∝ prior(grade) · Π over groups of ((1-lapse) · Π chance + lapse · background)
//	p(grade)         = (1-w) · posterior(grade) + w · prior(grade)
//
// with w the chance that the piece in hand is not the broken one: the facts then say nothing of it. The
// order of the facts has no meaning: groups stand in a fixed order.
func (m *Model) Identify(o *observation.Observation, matches []metal.PartMatch, s *Scratch) Result {
	s.used = 0
	m.collect(o, matches, s)
	copy(s.product, m.base)
	unlisted := m.constants["unlisted_prior"]
	for i := range s.used {
		g := &s.groups[i]
		g.combine(m, s)
		for j, l := range g.combined {
			s.product[j] *= l
		}
		unlisted *= g.outside
	}
	m.finish(s, unlisted)
	r := Result{Families: s.families, Grades: s.p, Unlisted: max(0, 1-sumOf(s.p))}
	m.sumFamilies(s.p, s.families)
	r.Evidence = m.explain(s, r.Families)
	r.Fit, r.Repeat = m.fit(s, r.Unlisted)
	return r
}

// finish turns the product into probabilities, and mixes in the chance of a wrong piece.
func (m *Model) finish(s *Scratch, unlisted float64) {
	w := m.constants["wrong_piece"]
	sum := unlisted + sumOf(s.product)
	for g, l := range s.product {
		s.p[g] = (1-w)*l/sum + w*m.base[g]
	}
}

func (m *Model) sumFamilies(grades, out []float64) {
	for f := range out {
		out[f] = sumOf(grades[m.first[f]:m.first[f+1]])
	}
}

// combine computes the group's likelihood over the grades.
func (g *group) combine(m *Model, s *Scratch) {
	g.slip, g.outside, g.lapse = 1, 1, 0
	for _, x := range g.members {
		g.slip *= x.back
		g.outside *= x.outside
		g.lapse = max(g.lapse, x.lapse)
	}
	if g.members[0].row == nil { // the hidden hardness: its members meet in one unseen figure
		m.hardness.meet(m, g, s, -1, g.combined)
		return
	}
	g.mix(-1, g.combined)
}

// mix writes the likelihood of the group without one member (-1 = with all).
func (g *group) mix(skip int, out []float64) {
	slip := 1.0
	for i := range out {
		out[i] = 1 - g.lapse
	}
	for k, x := range g.members {
		if k == skip {
			continue
		}
		slip *= x.back
		for i, c := range x.row {
			out[i] *= c
		}
	}
	for i := range out {
		out[i] += g.lapse * slip
	}
}
