package safety

import (
	"cmp"
	"slices"
)

// finding is one stop that holds, while it is being put in order.
type finding struct {
	row  int
	open bool
	asks bool // its question has not been answered
	rank int  // place in the order: lower comes first

	asked int // place among the questions that the message raised
}

// The order of stops, as powers of two: what no answer lifts any more; a hold on something certain; then
// the worst kind, what is known before what an ambiguous word raises, and what the message is about to do.
const (
	rankOpen     = 32
	rankDoubtful = 16
	rankKind     = 4
	rankAsked    = 2
	rankAside    = 1
)

// Judge says which cautions hold for a job, which of them stop it and which question would lift them.
// Stops are decided on what the message says and on any-weld when a consumable would be given; warnings
// and notes also on what the answer itself would do. Asked twice with the same Scene it says the same.
func (r *Rules) Judge(s Scene) Verdict { return r.Stops(s).Cautions(s) }

// Ruling is what the rules say of a job before it is known what the answer would do: its verdict has no
// warnings and no notes yet.
type Ruling struct {
	Verdict
	rules *Rules
	facts facts
	found []finding
}

// Stops says which cautions stop a job, which tests they forbid, and whether the identity is too uncertain.
func (r *Rules) Stops(s Scene) *Ruling {
	u := &Ruling{rules: r, facts: r.facts(&s)}
	f, v := &u.facts, &u.Verdict
	u.found = r.findStops(f, &s, v)
	r.orderStops(u.found)
	r.report(u.found, &s, v)
	r.forbidTests(f, &s, v)
	r.addAnswer(f, &s)
	r.doubt(f, &s, v)
	return u
}

// Cautions adds the warnings and notes. The scene is that of the stops, with what the answer would do.
func (u *Ruling) Cautions(s Scene) Verdict {
	v := u.Verdict
	u.rules.addAnswer(&u.facts, &s)
	u.rules.doubt(&u.facts, &s, &v)
	u.rules.addCautions(&u.facts, &v, u.found)
	return v
}

// findStops evaluates every stop row, and notes the family stops that lie below their threshold.
func (r *Rules) findStops(f *facts, s *Scene, v *Verdict) []finding {
	var out []finding
	about := r.about(f)
	for i := range r.rows {
		row := &r.rows[i]
		if row.caution.Severity != SeverityStop {
			continue
		}
		answer := answerTo(row.caution.ID, s.Answers)
		h, near := r.stopHolds(row, f, s, answer)
		if near {
			v.Near = append(v.Near, row.caution.ID)
		}
		if h == misses {
			continue
		}
		found := finding{row: i}
		found.open = (h == open || h == asked && !f.stops.common(&row.keeps) || row.kind == KindHold) && !closes(answer)
		found.asks = found.open && row.question.Ask != "" && answer == nil
		found.rank = rank(found.open, h, row, about)
		if h == asked {
			found.asked = slices.Index(s.Observation.Scene.Ask, row.caution.ID)
		}
		out = append(out, found)
	}
	return out
}

func rank(isOpen bool, h held, row *row, about topic) int {
	at := rankKind * kindRank[row.kind]
	if isOpen {
		at += rankOpen
		if h != certain && row.threshold < 0 {
			at += rankDoubtful
		}
	}
	if h == asked {
		at += rankAsked
	}
	if row.topics&about == 0 {
		at += rankAside
	}
	return at
}

// topic is what a message is about to do, or a set of what a row guards.
type topic uint8

const (
	welding topic = 1 << iota
	testing
	entering
)

// about is what the message is about to do: going in, testing or grinding, else welding.
func (r *Rules) about(f *facts) topic {
	if f.stops.has(r.entry) {
		return entering
	}
	if f.stops.common(r.keyOf["test"]) || f.stops.has(r.grind) {
		return testing
	}
	return welding
}

func answerTo(id string, answers []Answer) *Answer {
	for i := len(answers) - 1; i >= 0; i-- {
		if answers[i].Caution == id {
			return &answers[i]
		}
	}
	return nil
}

