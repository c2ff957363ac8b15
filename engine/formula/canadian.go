package formula

import (
	"cmp"
	"io/fs"
	"slices"

	"rodcall/engine/data"
)

// csaTable is the printed factor F of the Canadian line-pipe standard by carbon content.
type csaTable []csaRow

type csaRow struct{ carbon, factor float64 }

// csaLow is F below the first row of the table (0.06 % C), as printed.
const csaLow = 0.53

var csaSchema = data.Schema{File: "csa_f_factor.csv", Key: []string{"C"}, Columns: []data.Column{
	{Name: "C", Kind: data.Number, Required: true, Min: 0.01, Max: 1, Doc: "carbon, wt%"},
	{Name: "F", Kind: data.Number, Required: true, Min: 0.53, Max: 1, Doc: "factor of the bracket"},
	{Name: "source", Required: true, Doc: "where the row was read"},
	{Name: "mark", Required: true, Doc: "how firmly the row is held"},
}}

func loadCSA(files fs.FS, marks data.Marks, faults *data.Faults) csaTable {
	var t csaTable
	for _, row := range data.Read(files, csaSchema, faults).Rows {
		marks.Check(row, "mark")
		r := csaRow{row.Value("C", 0), row.Value("F", 0)}
		if n := len(t); n > 0 && (r.carbon <= t[n-1].carbon || r.factor <= t[n-1].factor) {
			row.Fault("F", "%g at %g %% C does not rise over the row before", r.factor, r.carbon)
		}
		t = append(t, r)
	}
	if len(t) < 2 {
		faults.Add(csaSchema.File, 0, "C", "fewer than two rows")
	}
	return t
}

// at is F at a carbon content: as printed at the rows, on a straight line between them, 0.53 below the first
// and 1 from the last.
func (t csaTable) at(carbon float64) float64 {
	i, found := slices.BinarySearchFunc(t, carbon, func(r csaRow, c float64) int { return cmp.Compare(r.carbon, c) })
	switch {
	case found:
		return t[i].factor
	case i == 0:
		return csaLow
	case i == len(t):
		return 1
	}
	a, b := t[i-1], t[i]
	return a.factor + (carbon-a.carbon)/(b.carbon-a.carbon)*(b.factor-a.factor)
}

// csaFactor is the factor F of the Canadian line-pipe standard, a bare number.
//
//	F = 0.53 below 0.06 % C, the printed table to 0.21 %, 1.00 from 0.22 % C
//
// Inputs in wt%; C must be analysed. Between two rows: a straight line.
// Range: C 0-0.3.
// Outside it: the value with a warning. Above 2.1 % C: refused.
// Source: CSA Z245.1-07 worked sheet (eleven rows seen, five memory).
// Rival: A(C) of cen, which reproduces the table to rounding.
func (s *Set) csaFactor() Formula {
	return Formula{
		ID: "csa_f_factor", Mark: "partly-seen", Source: "CSA Z245.1-07 F table, scribd.com document 155619158; five rows memory",
		Inputs: []Input{wt("C", 0, 0.3).must()}, Refuse: refuseIron,
		Eval: func(x Values) float64 { return s.csa.at(x[C]) },
	}
}

// ceCSA is the carbon equivalent of the Canadian line-pipe standard, in wt%.
//
//	CE = C + F [Mn/6 + Si/24 + Cu/15 + Ni/20 + (Cr + Mo + V + Nb)/5 + 5 B]
//
// Inputs in wt%; C must be analysed, another missing element counts as zero and is named in the warnings. The
// sum Cr + Mo + V + Nb may be given as printed on the sheet; it then stands instead of the four.
// Range: C 0-0.3.
// Outside it: the value with a warning. Above 2.1 % C: refused.
// Source: CSA Z245.1-07 and Z662-99 worked sheets (seen; range judgement: line pipe and casing).
// Rival: cen, the same sum with a smooth factor.
func (s *Set) ceCSA() Formula {
	return Formula{
		ID: "ce_csa_z245", Unit: "wt%", Mark: "seen",
		Source: "CSA Z245.1-07 and Z662-99 worked sheets, scribd.com documents 155619158 and 334891068; range judgement",
		Inputs: all([]Input{wt("C", 0, 0.3).must()}, elements("Mn", "Si", "Cu", "Ni"), []Input{
			wt("Cr").or("CrMoVNb_sum"), wt("Mo").or("CrMoVNb_sum"), wt("V").or("CrMoVNb_sum"), wt("Nb").or("CrMoVNb_sum"),
			quantity(crMoVNb, "CrMoVNb_sum", "wt%").least(0).only(), wt("B")}),
		Refuse: refuseIron,
		Eval:   s.evalCSA,
		Notes: func(x Values, _ float64) []string {
			sum := x[Cr] + x[Mo] + x[V] + x[Nb]
			if x[crMoVNb] > 0 && sum > 0 && (sum-x[crMoVNb] > sumRounding || x[crMoVNb]-sum > sumRounding) {
				return []string{"CrMoVNb_sum " + number(x[crMoVNb]) + " is taken; Cr, Mo, V and Nb as given make another sum"}
			}
			return nil
		},
	}
}

// sumRounding is what four elements printed to three places may miss their printed sum by, wt%.
const sumRounding = 0.002

func (s *Set) evalCSA(x Values) float64 {
	if x[crMoVNb] > 0 {
		x[Cr], x[Mo], x[V], x[Nb] = x[crMoVNb], 0, 0, 0
	}
	return x[C] + s.csa.at(x[C])*cenBracket(x)
}
