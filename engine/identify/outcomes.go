package identify

import (
	"math"
	"slices"
	"sort"
	"strings"

	"rodcall/engine/data"
	"rodcall/engine/observation"
)

// testRow is one row of tests.csv: a test that may be proposed.
type testRow struct {
	test    string
	key     string // observation key that it answers
	minutes float64
	needs   []string
	how     string
	seen    []string // the outcomes in the rep's words, in the order of the model's outcomes
}

var testSchema = data.Schema{File: "tests.csv", Key: []string{"test"}, Columns: []data.Column{
	{Name: "test", Required: true, Doc: "observation key, hardness and chem split by instrument"},
	{Name: "key", Required: true, Doc: "observation key that the test answers"},
	{Name: "minutes", Kind: data.Number, Min: 0.1, Max: 100000, Required: true},
	{Name: "needs", Kind: data.List, Doc: "equipment"},
	{Name: "how", Required: true, Doc: "place on the part, tool, compare with what"},
	{Name: "outcomes", Kind: data.List, Sep: "|", Required: true, Doc: "what is seen, in the order of the model's outcomes"},
	{Name: "hazards", Kind: data.List, Doc: "caution ids"},
	{Name: "source", Required: true}, {Name: "mark", Required: true},
}}

// truckKit is what every rep has.
var truckKit = []string{"magnet", "grinder", "file", "hammer", "chisel"}

// Tools lists the equipment that tests ask for, in the order of tests.csv.
func (m *Model) Tools() []string {
	var out []string
	for _, t := range m.tests {
		for _, need := range t.needs {
			if !slices.Contains(out, need) {
				out = append(out, need)
			}
		}
	}
	return out
}

func (m *Model) loadTests(in input) {
	m.loadClasses()
	for _, row := range in.read(testSchema) {
		t := testRow{test: row.Text("test"), key: row.Text("key"), minutes: row.Value("minutes", 1), needs: row.List("needs"),
			how: row.Text("how"), seen: row.List("outcomes")}
		if want := m.outcomeCount(t.test); want == 0 {
			row.Fault("test", "unknown test %q", t.test)
		} else if want > 0 && want != len(t.seen) {
			row.Fault("outcomes", "%d outcomes, the model has %d", len(t.seen), want)
		}
		m.tests = append(m.tests, t)
	}
}

// outcomeCount is how many outcomes the model knows of a test; -1 for an analysis, whose outcomes are the
// groups of alloys that still count; 0 for an unknown test.
func (m *Model) outcomeCount(test string) int {
	switch test {
	case "magnet":
		return len(observation.MagnetWords)
	case "spark":
		return len(sparkClasses)
	case "file":
		return len(observation.FileWords)
	case "chip":
		return len(observation.ChipWords)
	case "hardness-rebound", "hardness-indent":
		return len(hardnessClasses)
	case "density_g_cm3":
		return len(densityEdges) - 1
	case "xrf", "libs", "lab":
		return -1
	}
	if t := m.word(test); t != nil {
		return len(t.said)
	}
	return 0
}

// possible says whether the test can be done, and is safe here.
func (t *testRow) possible(o *observation.Observation, w Wanted) bool {
	if slices.Contains(w.Forbidden, t.test) {
		return false
	}
	tools := w.Tools
	if tools == nil {
		tools = truckKit
	}
	for _, need := range t.needs {
		if !slices.Contains(tools, need) && !slices.Contains(o.Test, need) {
			return false
		}
	}
	return true
}

// answered says whether the observation holds the answer already.
func (t *testRow) answered(o *observation.Observation) bool {
	switch t.key {
	case "magnet":
		return o.Magnet != ""
	case "spark":
		return o.Spark != nil
	case "file":
		return o.File != ""
	case "chip":
		return o.Chip != ""
	case "hardness":
		return len(o.Hardness) > 0
	case "chem":
		return len(o.Chem) > 0 && (t.test != "lab" || o.ChemMethod == "lab" || o.ChemMethod == "certificate")
	case "density_g_cm3":
		return o.DensityGCM3 != nil
	case "rust":
		return o.Rust != ""
	case "color":
		return len(o.Color) > 0
	case "fracture":
		return len(o.Fracture) > 0
	case "sound":
		return o.Sound != ""
	case "weight":
		return o.Weight != ""
	case "surface":
		return len(o.Surface) > 0
	default:
		return false
	}
}

