package weld

import (
	"io/fs"

	"rodcall/engine/data"
	"rodcall/engine/metal"
)

// Base is a metal as the welding tables tell it apart: a family, its subgroup in the matching tables and
// its group in procedures.csv. Empty means the whole family.
type Base struct {
	Family    int // index into metal.Families
	Subgroup  string
	Procedure string

	conditions condition // what is true of this metal whatever the message says
}

type baseKey struct {
	family              int
	subgroup, procedure string
	conditions          condition
}

// subgroups is the closed list of the matching tables.
var subgroups = map[string][]string{
	"high-carbon-steel":                 {"rail", "spring-temper"},
	"free-machining-steel":              {"leaded"},
	"hsla-structural-steel":             {"weathering", "yield-550-up"},
	"low-alloy-steel":                   {"C-up-to-0.35", "C-over-0.35", "0.5Mo", "1.25Cr-Mo", "2.25Cr-Mo", "5Cr-Mo", "9Cr-Mo", "9Cr-Mo-V", "3.5Ni", "spring-temper"},
	"quenched-tempered-plate":           {"yield-690", "yield-890-up", "wear-plate"},
	"tool-steel":                        {"cold-work", "hot-work", "struck-tool"},
	"cast-steel":                        {"0.5Mo", "1.25Cr-Mo", "2.25Cr-Mo", "5Cr-Mo", "9Cr-Mo", "3.5Ni", "alloy-strength"},
	"ductile-iron":                      {"austempered"},
	"high-chromium-iron":                {"casting", "overlay-plate"},
	"austenitic-manganese-steel":        {"rail"},
	"austenitic-stainless":              {"304", "304H", "316", "316Ti", "317", "321-347", "309", "310", "330", "904L", "N08020", "6Mo", "200-series", "303"},
	"ferritic-stainless":                {"409", "430"},
	"martensitic-stainless":             {"410", "13Cr-4Ni", "416", "420-440"},
	"precipitation-hardening-stainless": {"S66286", "peak-aged"},
	"duplex-stainless":                  {"super"},
	"nickel-copper-alloy":               {"N05500"},
	"nickel-chromium-alloy":             {"N06600", "N06625", "N06022", "N10276", "N10665", "N08810", "N08825", "N07718-N07750"},
	"cobalt-alloy":                      {"R30001"},
	"copper":                            {"oxygen-bearing"},
	"brass":                             {"leaded"},
	"bronze":                            {"leaded"},
	"aluminum-bronze":                   {"Ni-Al", "Mn-Ni-Al"},
	"aluminum":                          {"1xxx", "3xxx", "5xxx-low-Mg", "5xxx-high-Mg", "6xxx", "2219", "2024-7075", "cast-Al-Si", "A356", "cast-Al-Cu", "cast-Al-Mg"},
	"magnesium":                         {"wrought", "cast", "rare-earth"},
	"titanium":                          {"grade-1", "grade-5", "grade-7", "grade-9"},
}

func knownSubgroup(family, subgroup string) bool {
	if subgroup == "" {
		return true
	}
	for _, s := range subgroups[family] {
		if s == subgroup {
			return true
		}
	}
	return false
}

