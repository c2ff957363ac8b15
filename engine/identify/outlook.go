package identify

import (
	"cmp"
	"math"
	"slices"

	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

// Stakes are what hangs on the identity: the value of each thing that one could do, on each base metal.
type Stakes struct {
	Base    []int       // grade → base (family or subgroup that is welded alike); -1 = too unlikely to count
	Utility [][]float64 // action × base, 0 (part lost, somebody hurt) to 1 (sound)

	Name func(action int) string // what people call an action
}

// Wanted says which tests may be proposed.
type Wanted struct {
	Tools     []string // equipment at hand; nil = the ordinary truck kit
	Forbidden []string // tests that the safety rules rule out here
	Stakes    Stakes
	// Apart names two families that must be told apart before anything is done: when no test pays by its gain,
	// the one that parts them best is proposed all the same.
	Apart []string
}

// Proposal is one test worth doing, with what each outcome would lead to.
type Proposal struct {
	Test      string
	Minutes   float64
	Needs     []string
	How       string
	Gain      float64  // expected improvement of the decision, 0-1 of a whole repair
	Separates []string // family ids
	Outcomes  []Outcome
}

// Outcome is one answer: its chance, and the family and the action that would then lead.
type Outcome struct {
	Seen   string
	P      float64
	Family string
	Action string

	joined int // outcomes that were joined to it
}

// A test is worth proposing from this gain on, and only when with at least this chance its answer changes
// what one would do (judgement).
const (
	worthwhile   = 0.008
	changes      = 0.03
	namedOutcome = 0.015 // an outcome rarer than this is not worth a line
)

// outlookScratch is the working memory of the outlook.
type outlookScratch struct {
	p        []float64 // chance of each grade
	active   []int     // grades that still count
	families []run     // of the active ones: those of a family that stand side by side
	ofBase   []int     // the active ones with a base, base by base
	ends     []int     // by base: where its grades end in ofBase
	q        []float64 // chance of each base
	family   []float64 // chance of each family

	actions []int       // those that some base could want
	utility [][]float64 // of them

	memory []float64 // of the tables of outcomes
	heads  [][]float64
	at     int
	mass   []float64 // of the groups of alloys that an analysis tells apart
	place  []int

	list []candidate
	done []int     // what would be done after each outcome of each candidate
	all  []Outcome // of the proposal at hand
}

// run is active grades of one family that stand side by side.
type run struct{ family, from, to int }

func newOutlookScratch(m *Model) outlookScratch {
	return outlookScratch{active: make([]int, 0, m.n), q: make([]float64, 0, 256), family: make([]float64, len(metal.Families))}
}

// candidate is a test under consideration.
type candidate struct {
	row    *testRow
	rows   [][]float64 // outcome × grade; only the active ones are filled
	action []int       // by outcome: the best thing to do then
	gain   float64
}

// NextTests ranks the tests that would improve the decision, by expected gain per minute:
//
//	gain(test) = Σ over outcomes of max over actions of Σ over grades of p·P(outcome | grade)·utility - what is best now
//
// It is empty when no outcome of any test would change what one does. Where no single test does, pairs of
// the three that tell most about the metal are tried. The scratch must still hold the identification.
func (m *Model) NextTests(r *Result, o *observation.Observation, w Wanted, s *Scratch) []Proposal {
	k := &s.outlook
	m.activate(r, w.Stakes, k)
	k.keepUndominated(w.Stakes.Utility)
	plan, now := k.bestAction(m.ones)
	room := k.certain() - now
	if room < worthwhile && len(w.Apart) < 2 && r.Fit == "good" {
		return nil
	}
	list := k.list[:0]
	for i := range m.tests {
		t := &m.tests[i]
		if !t.possible(o, w) || t.answered(o) && !r.repeats(t) {
			continue
		}
		c := candidate{row: t, rows: m.outcomes(t, r, s)}
		worth, changed := k.value(&c, plan)
		if c.gain = worth - now; changed < changes {
			c.gain = 0
		}
		list = append(list, c)
	}
	k.list = list
	if room/2 >= worthwhile && !slices.ContainsFunc(list, func(c candidate) bool { return c.gain >= worthwhile }) {
		k.lookTwice(list, now)
	}
	slices.SortStableFunc(list, func(a, b candidate) int {
		return cmp.Compare(b.gain/b.row.minutes, a.gain/a.row.minutes)
	})
	var out []Proposal
	for _, c := range list { // facts that disagree: the one most likely misread is repeated before anything else
		if r.repeats(c.row) && len(out) == 0 {
			out = append(out, m.propose(r, w.Stakes, c, k))
		}
	}
	for _, c := range list {
		if c.gain >= worthwhile && len(out) < 4 && !r.repeats(c.row) {
			out = append(out, m.propose(r, w.Stakes, c, k))
		}
	}
	if len(out) == 0 && len(w.Apart) == 2 {
		if best := m.parting(r, list, w.Apart, k); best >= 0 {
			out = append(out, m.propose(r, w.Stakes, list[best], k))
		}
	}
	return out
}

// repeats says whether the test answers the fact that is most worth repeating because the facts disagree.
func (r *Result) repeats(t *testRow) bool { return r.Fit != "good" && t.key == r.Repeat }

// parting is the place of the test that parts two families best for its minutes: by the square root of the
// time, since a dearer test that settles it beats a cheap one that does not. -1 when none parts them.
func (m *Model) parting(r *Result, list []candidate, apart []string, k *outlookScratch) int {
	a, b := metal.FamilyIndex(apart[0]), metal.FamilyIndex(apart[1])
	best, most := -1, 0.1 // below a tenth of the outcomes it says nothing (judgement)
	for i, c := range list {
		distance := 0.0
		for _, row := range c.rows {
			k.outcome(row)
			distance += math.Abs(k.family[a]/r.Families[a]-k.family[b]/r.Families[b]) / 2
		}
		if distance /= math.Sqrt(c.row.minutes); distance > most {
			best, most = i, distance
		}
	}
	return best
}

// keepUndominated drops the actions that another one matches or beats on every base: they are never the best.
func (k *outlookScratch) keepUndominated(utility [][]float64) {
	k.utility, k.actions = k.utility[:0], k.actions[:0]
	for a, row := range utility {
		if slices.ContainsFunc(k.utility, func(other []float64) bool { return beats(other, row) }) {
			continue
		}
		kept := 0
		for i, other := range k.utility {
			if !beats(row, other) {
				k.utility[kept], k.actions[kept] = other, k.actions[i]
				kept++
			}
		}
		k.utility, k.actions = append(k.utility[:kept], row), append(k.actions[:kept], a)
	}
}

func beats(a, b []float64) bool {
	for i, x := range b {
		if a[i] < x {
			return false
		}
	}
	return true
}

// certain is the worth of knowing the metal for sure: no test can gain more than that less what is best now.
func (k *outlookScratch) certain() float64 {
	sum := 0.0
	for base, p := range k.q {
		best := 0.0
		for _, row := range k.utility {
			best = max(best, row[base])
		}
		sum += p * best
	}
	return sum
}

// activate lists the grades that still count: those with at least 5 in 10,000.
func (m *Model) activate(r *Result, stakes Stakes, k *outlookScratch) {
	k.p, k.active, k.families, k.heads, k.at = r.Grades, k.active[:0], k.families[:0], k.heads[:0], 0
	k.done = k.done[:0]
	for g, p := range r.Grades {
		if p < 5e-4 {
			continue
		}
		k.active = append(k.active, g)
		if last := len(k.families) - 1; last >= 0 && k.families[last].family == m.family[g] && k.families[last].to == g {
			k.families[last].to++
		} else {
			k.families = append(k.families, run{m.family[g], g, g + 1})
		}
	}
	k.sortByBase(stakes)
}

// sortByBase puts the active grades in the order of their bases; those of a base keep theirs.
func (k *outlookScratch) sortByBase(stakes Stakes) {
	bases, counted := 0, 0
	if len(stakes.Utility) > 0 {
		bases = len(stakes.Utility[0])
	}
	k.q, k.ends = slices.Grow(k.q[:0], bases)[:bases], slices.Grow(k.ends[:0], bases)[:bases]
	clear(k.ends)
	for _, g := range k.active {
		if base := stakes.Base[g]; base >= 0 {
			k.ends[base]++
		}
	}
	for base, n := range k.ends { // where it begins; filling moves it to where it ends
		k.ends[base] = counted
		counted += n
	}
	k.ofBase = slices.Grow(k.ofBase[:0], counted)[:counted]
	for _, g := range k.active {
		if base := stakes.Base[g]; base >= 0 {
			k.ofBase[k.ends[base]] = g
			k.ends[base]++
		}
	}
}

// bestAction finds the action with the highest expected value, each grade weighted by its p and the row. The value is not divided by the weight.
func (k *outlookScratch) bestAction(row []float64) (int, float64) {
	k.sumBases(row)
	best, value := 0, math.Inf(-1)
	for a, u := range k.utility {
		if v := dot(k.q, u); v > value {
			best, value = a, v
		}
	}
	return best, value
}

// sumBases fills the chance of each base, each grade weighted by the row.
func (k *outlookScratch) sumBases(row []float64) {
	from, p := 0, k.p
	for base, end := range k.ends {
		sum := 0.0
		for _, g := range k.ofBase[from:end] {
			sum += p[g] * row[g]
		}
		k.q[base], from = sum, end
	}
}

// value is the expected worth after a test, and the chance that its outcome changes what is done; it notes
// what would be done after each outcome.
func (k *outlookScratch) value(c *candidate, plan int) (worth, changed float64) {
	from := len(k.done)
	for _, row := range c.rows {
		action, v := k.bestAction(row)
		k.done = append(k.done, action)
		worth += v
		if action != plan {
			changed += sumOf(k.q)
		}
	}
	c.action = k.done[from:]
	return worth, changed
}

// lookTwice gives each of the three tests that tell most about the metal the gain of its best pair, halved
// because two tests are to be done.
func (k *outlookScratch) lookTwice(list []candidate, now float64) {
	order := make([]int, len(list))
	tells := make([]float64, len(list))
	for i := range list {
		order[i], tells[i] = i, information(list[i].rows, k)/list[i].row.minutes
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(tells[b], tells[a]) })
	order = order[:min(3, len(order))]
	joint := k.table(1, len(k.p))[0]
	for x, i := range order {
		for _, j := range order[x+1:] {
			sum := 0.0
			for _, a := range list[i].rows {
				for _, b := range list[j].rows {
					for _, g := range k.active {
						joint[g] = a[g] * b[g]
					}
					_, v := k.bestAction(joint)
					sum += v
				}
			}
			gain := (sum - now) / 2
			list[i].gain, list[j].gain = max(list[i].gain, gain), max(list[j].gain, gain)
		}
	}
}

