package identify

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

// collect turns the observation into groups of evidence, in a fixed order.
func (m *Model) collect(o *observation.Observation, matches []metal.PartMatch, s *Scratch) {
	m.addPart(o, matches, s)
	m.addWord(s, &m.magnet, one(o.Magnet))
	m.addGlance(o, s)
	m.addWord(s, m.word("fracture"), o.Fracture)
	m.addWord(s, m.word("weight"), one(o.Weight))
	m.addDensity(o, s)
	m.addWord(s, m.word("sound"), one(o.Sound))
	m.addWord(s, m.word("torch"), o.Torch)
	m.addSpark(s, "spark", o.Spark)
	m.addSpark(s, "spark_skin", o.SparkSkin)
	m.addTester(o, s)
	m.addWord(s, m.word("color"), o.Color)
	m.addChem(o, s)
	m.addClaims(o, s)
	m.addExcluded(o, s)
}

func one(word string) []string {
	if word == "" {
		return nil
	}
	return []string{word}
}

func (m *Model) word(key string) *wordTest {
	for i := range m.words {
		if m.words[i].key == key {
			return &m.words[i]
		}
	}
	return nil
}

// addPart adds the named part as evidence: its prior against the general one.
func (m *Model) addPart(o *observation.Observation, matches []metal.PartMatch, s *Scratch) {
	g := s.next(m.n)
	row := g.own(m.n)
	if !m.prior(o, matches, row) {
		s.used--
		return
	}
	key, value := "part", o.Part
	for _, mark := range o.Marks {
		if _, ok := m.marks[mark]; ok {
			key, value = "marks", mark
		}
	}
	for i := range row {
		row[i] /= m.base[i]
	}
	g.members = append(g.members, member{key: key, value: value, row: row, back: 1, outside: 1})
}

// fact makes a member of the words said; several words of one key are held as "one of these".
func (m *Model) fact(t *wordTest, words []string, row []float64) (member, bool) {
	x := member{key: t.key, value: strings.Join(words, ", ")}
	known := 0.0
	for _, word := range words {
		w := t.index(word)
		if w < 0 {
			continue
		}
		known++
		x.back += t.back[w]
		x.lapse = max(x.lapse, t.lapse[w])
		x.row = t.rows[w]
		if len(words) > 1 {
			for g, p := range t.rows[w] {
				if known == 1 {
					row[g] = 0
				}
				row[g] += p / float64(len(words))
			}
			x.row = row
		}
	}
	if known == 0 {
		return x, false
	}
	x.back /= known
	x.outside = x.back // a word says nothing of a metal that the catalogue lacks
	return x, true
}

func (m *Model) addWord(s *Scratch, t *wordTest, words []string) {
	if len(words) == 0 {
		return
	}
	g := s.next(m.n)
	x, ok := m.fact(t, words, g.own(m.n))
	if !ok {
		s.used--
		return
	}
	g.members = append(g.members, x)
}

// addGlance adds rust and surface: one look at one dirty face, one lapse.
func (m *Model) addGlance(o *observation.Observation, s *Scratch) {
	if o.Rust == "" && len(o.Surface) == 0 {
		return
	}
	g := s.next(m.n)
	if x, ok := m.fact(m.word("rust"), one(o.Rust), nil); ok {
		g.members = append(g.members, x)
	}
	if x, ok := m.fact(m.word("surface"), o.Surface, g.own(m.n)); ok {
		g.members = append(g.members, x)
	}
	if len(g.members) == 0 {
		s.used--
	}
}

func (m *Model) addDensity(o *observation.Observation, s *Scratch) {
	if o.DensityGCM3 == nil {
		return
	}
	g := s.next(m.n)
	row := g.own(m.n)
	seen := *o.DensityGCM3
	m.weighDensity(seen, row)
	g.members = append(g.members, member{key: "density_g_cm3", value: number(seen) + " g/cm3", row: row,
		back: m.average(row), outside: 0.4, lapse: m.observers["density_g_cm3"].lapse})
}

// weighDensity is the density of a weighing per unit of ln(density): a bell of the observer's relative
// spread, widened by 1.5 % because the catalogue has one figure an alloy.
func (m *Model) weighDensity(seen float64, row []float64) {
	sigma := math.Hypot(m.weighing, 0.015)
	for g, d := range m.density {
		u := math.Log(seen/d) / sigma
		row[g] = math.Exp(-u*u/2) / (sigma * 2.5066)
	}
}

