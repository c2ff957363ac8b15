package weld

import (
	"slices"

	"rodcall/engine/metal"
)

// Plan is what to weld with and how, over everything that the metal can be.
type Plan struct {
	Consumables []Choice // best first, at most six
	Avoid       []Avoid  // most dangerous first, at most six
	SafeForAll  []Choice // of the carrying classes, those that suit every family of 2 % or more
	Heat        Heat     // Preheat is nil when the leading metals want opposite heat
	Steps       []string // the repair in shop order
	Prepare     []string // the steps that are right for every leading metal, up to the heat
	Conflict    bool     // the leading metals want opposite treatment: test first
	ConflictWhy string
	ConflictOf  []string // the two family ids
	Replace     string   // why replacing the part is the better repair, or who takes over; "" when it is not
	Facing      *Facing  // how a hard face is laid; nil when the plan lays none
	Methods     []Method // the ways that the likeliest metal takes, the proposed one first; nil for one only
	AtHand      []AtHand // what each rod at hand would do
	HaveNote    string   // what to do with the rods at hand; "" when none are told
	LimitNote   string   // which limit to relax when the limits leave nothing, or cost what the metal must have
	Assumed     []string // what was supposed
}

// Avoid is a class that must not be used here.
type Avoid struct {
	Class string
	Why   string
}

// Ready is a question worked out as far as its plan and its stakes share.
type Ready struct {
	book    *Book
	s       *situation
	scratch *Scratch
}

// Scratch is the working memory of one question. A caller keeps one a worker and hands it in again; it must
// not be used by two at once.
type Scratch struct {
	situation situation
	masses    []float64
	stakes    stakesScratch
}

// sized is a list of a length in the memory of an earlier one, its values left as they are.
func sized[T any](list []T, n int) []T {
	if cap(list) < n {
		return make([]T, n)
	}
	return list[:n]
}

// Ready works out a question once, for its stakes and its plan.
func (b *Book) Ready(q Question, scratch *Scratch) Ready {
	return Ready{b, b.situationOf(q, scratch), scratch}
}

// Plan answers a question. The stop rules come before it: it names classes for whatever it is asked.
func (b *Book) Plan(q Question) Plan { return b.Ready(q, &Scratch{}).Plan() }

// Plan is what to weld with and how.
func (r Ready) Plan() Plan {
	b, s := r.book, r.s
	plan := Plan{Assumed: s.assumed}
	if len(s.bases) == 0 {
		return plan
	}
	carrying := b.carrying(s)
	picked := b.withHelpers(b.pick(carrying, s), s)
	for _, c := range picked {
		plan.Consumables = append(plan.Consumables, b.choice(c, s))
	}
	for _, c := range carrying {
		if c.safe && len(plan.SafeForAll) < bestShown {
			plan.SafeForAll = append(plan.SafeForAll, b.choice(c, s))
		}
	}
	plan.Avoid = b.avoid(picked, s)
	plan.Facing = b.facing(carrying, picked, s)
	plan.AtHand = b.atHand(s)
	plan.HaveNote = b.haveNote(plan.AtHand, carrying, s)
	plan.Replace = b.replace(s)
	if len(picked) == 0 {
		plan.LimitNote = b.limitNote(s)
		if plan.LimitNote == "" && plan.Replace == "" && s.joined >= 0 && s.families[0].p >= 0.5 {
			plan.Replace = b.noJoint(s)
		}
	}
	b.addHeat(&plan, carrying, picked, s)
	if plan.Heat.Missing >= missedC && plan.LimitNote == "" {
		plan.LimitNote = "it wants " + degrees(plan.Heat.Missing) + " and is likely to crack without: get a torch or an oven"
	}
	return plan
}