// information is the mean distance between the outcome's posterior and the present one, over grades: a
// cheap stand-in for mutual information that orders tests alike.
func information(rows [][]float64, k *outlookScratch) float64 {
	sum := 0.0
	for _, row := range rows {
		total := 0.0
		for _, g := range k.active {
			total += k.p[g] * row[g]
		}
		for _, g := range k.active {
			sum += math.Abs(k.p[g] * (row[g] - total))
		}
	}
	return sum
}

func (m *Model) propose(r *Result, stakes Stakes, c candidate, k *outlookScratch) Proposal {
	p := Proposal{Test: c.row.test, Minutes: c.row.minutes, Needs: c.row.needs, How: c.row.how, Gain: math.Round(c.gain*1e4) / 1e4}
	lead := leading(r.Families)
	apart := make([]bool, len(lead))
	named := len(c.row.seen) == len(c.rows)
	all := k.all[:0]
	for i, row := range c.rows {
		chance, best := k.outcome(row)
		m.part(r, lead, apart, chance, k)
		if named && chance >= namedOutcome {
			all = append(all, Outcome{Seen: c.row.seen[i], P: chance, Family: metal.Families[best], Action: stakes.Name(k.actions[c.action[i]])})
		}
	}
	k.all = all
	likelier := func(a, b Outcome) int { return cmp.Compare(b.P, a.P) }
	slices.SortStableFunc(all, likelier)
	p.Outcomes = make([]Outcome, 0, min(len(all), 8))
	for _, o := range all {
		p.Outcomes = addOutcome(p.Outcomes, o)
	}
	slices.SortStableFunc(p.Outcomes, likelier)
	p.Outcomes = p.Outcomes[:min(len(p.Outcomes), 4)]
	for i, f := range lead {
		if apart[i] {
			p.Separates = append(p.Separates, metal.Families[f])
		}
	}
	return p
}