// closes holds for an answer after which the stop reads STOP and not as a question.
func closes(a *Answer) bool { return a != nil && (a.Effect == Keeps || a.Effect == Evidence) }

// stopHolds says whether a stop row holds; near is a family stop between 2 % and its threshold.
func (r *Rules) stopHolds(row *row, f *facts, s *Scene, answer *Answer) (h held, near bool) {
	if answer != nil && (answer.Effect == Clears || answer.Effect == Refers) {
		return misses, false
	}
	families := ^uint64(0)
	if row.threshold >= 0 {
		families = f.above[row.threshold]
		if answer != nil && answer.Effect == Evidence {
			families = r.aboveWithoutNames(row, s)
		}
	}
	h = row.trigger.holds(&f.stops, families)
	said := (answer == nil || answer.Effect != Keeps) && row.saidClear(&f.stops, r)
	if h != misses {
		if said && (row.kind == KindHold || row.threshold >= 0) {
			return misses, false
		}
		return h, false
	}
	if answer == nil || answer.Effect != Evidence {
		if !said && r.raised(row, f, s) {
			return asked, false
		}
	}
	if row.threshold >= 0 && !said {
		near = row.trigger.holds(&f.stops, f.warn) != misses
	}
	return misses, near
}

// aboveWithoutNames are the families above a row's threshold by their chance alone: after evidence the
// name that was said no longer counts.
func (r *Rules) aboveWithoutNames(row *row, s *Scene) uint64 {
	var out uint64
	for _, share := range s.Families {
		if i, ok := r.families[share.ID]; ok && share.P >= r.thresholds[row.threshold] {
			out |= 1 << i
		}
	}
	return out
}

// saidClear reports whether the message already holds a value that one of the row's answers sets to
// clear it, and nothing that voids the value: "outside" answers nothing for a man who is inside.
func (w *row) saidClear(tags *tagSet, r *Rules) bool {
	for _, tag := range w.clears {
		if tags.has(tag) && !tags.common(&r.voidedBy[tag]) {
			return true
		}
	}
	return false
}

// raised reports whether an ambiguous word raised the row: as if its part term held, whenever one of its
// processes applies.
func (r *Rules) raised(row *row, f *facts, s *Scene) bool {
	if s.Observation == nil || s.Observation.Scene == nil || !slices.Contains(s.Observation.Scene.Ask, row.caution.ID) {
		return false
	}
	return slices.ContainsFunc(row.trigger, func(a alternative) bool { return a.acts(&f.stops) })
}

// orderStops puts the stops in the order of their ranks; of one rank, those that words raised in the order of
// the message, the others in that of the table.
func (r *Rules) orderStops(stops []finding) {
	slices.SortStableFunc(stops, func(a, b finding) int { return cmp.Or(a.rank-b.rank, a.asked-b.asked) })
}

// report fills the stops, their reasons, the one question and who takes over.
func (r *Rules) report(stops []finding, s *Scene, v *Verdict) {
	if len(stops) == 0 {
		return
	}
	v.Stops = make([]Stop, len(stops))
	v.Reasons = make([]string, len(stops))
	refused := false
	for i, found := range stops {
		row := &r.rows[found.row]
		v.Stops[i] = Stop{Caution: row.caution, Kind: row.kind, Open: found.open}
		v.Reasons[i] = row.caution.ID
		refused = refused || !found.open && row.kind != KindHold
	}
	worst := &r.rows[stops[0].row]
	v.StopKind = worst.kind
	v.ReferTo = worst.referTo(s.Country)
	for _, found := range stops {
		if found.asks && !refused {
			v.Question = &r.rows[found.row].question
			return
		}
	}
}

func (w *row) referTo(country string) string {
	if i := slices.Index(Countries, country); i >= 0 && w.refer[i] != "" {
		return w.refer[i]
	}
	return w.caution.Authority
}