// addHeat adds the heat, the steps and whether the leading metals clash. A plan in conflict has no heat
// and no steps beyond the preparation; so has one without a class.
func (b *Book) addHeat(plan *Plan, carrying, picked []candidate, s *situation) {
	met := s.heatMet(len(picked) > 0 && picked[0].role == Braze)
	h := b.heatMasses(s)
	low, high, bad := b.settleHeat(h, met)
	if bad != nil && s.met&noPreheat != 0 {
		// Nothing will be heated: every metal is run cold, whatever it would like.
		bad = b.runCold(h, met)
		low, high = 0, 60
	}
	if bad == nil {
		bad = b.fillerClash(carrying, s)
	}
	if bad != nil {
		plan.Conflict, plan.ConflictWhy = true, bad.why
		plan.ConflictOf = []string{metal.Families[bad.a], metal.Families[bad.b]}
	}
	if bad != nil || len(picked) == 0 {
		b.favourMethods(h, met)
		plan.Prepare = b.preparation(h, s)
		plan.Steps = slices.Clone(plan.Prepare)
		if plan.Replace != "" {
			plan.Steps = append(plan.Steps, sentence(plan.Replace))
		}
		return
	}
	plan.Prepare = b.preparation(h, s)
	butter := ""
	if s.joined >= 0 {
		h, low, high, butter = b.jointHeat(h, met, low, high, s)
	}
	plan.Methods = b.ways(h, s)
	plan.Heat = b.heat(h, low, high, &picked[0], s)
	b.capByFace(&plan.Heat, picked[0])
	plan.Heat.keepUnderInterpass()
	plan.Steps = append(slices.Clone(plan.Prepare), b.steps(h, plan.Heat, butter, picked, s)...)
}

// favourMethods gives each metal its favoured method.
func (b *Book) favourMethods(h []heated, met condition) {
	var scratch [4]int
	for i := range h {
		g := &b.heatGroups[h[i].group]
		if methods := g.methodsFor(met, scratch[:0]); len(methods) > 0 && h[i].method == nil {
			h[i].method = &g.methods[methods[0]]
		}
	}
}

// runCold gives each metal its favoured method though none of them can be heated.
func (b *Book) runCold(h []heated, met condition) *clash {
	b.favourMethods(h, met)
	return nil
}

// fillerClash finds two leading families for which no class serves both, or a family of the named share
// for which everything that suits the rest is never.
func (b *Book) fillerClash(carrying []candidate, s *situation) *clash {
	lead := 0
	for lead < len(s.families) && s.families[lead].p >= leadingShare {
		lead++
	}
	if lead >= 2 {
		if bad := b.noCommonClass(carrying, s, lead); bad != nil {
			return bad
		}
	}
	most := shownShare
	for _, c := range carrying {
		most = max(most, c.suits)
	}
	if most >= 0.5 || s.barred.suits <= most {
		return nil
	}
	return b.barredBy(s)
}

// noCommonClass names the likeliest leading family and the first that no class serves beside those before.
func (b *Book) noCommonClass(carrying []candidate, s *situation, lead int) *clash {
	serves := func(c candidate, upTo int) bool {
		for _, f := range s.families[:upTo] {
			if !b.servesFamily(c, f, s) {
				return false
			}
		}
		return true
	}
	for n := 2; n <= lead; n++ {
		if slices.ContainsFunc(carrying, func(c candidate) bool { return serves(c, n) }) {
			continue
		}
		if s.barred.suits > 0 && serves(s.barred, n) { // there is one, but a third metal bars it
			return b.barredBy(s)
		}
		x, y := s.families[0].base, s.families[n-1].base
		return &clash{x, y, b.names[x].full + " and " + b.names[y].full + " take no rod in common" + b.ownRods(x, y, s)}
	}
	return nil
}

// servesFamily holds when a class suits most of what a family can be.
func (b *Book) servesFamily(c candidate, f mass, s *situation) bool {
	suits, fares := 0.0, b.faring(c.role, c.class, s)
	for _, m := range s.bases {
		if m.family == f.base && fares.on(m.base).kind.suits() {
			suits += m.p
		}
	}
	return suits >= f.p/2
}

