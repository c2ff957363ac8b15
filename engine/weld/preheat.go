package weld

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"rodcall/engine/formula"
	"rodcall/engine/measure"
	"rodcall/engine/metal"
)

// Suppositions about a joint that nobody described (judgement): plate of a common part, a dry basic rod,
// an ordinary stick bead, a repair that is held on two sides.
const (
	usualThickness = 12.7 // mm, half an inch: plate and castings
	usualSection   = 20.0 // mm: the alloy bar of the tables by grade, which is met as shafts and gears
	usualHydrogen  = 5.0  // ml per 100 g of deposit: basic electrodes kept dry
	h4Hydrogen     = 4.0  // a lot marked H4
	dampHydrogen   = 10.0 // no low-hydrogen lot to be had
	openHydrogen   = 20.0 // rutile and cellulosic electrodes: over 15, the end of method B (hydrogen scale A, memory)
	usualHeat      = 1.5  // kJ/mm
	usualRestraint = "medium"
)

// Range of EN 1011-2 method B: carbon equivalent, carbon and plate (formula.PreheatMethodB, formula.CET).
const (
	leastCET, mostCET     = 0.2, 0.5
	mostCarbonB           = 0.32
	leastPlate, mostPlate = 10.0, 90.0
)

const (
	coveredShare    = 0.90  // of what the metal may be, the preheat covers so much (judgement)
	tracedGrade     = 0.001 // a grade below this does not enter
	richShare       = 0.05  // of the heats of a grade that count as the rich end of its limits, the rest as the middle (judgement)
	openMiddle      = 0.70  // of the greatest carbon or manganese of limits without a least, where heats usually lie (judgement)
	openAlloy       = 0.35  // the same for the other elements, which one heat never holds all at their most (judgement)
	greatestPreheat = 900   // C: bound of procedures.csv
	leastPreheat    = 10.0  // C: dry and not frozen
	roomAbove       = 50.0  // C: how far above its least a preheat may go where no band says it (judgement)
	basisLetters    = 90    // of the basis, for a phone
	sameHeat        = 25.0  // C: a metal that wants no more than this above the figure is not named
)

// hydrogenFamilies are the families whose preheat is one against hydrogen cracking, which method B computes.
var hydrogenFamilies = []string{"low-carbon-steel", "medium-carbon-steel", "high-carbon-steel", "free-machining-steel",
	"hsla-structural-steel", "low-alloy-steel", "quenched-tempered-plate", "cast-steel"}

// tableRow is one row of the published tables by grade: up to a thickness, the least preheat.
type tableRow struct{ upto, low float64 }

// gradeHeat is what is worked out of a grade once: carbon and CET at the middle and at the rich end of its limits.
type gradeHeat struct {
	group        int32 // its heat group
	computed     bool  // of the families whose preheat method B computes
	middle, rich makeup
	table        []tableRow // rising thickness; empty when no table with a stated process or hardening names it
	cautious     float64    // least preheat of the old charts without thickness, C; 0 when none
	ce, pcm      float64    // CE(IIW) and Pcm at the middle
	designation  string
	alloyInRange bool // the other elements lie in the range of CET
}

type makeup struct{ carbon, cet float64 }

// loadPreheats works out every grade.
func (b *Book) loadPreheats(tables *formula.Set) {
	b.formulas = tables
	b.gradeHeats = make([]gradeHeat, len(b.catalogue.Grades))
	b.middles = make([]formula.Values, len(b.catalogue.Grades))
	for i := range b.catalogue.Grades {
		b.gradeHeats[i] = heatOfGrade(&b.catalogue.Grades[i], tables)
		b.middles[i], _ = middleOf(&b.catalogue.Grades[i])
		b.onDiagram = append(b.onDiagram, readByDiagram(&b.catalogue.Grades[i]))
		b.gradeHeats[i].group = b.heatOf[b.baseOf[i]]
	}
}

func heatOfGrade(g *metal.Grade, tables *formula.Set) gradeHeat {
	name, _, _ := strings.Cut(g.Designations[0], ";")
	out := gradeHeat{designation: name, computed: slices.Contains(hydrogenFamilies, g.Family)}
	for _, designation := range g.Designations {
		if out.addTable(tables.PreheatByGrade(designation, 0)) {
			break
		}
	}
	if !out.computed {
		return out
	}
	out.fill(middleOf(g))
	return out
}

