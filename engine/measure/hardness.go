package measure

import (
	"cmp"
	"fmt"
	"io/fs"
	"slices"

	"rodcall/engine/data"
)

// Scale is a hardness scale: HB (Brinell, 10 mm ball, 3000 kgf), HV (Vickers), HRC, HRB, HRA (Rockwell),
// HLD (rebound).
type Scale string

// The scales that a rep may report.
const (
	HB  Scale = "HB"
	HV  Scale = "HV"
	HRC Scale = "HRC"
	HRB Scale = "HRB"
	HRA Scale = "HRA"
	HLD Scale = "HLD"
)

// Material is the kind of metal that a conversion table was measured on.
type Material string

// The materials that the published tables cover. No table holds for irons, copper or light metals: there
// a reading stays on its own scale, or its user takes the steel table knowingly and says so.
const (
	Steel      Material = "steel"      // carbon, alloy and martensitic steel (ASTM E140 tables 1 and 2)
	Austenitic Material = "austenitic" // annealed austenitic stainless plate (ASTM E140 table 5)
	Carbide    Material = "carbide"    // cemented tungsten carbide
)

// Converted is a hardness on another scale.
type Converted struct {
	Value float64
	Table string // the published table, or two joined by ", " when a row of each was used
	Mark  string // how firmly the weaker of the tables is held (a spelling of marks.csv)
	Note  string // what the table says of these rows; empty when nothing
}

// HardnessTables converts hardness by published tables and by nothing else. Immutable after loading.
type HardnessTables struct{ curves map[pair]curve }

type pair struct {
	material Material
	from, to Scale
}

// row is one printed line of a table: x on one scale goes with y on another.
type row struct {
	x, y              float64
	table, mark, note string
}

// curve joins the rows of the tables that hold for a pair: x and y strictly rising. The preferred table
// stands whole; another one only adds rows beyond its ends, and only such as keep the curve rising, so that
// the way there and the way back agree where two tables meet.
type curve []row

// materialOf says which kind of metal each table holds for.
var materialOf = map[string]Material{
	"E140-1": Steel, "A370-HB": Steel, "E140-2": Steel, "GBT1172": Steel, "HB-coarse": Steel,
	"E140-5": Austenitic, "hardmetal": Carbide,
}

// preference puts the standard's own table before copies of it, and a rounded secondary table last. Where
// E140 tables 1 and 2 meet (226-240 HB) the standard's own tables differ by about 5 %.
var preference = []string{"E140-1", "A370-HB", "E140-2", "GBT1172", "HB-coarse", "E140-5", "hardmetal"}

var tableScales = []Scale{HRC, HRB, HRA, HV, HB}

var hardnessSchema = data.Schema{File: "hardness_conversion.csv", Columns: []data.Column{
	{Name: "table", Kind: data.Word, Required: true, Of: preference, Doc: "the published table"},
	{Name: "material", Required: true, Doc: "what it was measured on, in the table's words"},
	{Name: "HRC", Kind: data.Number, Min: 15, Max: 70, Doc: "Rockwell C"},
	{Name: "HRB", Kind: data.Number, Min: 20, Max: 100, Doc: "Rockwell B"},
	{Name: "HRA", Kind: data.Number, Min: 20, Max: 95, Doc: "Rockwell A"},
	{Name: "HV", Kind: data.Number, Min: 20, Max: 2500, Doc: "Vickers"},
	{Name: "HK", Kind: data.Number, Min: 20, Max: 2500, Doc: "Knoop"},
	{Name: "HB", Kind: data.Number, Min: 20, Max: 750, Doc: "Brinell, 3000 kgf"},
	{Name: "uts_ksi", Kind: data.Number, Min: 10, Max: 500, Doc: "tensile strength that goes with it, ksi"},
	{Name: "uts_MPa", Kind: data.Number, Min: 100, Max: 3500, Doc: "tensile strength that goes with it, MPa"},
	{Name: "note", Doc: "what the source says of the row"},
	{Name: "source", Required: true, Doc: "where the table was read"},
	{Name: "mark", Required: true, Doc: "how firmly the row is held"},
}}

// LoadHardness reads hardness_conversion.csv. A table that is not monotone in any pair of scales is a fault.
func LoadHardness(files fs.FS, faults *data.Faults) *HardnessTables {
	marks := data.LoadMarks(files, faults)
	lines := map[string][]data.Row{}
	for _, line := range data.Read(files, hardnessSchema, faults).Rows {
		marks.Check(line, "mark")
		lines[line.Text("table")] = append(lines[line.Text("table")], line)
	}
	h := &HardnessTables{curves: map[pair]curve{}}
	for _, table := range preference {
		for _, from := range tableScales {
			h.add(table, from, lines[table])
		}
	}
	return h
}