// ownRods says what each of two families would take alone.
func (b *Book) ownRods(x, y int, s *situation) string {
	name := func(family int) string {
		best := -1
		worth := float32(0)
		for _, r := range s.roles {
			if r.order != 1 {
				continue
			}
			for _, class := range b.lead[b.blocks[family*int(roleCount)+int(r.role)]] {
				if o := b.fares(family, r.role, int(class), s); o.kind.suits() && o.utility > worth {
					best, worth = int(class), o.utility
				}
			}
		}
		if best < 0 {
			return "no weld"
		}
		return b.classes[best].ID
	}
	return " (" + name(x) + "; " + name(y) + ")"
}

// barredBy names the likeliest family that what suits most often serves, and the one for which it is never.
func (b *Book) barredBy(s *situation) *clash {
	y := s.barred.barredBy
	for _, f := range s.families {
		if f.base != y && b.servesFamily(s.barred, f, s) {
			return &clash{f.base, y, b.classes[s.barred.class].ID + " suits " + b.names[f.base].full + " but is wrong for " + b.names[y].full}
		}
	}
	return nil
}

// replace says that a new part, or somebody else, is the right repair, from the actions of the likeliest
// metal, when it leads clearly.
func (b *Book) replace(s *situation) string {
	if instead := b.insteadOfWeld(s); instead != "" {
		return instead
	}
	if s.bases[0].p < 0.5 {
		return ""
	}
	for _, act := range b.actions[s.bases[0].base] {
		if act.verdict == "recommended" && (act.value == "replace" || act.value == "refer-out" || act.value == "re-pour" ||
			act.value == "mechanical-join" || act.value == "lead-burning") {
			return act.why
		}
	}
	return ""
}

// relaxation takes one stated limit away.
type relaxation struct {
	word  string
	apply func(*situation)
}

// limitNote names the stated limit that, taken away, would leave the most classes.
func (b *Book) limitNote(s *situation) string {
	relaxed := []relaxation{
		{"the process", func(r *situation) { r.processes = 0 }},
		{"the position", func(r *situation) { r.positions = 0 }},
		{"the current", func(r *situation) { r.acOnly, r.dcOnly = false, false }},
		{"no preheat", func(r *situation) { r.met &^= noPreheat; r.can |= preheated }},
		{"no heat treatment", func(r *situation) { r.met &^= noPWHT; r.can |= pwhtDone }},
		{"no low-hydrogen lot", func(r *situation) { r.can |= h4 }},
		{"machining afterwards", func(r *situation) { r.met &^= machinable }},
		{"the colour", func(r *situation) { r.met &^= colourMatch }},
		{"the load that it bears", func(r *situation) { r.met &^= loadBearing; r.can |= lightDuty | undermatch }},
		{"the heat that it runs at", func(r *situation) { r.met &^= heatService; r.tempC = nil; r.can |= notHeatService }},
		{"the cold that it runs at", func(r *situation) { r.met &^= lowTemperature }},
		{"the corrosion that it stands in", func(r *situation) { r.met &^= corrosionService }},
		{"being tight", func(r *situation) { r.met &^= leakTight }},
	}
	trial := new(situation)
	stated := slices.DeleteFunc(relaxed, func(r relaxation) bool {
		*trial = *s
		r.apply(trial)
		return trial.same(s) // not stated, so there is nothing to relax
	})
	word, most := "", 0
	try := func(named string, apply ...func(*situation)) {
		*trial = *s
		for _, a := range apply {
			a(trial)
		}
		if n := len(b.pick(b.carrying(trial), trial)); n > most {
			word, most = named, n
		}
	}
	for _, r := range stated {
		try(r.word, r.apply)
	}
	for i, x := range stated {
		if word != "" {
			break
		}
		for _, y := range stated[i+1:] {
			try(x.word+" and "+y.word, x.apply, y.apply)
		}
	}
	if word == "" {
		return ""
	}
	return "nothing is left within your limits: relax " + word
}

func (s *situation) same(o *situation) bool {
	return s.processes == o.processes && s.positions == o.positions && s.acOnly == o.acOnly && s.dcOnly == o.dcOnly &&
		s.met == o.met && s.can == o.can && s.tempC == o.tempC
}