// fill works out what the preheat needs of a composition, wt%: its middle and its rich end.
func (g *gradeHeat) fill(middle, rich formula.Values) {
	g.middle, g.rich = makeupOf(middle), makeupOf(rich)
	g.ce, g.pcm = formula.CEIIW.Eval(middle), formula.Pcm.Eval(middle)
	g.alloyInRange = middle[formula.Cr] <= 1.5 && middle[formula.Mo] <= 0.75 && middle[formula.Ni] <= 2.5 && middle[formula.Mn] <= 1.9
}

// heatOfGradeAt is what is worked out of a grade, by the analysis of the part where there is one.
func (b *Book) heatOfGradeAt(grade int, s *situation) *gradeHeat {
	if !s.analysis.given {
		return &b.gradeHeats[grade]
	}
	g := b.gradeHeats[grade].measured(b, grade, &s.analysis)
	return &g
}

// middleOf is where the heats of a grade usually lie within its limits, and the rich end of them, wt%.
func middleOf(g *metal.Grade) (middle, rich formula.Values) {
	least, rich := formula.LimitsOf(g.Composition)
	middle = formula.Between(least, rich, 0.5)
	for k := range formula.Elements {
		if least[k] > 0 {
			continue
		}
		if middle[k] = openAlloy * rich[k]; k == int(formula.C) || k == int(formula.Mn) {
			middle[k] = openMiddle * rich[k]
		}
	}
	return middle, rich
}

func makeupOf(x formula.Values) makeup { return makeup{x[formula.C], formula.CET.Eval(x)} }

// addTable keeps the rows for a low-hydrogen process or a stated hardening, and of the old charts, which know no
// thickness, the figure as the cautious end.
func (g *gradeHeat) addTable(rows []formula.PreheatRow) bool {
	for _, row := range rows {
		switch {
		case !row.Low.Given || len(row.Names) == 0:
		case row.Method == "by_grade_thickness" || strings.Contains(row.Condition, "low-hydrogen") || strings.Contains(row.Condition, "interpass"):
			g.table = append(g.table, tableRow{row.Thickness.High, float64(row.Low.C)})
		default:
			g.cautious = max(g.cautious, float64(row.Low.C))
		}
	}
	slices.SortStableFunc(g.table, func(x, y tableRow) int {
		return cmp.Or(cmp.Compare(x.upto, y.upto), cmp.Compare(x.low, y.low))
	})
	return len(rows) > 0
}

// basis says where a preheat comes from.
type basis uint8

const (
	byProcedure basis = iota
	byTable
	byMethodB
	byEndOfB
)

var basisText = []string{"usual practice", "table by grade", "EN 1011-2 method B", "end of EN 1011-2 method B"}

// joint is what the preheat depends on besides the metal, and its method B, which is a straight line in CET.
type joint struct {
	thickness, hydrogen, heat float64
	section                   float64 // thickness at which a table by grade is read, mm
	told                      bool    // the thickness was told
	atLeast, atMost           float64 // method B at the ends of its range of CET, C
}

// Conditions describe the joint of a preheat; what is zero is taken from the observation, else supposed.
type Conditions struct {
	ThicknessMM float64
	Hydrogen    float64 // ml per 100 g of deposit
	HeatInput   float64 // kJ/mm
	Restraint   string  // low | medium | high
	TriedC      float64 // a preheat that is asked about, C; 0 when none is
}

func (s *situation) jointOf(c Conditions) joint {
	j := joint{thickness: c.ThicknessMM, hydrogen: c.Hydrogen, heat: c.HeatInput}
	if j.thickness <= 0 {
		j.thickness = s.thickness
	}
	if j.told = j.thickness > 0; !j.told {
		j.thickness, j.section = usualThickness, usualSection
	} else {
		j.section = j.thickness
	}
	switch {
	case j.hydrogen > 0:
	case s.met&h4 != 0:
		j.hydrogen = h4Hydrogen
	case s.can&h4 == 0:
		j.hydrogen = dampHydrogen
	default:
		j.hydrogen = usualHydrogen
	}
	if j.heat <= 0 {
		j.heat = usualHeat
	}
	plate := measure.MM(min(max(j.thickness, leastPlate), mostPlate))
	j.atLeast = float64(formula.MethodB(leastCET, plate, j.hydrogen, j.heat))
	j.atMost = float64(formula.MethodB(mostCET, plate, j.hydrogen, j.heat))
	return j
}

// methodB is the equation held at the ends of its range of CET, in C, up to the next five.
func (j *joint) methodB(cet float64) float64 {
	share := (min(max(cet, leastCET), mostCET) - leastCET) / (mostCET - leastCET)
	return max(leastPreheat, 5*math.Ceil((j.atLeast+share*(j.atMost-j.atLeast))/5))
}

