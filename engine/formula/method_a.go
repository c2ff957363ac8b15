package formula

import (
	"io/fs"
	"math"
	"slices"

	"rodcall/engine/data"
	"rodcall/engine/measure"
)

// HydrogenScales are the letters of EN 1011-2 by falling diffusible hydrogen: A above 15, B to 15, C to 10,
// D to 5, E to 3 ml/100 g (limits seen in table C.1, letters memory).
var HydrogenScales = []string{"A", "B", "C", "D", "E"}

// methodA is the points of EN 1011-2 table C.1: by scale, carbon equivalent and heat input the largest
// combined thickness without preheat.
type methodA struct {
	upto   [5]float64 // hydrogen up to which each scale reaches; A has no end
	ce     []float64  // rising
	heat   []float64  // rising
	points [5][][]thick
}

type thick struct {
	mm      float64
	atLeast bool
	given   bool
}

var methodASchema = data.Schema{File: "en1011_2_method_a.csv", Key: []string{"hydrogen_scale", "CE", "heat_input_kJ_mm"}, Columns: []data.Column{
	{Name: "hydrogen_scale", Kind: data.Word, Required: true, Of: HydrogenScales, Doc: "letter of the hydrogen scale"},
	{Name: "hydrogen_over", Kind: data.Number, Min: 0, Max: 20, Doc: "the scale begins above this, ml/100 g"},
	{Name: "hydrogen_upto", Kind: data.Number, Min: 0, Max: 20, Doc: "and ends here, ml/100 g; empty = no end"},
	{Name: "CE", Kind: data.Number, Required: true, Min: 0.3, Max: 0.7, Doc: "CE(IIW), wt%"},
	{Name: "heat_input_kJ_mm", Kind: data.Number, Required: true, Min: 0.2, Max: 6, Doc: "heat input, kJ/mm"},
	{Name: "combined_thickness_mm", Kind: data.Number, Required: true, Min: 5, Max: 200, Doc: "largest combined thickness without preheat, mm"},
	{Name: "at_least", Kind: data.Word, Required: true, Of: []string{"yes", "no"}, Doc: "yes: this thickness or more"},
	{Name: "source", Required: true, Doc: "where the row was read"},
	{Name: "mark", Required: true, Doc: "how firmly the row is held"},
}}

func loadMethodA(files fs.FS, marks data.Marks, faults *data.Faults) *methodA {
	m := &methodA{}
	rows := data.Read(files, methodASchema, faults).Rows
	for _, row := range rows {
		m.ce, m.heat = insert(m.ce, row.Value("CE", 0)), insert(m.heat, row.Value("heat_input_kJ_mm", 0))
	}
	for i := range m.points {
		m.points[i] = make([][]thick, len(m.ce))
		for j := range m.points[i] {
			m.points[i][j] = make([]thick, len(m.heat))
		}
	}
	for _, row := range rows {
		marks.Check(row, "mark")
		scale := slices.Index(HydrogenScales, row.Text("hydrogen_scale"))
		if scale < 0 {
			continue
		}
		m.upto[scale] = row.Value("hydrogen_upto", math.Inf(1))
		i, j := slices.Index(m.ce, row.Value("CE", 0)), slices.Index(m.heat, row.Value("heat_input_kJ_mm", 0))
		m.points[scale][i][j] = thick{row.Value("combined_thickness_mm", 0), row.Text("at_least") == "yes", true}
	}
	m.check(faults)
	return m
}

func insert(list []float64, v float64) []float64 {
	if slices.Contains(list, v) {
		return list
	}
	list = append(list, v)
	slices.Sort(list)
	return list
}

// check wants a full grid of at least two by two that falls with CE and rises with heat and with drier scales.
func (m *methodA) check(faults *data.Faults) {
	if len(m.ce) < 2 || len(m.heat) < 2 {
		faults.Add(methodASchema.File, 0, "CE", "fewer than two carbon equivalents or heat inputs")
		return
	}
	for s := range m.points {
		for i := range m.ce {
			for j := range m.heat {
				p := m.points[s][i][j]
				if !p.given || i > 0 && p.mm > m.points[s][i-1][j].mm || j > 0 && p.mm < m.points[s][i][j-1].mm || s > 0 && p.mm < m.points[s-1][i][j].mm {
					faults.Add(methodASchema.File, 0, "combined_thickness_mm", "scale %s, CE %g, %g kJ/mm is missing or out of order", HydrogenScales[s], m.ce[i], m.heat[j])
				}
			}
		}
	}
}

// MethodA is what the points of EN 1011-2 method A say of a joint.
type MethodA struct {
	Scale     string     // letter of the hydrogen scale
	Thickness measure.MM // largest combined thickness without preheat
	AtLeast   bool       // that thickness or more
	Needed    Answer     // whether the joint needs preheat
	InRange   bool       // inside the carbon equivalents and heat inputs of the points
}

// Answer is a statement that may be open.
type Answer string

// The answers.
const (
	Yes  Answer = "yes"
	No   Answer = "no"
	Open Answer = "not known"
)

// MethodA says by EN 1011-2 method A whether a joint needs preheat, from the points of table C.1: its curves were
// not found, so it gives no temperature. Inputs: CE(IIW) in wt%, combined thickness, heat input in kJ/mm,
// diffusible hydrogen in ml/100 g. Between the points it takes straight lines. Outside them it answers only what
// follows from the nearest point: less carbon equivalent or more heat never needs more preheat.
func (s *Set) MethodA(ce float64, combined measure.MM, heatInput, hydrogen float64) MethodA {
	m := s.methodA
	scale := len(HydrogenScales) - 1
	for scale > 0 && hydrogen > m.upto[scale] {
		scale--
	}
	at := bilinear(m.ce, m.heat, m.points[scale], ce, heatInput)
	low, high := m.ce[0], m.ce[len(m.ce)-1]
	out := MethodA{Scale: HydrogenScales[scale], Thickness: measure.MM(at.mm), AtLeast: at.atLeast, Needed: Open}
	cool, hot := m.heat[0], m.heat[len(m.heat)-1]
	out.InRange = ce >= low && ce <= high && heatInput >= cool && heatInput <= hot
	easier, harder := ce <= high && heatInput >= cool, ce >= low && heatInput <= hot
	switch fits := float64(combined) <= at.mm; {
	case fits && easier:
		out.Needed = No
	case !fits && harder && !at.atLeast:
		out.Needed = Yes
	}
	return out
}

// bilinear reads a grid at x, y, each held inside the grid. A value that leans on an open-ended point is open-ended.
func bilinear(xs, ys []float64, grid [][]thick, x, y float64) thick {
	i, u := place(xs, x)
	j, v := place(ys, y)
	out := thick{given: true}
	for a, wa := range [2]float64{1 - u, u} {
		for b, wb := range [2]float64{1 - v, v} {
			if w := wa * wb; w > 0 {
				p := grid[i+a][j+b]
				out.mm += w * p.mm
				out.atLeast = out.atLeast || p.atLeast
			}
		}
	}
	return out
}

// place is the interval of a rising list in which a value lies and how far into it, held at the ends.
func place(list []float64, v float64) (i int, share float64) {
	for i = 0; i < len(list)-2 && v > list[i+1]; i++ {
	}
	return i, min(max((v-list[i])/(list[i+1]-list[i]), 0), 1)
}
