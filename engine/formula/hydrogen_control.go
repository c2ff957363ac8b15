package formula

import (
	"fmt"
	"io/fs"
	"math"
	"slices"

	"rodcall/engine/data"
	"rodcall/engine/measure"
)

// The closed words of the hydrogen control method of AWS D1.1, in rising order.
var (
	groups         = []string{"A", "B", "C", "D", "E", "F", "G"}
	hydrogenLevels = []string{"H1", "H2", "H3"}
	restraints     = []string{"low", "medium", "high"}
)

// hydrogenControl is the two tables of the method.
type hydrogenControl struct {
	bands  []float64        // upper bounds of Pcm, wt%, rising
	groups [3][]int         // by level: the group of each band
	levels [3]float64       // hydrogen that a level stands for, ml/100 g
	upto   []float64        // upper bounds of thickness, mm, rising; the last is +Inf
	cells  [3][][7]coldCell // by restraint and thickness: the cell of each group
}

// coldCell is a least preheat in degC; below means that the table prints "less than".
type coldCell struct {
	preheat float64
	below   bool
	given   bool
}

var groupSchema = data.Schema{File: "aws_hydrogen_groups.csv", Key: []string{"hydrogen_level", "pcm_below"}, Columns: []data.Column{
	{Name: "hydrogen_level", Kind: data.Word, Required: true, Of: hydrogenLevels, Doc: "H1 extra low, H2 low, H3 not controlled"},
	{Name: "hydrogen_ml", Kind: data.Number, Required: true, Min: 1, Max: 40, Doc: "diffusible hydrogen that the level stands for, ml/100 g"},
	{Name: "pcm_below", Kind: data.Number, Required: true, Min: 0.05, Max: 1, Doc: "upper bound of the band of Pcm, wt%"},
	{Name: "group", Kind: data.Word, Required: true, Of: groups, Doc: "susceptibility group"},
	{Name: "source", Required: true, Doc: "where the row was read"},
	{Name: "mark", Required: true, Doc: "how firmly the row is held"},
}}

var coldSchema = data.Schema{File: "aws_hydrogen.csv", Key: []string{"restraint", "thickness_over_mm", "group"}, Columns: []data.Column{
	{Name: "restraint", Kind: data.Word, Required: true, Of: restraints, Doc: "restraint of the joint"},
	{Name: "thickness_over_mm", Kind: data.Number, Required: true, Min: 0, Max: 100, Doc: "the band of thickness begins above this, mm"},
	{Name: "thickness_upto_mm", Kind: data.Number, Min: 1, Max: 100, Doc: "and ends here, mm; empty = no end"},
	{Name: "group", Kind: data.Word, Required: true, Of: groups, Doc: "susceptibility group"},
	{Name: "preheat_c", Kind: data.Number, Required: true, Min: 0, Max: 250, Doc: "least preheat and interpass, degC"},
	{Name: "below", Kind: data.Word, Of: []string{"yes"}, Doc: "yes: the table prints less than this"},
	{Name: "source", Required: true, Doc: "where the cell was read"},
	{Name: "mark", Required: true, Doc: "how firmly the cell is held"},
}}

func loadHydrogenControl(files fs.FS, marks data.Marks, faults *data.Faults) *hydrogenControl {
	h := &hydrogenControl{}
	h.loadGroups(files, marks, faults)
	h.loadCells(files, marks, faults)
	return h
}

