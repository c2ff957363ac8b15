package formula

import (
	"io/fs"
	"math"
	"slices"
	"strings"

	"rodcall/engine/data"
	"rodcall/engine/measure"
)

// PreheatMethods are the kinds of published preheat tables.
var PreheatMethods = []string{"aws_d1_1", "by_carbon", "by_grade", "by_grade_thickness", "navy_group"}

// Bound is a temperature that a table may leave open.
type Bound struct {
	C     measure.Celsius
	Given bool
}

// PreheatRow is one row of a published preheat table.
type PreheatRow struct {
	Method    string
	Families  []string
	Grade     string   // as the table writes it: a grade, a group of grades or a category
	Names     []string // the single grades in it, upper case: "SAE 4140"
	Carbon    Span     // wt%
	Thickness Span     // mm
	Condition string
	Low, High Bound // preheat
	Interpass Bound // greatest
	Note      string
	Source    string
	Mark      string
}

// Span is what lies over Low, up to High; an end that the table leaves open is infinite or zero.
type Span struct{ Low, High float64 }

// Holds reports whether a value lies in the span; the low end belongs to the span below unless that is open.
func (s Span) Holds(v float64) bool { return (v > s.Low || s.Low == 0 && v >= 0) && v <= s.High }

var preheatSchema = data.Schema{File: "preheat_tables.csv", Columns: []data.Column{
	{Name: "method", Kind: data.Word, Required: true, Of: PreheatMethods, Doc: "kind of table"},
	{Name: "family", Kind: data.Words, Required: true, Doc: "families that the row holds for"},
	{Name: "grade", Required: true, Doc: "grade, group or category in the table's words"},
	{Name: "c_min", Kind: data.Number, Min: 0, Max: 5, Doc: "carbon above, wt%"},
	{Name: "c_max", Kind: data.Number, Min: 0, Max: 5, Doc: "carbon up to, wt%"},
	{Name: "thickness_over_mm", Kind: data.Number, Min: 0, Max: 500, Doc: "thickness above, mm"},
	{Name: "thickness_upto_mm", Kind: data.Number, Min: 0, Max: 500, Doc: "thickness up to, mm"},
	{Name: "condition", Doc: "when the row holds, in the table's words"},
	{Name: "preheat_min_f", Kind: data.Number, Min: 0, Max: 1500, Doc: "least preheat, degF"},
	{Name: "preheat_max_f", Kind: data.Number, Min: 0, Max: 1500, Doc: "greatest preheat, degF"},
	{Name: "preheat_min_c", Kind: data.Number, Min: -20, Max: 800, Doc: "least preheat, degC"},
	{Name: "preheat_max_c", Kind: data.Number, Min: 0, Max: 800, Doc: "greatest preheat, degC"},
	{Name: "interpass_max_f", Kind: data.Number, Min: 0, Max: 1500, Doc: "greatest interpass, degF"},
	{Name: "interpass_max_c", Kind: data.Number, Min: 0, Max: 800, Doc: "greatest interpass, degC"},
	{Name: "note", Doc: "what the source says of the row"},
	{Name: "source", Required: true, Doc: "where the row was read"},
	{Name: "mark", Required: true, Doc: "how firmly the row is held"},
}}

func loadPreheatTable(files fs.FS, marks data.Marks, faults *data.Faults) []PreheatRow {
	var out []PreheatRow
	for _, row := range data.Read(files, preheatSchema, faults).Rows {
		marks.Check(row, "mark")
		p := PreheatRow{
			Method: row.Text("method"), Families: row.List("family"), Grade: row.Text("grade"), Names: gradeNames(row.Text("grade")),
			Carbon:    Span{row.Value("c_min", 0), row.Value("c_max", math.Inf(1))},
			Thickness: Span{row.Value("thickness_over_mm", 0), row.Value("thickness_upto_mm", math.Inf(1))},
			Condition: row.Text("condition"), Note: row.Text("note"), Source: row.Text("source"), Mark: row.Text("mark"),
			Low: bound(row, "preheat_min"), High: bound(row, "preheat_max"), Interpass: bound(row, "interpass_max"),
		}
		if p.Low.Given && p.High.Given && p.Low.C > p.High.C {
			row.Fault("preheat_min_c", "%g is above the greatest, %g", p.Low.C, p.High.C)
		}
		if p.Carbon.Low >= p.Carbon.High || p.Thickness.Low >= p.Thickness.High {
			row.Fault("c_min", "a low end is not below its high end")
		}
		out = append(out, p)
	}
	return out
}

// bound reads a temperature from its two columns, which must agree to the degree.
func bound(row data.Row, column string) Bound {
	c, hasC := row.Number(column + "_c")
	f, hasF := row.Number(column + "_f")
	if hasC != hasF || hasC && math.Abs(float64(measure.Fahrenheit(f).Celsius())-c) > 1 {
		row.Fault(column+"_c", "%g °C and %g °F are not the same temperature", c, f)
	}
	return Bound{measure.Celsius(c), hasC}
}

// gradeNames are the single grades of a table's wording: "SAE 3115/3125" is SAE 3115 and SAE 3125, "M1, M2, T1"
// three, and a word in brackets is a remark.
func gradeNames(text string) []string {
	text, _, _ = strings.Cut(text, " (")
	prefix := ""
	if rest, ok := strings.CutPrefix(text, "SAE "); ok {
		prefix, text = "SAE ", rest
	}
	var out []string
	for _, name := range strings.FieldsFunc(text, func(r rune) bool { return r == '/' || r == ',' }) {
		out = append(out, strings.ToUpper(prefix+strings.TrimSpace(name)))
	}
	return out
}

// PreheatTable is every row of the published preheat tables, in the order of the file. It is not to be changed.
func (s *Set) PreheatTable() []PreheatRow { return s.preheats }

// PreheatByGrade is the rows of the published tables that name a grade ("SAE 4140", "AISI 4140", "4140", "D2") and
// hold at a thickness; a thickness of 0 is not known, and rows of every thickness come back.
func (s *Set) PreheatByGrade(grade string, thickness measure.MM) []PreheatRow {
	name := strings.ToUpper(strings.TrimSpace(grade))
	for _, system := range []string{"AISI/SAE ", "SAE/AISI ", "AISI ", "SAE "} {
		name = strings.TrimPrefix(name, system)
	}
	var out []PreheatRow
	for _, row := range s.preheats {
		named := slices.ContainsFunc(row.Names, func(n string) bool { return strings.TrimPrefix(n, "SAE ") == name })
		if named && (thickness == 0 || row.Thickness.Holds(float64(thickness))) {
			out = append(out, row)
		}
	}
	return out
}

// PreheatByCarbon is the rows of the published tables by carbon content (wt%) for a family.
func (s *Set) PreheatByCarbon(family string, carbon float64) []PreheatRow {
	var out []PreheatRow
	for _, row := range s.preheats {
		if row.Method == "by_carbon" && slices.Contains(row.Families, family) && row.Carbon.Holds(carbon) {
			out = append(out, row)
		}
	}
	return out
}