var subgroupSchema = data.Schema{File: "grade_subgroups.csv", Columns: []data.Column{
	{Name: "family", Kind: data.Word, Required: true, Of: metal.Families, Doc: "family id"},
	{Name: "subgroup", Doc: "subgroup of the matching tables; empty = the whole family"},
	{Name: "procedure", Doc: "group of procedures.csv; empty = the whole family"},
	{Name: "grades", Kind: data.List, Doc: "grade ids that belong to it"},
	{Name: "element", Doc: "else: element whose limit decides"},
	{Name: "limit", Kind: data.Word, Of: []string{"mid", "max"}, Doc: "middle or top of the grade's range of that element"},
	{Name: "over", Kind: data.Number, Doc: "wt%, the limit lies above"},
	{Name: "up_to", Kind: data.Number, Doc: "wt%, the limit lies at or below"},
	{Name: "conditions", Kind: data.Words, Of: conditionWords, Doc: "conditions that hold for these grades"},
	{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
}}

// loadBases makes the bases: the families in the order of metal.Families first, then what
// grade_subgroups.csv tells apart, and maps each grade to one of them. A grade that the table names goes
// where it is named; else the first row of its family whose limit it meets; else the family.
func (b *Book) loadBases(files fs.FS, faults *data.Faults) {
	for i := range metal.Families {
		b.addBase(Base{Family: i})
	}
	table := data.Read(files, subgroupSchema, faults)
	named := map[string]data.Row{}
	for _, row := range table.Rows {
		if !knownSubgroup(row.Text("family"), row.Text("subgroup")) {
			row.Fault("subgroup", "%q is no subgroup of %s", row.Text("subgroup"), row.Text("family"))
		}
		for _, id := range row.List("grades") {
			g, ok := b.catalogue.Grade(id)
			switch {
			case !ok:
				row.Fault("grades", "unknown grade %q", id)
			case g.Family != row.Text("family"):
				row.Fault("grades", "%s belongs to %s", id, g.Family)
			}
			if _, twice := named[id]; twice {
				row.Fault("grades", "%s is named twice", id)
			}
			named[id] = row
		}
	}
	b.baseOf = make([]int32, len(b.catalogue.Grades))
	for i := range b.catalogue.Grades {
		b.baseOf[i] = int32(b.gradeBase(&b.catalogue.Grades[i], named, table.Rows))
	}
}

func (b *Book) gradeBase(g *metal.Grade, named map[string]data.Row, rows []data.Row) int {
	family := metal.FamilyIndex(g.Family)
	if row, ok := named[g.ID]; ok {
		return b.baseFromRow(family, row)
	}
	for _, row := range rows {
		if row.Text("family") == g.Family && row.Text("element") != "" && meetsLimit(g, row) {
			return b.baseFromRow(family, row)
		}
	}
	return family
}

func (b *Book) baseFromRow(family int, row data.Row) int {
	c, _ := conditionOf(row.List("conditions"))
	return b.addBase(Base{Family: family, Subgroup: row.Text("subgroup"), Procedure: row.Text("procedure"), conditions: c})
}

func (b *Book) addBase(base Base) int {
	key := baseKey{base.Family, base.Subgroup, base.Procedure, base.conditions}
	if i, ok := b.baseAt[key]; ok {
		return i
	}
	b.baseAt[key] = len(b.bases)
	b.bases = append(b.bases, base)
	return len(b.bases) - 1
}

// meetsLimit holds when the grade's own limit of the element lies within the row. A grade that gives only
// a maximum is taken at it for "max" and at four fifths of it for "mid", where such grades usually lie
// (judgement); a grade that gives nothing meets no row.
func meetsLimit(g *metal.Grade, row data.Row) bool {
	r, ok := g.Composition[row.Text("element")]
	if !ok || !r.HasHigh {
		return false
	}
	v := r.High
	if row.Text("limit") == "mid" {
		v = 0.8 * r.High
		if r.HasLow {
			v = (r.Low + r.High) / 2
		}
	}
	if over, ok := row.Number("over"); ok && v <= over {
		return false
	}
	if upTo, ok := row.Number("up_to"); ok && v > upTo {
		return false
	}
	return true
}

// BaseOf is the base of a grade of the catalogue, by the grade's index: an index into Bases.
func (b *Book) BaseOf(gradeIndex int) int { return int(b.baseOf[gradeIndex]) }

// Bases lists every base; the first len(metal.Families) are the families themselves.
func (b *Book) Bases() []Base { return append([]Base(nil), b.bases...) }

// baseMasses sums a posterior over grades (catalogue order) into one over bases, in the memory given.
func (b *Book) baseMasses(p, masses []float64) []float64 {
	masses = sized(masses, len(b.bases))
	clear(masses)
	for i, v := range p {
		masses[b.baseOf[i]] += v
	}
	return masses
}