func (h *hydrogenControl) loadGroups(files fs.FS, marks data.Marks, faults *data.Faults) {
	for _, row := range data.Read(files, groupSchema, faults).Rows {
		marks.Check(row, "mark")
		level, g := slices.Index(hydrogenLevels, row.Text("hydrogen_level")), slices.Index(groups, row.Text("group"))
		below := row.Value("pcm_below", 0)
		if level < 0 || g < 0 {
			continue
		}
		n := len(h.groups[level])
		if level == 0 {
			h.bands = append(h.bands, below)
		}
		if n >= len(h.bands) || h.bands[n] != below || n > 0 && (h.bands[n] <= h.bands[n-1] || g <= h.groups[level][n-1]) {
			row.Fault("pcm_below", "the bands and groups of a level must rise, and be those of H1")
			continue
		}
		h.levels[level] = row.Value("hydrogen_ml", 0)
		h.groups[level] = append(h.groups[level], g)
	}
	for i, level := range hydrogenLevels {
		if len(h.bands) == 0 || len(h.groups[i]) != len(h.bands) {
			faults.Add(groupSchema.File, 0, "hydrogen_level", "%s has %d bands, not %d", level, len(h.groups[i]), len(h.bands))
		}
	}
}

func (h *hydrogenControl) loadCells(files fs.FS, marks data.Marks, faults *data.Faults) {
	rows := data.Read(files, coldSchema, faults).Rows
	for _, row := range rows {
		if upto := row.Value("thickness_upto_mm", math.Inf(1)); !slices.Contains(h.upto, upto) {
			h.upto = append(h.upto, upto)
		}
	}
	slices.Sort(h.upto)
	for i := range h.cells {
		h.cells[i] = make([][7]coldCell, len(h.upto))
	}
	for _, row := range rows {
		marks.Check(row, "mark")
		r, g := slices.Index(restraints, row.Text("restraint")), slices.Index(groups, row.Text("group"))
		band := slices.Index(h.upto, row.Value("thickness_upto_mm", math.Inf(1)))
		if r < 0 || g < 0 {
			continue
		}
		if over := row.Value("thickness_over_mm", 0); band == 0 && over != 0 || band > 0 && over != h.upto[band-1] {
			row.Fault("thickness_over_mm", "%g does not join the band before", over)
		}
		h.cells[r][band][g] = coldCell{row.Value("preheat_c", 0), row.Text("below") != "", true}
	}
	h.checkCells(faults)
}

// checkCells wants every cell, rising with group, thickness and restraint.
func (h *hydrogenControl) checkCells(faults *data.Faults) {
	for r := range h.cells {
		for band := range h.cells[r] {
			for g, cell := range h.cells[r][band] {
				place := fmt.Sprintf("%s restraint, up to %g mm, group %s", restraints[r], h.upto[band], groups[g])
				switch {
				case !cell.given:
					faults.Add(coldSchema.File, 0, "preheat_c", "%s has no row", place)
				case g > 0 && cell.preheat < h.cells[r][band][g-1].preheat, band > 0 && cell.preheat < h.cells[r][band-1][g].preheat,
					r > 0 && cell.preheat < h.cells[r-1][band][g].preheat:
					faults.Add(coldSchema.File, 0, "preheat_c", "%s is colder than an easier case", place)
				}
			}
		}
	}
}

// groupOf is the susceptibility group of a band of Pcm, given its upper bound; beyond the last band it is G.
func (h *hydrogenControl) groupOf(below float64, level int) int {
	for i, bound := range h.bands {
		if below <= bound {
			return h.groups[level][i]
		}
	}
	return len(groups) - 1
}

func (h *hydrogenControl) cell(restraint int, thickness float64, group int) coldCell {
	for i, upto := range h.upto {
		if thickness <= upto {
			return h.cells[restraint][i][group]
		}
	}
	return coldCell{}
}