// need is the least preheat of a grade: method B in its range, else the table by grade, else the procedure. Below
// the range of CET it is never more than at its start, above it never less than at its end. What the metal takes
// without harm caps it always.
func (g *gradeHeat) need(x makeup, m *method, j *joint) (float64, basis) {
	own := m.when&(ofHardface|ofOverlay|ofBraze) != 0 || m.name != "" && m.name != "hot"
	table, tabled := 0.0, false
	if !own && len(g.table) > 0 {
		table, tabled = g.tableAt(j.section), true
	}
	if !g.computed || own || x.carbon <= 0 {
		if tabled {
			return min(table, m.acceptMax), byTable
		}
		return m.min, byProcedure
	}
	figure, by := j.methodB(x.cet), byMethodB
	switch {
	case x.cet < leastCET:
		figure, by = min(figure, max(m.min, leastPreheat)), byProcedure
	case x.cet <= mostCET && x.carbon <= mostCarbonB && g.alloyInRange:
	case tabled:
		figure, by = max(figure, table), byTable
	case figure < m.min:
		figure, by = m.min, byProcedure
	default:
		by = byEndOfB
	}
	return min(figure, m.acceptMax), by
}

// tableAt is the least preheat of the table at a thickness; beyond its last row that row stands.
func (g *gradeHeat) tableAt(thickness float64) float64 {
	figure := 0.0
	for _, row := range g.table {
		if figure = max(figure, row.low); thickness <= row.upto {
			break
		}
	}
	return figure
}

// call is one metal's least preheat with its chance.
type call struct {
	p     float64
	need  int16 // C, up to the next degree
	of    int16 // index into the heated groups
	grade int16 // -1: the group as a whole
	by    basis
}

// calls lists what each grade of the heated metals asks for.
func (b *Book) calls(h []heated, s *situation, j *joint) []call {
	place := make([]int16, len(b.heatGroups))
	mass := make([]float64, len(h))
	for i := len(h) - 1; i >= 0; i-- {
		place[h[i].group] = int16(i + 1)
	}
	count := 0
	for i, p := range s.grades {
		if p < tracedGrade {
			continue
		}
		if k := place[b.gradeHeats[i].group]; k > 0 {
			mass[k-1] += p
			count++
		}
	}
	out := make([]call, 0, 2*count+len(h))
	for i, p := range s.grades {
		if p < tracedGrade {
			continue
		}
		k := place[b.gradeHeats[i].group] - 1
		if k < 0 || h[k].method == nil {
			continue
		}
		g := b.heatOfGradeAt(i, s)
		out = g.call(out, call{p: p * h[k].p / mass[k], of: k, grade: int16(i)}, h[k].method, j)
	}
	for k := range h {
		if mass[k] == 0 && h[k].method != nil {
			out = append(out, call{h[k].p, wholeDegrees(h[k].method.min), int16(k), -1, byProcedure})
		}
	}
	return out
}

// call adds what a grade asks for in the middle and at the rich end of its limits.
func (g *gradeHeat) call(out []call, c call, m *method, j *joint) []call {
	need, by := g.need(g.middle, m, j)
	c.need, c.by = wholeDegrees(need), by
	if !g.computed {
		return append(out, c)
	}
	rich := c
	need, by = g.need(g.rich, m, j)
	rich.need, rich.by = wholeDegrees(need), by
	c.p, rich.p = c.p*(1-richShare), rich.p*richShare
	return append(out, c, rich)
}

func wholeDegrees(c float64) int16 { return int16(math.Ceil(c)) }

// coverHeat is the preheat that covers the named share of what the metal may be and leaves out no more than the
// hottest twentieth's bare need, held under what the leading metals take. The basis names where the figure comes
// from, the share, and what stays uncovered and is of the named share.
func (b *Book) coverHeat(h []heated, low, high float64, s *situation) Band {
	j := s.jointOf(Conditions{})
	all := b.calls(h, s, &j)
	band, _, _ := b.cover(h, all, low, high, &j)
	return band
}