// outcomes are the chance of each outcome on each grade, lapses inside; those of a grade sum to 1. What depends
// on the message is computed for the active grades only.
func (m *Model) outcomes(t *testRow, r *Result, s *Scratch) [][]float64 {
	switch t.test {
	case "magnet":
		return m.magnet.plain
	case "spark":
		return m.spark.outcomes
	case "file", "chip", "hardness-rebound", "hardness-indent":
		return m.testerOutcomes(t.test, s)
	case "density_g_cm3":
		return m.densities
	case "xrf", "libs", "lab":
		return m.analysisOutcomes(t.test, r, s)
	default:
		return m.word(t.test).plain
	}
}

// table is a matrix over one array.
func table(rows, columns int) [][]float64 {
	flat := make([]float64, rows*columns)
	out := make([][]float64, rows)
	for r := range out {
		out[r] = flat[r*columns : (r+1)*columns : (r+1)*columns]
	}
	return out
}

// table is a matrix in the scratch's own memory, with whatever stood there, good until the next outlook.
func (k *outlookScratch) table(rows, columns int) [][]float64 {
	if need := k.at + rows*columns; need > len(k.memory) {
		k.memory, k.at = make([]float64, max(2*len(k.memory), rows*columns, 1<<14)), 0
	}
	from := len(k.heads)
	for range rows {
		row := k.memory[k.at : k.at+columns : k.at+columns]
		k.heads, k.at = append(k.heads, row), k.at+columns
	}
	return k.heads[from : from+rows : from+rows]
}

// sparkClass is one way in which a rep sums up a stream: how full, and how much it bursts.
type sparkClass struct{ volume, bursts []int }

// sparkClasses part the streams: none; thin, fair and full, each with hardly any, some or many bursts.
var sparkClasses = func() []sparkClass {
	out := []sparkClass{{[]int{0}, []int{0, 1, 2, 3, 4}}}
	for _, v := range [][]int{{1, 2}, {3, 4}, {5, 6}} {
		for _, b := range [][]int{{0}, {1, 2}, {3, 4}} {
			out = append(out, sparkClass{v, b})
		}
	}
	return out
}()

// fillOutcomes computes, at load, the chance of each summed-up stream on each grade, lapse inside.
func (s *sparkModel) fillOutcomes(m *Model) {
	s.outcomes = table(len(sparkClasses), m.n)
	lapse := m.observers["spark"].lapse
	for c, class := range sparkClasses {
		row, back := s.outcomes[c], 0.0
		for g := range s.grades {
			s.each(g, func(a *appearance, weight float64) {
				row[g] += weight * some(a.stream[volume], class.volume) * some(a.stream[bursts], class.bursts)
			})
			back += m.base[g] * row[g]
		}
		for g, p := range row {
			row[g] = (1-lapse)*p + lapse*back
		}
	}
}

func some(row []float64, words []int) float64 {
	sum := 0.0
	for _, w := range words {
		sum += row[w]
	}
	return sum
}

// hardnessClasses are the upper edges (HB) of what a tester's reading is summed up to.
var hardnessClasses = []float64{110, 170, 230, 300, 400, 550, 2000}

// testerOutcomes are the answers of file, chisel or tester, given what the others said of the hidden hardness.
func (m *Model) testerOutcomes(test string, s *Scratch) [][]float64 {
	h := &m.hardness
	joint, told := m.jointHidden(s)
	if !told {
		return h.outright(test)
	}
	weight := s.hidden.said
	said := h.said(test, 0)
	out := s.outlook.table(len(said), m.n)
	for _, g := range s.outlook.active {
		row := h.grades[g]
		total := 0.0
		for b, p := range row {
			weight[b] = p * joint[b]
			total += weight[b]
		}
		if test == "chip" {
			said = h.said(test, m.family[g])
		}
		for o := range said {
			out[o][g] = dot(weight, said[o]) / total
		}
	}
	return out
}