// hydrogenGroup is the susceptibility group of the hydrogen control method of AWS D1.1, a letter A to G.
//
//	bands of Pcm below 0.18, 0.23, 0.28, 0.33, 0.38: H1 A B C D E, H2 B C D E F, H3 C D E F G
//
// Inputs: Pcm_less_than, the bound below which Pcm lies, or Pcm itself, in wt%; hydrogen_level H1, H2 or H3. Both
// must be given.
// Range: Pcm_less_than 0-0.38, Pcm 0-0.38.
// Outside it: group G with a warning. Pcm not above zero: refused.
// Source: AWS D1.1:2004 annex XI (one cell seen in a worked example, the rest memory).
// Rival: aws_susceptibility_index with its groups by number.
func (s *Set) hydrogenGroup() Formula {
	last := s.hydrogen.bands[len(s.hydrogen.bands)-1]
	return Formula{
		ID: "aws_hydrogen_group", Mark: "partly-seen", Words: groups,
		Source: "AWS D1.1:2004 annex XI: worked example in AWS forum topic pid=129522 (one cell), memory (the rest)",
		Inputs: []Input{quantity(pcmBelow, "Pcm_less_than", "wt%", 0, last).must().or("Pcm").above(0), quantity(pcmValue, "Pcm", "wt%", 0, last).only(),
			word(hydrogenLevel, "hydrogen_level", hydrogenLevels)},
		Eval: func(x Values) float64 {
			below := x[pcmBelow]
			if below == 0 {
				below = math.Nextafter(x[pcmValue], math.Inf(1))
			}
			return float64(s.hydrogen.groupOf(below, int(x[hydrogenLevel])))
		},
	}
}

// hydrogenPreheat is the least preheat of the hydrogen control method of AWS D1.1, in degF to the nearest 5.
//
//	the cell of the table for restraint, thickness and group
//
// Inputs: group A to G, restraint low, medium or high, thickness_in (or thickness_mm). All must be given.
// Range: thickness_mm 3-250.
// Outside it: the value with a warning. Thickness not above zero: refused. The printed customary table differs by up
// to 5 degF in some cells.
// Source: AWS D1.1:2004 annex XI (one cell seen in a worked example, the rest memory).
// Rival: PreheatMethodB, which knows the heat input.
func (s *Set) hydrogenPreheat() Formula {
	return Formula{
		ID: "aws_hydrogen_preheat_F", Unit: "degF", Mark: "partly-seen",
		Source: "AWS D1.1:2004 annex XI: worked example in AWS forum topic pid=129522 (one cell), memory (the rest)",
		Inputs: []Input{word(group, "group", groups), word(restraint, "restraint", restraints),
			lengthMM(thickness, "thickness_mm", "thickness_in", 3, 250).must()},
		Eval: func(x Values) float64 {
			cell := s.hydrogen.cell(int(x[restraint]), x[thickness], int(x[group]))
			return math.Round(float64(measure.Celsius(cell.preheat).Fahrenheit())/5) * 5
		},
		Notes: func(x Values, _ float64) []string {
			if s.hydrogen.cell(int(x[restraint]), x[thickness], int(x[group])).below {
				return []string{"the table prints less than this: no preheat is needed at ordinary temperatures"}
			}
			return nil
		},
	}
}

// HydrogenControl is the least preheat and interpass of the hydrogen control method of AWS D1.1 for a Pcm in
// wt%, diffusible hydrogen in ml/100 g, a restraint (low, medium, high) and a thickness. ok is false outside the
// bands of Pcm, where the last group stands. none means that the table prints less than the figure.
func (s *Set) HydrogenControl(pcm, hydrogen float64, restraint string, thickness measure.MM) (preheat measure.Celsius, group string, none, ok bool) {
	r := slices.Index(restraints, restraint)
	if r < 0 || !(thickness > 0) || !(pcm >= 0) {
		return 0, "", false, false
	}
	level := 0
	for level < len(hydrogenLevels)-1 && !(hydrogen < s.hydrogen.levels[level]) {
		level++
	}
	g := s.hydrogen.groupOf(math.Nextafter(pcm, math.Inf(1)), level)
	cell := s.hydrogen.cell(r, float64(thickness), g)
	return measure.Celsius(cell.preheat), groups[g], cell.below, pcm < s.hydrogen.bands[len(s.hydrogen.bands)-1]
}
