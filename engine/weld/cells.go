package weld

import (
	"cmp"
	"io/fs"
	"slices"

	"rodcall/engine/data"
	"rodcall/engine/metal"
)

// entry holds the rows of one (base, role, class) and what they come to when nothing is stated.
type entry struct {
	rules       []rule
	kin         []rule // rows of a related role or metal, read where none of its own applies
	conditional bool   // some row names a condition, so what is stated may change the outcome
	spoken      bool   // the rows apply even when nothing is stated
	plain       outcome
}

// kinship says which role and family are read where a family has no good row of a role, or none of a class.
type kinship struct {
	role   Role
	family int
}

var kinSchema = data.Schema{File: "role_kin.csv", Key: []string{"role", "family"}, Columns: []data.Column{
	{Name: "role", Kind: data.Word, Required: true, Of: roleWords},
	{Name: "family", Kind: data.Word, Required: true, Of: metal.Families},
	{Name: "as_role", Kind: data.Word, Required: true, Of: roleWords, Doc: "role that is read instead"},
	{Name: "as_family", Kind: data.Word, Required: true, Of: metal.Families, Doc: "family that is read instead"},
	{Name: "why", Required: true},
	{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
}}

func (b *Book) readKin(files fs.FS, faults *data.Faults) map[kinship]kinship {
	kin := map[kinship]kinship{}
	for _, row := range data.Read(files, kinSchema, faults).Rows {
		from := kinship{roleOf(row.Text("role")), metal.FamilyIndex(row.Text("family"))}
		to := kinship{roleOf(row.Text("as_role")), metal.FamilyIndex(row.Text("as_family"))}
		if from == to {
			row.Fault("as_role", "is the place itself")
			continue
		}
		kin[from] = to
	}
	return kin
}

// cell is the place of a class in the cells of a base and role.
func (b *Book) cell(base int, role Role, class int) int {
	return int(b.blocks[base*int(roleCount)+int(role)])*len(b.classes) + class
}

// conditionalBit marks a cell whose outcome what is stated may change. The results are there twice, once with
// the bit in their index.
const conditionalBit = 1 << 11

// layer lays the rows out by base, role and class while the book is built.
type layer struct {
	*Book
	rows map[kinship][]placedRule // by role and family, table order
	kin  map[kinship]kinship

	blank []int32 // a block in which nothing is laid
}

// buildCells lays the rows out, with the rows of a subgroup beside those of its family, and weighs each
// place once with nothing stated.
func (b *Book) buildCells(rows []placedRule, kin map[kinship]kinship) {
	l := &layer{Book: b, rows: map[kinship][]placedRule{}, kin: kin, blank: slices.Repeat([]int32{-1}, len(b.classes))}
	for _, r := range rows {
		b.asked |= r.names &^ ofSubgroup
		if r.b >= 0 {
			b.pairOf(r.a, r.b).add(r, b.stickOfWire(r.class))
			continue
		}
		at := kinship{r.role, r.a}
		l.rows[at] = append(l.rows[at], r)
	}
	most := len(b.bases) * int(roleCount) * len(b.classes)
	b.cells, b.final = make([]int32, 0, most), make([]uint16, most)
	b.entries = make([]entry, 0, 4*len(rows))
	for base := range b.bases {
		for role := Role(0); role < roleCount; role++ {
			l.layRole(base, role)
		}
	}
	if len(b.results) > conditionalBit {
		panic("weld: more outcomes than an index of final can tell apart")
	}
	twice := make([]outcome, conditionalBit+len(b.results))
	copy(twice, b.results)
	copy(twice[conditionalBit:], b.results)
	b.results = twice
}

// fareOf is the place of a class in the settled outcomes of a role: one outcome a base follows.
func (b *Book) fareOf(role Role, class int) int {
	return (int(role)*len(b.classes) + class) * len(b.bases)
}

// layRole gives a base and role the block of its family where no row tells them apart, else one of its own.
func (l *layer) layRole(base int, role Role) {
	of := l.bases[base]
	if base != of.Family && of.conditions == 0 && l.shut[base] == l.shut[of.Family] && !l.namesSubgroup(base, role) {
		l.blocks = append(l.blocks, l.blocks[of.Family*int(roleCount)+int(role)])
		for class := range l.classes {
			row := l.final[l.fareOf(role, class):]
			row[base] = row[of.Family]
		}
		return
	}
	block := len(l.good)
	l.blocks = append(l.blocks, int32(block))
	l.good, l.lead = append(l.good, nil), append(l.lead, nil)
	l.cells = append(l.cells, l.blank...)
	l.fillRole(base, role)
	l.settle(base, role)
}

// namesSubgroup holds when a row that the role reads names the subgroup of the base.
func (l *layer) namesSubgroup(base int, role Role) bool {
	subgroup := l.bases[base].Subgroup
	if subgroup == "" {
		return false
	}
	at := kinship{role, l.bases[base].Family}
	for _, read := range []kinship{at, l.kin[at], {Join, at.family}} {
		if slices.ContainsFunc(l.rows[read], func(r placedRule) bool { return r.subgroup == subgroup }) {
			return true
		}
	}
	return false
}

// fillRole fills the cells of one base and role: its own rows, behind them those of its kin, and what is
// bad as a joint.
func (l *layer) fillRole(base int, role Role) {
	at := kinship{role, l.bases[base].Family}
	for _, r := range l.speaks(l.rows[at], base) {
		e := l.entryAt(base, role, r)
		e.rules = append(e.rules, r.rule)
	}
	if other, ok := l.kin[at]; ok {
		for _, r := range l.speaks(l.rows[other], base) {
			e := l.entryAt(base, role, r)
			e.kin = append(e.kin, r.rule)
		}
	}
	if role != Join && role != Braze && role != Buffer {
		l.inheritBad(base, role)
	}
}

// speaks are the rows that apply to a base: those of the whole family and those of its subgroup.
func (l *layer) speaks(rows []placedRule, base int) []*placedRule {
	out := make([]*placedRule, 0, len(rows))
	for i := range rows {
		if r := &rows[i]; r.subgroup == "" || r.subgroup == l.bases[base].Subgroup {
			out = append(out, r)
		}
	}
	return out
}

// inheritBad carries the bad join rows of ordinary fillers to a role on which the tables are silent: what
// cracks as a joint cracks as a repair. A hard facing that is wrong as a joint may still be right as a face.
// Join is laid before the other roles; an entry of bad rows alone is shared with it.
func (l *layer) inheritBad(base int, role Role) {
	for class := range l.classes {
		at, joint := l.cell(base, role, class), l.cells[l.cell(base, Join, class)]
		if l.cells[at] >= 0 || joint < 0 || l.classes[class].Group == "hard" {
			continue
		}
		rules := l.entries[joint].rules
		bad := slices.DeleteFunc(slices.Clone(rules), rule.good)
		switch len(bad) {
		case 0:
		case len(rules):
			l.cells[at] = joint
		default:
			l.cells[at] = int32(len(l.entries))
			l.entries = append(l.entries, entry{rules: bad, conditional: l.entries[joint].conditional})
		}
	}
}

// entryAt is the entry of a row's class, made when it is first spoken of; good rows put the class on offer.
func (l *layer) entryAt(base int, role Role, r *placedRule) *entry {
	at := l.cell(base, role, r.class)
	if l.cells[at] < 0 {
		l.cells[at] = int32(len(l.entries))
		l.entries = append(l.entries, entry{})
	}
	e := &l.entries[l.cells[at]]
	e.conditional = e.conditional || r.names&^ofSubgroup != 0
	if r.good() {
		block := l.blocks[base*int(roleCount)+int(role)]
		list(&l.good[block], r.class)
		if !r.twin || l.stickOfWire(r.class) {
			list(&l.lead[block], r.class)
		}
	}
	return e
}

// stickOfWire holds for a twin that is a stick where the class that it repeats is a wire: a truck reaches for it
// first, so that it is offered though nobody asks for it.
func (b *Book) stickOfWire(class int) bool {
	return b.classes[class].process&smaw != 0 && b.classes[b.leader[class]].process&smaw == 0
}

func list(classes *[]int32, class int) {
	if !slices.Contains(*classes, int32(class)) {
		*classes = append(*classes, int32(class))
	}
}

// settle weighs every class of a base and role with nothing stated.
func (l *layer) settle(base int, role Role) {
	unsaid := &situation{can: supplied | choices, plain: true, joined: -1}
	unsaid.met = l.bases[base].conditions
	open := l.shut[base] == shutting{}
	for class := range l.classes {
		place := &l.final[l.fareOf(role, class)+base]
		i := l.cells[l.cell(base, role, class)]
		if i < 0 && open { // nearly all of them
			*place = l.silent[class*len(metal.Families)+l.bases[base].Family]
			continue
		}
		bit := uint16(0)
		if i >= 0 {
			e := &l.entries[i]
			e.plain, e.spoken = l.read(e, unsaid.met, unsaid.can)
			if e.conditional {
				bit = conditionalBit
			}
		}
		*place = l.settled(l.faresSlowly(base, role, class, unsaid), base, class) | bit
	}
	l.sortLead(base, role)
}

// sortLead puts the classes of a base and role in the order of their worth with nothing stated, those that
// do not suit last.
func (l *layer) sortLead(base int, role Role) {
	worth := func(class int32) float64 {
		o := &l.results[l.final[l.fareOf(role, int(class))+base]&^conditionalBit]
		if !o.kind.suits() {
			return -1
		}
		return float64(o.utility) - l.classes[class].handling
	}
	slices.SortStableFunc(l.lead[l.blocks[base*int(roleCount)+int(role)]], func(x, y int32) int { return cmp.Compare(worth(y), worth(x)) })
}

// settled is the place of an outcome among the results.
func (l *layer) settled(o outcome, base, class int) uint16 {
	if at := l.silent[class*len(metal.Families)+l.bases[base].Family]; l.results[at] == o {
		return at
	}
	return l.result(o)
}

// read weighs the entry's own rows, and where none applies those of its kin, of which the best is tolerant.
func (b *Book) read(e *entry, met, can condition) (outcome, bool) {
	o, ok := b.weigh(e.rules, met, can)
	if ok || len(e.kin) == 0 {
		return o, ok
	}
	o, ok = b.weigh(e.kin, met, can)
	if o.kind.suits() {
		o.kind = Tolerant
		o.utility = max(o.utility-(1-utilityTolerant), utilityNotAdvised+0.01)
	}
	return o, ok
}

// fares is how a class fares on a base in a role under a situation.
func (b *Book) fares(base int, role Role, class int, s *situation) outcome {
	if at := b.final[b.fareOf(role, class)+base]; at < s.sure(role) {
		return b.results[at]
	}
	return b.faresSlowly(base, role, class, s)
}

// sure is the bound below which the index of a settled outcome holds under the situation.
func (s *situation) sure(role Role) uint16 {
	switch {
	case s.onPair(role) || s.met&noPreheat != 0:
		return 0
	case s.plain:
		return 2 * conditionalBit
	}
	return conditionalBit
}

// faring is how one class fares in a role under a situation, base by base.
type faring struct {
	settled []uint16 // by base; see Book.final
	results []outcome
	sure    uint16 // an index of results below this holds

	book    *Book
	s       *situation
	class   int
	role    Role
	decided outcome
}

func (b *Book) faring(role Role, class int, s *situation) faring {
	from := b.fareOf(role, class)
	return faring{settled: b.final[from : from+len(b.bases)], results: b.results, sure: s.sure(role), book: b, s: s, class: class, role: role}
}

// on is how the class fares on a base; it is good until on is asked again.
func (f *faring) on(base int) *outcome {
	if at := f.settled[base]; at < f.sure {
		return &f.results[at]
	}
	return f.decide(base)
}

// decide is kept out of on, so that on itself can stand in the loops that ask it.
//
//go:noinline
func (f *faring) decide(base int) *outcome {
	f.decided = f.book.faresSlowly(base, f.role, f.class, f.s)
	return &f.decided
}

// faresSlowly weighs the rows under the situation.
func (b *Book) faresSlowly(base int, role Role, class int, s *situation) outcome {
	shut := &b.shut[base]
	if why := shut.closes(role, b.classes[class].process, s.met&noPreheat != 0); why != 0 {
		return outcome{kind: Never, why: why}
	}
	if s.onPair(role) {
		return b.faresOnPair(base, role, class, s)
	}
	return b.faresAlone(base, role, class, s)
}

func (b *Book) faresAlone(base int, role Role, class int, s *situation) outcome {
	shut := &b.shut[base]
	o, spoken := b.rowsSay(base, role, class, s)
	switch {
	case spoken && o.kind.suits() && role == Join && shut.structural != 0 && o.need&onBacking == 0:
		return outcome{kind: Never, why: shut.structural}
	case !spoken && role == Join && shut.structural != 0:
		return outcome{kind: Never, why: shut.structural}
	case !spoken && shut.own != 0:
		return outcome{kind: Never, consequence: 1 << 11, why: shut.own}
	case !spoken:
		return b.silence(base, class)
	case shut.own != 0 && !o.kind.suits():
		o.kind, o.utility = Never, 0
	case shut.fusionPoor != 0 && role != Braze && o.kind.suits():
		return outcome{kind: Poor, why: shut.fusionPoor, utility: utilityShut, consequence: 1 << 7}
	}
	return o
}

func (b *Book) rowsSay(base int, role Role, class int, s *situation) (outcome, bool) {
	i := b.cells[b.cell(base, role, class)]
	if i < 0 {
		return outcome{}, false
	}
	e := &b.entries[i]
	if !e.conditional || s.plain {
		return e.plain, e.spoken
	}
	return b.read(e, s.metOn(b, base, role), s.can)
}