// doubt says whether the identity is uncertain where failure would hurt somebody, and whether a test comes
// first; it puts low confidence among the tags.
func (r *Rules) doubt(f *facts, s *Scene, v *Verdict) {
	near := len(v.Near) > 0
	low := !s.FitGood || s.TestFirst || near || s.Unlisted >= unlistedDoubt
	if low || f.best < likelyFrom {
		f.all.add(r.lowConfidence)
	}
	v.Uncertain = r.rows[r.uncertain].trigger.holds(&f.all, f.warn) != misses
	v.TestFirst = near || v.Uncertain
	if !low && !v.Uncertain {
		f.all.remove(r.lowConfidence)
	}
	if f.all.has(r.lowConfidence) {
		f.now.add(r.lowConfidence)
	}
}

// addCautions fills the warnings and notes: the family stops below their threshold first, then every row
// that holds on all processes, without what repeats a stop.
func (r *Rules) addCautions(f *facts, v *Verdict, stops []finding) {
	var warns, notes []int
	var place [2][64]int // keeps the lists off the heap
	warns, notes = place[0][:0], place[1][:0]
	for i := range r.rows {
		row := &r.rows[i]
		if row.caution.Severity == SeverityStop || row.repeated(stops) || row.trigger.holds(&f.all, f.warn) == misses {
			continue
		}
		if row.caution.Severity == SeverityWarn {
			warns = append(warns, i)
		} else {
			notes = append(notes, i)
		}
	}
	slices.SortStableFunc(warns, func(a, b int) int { return cmp.Compare(r.rows[b].weight(f), r.rows[a].weight(f)) })
	v.Warns = make([]Caution, 0, len(v.Near)+len(warns))
	for _, id := range v.Near {
		near := r.rows[r.at[id]].caution
		near.Severity = SeverityWarn
		v.Warns = append(v.Warns, near)
	}
	for _, i := range warns {
		v.Warns = append(v.Warns, r.rows[i].told(f))
	}
	v.Notes = make([]Caution, 0, len(notes))
	for _, i := range notes {
		v.Notes = append(v.Notes, r.rows[i].told(f))
	}
}

// told is a row's caution, marked when it waits for a weld.
func (w *row) told(f *facts) Caution {
	c := w.caution
	c.Later = w.trigger.holds(&f.now, f.warn) == misses
	return c
}

// weight is the chance that a caution is to the point: certain when it holds whatever the metal is, else that
// of the metals that it is about.
func (w *row) weight(f *facts) float64 {
	if w.families == 0 || w.trigger.holds(&f.all, f.named) != misses {
		return 1
	}
	sum := 0.0
	for i, p := range f.chance {
		if w.families&(1<<i) != 0 {
			sum += p
		}
	}
	return sum
}

func (w *row) repeated(stops []finding) bool {
	for _, found := range stops {
		if slices.Contains(w.repeats, found.row) {
			return true
		}
	}
	return false
}

// forbidTests lists the tests that must not be proposed: each one that would raise a stop here, a family
// from 2 % on counting as present.
func (r *Rules) forbidTests(f *facts, s *Scene, v *Verdict) {
	var forbidden tagSet
	for i := range r.rows {
		row := &r.rows[i]
		if row.caution.Severity != SeverityStop || row.saidClear(&f.stops, r) {
			continue
		}
		if a := answerTo(row.caution.ID, s.Answers); a != nil && (a.Effect == Clears || a.Effect == Refers) {
			continue
		}
		raised := s.Observation != nil && s.Observation.Scene != nil && slices.Contains(s.Observation.Scene.Ask, row.caution.ID)
		for j := range row.trigger {
			alt := &row.trigger[j]
			if !alt.forbids.empty() && (raised || alt.holdsBut(&f.stops, f.warn)) {
				forbidden.join(&alt.forbids)
			}
		}
	}
	for _, name := range r.testNames {
		if forbidden.has(r.tags.Index(name)) {
			v.ForbiddenTests = append(v.ForbiddenTests, name)
		}
	}
}

// holdsBut evaluates an alternative with its test and process terms taken as given.
func (a *alternative) holdsBut(tags *tagSet, families uint64) bool {
	if a.families != 0 && a.families&families == 0 {
		return false
	}
	for i := range a.terms {
		t := &a.terms[i]
		if t.key != "test" && t.key != "process" && t.holds(tags) == misses {
			return false
		}
	}
	return true
}