// cover is the band with the share that it covers and the place of the deciding call.
func (b *Book) cover(h []heated, all []call, low, high float64, j *joint) (band Band, share float64, decides call) {
	level, decides, total := deciding(h, all, high)
	possible := slices.DeleteFunc(slices.Clone(h), func(x heated) bool { return x.method == nil || x.method.acceptMin > high })
	must := hottest(possible, uncoveredShare, func(m *method) float64 { return m.acceptMin }).method.acceptMin
	band.Min = min(max(float64(level), must, low), high)
	m := h[decides.of].method
	band.Max = max(band.Min, min(m.max, high))
	if float64(level) > m.max {
		band.Max = max(band.Min, min(band.Min+roomAbove, m.acceptMax, high))
	}
	for _, c := range all {
		if serves(h, &c, band.Min) {
			share += c.p / total
		}
	}
	band.Share = min(share, 1)
	band.Hotter, _ = b.uncovered(h, all, band.Min, decides)
	band.Basis = b.basisText(h, band, decides, j)
	return band, share, decides
}

// serves says whether a preheat is hot enough for a call and does not spoil its metal.
func serves(h []heated, c *call, preheat float64) bool {
	m := h[c.of].method
	return float64(c.need) <= preheat+0.5 && (!m.spoils || preheat <= m.acceptMax+0.5)
}

// deciding is the least heat, C, at which the named share of those that can be served is covered, the call of the metal
// that drives it, and the sum of all shares.
func deciding(h []heated, all []call, high float64) (level int, decides call, total float64) {
	var by [greatestPreheat + 1]float64
	fits := 0.0
	for _, c := range all {
		total += c.p
		if h[c.of].method.acceptMin <= high {
			fits += c.p
			by[c.need] += c.p
		}
	}
	for sum := by[0]; level < greatestPreheat && sum < coveredShare*fits-1e-9; sum += by[level] {
		level++
	}
	pull := make([]float64, len(h)) // by metal: what asks for that heat or nearly
	for _, c := range all {
		if h[c.of].method.acceptMin <= high && float64(c.need) > float64(level)-sameHeat {
			pull[c.of] += c.p
		}
	}
	most := -1.0
	for _, c := range all {
		near := int(c.need) <= level && h[c.of].method.acceptMin <= high
		if near && (pull[c.of] > most || pull[c.of] == most && c.of == decides.of && c.need > decides.need) {
			most, decides = pull[c.of], c
		}
	}
	return level, decides, total
}

// basisText is the basis in at most the letters that a phone shows; what does not fit of its end is left out.
func (b *Book) basisText(h []heated, band Band, decides call, j *joint) string {
	g := b.heatGroups[h[decides.of].group]
	text := b.names[g.family].full
	if name := h[decides.of].method.name; name != "" {
		text += ", " + name + " method"
	}
	if decides.by != byProcedure {
		text += ", " + basisText[decides.by]
		if j.told {
			text += " " + degreesFree(j.thickness) + " mm"
		}
	}
	if len(h) > 1 || decides.by == byMethodB {
		text = shorter(text, "; covers "+tenths(band.Share))
	}
	if band.Hotter != "" {
		text = shorter(text, "; "+band.Hotter)
	}
	return text
}

// shorter adds an end to a text where it still fits a phone.
func shorter(text, end string) string {
	if len(text)+len(end) > basisLetters {
		return text
	}
	return text + end
}

// uncovered names the likeliest metal of the named share that wants clearly more than a preheat, and what it wants.
func (b *Book) uncovered(h []heated, all []call, preheat float64, driver call) (text string, ok bool) {
	wants := make([]call, len(h))
	share := make([]float64, len(h)) // of the likeliest grade among them
	for _, c := range all {
		if float64(c.need) > preheat+sameHeat {
			w := &wants[c.of]
			if share[c.of] < c.p {
				share[c.of], w.grade = c.p, c.grade
			}
			w.p, w.need, w.of = w.p+c.p, max(w.need, c.need), c.of
		}
	}
	best := call{}
	for _, w := range wants {
		if w.p > best.p {
			best = w
		}
	}
	if best.p < namedShare {
		return "", false
	}
	family := b.heatGroups[h[best.of].group].family
	if best.grade >= 0 && family == b.heatGroups[h[driver.of].group].family {
		return degrees(float64(best.need)) + " if it is like " + strings.TrimPrefix(b.gradeHeats[best.grade].designation, "AISI/SAE "), true
	}
	return degrees(float64(best.need)) + " if it is " + b.names[family].short, true
}

// tenths says a share as a rep counts: "9 in 10".
func tenths(share float64) string {
	switch n := int(math.Floor(share*10 + 1e-6)); {
	case n >= 10:
		return "all"
	case n < 1:
		return "few"
	default:
		return strconv.Itoa(n) + " in 10"
	}
}

func degreesFree(v float64) string { return strconv.FormatFloat(math.Round(v), 'f', -1, 64) }