// jointHidden is what file and tester said so far, by bin, and whether they said anything.
func (m *Model) jointHidden(s *Scratch) (joint []float64, told bool) {
	joint = s.hidden.joint
	for b := range joint {
		joint[b] = 1
	}
	for i := range s.used {
		for _, x := range s.groups[i].members {
			switch x.key {
			case "file":
				multiply(joint, s.hidden.file)
				told = true
			case "hardness":
				multiply(joint, s.hidden.hard)
				told = true
			}
		}
	}
	return joint, told
}

// outright is outcome × grade: what is said of a grade of which neither file nor tester said anything.
func (h *hardnessModel) outright(test string) [][]float64 {
	switch test {
	case "chip":
		return h.outrightChip
	case "file":
		return h.outrightFile
	default:
		return h.outrightHard
	}
}

// fillOutright computes these at load.
func (h *hardnessModel) fillOutright(m *Model) {
	rows := func(test string) [][]float64 {
		out := table(len(h.said(test, 0)), m.n)
		for g, row := range h.grades {
			for o, said := range h.said(test, m.family[g]) {
				out[o][g] = dot(row, said)
			}
		}
		return out
	}
	h.outrightChip, h.outrightFile, h.outrightHard = rows("chip"), rows("file"), rows("hardness-indent")
}

// said is outcome × bin: what is said of a piece in each bin, of the chip by family.
func (h *hardnessModel) said(test string, family int) [][]float64 {
	switch test {
	case "chip":
		return h.plainChip[family]
	case "file":
		return h.plainFile
	default:
		return h.plainHard
	}
}

// fillPlain computes, at load, the chance of each file word and each summed-up reading by bin, lapse inside.
func (h *hardnessModel) fillPlain(m *Model) {
	chip := m.observers["chip"]
	for f := range h.chip {
		rows := table(len(h.chipRows), len(h.bins))
		for w := range rows {
			for b := range rows[w] {
				rows[w][b] = (1-chip.lapse)*h.chipRows[w][f][b] + chip.lapse*h.backChip[w]
			}
		}
		h.plainChip = append(h.plainChip, rows)
	}
	by := m.observers["file"]
	h.plainFile = table(len(h.file), len(h.bins))
	for w, row := range h.file {
		for b, p := range row {
			h.plainFile[w][b] = (1-by.lapse)*p + by.lapse*h.backFile[w]
		}
	}
	lapse := m.observers["hardness"].lapse
	h.plainHard = table(len(hardnessClasses), len(h.bins))
	back := make([]float64, len(hardnessClasses))
	for b, middle := range h.bins {
		below := 0.0
		for c, edge := range hardnessClasses {
			up := 0.5 * (1 + math.Erf(math.Log(edge/middle)/(h.sigma*math.Sqrt2)))
			if c == len(hardnessClasses)-1 {
				up = 1
			}
			h.plainHard[c][b] = up - below
			back[c] += h.backHard[b] * (up - below)
			below = up
		}
	}
	for c := range h.plainHard {
		for b := range h.plainHard[c] {
			h.plainHard[c][b] = (1-lapse)*h.plainHard[c][b] + lapse*back[c]
		}
	}
}

// densityEdges part a weighing (g/cm3): magnesium, aluminium, titanium, zinc and light irons, steels, copper alloys, lead, carbide.
var densityEdges = []float64{0.5, 2.2, 3.6, 6.0, 7.5, 8.05, 9.5, 12.5, 25}

