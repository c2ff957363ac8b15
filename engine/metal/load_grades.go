package metal

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"strings"

	"rodcall/engine/data"
)

// Elements are the chemical symbols that a composition may name, in the order in which they are printed.
var Elements = []string{"C", "Mn", "Si", "P", "S", "Cr", "Ni", "Mo", "V", "W", "Cu", "Al", "Nb", "Ti", "N", "B", "Co",
	"Pb", "Sn", "Zn", "Mg", "Fe", "Be", "Sb"}

var gradeSchema = data.Schema{File: "grades.csv", Key: []string{"id"}, Columns: []data.Column{
	{Name: "id", Required: true, Doc: "stable key"},
	{Name: "designations", Kind: data.List, Required: true, Doc: "names in AISI/SAE, UNS, ASTM, EN, JIS; (near) = roughly equal"},
	{Name: "family", Kind: data.Word, Required: true, Of: Families, Doc: "family id of the contract"},
	{Name: "form", Kind: data.Word, Required: true, Of: []string{"wrought", "cast", "sintered"}, Doc: "how it was made"},
	{Name: "condition", Required: true, Doc: "condition usually met in the field"},
	{Name: "balance", Kind: data.Word, Required: true, Of: []string{"Fe", "Cu", "Al", "Ni", "Zn", "Pb", "Ti", "Co", "Mg", "W", "Sn"}, Doc: "element that makes up the rest"},
	{Name: "composition_wtpct", Kind: data.List, Required: true, Doc: `limits in wt%: "C 0.43-0.50; P <=0.040; Cr >=1.0"; not named = not specified`},
	{Name: "composition_source", Required: true, Doc: "where the limits come from"},
	{Name: "composition_mark", Required: true, Doc: "how firmly the limits are held"},
	{Name: "hardness_scale", Kind: data.Word, Required: true, Of: []string{"HB", "HRB", "HRC", "HRA"}, Doc: "scale of the range"},
	{Name: "hardness_low", Kind: data.Number, Required: true, Min: 1, Max: 800, Doc: "low end of the usual range"},
	{Name: "hardness_high", Kind: data.Number, Required: true, Min: 1, Max: 800, Doc: "high end of the usual range"},
	{Name: "hardness_source", Required: true, Doc: "where the range comes from"},
	{Name: "hardness_mark", Required: true, Doc: "how firmly the range is held"},
	{Name: "magnetic", Kind: data.Word, Required: true, Of: []string{"none", "slight", "strong"}, Doc: "pull at room temperature in that condition"},
	{Name: "density_g_cm3", Kind: data.Number, Required: true, Min: 1.5, Max: 20, Doc: "usual value (memory, unless the notes say seen)"},
	{Name: "met_weight", Kind: data.Number, Required: true, Min: 0.01, Max: 5, Doc: "how often met beside the grades of its family; set by common_grades.csv"},
	{Name: "cross_check", Doc: "a second source; a bracket says agreement in part"},
	{Name: "notes", Doc: "uses, cautions, disagreements"},
}}

var commonSchema = data.Schema{File: "common_grades.csv", Key: []string{"grade"}, Columns: []data.Column{
	{Name: "grade", Required: true, Doc: "grade id"},
	{Name: "weight", Kind: data.Number, Required: true, Min: 0.01, Max: 5, Doc: "met_weight of the grade"},
	{Name: "why", Required: true, Doc: "why it is more or less common than the ordinary"},
	{Name: "mark", Required: true, Doc: "how firmly the weight is held"},
}}

// densityWindow is the range in g/cm³ that an alloy on a balance metal can have: the lightest and the
// heaviest alloy of that metal in common handbooks, with a margin of about 3 % (judgement).
var densityWindow = map[string][2]float64{
	"Fe": {6.9, 8.9}, "Cu": {7.1, 9.4}, "Al": {2.5, 3.0}, "Ni": {7.8, 9.4}, "Zn": {4.8, 7.3}, "Pb": {9.4, 11.5},
	"Ti": {4.3, 4.9}, "Co": {8.1, 9.2}, "Mg": {1.7, 1.95}, "W": {12.5, 16}, "Sn": {7.2, 7.6},
}