func (h *HardnessTables) add(table string, from Scale, lines []data.Row) {
	for _, to := range tableScales {
		if from == to {
			continue
		}
		p := pair{materialOf[table], from, to}
		if joined := h.curves[p].join(printed(lines, table, from, to)); len(joined) > 1 {
			h.curves[p] = joined
		}
	}
}

// printed is one table's column against another, as printed, with a fault for each row that breaks the rise.
func printed(lines []data.Row, table string, from, to Scale) curve {
	var c curve
	for _, line := range lines {
		x, okX := line.Number(string(from))
		y, okY := line.Number(string(to))
		if okX && okY {
			c = append(c, row{x, y, table, line.Text("mark"), line.Text("note")})
		}
	}
	slices.SortStableFunc(c, func(a, b row) int { return cmp.Compare(a.x, b.x) })
	for i := 1; i < len(c); i++ {
		if c[i].x <= c[i-1].x || c[i].y <= c[i-1].y {
			lines[0].Fault(string(to), "table %s: %g %s goes with %g, but %g with %g; it does not rise", table, c[i].x, from, c[i].y, c[i-1].x, c[i-1].y)
		}
	}
	return c
}

func (c curve) join(other curve) curve {
	if len(c) == 0 {
		return other
	}
	first, last := c[0], c[len(c)-1]
	var below, above curve
	for _, r := range other {
		switch {
		case r.x < first.x && r.y < first.y:
			below = append(below, r)
		case r.x > last.x && r.y > last.y:
			above = append(above, r)
		}
	}
	return slices.Concat(below, c, above)
}

// at interpolates in a straight line between the two neighbouring rows; ok is false outside the tables.
func (c curve) at(x float64) (Converted, bool) {
	if len(c) == 0 || !(x >= c[0].x && x <= c[len(c)-1].x) {
		return Converted{}, false
	}
	i, exact := slices.BinarySearchFunc(c, x, func(r row, x float64) int { return cmp.Compare(r.x, x) })
	high := Converted{c[i].y, c[i].table, c[i].mark, c[i].note}
	if exact {
		return high, true
	}
	low := Converted{c[i-1].y, c[i-1].table, c[i-1].mark, c[i-1].note}
	out := join(low, high)
	out.Value = low.Value + (x-c[i-1].x)/(c[i].x-c[i-1].x)*(high.Value-low.Value)
	return out, true
}

// Convert is a hardness of a material on another scale, by the preferred published table that covers it:
// directly, else over one third scale. Outside every table it is an error that names the range, and
// rebound readings (HLD) are refused because no published table stands in the data.
func (h *HardnessTables) Convert(value float64, from, to Scale, material Material) (Converted, error) {
	switch {
	case from == to:
		return Converted{Value: value}, nil
	case from == HLD || to == HLD:
		return Converted{}, fmt.Errorf("hardness: no published table converts HLD; set the tester to show HB or HRC for the metal at hand")
	}
	if c, ok := h.direct(value, from, to, material); ok {
		return c, nil
	}
	for _, over := range tableScales {
		first, ok := h.direct(value, from, over, material)
		if !ok {
			continue
		}
		if second, ok := h.direct(first.Value, over, to, material); ok {
			return join(first, second), nil
		}
	}
	low, high, ok := h.Range(from, to, material)
	if !ok {
		return Converted{}, fmt.Errorf("hardness: no published table leads from %s to %s for %s", from, to, material)
	}
	return Converted{}, fmt.Errorf("hardness: %g %s is outside %g-%g %s, where the tables give %s for %s", value, from, low, high, from, to, material)
}

func (h *HardnessTables) direct(value float64, from, to Scale, material Material) (Converted, bool) {
	return h.curves[pair{material, from, to}].at(value)
}

func join(first, second Converted) Converted {
	out := second
	if first.Table != second.Table {
		out.Table = first.Table + ", " + second.Table
	}
	if weaker(first.Mark, second.Mark) {
		out.Mark = first.Mark
	}
	if first.Note != "" && first.Note != second.Note {
		out.Note = first.Note
	}
	return out
}

func weaker(a, b string) bool {
	return slices.Index(data.MarkIDs, a) > slices.Index(data.MarkIDs, b)
}

// Range is the span of values on one scale that the tables of a material turn directly into another scale;
// ok is false when there is no such table.
func (h *HardnessTables) Range(from, to Scale, material Material) (low, high float64, ok bool) {
	c := h.curves[pair{material, from, to}]
	if len(c) == 0 {
		return 0, 0, false
	}
	return c[0].x, c[len(c)-1].x, true
}