// addOutcome joins outcomes that lead to the same metal and the same work; the two likeliest are named.
func addOutcome(list []Outcome, o Outcome) []Outcome {
	for i := range list {
		if list[i].Family == o.Family && list[i].Action == o.Action {
			list[i].P += o.P
			if list[i].joined++; list[i].joined == 1 {
				list[i].Seen += " or " + o.Seen
			}
			return list
		}
	}
	return append(list, o)
}

// outcome sums what is left of each family after an outcome, and gives the outcome's chance and the
// family that would then be likeliest.
func (k *outlookScratch) outcome(row []float64) (chance float64, best int) {
	clear(k.family)
	for _, run := range k.families {
		sum, weight := k.family[run.family], row[run.from:run.to]
		for i, p := range k.p[run.from:run.to] {
			p *= weight[i]
			sum += p
			chance += p
		}
		k.family[run.family] = sum
	}
	for f, p := range k.family {
		if p > k.family[best] {
			best = f
		}
	}
	return chance, best
}

// part notes the leading families whose chance at least halves or nearly doubles with an outcome.
func (m *Model) part(r *Result, lead []int, apart []bool, chance float64, k *outlookScratch) {
	if chance < 0.02 {
		return
	}
	for i, f := range lead {
		ratio := k.family[f] / chance / r.Families[f]
		apart[i] = apart[i] || ratio > 1.8 || ratio < 0.5
	}
}