func (m *Model) addSpark(s *Scratch, key string, o *observation.Spark) {
	if o == nil {
		return
	}
	seen := m.see(o)
	if !seen.said {
		return
	}
	g := s.next(m.n)
	row := g.own(m.n)
	m.spark.weigh(&seen, s.streams, row)
	for i := range row {
		row[i] = damp(row[i])
	}
	x := member{key: key, value: sparkWordsOf(o), row: row, back: m.average(row), lapse: m.observers[key].lapse}
	x.outside = x.back
	g.members = append(g.members, x)
}

// damp is x to the three quarters, the damping of one grinding in observers.csv; the load checks that.
func damp(x float64) float64 {
	root := math.Sqrt(x)
	return root * math.Sqrt(root)
}

func sparkWordsOf(o *observation.Spark) string {
	var parts []string
	add := func(text, what string) {
		if text != "" {
			parts = append(parts, strings.TrimSpace(text+" "+what))
		}
	}
	add(o.Volume, "volume")
	add(o.Length, "")
	if o.LengthIn != nil {
		add(number(*o.LengthIn), "in")
	}
	add(o.ColorNear, "at the wheel")
	add(o.ColorEnd, "at the end")
	add(o.Bursts, "bursts")
	add(o.BurstForm, "")
	add(o.Spread, "spread")
	if a := o.Against; a != nil {
		add(a.Length, "length than known")
		add(a.Volume, "volume than known")
		add(a.Bursts, "bursts than known")
	}
	return strings.Join(parts, ", ")
}

func (m *Model) addChem(o *observation.Observation, s *Scratch) {
	var k instrument
	s.readings, k = m.chem.readings(o, s.readings[:0])
	if len(s.readings) == 0 {
		return
	}
	g := s.next(m.n)
	row := g.own(m.n)
	outside := m.chem.weigh(s.readings, k, row)
	value := ""
	for _, r := range s.readings {
		value += fmt.Sprintf("%s %s ", m.chem.elements[r.element], number(r.pct))
	}
	g.members = append(g.members, member{key: "chem", value: strings.TrimSpace(value), row: row, back: m.average(row),
		outside: outside, lapse: m.observers[chemKey(o.ChemMethod)].lapse})
}

// chemKey is the row of observers.csv for a method of analysis.
func chemKey(method string) string {
	if method == "" {
		return "chem"
	}
	return "chem-" + method
}

// addClaims adds what people say the metal is, each held as loosely as its speaker deserves. A stamp that
// names a metal is a claim of the stamp.
func (m *Model) addClaims(o *observation.Observation, s *Scratch) {
	for _, claim := range o.Claim {
		m.addClaim(s, claim.Metal, claim.By)
	}
	for _, mark := range o.Marks {
		if _, head := m.marks[mark]; head {
			continue
		}
		if family, grade, ok := m.cat.FindMetal(mark); ok {
			if grade == "" {
				grade = family
			}
			m.addClaim(s, grade, "stamp")
		}
	}
}

func (m *Model) addClaim(s *Scratch, claimed, by string) {
	g := s.next(m.n)
	row := g.own(m.n)
	family, sister, said := claimed, 1.0, m.constants["claim_said"]
	if grade, ok := m.cat.Grade(claimed); ok {
		family, sister, said = grade.Family, m.constants["claim_sister"], m.constants["claim_grade_said"]
	}
	for i := range row {
		switch {
		case m.cat.Grades[i].ID == claimed:
			row[i] = 1
		case m.cat.Grades[i].Family == family:
			row[i] = sister
		default:
			row[i] = 0.002
		}
	}
	back := max(m.average(row), said)
	g.members = append(g.members, member{key: "claim", value: claimed + " by " + by, row: row, back: back, outside: back * 0.5,
		lapse: m.claimLapse(family, by)})
}

// claimLapse is how often a claim tells nothing: less where a rep or an owner names a metal by its looks.
func (m *Model) claimLapse(family, by string) float64 {
	lapse := m.observers["claim-"+by].lapse
	if (by == "rep" || by == "owner") && m.looks[family] {
		return min(lapse, m.observers["claim-looks"].lapse)
	}
	return lapse
}

// addExcluded adds "not X": loosely held, since somebody may be wrong about that too.
func (m *Model) addExcluded(o *observation.Observation, s *Scratch) {
	if len(o.Excluded) == 0 {
		return
	}
	g := s.next(m.n)
	row := g.own(m.n)
	for i := range row {
		if slices.Contains(o.Excluded, m.cat.Grades[i].Family) {
			row[i] = 0.02
		}
	}
	g.members = append(g.members, member{key: "excluded", value: strings.Join(o.Excluded, ", "), row: row, back: m.average(row), outside: 1,
		lapse: m.observers["excluded"].lapse})
}

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
