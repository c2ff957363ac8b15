package weld

import (
	"io/fs"
	"slices"

	"rodcall/engine/data"
	"rodcall/engine/metal"
)

// Role is the part that a consumable plays in a repair.
type Role uint8

const (
	Join Role = iota
	Buffer
	BuildUp
	Hardface
	Overlay
	SurfacingRepair
	Braze
	roleCount
)

var roleWords = []string{"join", "buffer", "build-up", "hardface", "overlay", "surfacing-repair", "braze"}

// String is the role as the contract writes it.
func (r Role) String() string { return roleWords[r] }

func roleOf(word string) Role { return Role(slices.Index(roleWords, word)) }

var verdictWords = []string{"never", "avoid", "recommended", "tolerant-if-uncertain"}

// unknownBases are keys of the matching tables for people; the choice works on what the metal can be and
// never looks them up.
var unknownBases = []string{"unknown-ferrous", "unknown-iron-casting", "unknown-nonferrous"}

var rowSchema = data.Schema{File: "matching_rows.csv", Columns: []data.Column{
	{Name: "base_a", Required: true, Doc: "family id, or unknown-..."},
	{Name: "base_b", Doc: "family id of the other side of a joint; empty for one metal"},
	{Name: "subgroup", Doc: "subgroup of base_a or base_b; empty = the whole family"},
	{Name: "role", Kind: data.Word, Required: true, Of: roleWords},
	{Name: "class", Required: true, Doc: "id of classifications.csv"},
	{Name: "rank", Kind: data.Number, Min: 1, Max: 99, Doc: "order among the good rows of one place, 1 first"},
	{Name: "when", Kind: data.Words, Of: conditionWords, Doc: "conditions that must all hold"},
	{Name: "verdict", Kind: data.Word, Required: true, Of: verdictWords},
	{Name: "why"},
	{Name: "consequence", Kind: data.Words, Of: consequenceWords, Doc: "what happens, for avoid and never"},
	{Name: "twin_of", Doc: "class whose row this one repeats for the same deposit by another process"},
	{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
}}

// rule is one row of matching_rows.csv in the form that the choice works on.
type rule struct {
	names       condition // conditions, and ofSubgroup when the row names one
	verdict     uint8     // index into verdictWords
	rank        uint8
	consequence uint16
	why         int32
	twin        bool
}

const (
	verdictNever uint8 = iota
	verdictAvoid
	verdictRecommended
	verdictTolerant
)

func (r rule) good() bool { return r.verdict >= verdictRecommended }

// place is where a row stands.
type place struct {
	a, b     int // family index; b is -1 for one metal
	subgroup string
	role     Role
	class    int
}

type placedRule struct {
	place
	rule
}

func (b *Book) readRows(files fs.FS, faults *data.Faults) []placedRule {
	var rows []placedRule
	b.leader = make([]int32, len(b.classes))
	for i := range b.leader {
		b.leader[i] = int32(i)
	}
	for _, row := range data.Read(files, rowSchema, faults).Rows {
		class, ok := b.classAt[row.Text("class")]
		if !ok {
			row.Fault("class", "%q is not in classifications.csv", row.Text("class"))
			continue
		}
		checkVerdict(row)
		if slices.Contains(unknownBases, row.Text("base_a")) {
			continue
		}
		at, ok := readPlace(row, class)
		if !ok {
			continue
		}
		names, _ := conditionOf(row.List("when"))
		if at.subgroup != "" {
			names |= ofSubgroup
		}
		rank, _ := row.Number("rank")
		twin := b.readTwin(row, class)
		rows = append(rows, placedRule{at, rule{names: names, verdict: uint8(slices.Index(verdictWords, row.Text("verdict"))),
			rank: uint8(rank), consequence: b.consequences(row.List("consequence")), why: b.text(row.Text("why")),
			twin: twin}})
	}
	return rows
}

// readTwin notes which class a twin repeats; false for a row that stands for itself.
func (b *Book) readTwin(row data.Row, class int) bool {
	if row.Text("twin_of") == "" {
		return false
	}
	of, ok := b.classAt[row.Text("twin_of")]
	if !ok {
		row.Fault("twin_of", "%q is not in classifications.csv", row.Text("twin_of"))
		return false
	}
	if b.leader[class] == int32(class) {
		b.leader[class] = int32(of)
	}
	return true
}

func readPlace(row data.Row, class int) (place, bool) {
	at := place{a: metal.FamilyIndex(row.Text("base_a")), b: -1, subgroup: row.Text("subgroup"), class: class}
	at.role = roleOf(row.Text("role"))
	if at.a < 0 {
		row.Fault("base_a", "unknown family %q", row.Text("base_a"))
		return at, false
	}
	if other := row.Text("base_b"); other != "" {
		if at.b = metal.FamilyIndex(other); at.b < 0 {
			row.Fault("base_b", "unknown family %q", other)
			return at, false
		}
	}
	if !knownSubgroup(row.Text("base_a"), at.subgroup) && !(at.b >= 0 && knownSubgroup(row.Text("base_b"), at.subgroup)) {
		row.Fault("subgroup", "unknown subgroup %q", at.subgroup)
	}
	return at, at.role < roleCount
}

func checkVerdict(row data.Row) {
	bad := row.Text("verdict") == "avoid" || row.Text("verdict") == "never"
	if bad != (row.Text("consequence") != "") {
		row.Fault("consequence", "belongs to avoid and never rows, and to each of them")
	}
	if bad == (row.Text("rank") != "") {
		row.Fault("rank", "belongs to recommended and tolerant rows, and to each of them")
	}
}

// weigh combines the rows of one place by the rules of the matching tables: a never holds; a bad row holds
// against a good one unless the good one names everything that the bad one names and more; else the row
// that names more wins. met is what is stated, can what the procedure may still bring. ok is false when no
// row applies.
func (b *Book) weigh(rules []rule, met, can condition) (o outcome, ok bool) {
	met |= ofSubgroup
	worst := -1
	for i, r := range rules {
		if r.good() || !r.names.within(met) {
			continue
		}
		if worst < 0 || r.verdict < rules[worst].verdict ||
			r.verdict == rules[worst].verdict && r.names.count() > rules[worst].names.count() {
			worst = i
		}
	}
	if worst >= 0 && rules[worst].verdict == verdictNever {
		return b.badOutcome(true, rules[worst].consequence, rules[worst].why), true
	}
	best := -1
	for i, r := range rules {
		if r.good() && r.names.within(met|can) && !heldAgainst(rules, r, met) && (best < 0 || better(r, rules[best], met)) {
			best = i
		}
	}
	if best >= 0 {
		return goodOutcome(rules[best], met), true
	}
	if worst >= 0 {
		return b.badOutcome(false, rules[worst].consequence, rules[worst].why), true
	}
	return outcome{}, false
}

// heldAgainst holds when a bad row that applies stands against the good one.
func heldAgainst(rules []rule, good rule, met condition) bool {
	for _, r := range rules {
		if r.good() || !r.names.within(met) {
			continue
		}
		if !r.names.within(good.names) || r.names == good.names {
			return true
		}
	}
	return false
}

// better orders good rows: the one that names more of what is stated, then recommended before tolerant,
// then the better rank, then the one that needs less.
func better(a, b rule, met condition) bool {
	if x, y := (a.names & met).count(), (b.names & met).count(); x != y {
		return x > y
	}
	if x, y := a.names&^met&forgone != 0, b.names&^met&forgone != 0; x != y {
		// What nobody asked to go without is forgone only where that is worth more.
		if ua, ub := goodOutcome(a, met).utility, goodOutcome(b, met).utility; ua != ub {
			return ua > ub
		}
		return y
	}
	if a.verdict != b.verdict {
		return a.verdict < b.verdict
	}
	if a.rank != b.rank {
		return a.rank < b.rank
	}
	return a.names.count() < b.names.count()
}

func goodOutcome(r rule, met condition) outcome {
	o := outcome{kind: Sound, rank: r.rank, why: r.why, need: r.names &^ met &^ ofSubgroup &^ forgone}
	o.fitting = namedStep * float32((r.names & met &^ ofSubgroup &^ forgone).count())
	o.utility = 1 - rankStep*float32(r.rank-1) - cost(o.need, met)
	switch {
	case r.verdict == verdictTolerant:
		o.kind = Tolerant
		o.utility = utilityTolerant - rankStep*float32(r.rank-1)/2 - cost(o.need, met)/2
	case o.need != 0:
		o.kind = Supplied
	}
	if r.names&noPreheat != 0 {
		o.utility -= costNoPreheat
	}
	if r.names&noPWHT != 0 {
		o.utility -= costNoPWHT
	}
	o.utility = max(o.utility, utilityNotAdvised+0.01)
	return o
}
