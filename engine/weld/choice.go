package weld

import (
	"slices"

	"rodcall/engine/metal"
)

// Choice is one class worth taking.
type Choice struct {
	Class    string
	Standard string
	Process  string
	Role     Role
	SuitsP   float64 // chance over the posterior that it is sound or tolerant
	Expected float64 // expected worth over the posterior with harm and handling taken off: the order of the list
	Why      string
	WrongIf  []WrongIf
	AtHand   bool
	Need     string // what must go with it on the leading metal ("with preheat, H4 lot, dry"); "" for nothing
}

// WrongIf says what a class does on a family on which it does not suit; P is the chance of that.
type WrongIf struct {
	Family string
	P      float64
	What   string
}

// What the choice takes off a class for how it is run (judgement): a truck carries stick rods first.
const (
	costWire    = 0.10 // gas-shielded or tungsten arc instead of a stick
	costRare    = 0.12 // cored wire, submerged arc
	costSpecial = 0.03 // a group of products instead of a product
	carriedStep = 0.01 // each step of how commonly a class is carried
	costHard    = 0.15 // cannot be machined though it must be
	costColour  = 0.10 // will not match in colour though it must
	machineHRC  = 35.0 // above this a deposit is ground, not machined
	bestShown   = 6    // classes named at most
	rounding    = 1e-9 // of sums of chances
	shownShare  = 0.30 // a class that suits less often than this is not named
)

// candidate is a class in a role with what it comes to over the posterior.
type candidate struct {
	class           int
	role            Role
	expected, suits float64
	barredBy        int  // family of the named share for which it is never, or -1
	safe            bool // suits every family of the named share
	atHand          bool
	top             outcome // on the likeliest base
}

// rate works out a class over the posterior.
func (b *Book) rate(class int, role Role, s *situation) candidate {
	c := candidate{class: class, role: role, safe: true, barredBy: -1, atHand: slices.Contains(s.have, class)}
	var never, unsuited [familyCount]float64
	f := b.faring(role, class, s)
	for i, m := range s.bases {
		o := f.on(m.base)
		if i == 0 {
			c.top = *o
		}
		c.expected += m.p * float64(o.utility+o.fitting-o.harm())
		family := m.family
		switch {
		case o.kind.suits():
			c.suits += m.p
		case o.kind == Never:
			never[family] += m.p
			unsuited[family] += m.p
		default:
			unsuited[family] += m.p
		}
	}
	for _, f := range s.families {
		if f.p < namedShare {
			break
		}
		if never[f.base] >= max(neverShare, neverOfFamily*f.p)-rounding && c.barredBy < 0 {
			c.barredBy = f.base
		}
		if unsuited[f.base] > 0.1*f.p {
			c.safe = false
		}
	}
	c.expected -= b.handling(class, s) + b.lossToDuty(class, role, s)
	return c
}

// fillHandling works out, at load, what each class loses for how it is run.
func (b *Book) fillHandling() {
	for class := range b.classes {
		k := &b.classes[class]
		k.handling = -carriedStep * float64(k.Carried)
		switch {
		case k.process&(smaw|brazing|oxyfuel) != 0:
		case k.process&(gmaw|gtaw) != 0:
			k.handling += costWire
		default:
			k.handling += costRare
		}
		if k.special {
			k.handling += costSpecial
		}
		if int(b.leader[class]) != class {
			k.handling += costWire / 2
		}
	}
}

// handling is what a class loses for how it is run and finished.
func (b *Book) handling(class int, s *situation) float64 {
	k := &b.classes[class]
	lost := k.handling
	if s.met&machinable != 0 && k.hardHRC >= machineHRC {
		lost += costHard
	}
	if s.met&colourMatch != 0 && len(s.bases) > 0 && !sameColour(k.Group, b.catalogue.FamilyGroup(metal.Families[s.bases[0].family])) {
		lost += costColour
	}
	return lost
}

// sameColour holds when a filler group has about the colour of a metal group (judgement).
func sameColour(filler, group string) bool {
	switch filler {
	case "copper", "braze":
		return group == "copper"
	case "nickel", "nickel-iron", "stainless":
		return group == "stainless" || group == "nickel"
	case "steel", "low-alloy", "hard", "cast-rod":
		return group != "copper" && group != "stainless"
	}
	return true
}