// hardnessWindow is what a scale can read at all: Brinell with a carbide ball to about 650 (ISO 6506-1;
// ASTM A532 prints up to 700), Rockwell C 20-70, B 20-100 and A 20-95 (ISO 6508-1; common practice at the low ends).
var hardnessWindow = map[string][2]float64{"HB": {3, 700}, "HRC": {20, 70}, "HRB": {20, 100}, "HRA": {20, 95}}

func (l *loader) grades() {
	weights := l.commonGrades()
	table := data.Read(l.files, gradeSchema, l.faults)
	owner := map[string]Grade{}
	for _, row := range table.Rows {
		l.marks.Check(row, "composition_mark", "hardness_mark")
		g := grade(row)
		checkComposition(row, g)
		checkPhysical(row, g)
		checkAliases(row, g, owner)
		want, listed := weights[g.ID]
		if !listed {
			want = 1
		}
		if g.MetWeight != want {
			row.Fault("met_weight", "%g, but common_grades.csv gives %g", g.MetWeight, want)
		}
		delete(weights, g.ID)
		l.c.Grades = append(l.c.Grades, g)
	}
	for _, id := range sortedKeys(weights) {
		l.faults.Add(commonSchema.File, 0, "grade", "unknown grade %q", id)
	}
	slices.SortStableFunc(l.c.Grades, func(a, b Grade) int {
		return cmp.Or(FamilyIndex(a.Family)-FamilyIndex(b.Family), strings.Compare(a.ID, b.ID))
	})
	l.c.gradeAt = make(map[string]int, len(l.c.Grades))
	met := map[string]bool{}
	for i, g := range l.c.Grades {
		l.c.gradeAt[g.ID] = i
		met[g.Family] = true
	}
	for _, id := range Families {
		if !met[id] {
			l.faults.Add(gradeSchema.File, 0, "family", "no grade of family %q", id)
		}
	}
}

func (l *loader) commonGrades() map[string]float64 {
	weights := map[string]float64{}
	for _, row := range data.Read(l.files, commonSchema, l.faults).Rows {
		l.marks.Check(row, "mark")
		weights[row.Text("grade")] = row.Value("weight", 1)
	}
	return weights
}

func grade(row data.Row) Grade {
	return Grade{
		ID: row.Text("id"), Designations: row.List("designations"), Family: row.Text("family"), Form: row.Text("form"),
		Condition: row.Text("condition"), Balance: row.Text("balance"), Composition: composition(row),
		CompositionMark: row.Text("composition_mark"), CompositionSource: row.Text("composition_source"),
		HardnessScale: row.Text("hardness_scale"), HardnessLow: row.Value("hardness_low", 0),
		HardnessHigh: row.Value("hardness_high", 0), HardnessMark: row.Text("hardness_mark"),
		HardnessSource: row.Text("hardness_source"), Magnetic: row.Text("magnetic"),
		DensityGCM3: row.Value("density_g_cm3", 0), MetWeight: row.Value("met_weight", 1), Notes: row.Text("notes"),
	}
}

// composition parses the limits of a row: `C 0.43-0.50; Mn <=0.90; Cr >=1.0`, in wt%.
func composition(row data.Row) map[string]Range {
	const column = "composition_wtpct"
	limits := map[string]Range{}
	for _, entry := range row.List(column) {
		element, limit, _ := strings.Cut(entry, " ")
		if !slices.Contains(Elements, element) {
			row.Fault(column, "unknown element %q", element)
			continue
		}
		if _, ok := limits[element]; ok {
			row.Fault(column, "%s stands twice", element)
		}
		r, err := ParseRange(limit)
		if err != "" {
			row.Fault(column, "%s: %s", element, err)
			continue
		}
		limits[element] = r
	}
	return limits
}

