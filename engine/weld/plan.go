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
	HaveNote    string   // what to do with the rods at hand; "" when none are told
	LimitNote   string   // which limit to relax when the limits leave nothing
	Assumed     []string // what was supposed
}

// Avoid is a class that must not be used here.
type Avoid struct {
	Class string
	Why   string
}

// Plan answers a question. The stop rules come before it: it names classes for whatever it is asked.
func (b *Book) Plan(q Question) Plan {
	s := b.situationOf(q)
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
	plan.HaveNote = b.haveNote(carrying, s)
	plan.Replace = b.replace(s)
	if len(picked) == 0 {
		plan.LimitNote = b.limitNote(s)
	}
	b.addHeat(&plan, carrying, picked, s)
	return plan
}

// addHeat adds the heat, the steps and whether the leading metals clash.
func (b *Book) addHeat(plan *Plan, carrying, picked []candidate, s *situation) {
	var first *candidate
	if len(picked) > 0 {
		first = &picked[0]
	}
	met := s.heatMet(first != nil && first.role == Braze)
	h := b.heatMasses(s)
	low, high, bad := b.settleHeat(h, met)
	if bad != nil && s.joined >= 0 && leaders(h[2:]) == 0 {
		bad = nil
	}
	if bad != nil && s.met&noPreheat != 0 {
		// Nothing will be heated: the cold way is the only one, and it is the way of the first metal.
		bad = nil
	}
	if bad == nil {
		bad = b.fillerClash(carrying, s)
	}
	if bad != nil {
		plan.Conflict, plan.ConflictWhy = true, bad.why
		plan.ConflictOf = []string{metal.Families[bad.a], metal.Families[bad.b]}
	}
	if high == 0 {
		b.prepareOnly(plan, h, met, s)
		return
	}
	plan.Heat = b.heat(h, low, high, first, s)
	plan.Steps = b.steps(h, plan, picked, s)
	plan.Prepare = b.preparation(h, s)
}

// prepareOnly is what is left when no heat serves all: the preparation.
func (b *Book) prepareOnly(plan *Plan, h []heated, met condition, s *situation) {
	var scratch [4]int
	for i := range h {
		g := &b.heatGroups[h[i].group]
		if methods := g.methodsFor(met, scratch[:0]); len(methods) > 0 {
			h[i].method = &g.methods[methods[0]]
		}
	}
	plan.Prepare = b.preparation(h, s)
	plan.Steps = plan.Prepare
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
	if len(carrying) > 0 || len(s.families) < 2 {
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
		x, y := s.families[0].base, s.families[n-1].base
		return &clash{x, y, b.names[x].full + " and " + b.names[y].full + " take no rod in common" + b.ownRods(x, y, s)}
	}
	return nil
}

// servesFamily holds when a class suits most of what a family can be.
func (b *Book) servesFamily(c candidate, f mass, s *situation) bool {
	suits := 0.0
	for _, m := range s.bases {
		if b.bases[m.base].Family == f.base && b.fares(m.base, c.role, c.class, s).kind.suits() {
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
			for _, class := range b.lead[family*int(roleCount)+int(r.role)] {
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

// barredBy names the family of the named share for which the best class of the rest is never.
func (b *Book) barredBy(s *situation) *clash {
	for _, f := range s.families[1:] {
		if f.p < namedShare {
			break
		}
		rest := *s
		rest.bases = slices.DeleteFunc(slices.Clone(s.bases), func(m mass) bool { return b.bases[m.base].Family == f.base })
		rest.families = slices.DeleteFunc(slices.Clone(s.families), func(m mass) bool { return m.base == f.base })
		if len(b.carrying(&rest)) > 0 {
			x := s.families[0].base
			return &clash{x, f.base, "what suits " + b.names[x].full + " is wrong for " + b.names[f.base].full}
		}
	}
	return nil
}

// replace says that a new part, or somebody else, is the right repair, from the actions of the likeliest
// metal, when it leads clearly.
func (b *Book) replace(s *situation) string {
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

// haveNote says whether one of the rods at hand will do, and else what is nearest.
func (b *Book) haveNote(carrying []candidate, s *situation) string {
	if len(s.have) == 0 && len(s.unknown) == 0 {
		return ""
	}
	best := -1
	for i, c := range carrying {
		if c.atHand && c.suits >= 0.5 {
			return "take the " + b.classes[c.class].ID
		}
		if best < 0 {
			best = i
		}
	}
	if best < 0 {
		return "none of your rods is right here"
	}
	return "none of your rods is right here: get " + b.classes[carrying[best].class].ID
}

// limitNote names the stated limit that, taken away, would leave the most classes.
func (b *Book) limitNote(s *situation) string {
	relaxed := []struct {
		word  string
		apply func(*situation)
	}{
		{"the process", func(r *situation) { r.processes = 0 }},
		{"the position", func(r *situation) { r.positions = 0 }},
		{"the current", func(r *situation) { r.acOnly, r.dcOnly = false, false }},
		{"no preheat", func(r *situation) { r.met &^= noPreheat; r.can |= preheated }},
		{"no heat treatment", func(r *situation) { r.met &^= noPWHT; r.can |= pwhtDone }},
		{"no low-hydrogen lot", func(r *situation) { r.can |= h4 }},
	}
	word, most := "", 0
	for _, r := range relaxed {
		other := *s
		r.apply(&other)
		if other.same(s) {
			continue
		}
		if n := len(b.pick(b.carrying(&other), &other)); n > most {
			word, most = r.word, n
		}
	}
	if word == "" {
		return ""
	}
	return "nothing is left within your limits: relax " + word
}

func (s *situation) same(o *situation) bool {
	return s.processes == o.processes && s.positions == o.positions && s.acOnly == o.acOnly && s.dcOnly == o.dcOnly &&
		s.met == o.met && s.can == o.can
}