// candidates rates every class that some base has a good row for in a role, within the limits, best first.
// Classes that are never for a family of the named share are left out; the one of them that suits most often
// is kept in the situation, to say what stands in the way.
func (b *Book) candidates(role Role, s *situation) []candidate {
	var out []candidate
	seen := make([]bool, len(b.classes))
	all := s.limited() || s.joined >= 0 // a twin may suit the other side where its leader is not spoken of
	for i, m := range s.bases {
		if i > 0 && m.p < offerShare {
			break
		}
		for _, list := range b.offered(m.base, role, all, s) {
			for _, class := range list {
				if seen[class] {
					continue
				}
				seen[class] = true
				out = b.appendRated(out, int(class), role, s)
			}
		}
	}
	for _, class := range s.have {
		if !seen[class] {
			seen[class] = true
			out = b.appendRated(out, class, role, s)
		}
	}
	slices.SortStableFunc(out, byWorth)
	return out
}

func (b *Book) appendRated(out []candidate, class int, role Role, s *situation) []candidate {
	if !s.usable(&b.classes[class]) {
		return out
	}
	c := b.rate(class, role, s)
	switch {
	case c.suits == 0:
	case c.barredBy < 0:
		out = append(out, c)
	case s.barred.suits < c.suits:
		s.barred = c
	}
	return out
}

// offered are the lists of classes that have a good row for a base in a role; twins only when limits may
// ask for them.
func (b *Book) offered(base int, role Role, all bool, s *situation) [3][]int32 {
	if s.onPair(role) && s.joined != b.bases[base].Family {
		family := b.bases[base].Family
		if p, ok := b.pairs[[2]int{min(family, s.joined), max(family, s.joined)}]; ok {
			if all {
				return [3][]int32{p.good[role]}
			}
			return [3][]int32{p.lead[role]}
		}
	}
	from := b.lead
	if all {
		from = b.good
	}
	lists := [3][]int32{from[b.blocks[base*int(roleCount)+int(role)]]}
	if s.onPair(role) {
		lists[1] = from[b.blocks[s.joined*int(roleCount)+int(role)]]
		if role == Join && s.joined != b.bases[base].Family {
			lists[2] = b.joints.bridging
		}
	}
	return lists
}

// byWorth puts rods at hand that mostly suit first, then the higher expected worth.
func byWorth(x, y candidate) int {
	xs, ys := x.atHand && x.suits >= 0.5, y.atHand && y.suits >= 0.5
	switch {
	case xs != ys && xs:
		return -1
	case xs != ys:
		return 1
	case x.expected > y.expected:
		return -1
	case x.expected < y.expected:
		return 1
	}
	return x.class - y.class
}

// carrying rates the classes of the roles that carry the job, best first.
func (b *Book) carrying(s *situation) []candidate {
	var out []candidate
	for _, r := range s.roles {
		if r.order == 1 {
			out = append(out, b.candidates(r.role, s)...)
		}
	}
	slices.SortStableFunc(out, byWorth)
	return b.oneADeposit(out)
}

// oneADeposit keeps the best of each class and its twins, and one role a class.
func (b *Book) oneADeposit(in []candidate) []candidate {
	taken := make([]bool, len(b.classes))
	out := in[:0]
	for _, c := range in {
		if lead := b.leader[c.class]; !taken[lead] {
			taken[lead] = true
			out = append(out, c)
		}
	}
	return out
}

// pick takes from the carrying candidates what is named: those that suit often enough, so many a role.
func (b *Book) pick(in []candidate, s *situation) []candidate {
	if len(in) == 0 {
		return nil
	}
	most := 0.0
	for _, c := range in {
		most = max(most, c.suits)
	}
	var shown [roleCount]int
	for _, r := range s.roles {
		shown[r.role] = r.shown
	}
	var out []candidate
	for _, c := range in {
		if c.suits < shownShare || c.suits < most/2 || shown[c.role] == 0 || len(out) >= bestShown-1 {
			continue
		}
		shown[c.role]--
		out = append(out, c)
	}
	return out
}