// ParseRange reads one limit, "0.43-0.50", "<=0.040" or ">=1.0", in wt%. problem is empty, or says what
// is wrong and what is expected.
func ParseRange(limit string) (r Range, problem string) {
	limit = strings.TrimSpace(limit)
	low, high := "", ""
	switch {
	case strings.HasPrefix(limit, "<="):
		high = limit[2:]
	case strings.HasPrefix(limit, ">="):
		low = limit[2:]
	default:
		low, high, _ = strings.Cut(limit, "-")
		if high == "" {
			return Range{}, strconv.Quote(limit) + ` is no limit; write "0.43-0.50", "<=0.040" or ">=1.0"`
		}
	}
	for _, bound := range []struct {
		text  string
		value *float64
		has   *bool
	}{{low, &r.Low, &r.HasLow}, {high, &r.High, &r.HasHigh}} {
		if bound.text == "" {
			continue
		}
		v, err := strconv.ParseFloat(strings.TrimSpace(bound.text), 64)
		if err != nil || !(v >= 0 && v <= 100) {
			return Range{}, strconv.Quote(bound.text) + " is not a share between 0 and 100 wt%"
		}
		*bound.value, *bound.has = v, true
	}
	if r.HasLow && r.HasHigh && r.Low > r.High {
		return Range{}, strconv.Quote(limit) + " has its low end above its high end"
	}
	if !r.HasLow && !r.HasHigh {
		return Range{}, strconv.Quote(limit) + " holds no number"
	}
	return r, ""
}

func checkComposition(row data.Row, g Grade) {
	minima := 0.0
	for _, element := range Elements {
		if r := g.Composition[element]; r.HasLow {
			minima += r.Low
		}
	}
	if minima > 100 {
		row.Fault("composition_wtpct", "the minima sum to %g wt%%, more than 100", minima)
	}
}

func checkPhysical(row data.Row, g Grade) {
	base := g.Base()
	if w, ok := densityWindow[base]; ok && (g.DensityGCM3 < w[0] || g.DensityGCM3 > w[1]) {
		row.Fault("density_g_cm3", "%g is outside %g-%g for an alloy of %s", g.DensityGCM3, w[0], w[1], base)
	}
	if g.HardnessLow > g.HardnessHigh {
		row.Fault("hardness_low", "%g is above hardness_high %g", g.HardnessLow, g.HardnessHigh)
	}
	if w, ok := hardnessWindow[g.HardnessScale]; ok && (g.HardnessLow < w[0] || g.HardnessHigh > w[1]) {
		row.Fault("hardness_scale", "%s reads %g-%g only", g.HardnessScale, w[0], w[1])
	}
	soft := slices.Contains([]string{"Al", "Zn", "Pb", "Mg", "Sn"}, base)
	if (soft && g.HardnessScale == "HRC") || (g.HardnessScale == "HRA") != (base == "W") {
		row.Fault("hardness_scale", "%s is not read on an alloy of %s", g.HardnessScale, base)
	}
}

// checkAliases makes sure that no designation belongs to two grades, unless one of them is only near or
// both have the same limits (ASTM A27 gives two strength grades of one chemistry one UNS number).
func checkAliases(row data.Row, g Grade, owner map[string]Grade) {
	for _, designation := range g.Designations {
		if isNear(designation) {
			continue
		}
		if first, ok := owner[designation]; ok && !maps.Equal(first.Composition, g.Composition) {
			row.Fault("designations", "%q belongs to %s already", designation, first.ID)
		}
		owner[designation] = g
	}
}

// isNear tells a designation that is only roughly equal: "EN C45 1.0503 (near)" or "near SAE 4140".
func isNear(designation string) bool {
	return strings.HasSuffix(designation, "(near)") || strings.HasPrefix(designation, "near ")
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
