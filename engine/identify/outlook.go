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
	// Apart names two families that must be told apart before anything is done: the test that parts them best
	// is proposed whatever it gains.
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
	bases    int       // that the stakes tell apart
	columns  []column  // the bases, then what is left of each family beside them
	ofColumn []int     // the active grades, column by column
	pOf      []float64 // and their chances
	family   []float64 // chance of each family

	actions []int       // those that some base could want
	utility [][]float64 // of them

	quads  []quad // of the candidates, see candidate.left
	quadAt int
	joint  [lanes][]float64

	memory []float64 // of the tables of outcomes
	heads  [][]float64
	at     int
	mass   []float64 // of the groups of alloys that an analysis tells apart
	place  []int

	list []candidate
	done []int     // what would be done after each outcome of each candidate
	all  []Outcome // of the proposal at hand
}

// column is active grades of one family that one does the same with.
type column struct{ family, end int }

// lanes is how many outcomes are summed side by side: a sum waits for its last addition, four do not.
const lanes = 4

// quad is one figure of four outcomes.
type quad [lanes]float64

func newOutlookScratch(m *Model) outlookScratch {
	k := outlookScratch{active: make([]int, 0, m.n), family: make([]float64, len(metal.Families))}
	for l := range k.joint {
		k.joint[l] = make([]float64, m.n)
	}
	return k
}

// candidate is a test under consideration.
type candidate struct {
	row    *testRow
	rows   [][]float64 // outcome × grade; only the active ones are filled
	left   []quad      // four outcomes after four: what is left of each column
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
	actions, values := k.best(k.left([][]float64{m.ones}, k.quadTable(len(k.columns))))
	plan, now := actions[0], values[0]
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
	if len(w.Apart) == 2 {
		out = m.partingFirst(out, r, list, w, k)
	}
	return out
}

// repeats says whether the test answers the fact that is most worth repeating because the facts disagree.
func (r *Result) repeats(t *testRow) bool { return r.Fit != "good" && t.key == r.Repeat }

// partingFirst puts the test that parts two families best before the others, unless it stands among them: no
// other test helps before that is settled.
func (m *Model) partingFirst(out []Proposal, r *Result, list []candidate, w Wanted, k *outlookScratch) []Proposal {
	best := m.parting(r, list, w.Apart, k)
	if best < 0 || slices.ContainsFunc(out, func(p Proposal) bool { return p.Test == list[best].row.test }) {
		return out
	}
	return slices.Insert(out, 0, m.propose(r, w.Stakes, list[best], k))
}

