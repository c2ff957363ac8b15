package weld

import (
	"io/fs"
	"slices"

	"rodcall/engine/data"
	"rodcall/engine/metal"
)

// entry holds the rows of one (base, role, class) and what they come to when nothing is stated.
type entry struct {
	rules       []rule
	kin         bool // the rows are those of a related role or metal: sound becomes tolerant
	conditional bool // some row names a condition, so what is stated may change the outcome
	spoken      bool // the rows apply even when nothing is stated
	plain       outcome
}

// kinship says which role and family are read where a family has no good row of a role.
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

func (b *Book) cell(base int, role Role, class int) int {
	return (base*int(roleCount)+int(role))*len(b.classes) + class
}

// buildCells lays the rows out by base, role and class, with the rows of a subgroup beside those of its
// family, and weighs each place once with nothing stated.
func (b *Book) buildCells(rows []placedRule, kin map[kinship]kinship) {
	b.cells = make([]int32, len(b.bases)*int(roleCount)*len(b.classes))
	for i := range b.cells {
		b.cells[i] = -1
	}
	b.good = make([][]int32, len(b.bases)*int(roleCount))
	b.lead = make([][]int32, len(b.bases)*int(roleCount))
	order := map[kinship][]placedRule{}
	for _, r := range rows {
		b.asked |= r.names &^ ofSubgroup
		if r.b >= 0 {
			b.pairOf(r.a, r.b).add(r)
			continue
		}
		order[kinship{r.role, r.a}] = append(order[kinship{r.role, r.a}], r)
	}
	for base := range b.bases {
		for role := Role(0); role < roleCount; role++ {
			b.fillRole(base, role, order, kin)
		}
	}
}

// fillRole fills the cells of one base and role: its own rows, and those of its kin where it has no good
// row of its own.
func (b *Book) fillRole(base int, role Role, order map[kinship][]placedRule, kin map[kinship]kinship) {
	at := kinship{role, b.bases[base].Family}
	own := b.speaks(order[at], base)
	other, hasKin := kin[at]
	if hasKin && !slices.ContainsFunc(own, func(r placedRule) bool { return r.good() }) {
		for _, r := range b.speaks(order[other], base) {
			b.addRule(base, role, r, true)
		}
	}
	for _, r := range own {
		b.addRule(base, role, r, false)
	}
	if role != Join && role != Braze && role != Buffer {
		b.inheritBad(base, role, b.speaks(order[kinship{Join, at.family}], base))
	}
	b.settle(base, role)
}

// speaks are the rows that apply to a base: those of the whole family and those of its subgroup.
func (b *Book) speaks(rows []placedRule, base int) []placedRule {
	var out []placedRule
	for _, r := range rows {
		if r.subgroup == "" || r.subgroup == b.bases[base].Subgroup {
			out = append(out, r)
		}
	}
	return out
}

// inheritBad carries the bad join rows of ordinary fillers to a role on which the tables are silent: what
// cracks as a joint cracks as a repair. A hard facing that is wrong as a joint may still be right as a face.
func (b *Book) inheritBad(base int, role Role, join []placedRule) {
	empty := map[int]bool{}
	for _, r := range join {
		if _, seen := empty[r.class]; !seen {
			empty[r.class] = b.cells[b.cell(base, role, r.class)] < 0
		}
		if !r.good() && empty[r.class] && b.classes[r.class].Group != "hard" {
			b.addRule(base, role, r, false)
		}
	}
}

func (b *Book) addRule(base int, role Role, r placedRule, kin bool) {
	at := b.cell(base, role, r.class)
	if b.cells[at] < 0 {
		b.cells[at] = int32(len(b.entries))
		b.entries = append(b.entries, entry{kin: kin})
	}
	e := &b.entries[b.cells[at]]
	e.rules = append(e.rules, r.rule)
	e.conditional = e.conditional || r.names&^ofSubgroup != 0
	if r.good() {
		list(&b.good[base*int(roleCount)+int(role)], r.class)
		if !r.twin {
			list(&b.lead[base*int(roleCount)+int(role)], r.class)
		}
	}
}

func list(classes *[]int32, class int) {
	if !slices.Contains(*classes, int32(class)) {
		*classes = append(*classes, int32(class))
	}
}

// settle weighs every entry of a base and role with nothing stated.
func (b *Book) settle(base int, role Role) {
	met := b.bases[base].conditions
	for class := range b.classes {
		i := b.cells[b.cell(base, role, class)]
		if i < 0 {
			continue
		}
		e := &b.entries[i]
		e.plain, e.spoken = b.weigh(e.rules, met, supplied|choices)
		e.plain = e.asKin(e.plain)
	}
}

func (e *entry) asKin(o outcome) outcome {
	if e.kin && o.kind.suits() && o.kind != Tolerant {
		o.kind = Tolerant
		o.utility -= 1 - utilityTolerant
		o.utility = max(o.utility, utilityNotAdvised+0.01)
	}
	return o
}

// fares is how a class fares on a base in a role under a situation.
func (b *Book) fares(base int, role Role, class int, s *situation) outcome {
	shut := &b.shut[base]
	if why := shut.closes(role, b.classes[class].process, s.met&noPreheat != 0); why != 0 {
		return outcome{kind: Never, why: why}
	}
	if s.joined >= 0 && (role == Join || role == Braze || role == Buffer) {
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
		return b.silent[class*len(metal.Families)+b.bases[base].Family]
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
	o, ok := b.weigh(e.rules, s.metOn(b, base, role), s.can)
	return e.asKin(o), ok
}
