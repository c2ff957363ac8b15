package identify

import (
	"math"
	"slices"
	"strings"

	"rodcall/engine/data"
	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

// fillPrior computes how often a field team meets each grade: the family's share, flattened because
// people write about the part that they are unsure of, times the grade's share in its family.
func (m *Model) fillPrior(in input, mix map[string]float64) {
	m.family = make([]int, m.n)
	m.within = make([]float64, m.n)
	total := make([]float64, len(metal.Families))
	for i, g := range m.cat.Grades {
		m.family[i] = metal.FamilyIndex(g.Family)
		total[m.family[i]] += g.MetWeight
	}
	for i, g := range m.cat.Grades {
		m.within[i] = g.MetWeight / total[m.family[i]]
	}
	flat := m.constants.need(in, "prior_flatten")
	m.general = flatten(m.cat.Prior(mix), flat)
	m.settings = map[string][]float64{}
	for setting, shares := range m.cat.Mix {
		m.settings[setting] = flatten(shares, flat)
	}
	m.base, m.ones = make([]float64, m.n), slices.Repeat([]float64{1}, m.n)
	m.spread(m.general, m.base)
	m.first = make([]int, len(metal.Families)+1)
	for _, f := range m.family {
		m.first[f+1]++
	}
	for f := range metal.Families {
		m.first[f+1] += m.first[f]
	}
	m.constants.need(in, "part_grade_weight")
	m.constants.need(in, "doubtful_name")
	m.named = map[string][]int{}
	known := map[string]int{}
	for i := range m.cat.Parts {
		m.named[m.cat.Parts[i].Name] = namedGrades(m.cat, &m.cat.Parts[i], known)
	}
}

// spread parts family shares over the grades.
func (m *Model) spread(families, out []float64) {
	for g := range out {
		out[g] = families[m.family[g]] * m.within[g]
	}
}

func flatten(shares []float64, exponent float64) []float64 {
	out := make([]float64, len(shares))
	sum := 0.0
	for i, s := range shares {
		out[i] = math.Pow(s, exponent)
		sum += out[i]
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}

// prior writes the prior over grades for a named part, else the general one, and says whether a part
// was used. A part's shares always leave room: for a sister part (its setting's mix) and for the doubt
// of the name itself.
func (m *Model) prior(o *observation.Observation, matches []metal.PartMatch, out []float64) bool {
	matches, key := m.headMark(o, matches)
	if len(matches) == 0 {
		copy(out, m.base)
		return false
	}
	trust := 1 - m.observers[key].lapse - m.observers[key].slip
	var families [64]float64
	left, kind := 1.0, 1.0
	for _, match := range matches {
		left -= match.P
	}
	if named := 1 - left; named > 0 { // a doubtful name still mostly names a thing of that kind
		kind += m.constants["doubtful_name"] * max(left, 0) / named
		left *= 1 - m.constants["doubtful_name"]
	}
	for _, match := range matches {
		match.P *= kind
		sister := m.settings[match.Part.Mix]
		if sister == nil {
			sister = m.general
		}
		for f := range metal.Families {
			families[f] += match.P * (1 - trust) * sister[f]
		}
	}
	for f := range metal.Families {
		families[f] += max(left, 0) * m.general[f]
	}
	m.spread(families[:len(metal.Families)], out)
	for _, match := range matches {
		m.addPartShares(match.Part, match.P*kind*trust, out)
	}
	return true
}

// addPartShares spreads a part's family shares over their grades; the grades that the part's row names
// weigh more beside the others of their family.
func (m *Model) addPartShares(part *metal.Part, p float64, out []float64) {
	named := m.named[part.Name]
	more := m.constants["part_grade_weight"] - 1
	for _, share := range part.Shares {
		f := metal.FamilyIndex(share.ID)
		sum := 1.0
		for _, g := range named {
			if m.family[g] == f {
				sum += more * m.within[g]
			}
		}
		unit := p * share.P / sum
		for g := m.first[f]; g < m.first[f+1]; g++ {
			out[g] += unit * m.within[g]
		}
		for _, g := range named {
			if m.family[g] == f {
				out[g] += unit * more * m.within[g]
			}
		}
	}
}

// namedGrades finds the grades that a part's row names ("1541, 1050; 4140/4340"), by designation.
// known keeps the grade of each wording, since parts name the same ones again and again.
func namedGrades(cat *metal.Catalogue, part *metal.Part, known map[string]int) []int {
	words := strings.FieldsFunc(part.Grades, func(r rune) bool { return strings.ContainsRune(" ;,()/", r) })
	var out []int
	for from := range words {
		for to := min(from+3, len(words)); to > from; to-- {
			wording := strings.Join(words[from:to], " ")
			g, ok := known[wording]
			if !ok {
				g = gradeOf(cat, wording)
				known[wording] = g
			}
			if g < 0 {
				continue
			}
			if !slices.Contains(out, g) {
				out = append(out, g)
			}
			break
		}
	}
	return out
}

// gradeOf is the place of the grade that a wording names, or -1.
func gradeOf(cat *metal.Catalogue, wording string) int {
	_, id, ok := cat.FindMetal(wording)
	if !ok || id == "" {
		return -1
	}
	return slices.IndexFunc(cat.Grades, func(g metal.Grade) bool { return g.ID == id })
}

var headMarkSchema = data.Schema{File: "head_marks.csv", Key: []string{"mark_on_head"}, Columns: []data.Column{
	{Name: "mark_on_head", Required: true, Doc: "the mark as the reader writes it"},
	{Name: "part", Required: true, Doc: "row of parts.csv that the mark selects"},
	{Name: "source", Required: true}, {Name: "mark", Required: true},
}}

func loadHeadMarks(in input, cat *metal.Catalogue) map[string]string {
	out := map[string]string{}
	for _, row := range in.read(headMarkSchema) {
		if _, ok := cat.Part(row.Text("part")); !ok {
			row.Fault("part", "%q is not in parts.csv", row.Text("part"))
		}
		out[row.Text("mark_on_head")] = row.Text("part")
	}
	return out
}

// headMark replaces the part by the row that a head mark selects: one fact, not two.
func (m *Model) headMark(o *observation.Observation, matches []metal.PartMatch) ([]metal.PartMatch, string) {
	for _, mark := range o.Marks {
		if name, ok := m.marks[mark]; ok {
			part, _ := m.cat.Part(name)
			return []metal.PartMatch{{Part: part, P: 1}}, "marks"
		}
	}
	return matches, "part"
}