// parting is the place of the test that parts two families best for its minutes: by the square root of the
// time, since a dearer test that settles it beats a cheap one that does not. -1 when none parts them.
func (m *Model) parting(r *Result, list []candidate, apart []string, k *outlookScratch) int {
	a, b := metal.FamilyIndex(apart[0]), metal.FamilyIndex(apart[1])
	best, most := -1, 0.1 // below a tenth of the outcomes it says nothing (judgement)
	for i, c := range list {
		distance := 0.0
		for at := range c.rows {
			k.outcome(&c, at)
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
	sum, from := 0.0, 0
	for base, c := range k.columns[:k.bases] {
		best := 0.0
		for _, row := range k.utility {
			best = max(best, row[base])
		}
		sum += sumOf(k.pOf[from:c.end]) * best
		from = c.end
	}
	return sum
}

// activate lists the grades that still count: those with at least 5 in 10,000.
func (m *Model) activate(r *Result, stakes Stakes, k *outlookScratch) {
	k.p, k.active, k.heads, k.at, k.quadAt = r.Grades, k.active[:0], k.heads[:0], 0, 0
	k.done = k.done[:0]
	for g, p := range r.Grades {
		if p >= 5e-4 {
			k.active = append(k.active, g)
		}
	}
	k.sortByColumn(m, stakes)
}

// sortByColumn puts the active grades in the order of their columns; those of a column keep theirs.
func (k *outlookScratch) sortByColumn(m *Model, stakes Stakes) {
	if k.bases = 0; len(stakes.Utility) > 0 {
		k.bases = len(stakes.Utility[0])
	}
	n := k.bases + len(metal.Families)
	k.columns = slices.Grow(k.columns[:0], n)[:n]
	clear(k.columns)
	columnOf := func(g int) *column {
		if base := stakes.Base[g]; base >= 0 {
			return &k.columns[base]
		}
		return &k.columns[k.bases+m.family[g]] // too unlikely to bear on what is done
	}
	for _, g := range k.active {
		c := columnOf(g)
		c.family = m.family[g]
		c.end++
	}
	counted := 0
	for i := range k.columns { // where it begins; filling moves it to where it ends
		k.columns[i].end, counted = counted, counted+k.columns[i].end
	}
	k.ofColumn, k.pOf = slices.Grow(k.ofColumn[:0], counted)[:counted], slices.Grow(k.pOf[:0], counted)[:counted]
	for _, g := range k.active {
		c := columnOf(g)
		k.ofColumn[c.end], k.pOf[c.end] = g, k.p[g]
		c.end++
	}
	k.dropEmpty()
}

// dropEmpty leaves out the columns behind the bases that hold no grade.
func (k *outlookScratch) dropEmpty() {
	kept, from := k.columns[:k.bases], 0
	if k.bases > 0 {
		from = kept[k.bases-1].end
	}
	for _, c := range k.columns[k.bases:] {
		if c.end > from {
			kept, from = append(kept, c), c.end
		}
	}
	k.columns = kept
}

// left fills in what is left of each column after up to four outcomes, side by side. Lanes without an
// outcome repeat the last one.
func (k *outlookScratch) left(rows [][]float64, out []quad) []quad {
	last := len(rows) - 1
	r0, r1, r2, r3 := rows[0], rows[min(1, last)], rows[min(2, last)], rows[min(3, last)]
	from := 0
	for i, c := range k.columns {
		var s0, s1, s2, s3 float64
		p := k.pOf[from:c.end]
		for j, g := range k.ofColumn[from:c.end] {
			s0 += p[j] * r0[g]
			s1 += p[j] * r1[g]
			s2 += p[j] * r2[g]
			s3 += p[j] * r3[g]
		}
		out[i], from = quad{s0, s1, s2, s3}, c.end
	}
	return out
}

// quadTable is a list in the scratch's own memory, good until the next outlook.
func (k *outlookScratch) quadTable(n int) []quad {
	if k.quadAt+n > len(k.quads) {
		k.quads, k.quadAt = make([]quad, max(2*len(k.quads), n, 1<<11)), 0
	}
	out := k.quads[k.quadAt : k.quadAt+n : k.quadAt+n]
	k.quadAt += n
	return out
}

// best finds, for four outcomes, the action with the highest expected value of what is left. The value is
// not divided by the chance of the outcome.
func (k *outlookScratch) best(left []quad) (action [lanes]int, value quad) {
	for l := range value {
		value[l] = math.Inf(-1)
	}
	left = left[:k.bases]
	for a, u := range k.utility {
		var v0, v1, v2, v3 float64
		u = u[:len(left)]
		for base := range left {
			q, worth := &left[base], u[base]
			v0 += q[0] * worth
			v1 += q[1] * worth
			v2 += q[2] * worth
			v3 += q[3] * worth
		}
		for l, v := range [...]float64{v0, v1, v2, v3} {
			if v > value[l] {
				action[l], value[l] = a, v
			}
		}
	}
	return action, value
}

// value is the expected worth after a test, and the chance that its outcome changes what is done; it notes
// what is left, and what would be done, after each outcome.
func (k *outlookScratch) value(c *candidate, plan int) (worth, changed float64) {
	from, n := len(k.done), len(k.columns)
	c.left = k.quadTable((len(c.rows) + lanes - 1) / lanes * n)
	for at := 0; at < len(c.rows); at += lanes {
		rows := c.rows[at:min(at+lanes, len(c.rows))]
		left := k.left(rows, c.left[at/lanes*n:][:n])
		action, value := k.best(left)
		for l := range rows {
			k.done = append(k.done, action[l])
			worth += value[l]
			if action[l] != plan {
				changed += sumLane(left[:k.bases], l)
			}
		}
	}
	c.action = k.done[from:]
	return worth, changed
}

func sumLane(list []quad, lane int) float64 {
	sum := 0.0
	for i := range list {
		sum += list[i][lane]
	}
	return sum
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
	for x, i := range order {
		for _, j := range order[x+1:] {
			gain := (k.both(list[i].rows, list[j].rows) - now) / 2
			list[i].gain, list[j].gain = max(list[i].gain, gain), max(list[j].gain, gain)
		}
	}
}

// both is the expected worth after two tests.
func (k *outlookScratch) both(first, second [][]float64) float64 {
	sum, left := 0.0, k.quadTable(len(k.columns))
	for _, a := range first {
		for at := 0; at < len(second); at += lanes {
			rows := second[at:min(at+lanes, len(second))]
			for l, b := range rows {
				joint := k.joint[l]
				for _, g := range k.active {
					joint[g] = a[g] * b[g]
				}
			}
			_, value := k.best(k.left(k.joint[:len(rows)], left))
			for _, v := range value[:len(rows)] {
				sum += v
			}
		}
	}
	return sum
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
	for i := range c.rows {
		chance, best := k.outcome(&c, i)
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
func (k *outlookScratch) outcome(c *candidate, at int) (chance float64, best int) {
	clear(k.family)
	left, lane := c.left[at/lanes*len(k.columns):], at%lanes
	for i := range k.columns {
		p := left[i][lane]
		k.family[k.columns[i].family] += p
		chance += p
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
