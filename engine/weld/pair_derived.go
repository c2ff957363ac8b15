package weld

import (
	"io/fs"
	"slices"
	"strings"

	"rodcall/engine/data"
	"rodcall/engine/formula"
	"rodcall/engine/metal"
)

// A joint of two metals that the matching tables do not hold is worked out: metals that melt into brittle
// compounds are not welded to each other at all; else the deposit between them is mixed, and looked up in the
// Schaeffler diagram when the filler is stainless, or held against what a nickel deposit may take up.

// fillerKind is what a filler is, as far as the deposit of a joint goes.
type fillerKind uint8

const (
	otherFiller fillerKind = iota
	stainlessFiller
	nickelFiller
	nickelCopperFiller
	nickelChromiumFiller
)

var fillerKindWords = []string{"", "", "nickel", "nickel-copper", "nickel-chromium"}

// uptake is how much of an element a nickel deposit may take up, wt%.
type uptake struct {
	iron, chromium, copper float64
}

// joints is what the tables of joints say.
type joints struct {
	apart    []apart          // by familyCount·one + other, both ways; of no consequence where they may be welded
	uptakes  [5]uptake        // by fillerKind; 0 means no limit
	fillers  []formula.Values // by class; of the undiluted deposit, the balance filled in
	kinds    []fillerKind     // by class
	bridging []int32          // classes that may join what no table pairs: their deposit is worked out
	reasons  [reasonCount]int32
	sides    [familyCount]side
	typical  []formula.Values // by base: the middle of its usual grade, the balance filled in
	iron     []float64        // by base: its iron, wt%
}

// apart is why two families are not welded to each other.
type apart struct {
	set          uint16 // consequences
	why, instead int32
}

