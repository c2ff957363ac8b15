package weld

import (
	"slices"
	"strings"

	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

// Question asks for a choice: what was reported, and what the metal can be.
type Question struct {
	Observation *observation.Observation
	Grades      []float64 // chance of each grade, in the order of the catalogue's Grades
	Unlisted    float64   // chance that none of the listed metals fits
}

// PosteriorOf turns shares by grade id into the order that Question.Grades has; unknown ids are left out.
func (b *Book) PosteriorOf(shares []metal.Share) []float64 {
	p := make([]float64, len(b.catalogue.Grades))
	at := make(map[string]int, len(b.catalogue.Grades))
	for i := range b.catalogue.Grades {
		at[b.catalogue.Grades[i].ID] = i
	}
	for _, s := range shares {
		if i, ok := at[s.ID]; ok {
			p[i] += s.P
		}
	}
	return p
}

// Bounds below which a metal is not looked at, is not named as a risk, and does not lead (judgement; 2 % is the machine
// contract).
const (
	tracedShare  = 0.004 // a base below this cannot move a choice
	offerShare   = 0.010 // a base below this brings no class of its own into the choice
	namedShare   = 0.02  // a family from here on is named in wrong_if and must be safe
	leadingShare = 0.10  // a metal from here on has its own say on heat and filler (judgement)
)

// mass is a base, or a whole family, with its chance.
type mass struct {
	base, family int
	p            float64
}

// situation is a question worked out once: conditions, roles, limits and the bases that matter.
type situation struct {
	met, can  condition
	plain     bool // nothing is stated that any row could ask for
	tempC     *float64
	roles     []jobRole
	job       string
	processes process // allowed; 0 means any
	positions position
	acOnly    bool
	dcOnly    bool
	have      []int
	unknown   []string // rods at hand that name no class
	joined    int
	bases     []mass // p >= tracedShare, most likely first, then by place
	families  []mass // base is the family index; most likely first
	assumed   []string
	grades    []float64 // the posterior by grade, as asked
	thickness float64   // mm as told; 0 when not
	barred    candidate // what suits most often but is never for a family of the named share
	zinc      bool      // zinc on it, or a coating that nobody can name
	deep      bool      // worn deeper than a facing may be thick

	mechanisms mechanism // how the face wears; 0 when the job lays none
	wearLoss   [maxWearGroups]float64
	dutyLoss   [fillerGroupCount]float64

	analysis analysis // what was measured of the composition
}

// facingMaxMM is how thick a hard facing may be laid (US Navy Steelworker in procedures.csv: seldom over
// 6.4 mm); a deeper loss is built up first.
const facingMaxMM = 6.4

func (b *Book) situationOf(q Question, scratch *Scratch) *situation {
	o := q.Observation
	if o == nil {
		o = &observation.Observation{}
	}
	s := &scratch.situation
	*s = situation{met: b.stated(o), tempC: o.ServiceTempC, job: o.Job, joined: -1, bases: s.bases[:0], families: s.families[:0]}
	b.setRoles(s, o)
	b.setJoint(s, o)
	s.setLimits(o)
	for _, word := range o.Have {
		if class := b.held(word); class >= 0 {
			s.have = append(s.have, class)
		} else {
			s.unknown = append(s.unknown, word)
		}
	}
	if o.Size != nil && o.Size.DepthMM != nil && *o.Size.DepthMM > facingMaxMM {
		s.deep = true
	}
	if o.Scene != nil {
		s.zinc = slices.Contains(o.Scene.Coating, "zinc") || slices.Contains(o.Scene.Coating, "unknown-plate")
	}
	s.grades = q.Grades
	if len(o.Chem) > 0 {
		s.analysis = analysisOf(o)
	}
	if o.Size != nil && o.Size.ThicknessMM != nil {
		s.thickness = *o.Size.ThicknessMM
	}
	scratch.masses = b.baseMasses(q.Grades, scratch.masses)
	b.setMasses(s, scratch.masses)
	b.setExcluded(s)
	s.can = offer(s.met, o.Limits)
	b.setWear(s, o)
	b.setDuty(s, o)
	s.plain = s.met&b.asked == 0 && s.can == supplied|choices && s.tempC == nil
	return s
}

func (b *Book) setRoles(s *situation, o *observation.Observation) {
	if s.job == "" {
		s.job = assumedJob
		s.assumed = append(s.assumed, "no job told: joining assumed")
	}
	s.roles = b.jobs[s.job]
	for _, r := range s.roles {
		if r.assume != 0 && !wearTold(o.Service) {
			s.met |= r.assume
			s.assumed = append(s.assumed, assumedText(r.assume))
		}
	}
}

func assumedText(c condition) string {
	if c&abrasion != 0 {
		return "no wear told: abrasion with knocks assumed"
	}
	return "no service told: corrosion assumed"
}

var carbonSteels = []string{"low-carbon-steel", "medium-carbon-steel", "high-carbon-steel", "hsla-structural-steel", "cast-steel", "wrought-iron"}

func (b *Book) setJoint(s *situation, o *observation.Observation) {
	if s.joined = metal.FamilyIndex(o.JoinedTo); s.joined < 0 {
		return
	}
	if slices.Contains(carbonSteels, o.JoinedTo) {
		s.met |= toCarbonSteel
	}
}

// setLimits reads the processes, positions and current that the rep can use.
func (s *situation) setLimits(o *observation.Observation) {
	for _, w := range o.Limits {
		switch w {
		case "smaw":
			s.processes |= smaw
		case "gmaw":
			s.processes |= gmaw
		case "fcaw":
			s.processes |= fcaw
		case "gtaw":
			s.processes |= gtaw
		case "saw":
			s.processes |= saw
		case "oxyfuel":
			s.processes |= oxyfuel | brazing
		case "braze":
			s.processes |= brazing
		case "flat":
			s.positions |= flat
		case "horizontal":
			s.positions |= horizontal
		case "vertical-up":
			s.positions |= verticalUp
		case "vertical-down":
			s.positions |= verticalDown
		case "overhead":
			s.positions |= overhead
		case "ac-only":
			s.acOnly = true
		case "dc":
			s.dcOnly = true
		}
	}
}

// setMasses keeps the bases and families that matter. What a family loses with its negligible bases goes
// to its others, or to the whole family when all of them are, so that a family keeps its chance.
func (b *Book) setMasses(s *situation, masses []float64) {
	var families, kept [familyCount]float64
	for i, v := range masses {
		families[b.bases[i].Family] += v
		if v >= tracedShare {
			kept[b.bases[i].Family] += v
		}
	}
	for i, v := range masses {
		if family := b.bases[i].Family; v >= tracedShare {
			s.bases = append(s.bases, mass{i, family, v * families[family] / kept[family]})
		}
	}
	for i, v := range families {
		if v < tracedShare {
			continue
		}
		s.families = append(s.families, mass{i, i, v})
		if kept[i] == 0 {
			s.bases = append(s.bases, mass{i, i, v})
		}
	}
	likeliestFirst(s.bases)
	likeliestFirst(s.families)
}

func likeliestFirst(m []mass) {
	slices.SortFunc(m, func(a, b mass) int {
		switch {
		case a.p > b.p:
			return -1
		case a.p < b.p:
			return 1
		}
		return a.base - b.base
	})
}

var ironFamilies = []string{"gray-iron", "ductile-iron", "malleable-iron", "white-iron", "high-chromium-iron"}

// setExcluded derives iron-excluded and white-iron-excluded: those families together are below 2 %.
func (b *Book) setExcluded(s *situation) {
	iron, white := 0.0, 0.0
	for _, f := range s.families {
		switch id := metal.Families[f.base]; {
		case id == "white-iron" || id == "high-chromium-iron":
			white += f.p
			iron += f.p
		case slices.Contains(ironFamilies, id):
			iron += f.p
		}
	}
	if iron < namedShare {
		s.met |= ironExcluded
	}
	if white < namedShare {
		s.met |= whiteIronExcluded
	}
}

// metOn adds to what is stated what holds for a base and role: the metal's own conditions, and the service
// temperature, whose bound depends on metal and role.
func (s *situation) metOn(b *Book, base int, role Role) condition {
	met := s.met | b.bases[base].conditions
	if s.tempC == nil {
		return met
	}
	bound := heatSteelC
	switch {
	case role == Braze:
		bound = heatBrazeC
	case metal.Families[b.bases[base].Family] == "aluminum":
		bound = heatAluminiumC
	}
	if *s.tempC > bound {
		return met | heatService
	}
	return met | notHeatService
}

// onPair holds when a role is about the joint with another piece.
func (s *situation) onPair(role Role) bool {
	return s.joined >= 0 && (role == Join || role == Braze || role == Buffer)
}

// limited holds when the rep stated what he can run: a twin by another process may then be the one to take.
func (s *situation) limited() bool {
	return s.processes != 0 || s.positions != 0 || s.acOnly || s.dcOnly
}

// ordinary holds when nothing is stated that changes how a class fares or is handled: the classes of a base
// then stand in the order of their worth.
func (s *situation) ordinary() bool {
	return s.plain && s.joined < 0 && !s.limited() && s.met&(noPreheat|machinable|colourMatch) == 0
}

// usable says whether a class can be run within the limits that the rep stated.
func (s *situation) usable(c *Class) bool {
	return (s.processes == 0 || c.process&s.processes != 0) && (!s.acOnly || c.ac) && (!s.dcOnly || c.dc) &&
		s.positions&^c.positions == 0
}

// processOf names the process to run a class by: the first of its own that the limits allow.
func (s *situation) processOf(c *Class) string {
	for _, name := range c.Processes {
		if s.processes == 0 || processWords[name]&s.processes != 0 {
			return name
		}
	}
	return strings.Join(c.Processes, " or ")
}