// densityOutcomes computes, at load, the chance of each step of a weighing on each grade, lapse inside.
func (m *Model) densityOutcomes() [][]float64 {
	out := table(len(densityEdges)-1, m.n)
	by := m.observers["density_g_cm3"]
	back := 1 / float64(len(out))
	for g, density := range m.density {
		below := 0.0
		for c := range out {
			up := 0.5 * (1 + math.Erf(math.Log(densityEdges[c+1]/density)/(m.weighing*math.Sqrt2)))
			if c == len(out)-1 {
				up = 1
			}
			out[c][g] = (1-by.lapse)*(up-below) + by.lapse*back
			below = up
		}
	}
	return out
}

// analysisClass is a group of grades that an analysis shows alike.
type analysisClass struct {
	method string
	of     []int // grade → class
	names  []string
}

// analysisCuts part the share of an element (wt%) into steps that an analyst would call different.
var analysisCuts = []struct {
	element string
	cuts    []float64
}{
	{"Cr", []float64{0.4, 2, 4, 10, 15.5, 20.5}}, {"Ni", []float64{0.6, 2.5, 6, 16}}, {"Mo", []float64{0.1, 0.7, 1.8}}, {"Mn", []float64{1.3, 4, 9}},
	{"W", []float64{1}}, {"Si", []float64{1.2, 4}}, {"Cu", []float64{1, 5}}, {"Sn", []float64{2}}, {"Zn", []float64{3}}, {"Al", []float64{3}}, {"Pb", []float64{1}}, {"Mg", []float64{0.3, 2}},
}

// carbonCuts are the limits of the contract's carbon families, and the irons.
var carbonCuts = []float64{0.305, 0.605, 1.7}

func (m *Model) loadClasses() {
	for _, method := range []string{"xrf", "libs", "lab"} {
		c := analysisClass{method: method, of: make([]int, m.n)}
		index := map[string]int{}
		for g := range m.cat.Grades {
			name := m.signature(method, g)
			if _, ok := index[name]; !ok {
				index[name] = len(c.names)
				c.names = append(c.names, name)
			}
			c.of[g] = index[name]
		}
		m.classes = append(m.classes, c)
	}
}

// signature names what an analysis of a grade would show: its balance metal and what else is high.
func (m *Model) signature(method string, g int) string {
	grade := &m.cat.Grades[g]
	parts := []string{grade.Balance}
	for _, cut := range analysisCuts {
		if cut.element == grade.Balance {
			continue
		}
		if step := sort.SearchFloat64s(cut.cuts, middle(grade, cut.element)); step > 0 {
			parts = append(parts, cut.element+strings.Repeat("+", step))
		}
	}
	if method != "xrf" && grade.Balance == "Fe" {
		parts = append(parts, "C"+strings.Repeat("+", sort.SearchFloat64s(carbonCuts, middle(grade, "C"))))
	}
	return strings.Join(parts, " ")
}

// analysisOutcomes are the groups that still count, those of less than one in a hundred taken together;
// the shot's lapse shows any of them.
func (m *Model) analysisOutcomes(method string, r *Result, s *Scratch) [][]float64 {
	var c *analysisClass
	for i := range m.classes {
		if m.classes[i].method == method {
			c = &m.classes[i]
		}
	}
	k, groups := &s.outlook, 1
	k.mass = slices.Grow(k.mass[:0], len(c.names))[:len(c.names)]
	k.place = slices.Grow(k.place[:0], len(c.names))[:len(c.names)]
	clear(k.mass)
	for _, g := range k.active {
		k.mass[c.of[g]] += r.Grades[g]
	}
	for i, p := range k.mass {
		k.place[i] = 0
		if p >= 0.01 {
			k.place[i] = groups
			groups++
		}
	}
	lapse := m.observers[chemKey(method)].lapse
	out := k.table(groups, m.n)
	other := lapse / float64(groups)
	for _, row := range out {
		for _, g := range k.active {
			row[g] = other
		}
	}
	for _, g := range k.active {
		out[k.place[c.of[g]]][g] += 1 - lapse
	}
	return out
}