var (
	incompatibleSchema = data.Schema{File: "joint_incompatible.csv", Columns: []data.Column{
		{Name: "one", Kind: data.Words, Required: true, Of: metal.Families}, {Name: "other", Kind: data.Words, Required: true, Of: metal.Families},
		{Name: "consequence", Kind: data.Words, Required: true, Of: consequenceWords}, {Name: "why", Required: true},
		{Name: "instead", Required: true, Doc: "what is done instead of a weld"},
		{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
	}}
	uptakeSchema = data.Schema{File: "dilution_limits.csv", Key: []string{"filler", "element"}, Columns: []data.Column{
		{Name: "filler", Kind: data.Word, Required: true, Of: fillerKindWords[nickelFiller:]},
		{Name: "element", Kind: data.Word, Required: true, Of: []string{"Fe", "Cr", "Cu"}},
		{Name: "max_wtpct", Kind: data.Number, Required: true, Min: 1, Max: 100},
		{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
	}}
)

// loadJoints reads the tables of joints, and works out what fillers and metals are made of.
func (b *Book) loadJoints(files fs.FS, faults *data.Faults) {
	b.joints.apart = make([]apart, familyCount*familyCount)
	for _, row := range data.Read(files, incompatibleSchema, faults).Rows {
		a := apart{b.consequences(row.List("consequence")), b.text(row.Text("why")), b.text(row.Text("instead"))}
		for _, x := range row.List("one") {
			for _, y := range row.List("other") {
				i, k := metal.FamilyIndex(x), metal.FamilyIndex(y)
				if i == k {
					row.Fault("other", "%s stands on both sides", x)
					continue
				}
				if at := &b.joints.apart[i*familyCount+k]; at.set == 0 {
					*at, b.joints.apart[k*familyCount+i] = a, a
				}
			}
		}
	}
	for _, row := range data.Read(files, uptakeSchema, faults).Rows {
		u := &b.joints.uptakes[slices.Index(fillerKindWords, row.Text("filler"))]
		switch v := row.Value("max_wtpct", 0); row.Text("element") {
		case "Fe":
			u.iron = v
		case "Cr":
			u.chromium = v
		case "Cu":
			u.copper = v
		}
	}
	b.fillComposition()
	for i, id := range metal.Families {
		b.joints.sides[i] = sideOfGroup[b.catalogue.FamilyGroup(id)]
	}
	for reason, text := range reasonTexts {
		b.joints.reasons[reason] = b.text(text)
	}
}

// reason is why a derived joint holds or not.
type reason uint8

const (
	muchIron reason = iota
	muchChromium
	muchCopper
	takesBoth
	copperInSteel
	martensitic
	maybeMartensitic
	noFerrite
	edgeOfMartensite
	someFerrite
	wantsPreheat
	strangersMeet
	reasonCount
)

// reasonTexts are kept at load like the texts of the tables.
var reasonTexts = [reasonCount]string{
	muchIron: "nickel deposit with too much iron", muchChromium: "nickel deposit with too much chromium",
	muchCopper: "nickel deposit with too much copper", takesBoth: "nickel deposit takes up both sides",
	copperInSteel: "stainless deposit with copper cracks hot", martensitic: "the mixed deposit comes out martensitic",
	maybeMartensitic: "the mixed deposit may come out martensitic", noFerrite: "the mixed deposit holds no ferrite",
	edgeOfMartensite: "the mixed deposit lies at the edge of martensite", someFerrite: "the mixed deposit is austenite with ferrite",
	wantsPreheat: "the side that hardens wants its preheat", strangersMeet: "a filler of one side that the other takes",
}

// fillComposition works out the deposits of the fillers and the usual analysis of each base.
func (b *Book) fillComposition() {
	j := &b.joints
	j.fillers, j.kinds = make([]formula.Values, len(b.classes)), make([]fillerKind, len(b.classes))
	for i := range b.classes {
		c := &b.classes[i]
		x, kind := mixedDeposit(c)
		if c.Group == "stainless" || c.Group == "nickel" || c.Group == "hard" && !c.special && austenitic(x) {
			j.fillers[i], j.kinds[i] = x, kind
		}
	}
	j.typical, j.iron = make([]formula.Values, len(b.bases)), make([]float64, len(b.bases))
	usual := slices.Repeat([]int{-1}, len(b.bases))
	better := func(base, grade int) bool {
		return usual[base] < 0 || b.catalogue.Grades[grade].MetWeight > b.catalogue.Grades[usual[base]].MetWeight
	}
	for g := range b.catalogue.Grades {
		base := int(b.baseOf[g])
		for _, at := range []int{base, b.bases[base].Family} { // the family itself is met as its usual grade
			if better(at, g) {
				usual[at] = g
			}
		}
	}
	for base, g := range usual {
		if g < 0 {
			continue
		}
		grade := &b.catalogue.Grades[g]
		j.typical[base], _ = middleOf(grade)
		if key, ok := formula.ElementKey(grade.Balance); ok {
			j.typical[base][key] = rest(j.typical[base], key)
		} else if grade.Balance == "Fe" {
			j.iron[base] = rest(j.typical[base], -1)
		}
	}
}

// fillBridging takes as fillers for unknown joints those that some published pair recommends and whose deposit can
// be worked out.
func (b *Book) fillBridging() {
	b.joints.bridging = nil
	for class, kind := range b.joints.kinds {
		if kind == otherFiller {
			continue
		}
		for _, p := range b.pairs {
			if slices.Contains(p.lead[Join], int32(class)) {
				b.joints.bridging = append(b.joints.bridging, int32(class))
				break
			}
		}
	}
}

// rest is what an element makes up beside the others, wt%.
func rest(x formula.Values, key formula.Key) float64 {
	sum := 0.0
	for k := range formula.Elements {
		if formula.Key(k) != key {
			sum += x[k]
		}
	}
	return max(0, 100-sum)
}

// austenitic holds for a deposit with the chromium of a stainless steel (10.5 %, EN 10088-1), austenite formers enough
// to stay austenite, and no more carbon than stays dissolved (judgement): the diagram then reads a hard face too.
func austenitic(x formula.Values) bool {
	return x[formula.Cr] >= 10.5 && x[formula.Ni]+x[formula.Mn] >= 10 && x[formula.C] <= 0.8
}

// mixedDeposit is the usual deposit of a stainless or nickel class, wt%, its nickel filled up where that is the rest.
// A class that does not state its chromium or nickel is an other filler.
func mixedDeposit(c *Class) (x formula.Values, kind fillerKind) {
	x, _ = readDeposit(c.Deposit)
	if c.Group == "nickel" && strings.Contains(c.Deposit, "rem Cu") {
		kind = nickelCopperFiller
	}
	const someChromium = 5
	switch {
	case c.Group != "nickel" && x[formula.Cr] > 0:
		return x, stainlessFiller
	case c.Group != "nickel":
		return x, otherFiller
	case kind == nickelCopperFiller:
		x[formula.Cu] = rest(x, formula.Cu)
		return x, kind
	}
	x[formula.Ni] = rest(x, formula.Ni)
	if x[formula.Cr] > someChromium {
		return x, nickelChromiumFiller
	}
	return x, nickelFiller
}

// sideShare is the share of each side in the deposit of a joint run with stick (dilution.csv, SMAW join: 30 % of both).
const sideShare = 0.15

// manganeseHolds is the manganese of a deposit from which it does not crack hot though it holds no ferrite, wt%
// (common practice for 307 and 18 8 Mn).
const manganeseHolds = 2.5

// depositBetween is what becomes of a filler between two bases, as a set of consequences: 0 is sound. ok is
// false where neither diagram nor limits speak.
func (b *Book) depositBetween(base, other, class int) (set uint16, why reason, ok bool) {
	j := &b.joints
	kind := j.kinds[class]
	if kind == otherFiller {
		return 0, 0, false
	}
	x := formula.DiluteJoint(j.typical[base], j.typical[other], j.fillers[class], sideShare, sideShare)
	if kind == stainlessFiller {
		return b.stainlessDeposit(x)
	}
	u := j.uptakes[kind]
	iron := sideShare * (j.iron[base] + j.iron[other])
	switch {
	case u.iron > 0 && iron > u.iron:
		return hotCrackBit, muchIron, true
	case u.chromium > 0 && x[formula.Cr] > u.chromium:
		return hotCrackBit, muchChromium, true
	case u.copper > 0 && x[formula.Cu] > u.copper:
		return hotCrackBit, muchCopper, true
	}
	return 0, takesBoth, true
}

var (
	hotCrackBit  = uint16(1) << slices.Index(consequenceWords, "hot-cracks")
	brittleBit   = uint16(1) << slices.Index(consequenceWords, "brittle-zone")
	needlessBit  = uint16(1) << slices.Index(consequenceWords, "needless-cost")
	corrosionBit = uint16(1) << slices.Index(consequenceWords, "corrosion")
	hydrogenBit  = uint16(1) << slices.Index(consequenceWords, "hydrogen-cracks")
)

// stainlessDeposit judges a mixed deposit by the Schaeffler diagram. Far outside it nothing is said.
func (b *Book) stainlessDeposit(x formula.Values) (set uint16, why reason, ok bool) {
	q := formula.EquivalentsOf(x)
	p := b.formulas.Constitution(q.SchaefflerCr, q.SchaefflerNi)
	if copper := x[formula.Cu]; copper > 5 {
		return hotCrackBit, copperInSteel, true // copper in austenite (common practice: under 5 %)
	}
	switch {
	case p.Martensite == formula.Present:
		return brittleBit, martensitic, true
	case p.Ferrite == formula.Absent && x[formula.Mn] < manganeseHolds:
		return hotCrackBit, noFerrite, true
	case p.Martensite == formula.Doubtful && p.Ferrite != formula.Present && x[formula.Mn] < manganeseHolds:
		return brittleBit, maybeMartensitic, true
	case p.Martensite == formula.Doubtful: // the lines are known to 1.5: what the trade lays there holds
		return 0, edgeOfMartensite, true
	}
	return 0, someFerrite, true
}

// derivedAsTolerant is what a filler is worth that only the diagram vouches for, on a side where the tables are silent.
const derivedAsTolerant = utilityTolerant - 0.06

// derived is how a class fares on a pair that the matching tables do not hold.
func (b *Book) derived(base, other int, role Role, class int, s *situation) outcome {
	if a := &b.joints.apart[b.bases[base].Family*familyCount+other]; a.set != 0 && role != Braze {
		return outcome{kind: Never, consequence: a.set, why: a.why}
	}
	x, y := b.faresAlone(base, role, class, s), b.faresAlone(other, role, class, s)
	if role != Join || x.kind == Never || y.kind == Never {
		return b.worse(x, y)
	}
	xs, ys := b.inJoint(x, base, other, class), b.inJoint(y, other, base, class)
	if xs.kind <= Poor || ys.kind <= Poor {
		return b.worse(x, y)
	}
	set, why, spoken := b.depositBetween(base, other, class)
	switch {
	case set != 0:
		return b.badOutcome(false, set, b.joints.reasons[why])
	case !spoken && (xs.kind == NotAdvised || ys.kind == NotAdvised):
		return b.worse(x, y)
	case !spoken:
		why = strangersMeet
	}
	need := xs.need | ys.need
	if b.hardensBare(base) || b.hardensBare(other) {
		need |= preheated
	}
	if !need.within(s.met | s.can) {
		return b.badOutcome(false, hydrogenBit, b.joints.reasons[wantsPreheat])
	}
	o := outcome{kind: Tolerant, rank: 2, why: b.joints.reasons[why], need: need &^ s.met, utility: derivedAsTolerant}
	if x.kind.suits() && y.kind.suits() {
		o.utility = max(derivedAsTolerant, b.worse(x, y).utility)
	}
	return o
}

// inJoint is how a class fares on one side of a joint: what is only needless or strange on a metal alone is no fault
// where the other side asks for it.
func (b *Book) inJoint(o outcome, base, other, class int) outcome {
	if o.kind.suits() || o.kind == Never {
		return o
	}
	side, across := b.joints.sides[b.bases[base].Family], b.joints.sides[b.bases[other].Family]
	k := &b.classes[class]
	taken := outcome{kind: Tolerant, utility: derivedAsTolerant, why: o.why}
	switch {
	case o.consequence&needlessBit != 0 && o.consequence&^(needlessBit|corrosionBit) == 0: // the other side is nobler anyway
		return taken
	case k.Group == "nickel-iron" && across == ironSide && side != copperSide && side != otherSide:
		return taken
	case copperFiller(k) && across == copperSide && side == steelSide:
		taken.need = lowDilution
		return taken
	case copperFiller(k) && across == copperSide && side == nobleSide:
		taken.need = buttered
		return taken
	case o.kind == NotAdvised && !k.wet && (k.Group == "steel" || k.Group == "low-alloy") && side == steelSide && across == steelSide:
		return taken
	}
	return o
}

// side is what a piece is to a joint.
type side uint8

const (
	otherSide side = iota
	steelSide
	hardSide // tool and manganese steel
	ironSide
	nobleSide // stainless and nickel
	copperSide
)

var sideOfGroup = map[string]side{"carbon-steel": steelSide, "alloy-steel": steelSide, "wrought-iron": steelSide, "tool-steel": hardSide,
	"manganese-steel": hardSide, "cast-iron": ironSide, "stainless": nobleSide, "nickel": nobleSide, "copper": copperSide}

// copperFiller holds for a filler of copper, whatever the tables list it under.
func copperFiller(k *Class) bool {
	return k.Group == "copper" || k.Group == "hard" && strings.Contains(k.Deposit, "rem Cu")
}

// hardensBare holds for a metal that hardens beside a bead laid without preheat.
func (b *Book) hardensBare(base int) bool {
	return b.heatGroups[b.heatOf[base]].methods[0].acceptMin >= delayMinC
}

// insteadOfWeld is what is done where two pieces cannot be welded to each other; "" when they can.
func (b *Book) insteadOfWeld(s *situation) string {
	if s.joined < 0 || s.families[0].p < 0.5 {
		return ""
	}
	family := s.families[0].base
	at := [2]int{min(family, s.joined), max(family, s.joined)}
	if a := &b.joints.apart[family*familyCount+s.joined]; a.set != 0 {
		return b.texts[a.instead] + ": " + b.texts[a.why]
	}
	p, ok := b.pairs[at]
	if !ok || p.shut.fusion == 0 {
		return ""
	}
	for _, act := range p.actions {
		if act.verdict == "recommended" {
			return act.why
		}
	}
	return ""
}

// noJoint is what is said where no filler takes both pieces: what the shut side wants, else another way to join.
func (b *Book) noJoint(s *situation) string {
	for _, base := range []int{s.joined, s.families[0].base} {
		if why := b.shut[base].fusion; why != 0 {
			return b.names[base].full + ": " + b.texts[why]
		}
	}
	return "no filler takes both sides: bolt it, or braze it where the load allows"
}