// withHelpers adds the classes of the helping roles: a butter directly behind the class that it lies
// under, a build-up under a facing only where the loss is deeper than a facing may be thick.
func (b *Book) withHelpers(picked []candidate, s *situation) []candidate {
	if len(picked) == 0 {
		return picked
	}
	surfacing := s.job == "hardface" || s.job == "overlay" || s.job == "build-up"
	needed := picked[0].top.need&buttered != 0
	for _, r := range s.roles {
		if r.role == Buffer && needed { // what the first class cannot do without comes before a further choice
			picked = picked[:min(len(picked), bestShown-1)]
		}
		if r.order == 1 || len(picked) >= bestShown {
			continue
		}
		if r.role == BuildUp && !s.deep {
			continue
		}
		if r.role == Buffer && !needed && (!surfacing || b.borrows(Buffer, s)) {
			continue
		}
		at := len(picked)
		if r.role == Buffer && (needed || b.hardensUnder(s)) {
			at = 1
		}
		picked = b.insertHelpers(picked, r, at, s)
	}
	return picked
}

// borrows holds when the rows of a role on the likeliest metal are those of another: what nobody wrote for
// this metal is named only where it is needed.
func (b *Book) borrows(role Role, s *situation) bool {
	_, ok := b.kin[kinship{role, b.bases[s.bases[0].base].Family}]
	return ok
}

// hardensUnder holds when the likeliest metal hardens beside a bead, so that a butter is usual practice.
func (b *Book) hardensUnder(s *situation) bool {
	g := &b.heatGroups[b.heatOf[s.bases[0].base]]
	return g.methods[0].acceptMin >= delayMinC
}

func (b *Book) insertHelpers(picked []candidate, r jobRole, at int, s *situation) []candidate {
	left := min(r.shown, bestShown-len(picked))
	for _, c := range b.oneADeposit(b.candidates(r.role, s)) {
		if left == 0 {
			break
		}
		if c.suits < 0.5 || slices.ContainsFunc(picked, func(p candidate) bool { return p.class == c.class }) {
			continue
		}
		picked = slices.Insert(picked, at, c)
		at++
		left--
	}
	return picked
}

// choice puts a candidate into words.
func (b *Book) choice(c candidate, s *situation) Choice {
	k := &b.classes[c.class]
	out := Choice{Class: k.ID, Standard: k.Standard, Process: s.processOf(k), Role: c.role, SuitsP: c.suits,
		Expected: min(1, max(0, c.expected)), AtHand: c.atHand, Why: b.texts[c.top.why], WrongIf: b.wrongIf(c, s)}
	if !c.top.kind.suits() {
		out.Why = b.whyElsewhere(c, s)
	} else if out.Need = supplyText(c.top.need); out.Need != "" {
		out.Why = join(out.Why, out.Need)
	}
	return out
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + "; " + b
}

// whyElsewhere is the reason on the likeliest metal that the class does suit, naming it.
func (b *Book) whyElsewhere(c candidate, s *situation) string {
	f := b.faring(c.role, c.class, s)
	for _, m := range s.bases {
		if o := f.on(m.base); o.kind.suits() {
			return join(b.texts[o.why], "if it is "+b.names[m.family].short)
		}
	}
	return ""
}

// wrongIf lists the families of the named share on which the class does not suit, most likely first.
func (b *Book) wrongIf(c candidate, s *situation) []WrongIf {
	var out []WrongIf
	fares := b.faring(c.role, c.class, s)
	for _, f := range s.families {
		if f.p < namedShare {
			break
		}
		p, worst := 0.0, outcome{kind: Sound}
		for _, m := range s.bases {
			if m.family != f.base {
				continue
			}
			if o := fares.on(m.base); !o.kind.suits() {
				p += m.p
				if o.kind < worst.kind {
					worst = *o
				}
			}
		}
		if p >= namedShare {
			out = append(out, WrongIf{metal.Families[f.base], p, b.what(worst)})
		}
	}
	return out
}

// what says what a bad outcome does, in a few words.
func (b *Book) what(o outcome) string {
	if o.consequence != 0 {
		return b.phraseOf(o.consequence)
	}
	return b.texts[o.why]
}
