package weld

import (
	"fmt"
	"slices"
	"strings"

	"rodcall/engine/formula"
	"rodcall/engine/metal"
)

// Laying is a filler on the metal of a question: what is laid, and how much of the base it melts.
type Laying struct {
	Fillers []string // classes as a rep writes them, one a layer, the first layer first
	Share   float64  // of base metal in each layer, 0 to 1; 0: the usual range of process and use
	Process string   // smaw, gmaw, fcaw, gtaw, saw, oxyfuel; "": that of the class
	Use     string   // join, overlay, root; "": by the job
	Other   string   // grade id of the other side of a joint, where it is known; "": the usual one of its family
}

// Hazard is what threatens a stainless deposit; a set of them.
type Hazard uint8

// The hazards.
const (
	Martensite     Hazard = 1 << iota // hard and brittle as laid
	NearMartensite                    // within the uncertainty of the line
	HotCrack                          // no ferrite, or under 3 FN
	Sigma                             // over 10 FN: brittle in service at 350-900 degC
	Unread                            // outside what the diagram holds for
)

// Constituted is one composition read on the diagrams.
type Constituted struct {
	At      formula.Equivalents
	Phases  formula.Phases
	FN      float64                // ferrite number, by Valiente Bermejo 2012
	FNKnown bool                   // inside the range of that fit
	Freezes formula.Solidification // "" outside the plot of WRC-1992
	Hazards Hazard
}

// Window is a run of shares of base metal, 0 to 1, in which a deposit is free of hazards.
type Window struct {
	From, To float64
	Open     bool // there is such a run
}

// Layer is what one layer becomes over the range of dilution.
type Layer struct {
	Class     string
	Low, High Constituted // at the least and the greatest share
	BaseLeft  [2]float64  // of the base metal at each, 0 to 1
}

// Deposit is what fillers become on what the metal may be.
type Deposit struct {
	Grade, Other   string // the likeliest base, and the other side of a joint; designation
	P              float64
	Process, Use   string
	Usual          formula.Dilution // of process and use, the widest that a source gives
	Taken          formula.Dilution // what was computed with: the share asked, else Usual
	Base           formula.Equivalents
	OtherBase      formula.Equivalents
	Filler         Constituted // undiluted, of the last layer
	Layers         []Layer
	Window         Window  // of the first filler on the likeliest base
	WindowOfMost   Window  // on nine in ten of what the metal may be
	Hot            bool    // service at 350-900 degC
	Troubled       float64 // share of what it may be that is in trouble in the last layer at the greatest dilution
	Unread         float64 // share for which the diagram says nothing
	MartensiticRod bool    // the rod itself is martensitic or ferritic: the window does not apply
}

// sigmaService is the service temperature, degC, in which high ferrite turns brittle (Valiente Bermejo 2012, seen).
const sigmaLow, sigmaHigh = 350, 900

// usualNitrogen is that of shielded stainless weld metal where none is stated, wt% (common practice).
const usualNitrogen = 0.06

// Limits of the ferrite number (seen; formula.FerriteNumber says where).
const leastFN, mostFN = 3, 10

// constituted reads a composition on the diagrams.
func (b *Book) constituted(x formula.Values, hot bool) Constituted {
	q := formula.EquivalentsOf(x)
	c := Constituted{At: q, Phases: b.formulas.Constitution(q.SchaefflerCr, q.SchaefflerNi)}
	if mode, plotted := q.Freezes(); plotted {
		c.Freezes = mode
	}
	if formula.FerriteNumber.Refuse(x) == "" {
		c.FN, c.FNKnown = formula.FerriteNumber.Eval(x), formula.FerriteNumber.InRange(x)
	}
	c.Hazards = c.hazards(hot)
	if !formula.SchaefflerNi.InRange(x) || !formula.SchaefflerCr.InRange(x) {
		c.Hazards |= Unread
	}
	return c
}

func (c *Constituted) hazards(hot bool) (h Hazard) {
	switch c.Phases.Martensite {
	case formula.Present:
		h |= Martensite
	case formula.Doubtful:
		h |= NearMartensite
	case formula.Absent:
	}
	bare := c.Phases.Ferrite == formula.Absent
	if c.FNKnown {
		bare = c.FN < leastFN
	}
	if bare && c.Phases.Austenite != formula.Absent {
		h |= HotCrack
	}
	if hot && (c.FNKnown && c.FN > mostFN || !c.FNKnown && c.Phases.FerritePct > mostFN) {
		h |= Sigma
	}
	return h
}

// Constitution works out what fillers become on the metal of a question. It fails with a sentence on a class that is
// unknown or no stainless one, and on a metal that the diagram knows nothing of.
func (b *Book) Constitution(q Question, l Laying) (Deposit, error) {
	s := b.situationOf(q, &Scratch{})
	fillers, classes, err := b.fillersOf(&l)
	if err != nil {
		return Deposit{}, err
	}
	d := Deposit{Process: l.Process, Use: l.Use, Hot: s.tempC != nil && *s.tempC >= sigmaLow && *s.tempC <= sigmaHigh}
	if d.Use == "" {
		d.Use = useOf(s.job, len(fillers))
	}
	if d.Process == "" {
		d.Process = processOfClass(classes[0])
	}
	d.Usual, _ = b.formulas.DilutionOf(d.Process, d.Use)
	if d.Taken = d.Usual; l.Share > 0 {
		d.Taken = formula.Dilution{Low: l.Share, High: l.Share}
	}
	at, ok := likeliestIron(b, s.grades)
	if !ok {
		return Deposit{}, fmt.Errorf("dilution: the diagram is for steel and stainless, and this is likely neither; say rods for what suits it")
	}
	base := b.compositionOf(at, &s.analysis)
	d.Grade, d.P = b.gradeHeats[at].designation, s.grades[at]
	d.Base = formula.EquivalentsOf(base)
	mix := func(x formula.Values) formula.Values { return x }
	if s.joined >= 0 && d.Use == "join" {
		other, err := b.otherSide(s, l.Other)
		if err != nil {
			return Deposit{}, err
		}
		x := b.middles[other]
		d.Other, d.OtherBase = b.gradeHeats[other].designation, formula.EquivalentsOf(x)
		mix = func(one formula.Values) formula.Values { return formula.Dilute(one, x, 0.5) }
	}
	melted := mix(base)
	d.lay(b, melted, fillers, classes)
	d.window(b, melted, fillers[0])
	d.underDoubt(b, s, fillers, mix)
	return d, nil
}

// fillersOf finds the fillers of a laying, with nitrogen where a class states none.
func (b *Book) fillersOf(l *Laying) (out []formula.Values, classes []*Class, err error) {
	for _, word := range l.Fillers {
		x, class, ok := b.DepositOf(b.byProcess(word, l.Process))
		if !ok || x[formula.Cr] < leastStainless {
			return nil, nil, b.notStainless(word, l.Share)
		}
		if x[formula.N] == 0 {
			x[formula.N] = usualNitrogen
		}
		out = append(out, x)
		classes = append(classes, &b.classes[b.classAt[class]])
	}
	if out == nil {
		return nil, nil, fmt.Errorf("dilution: no filler is named; say 309L on this at 30 %%")
	}
	return out, classes, nil
}

// notStainless says why a word is no filler that the diagrams read.
func (b *Book) notStainless(word string, share float64) error {
	i := b.held(word)
	switch {
	case i < 0:
		return fmt.Errorf("dilution: %s is no stainless class that I know; say 309L, 312 or 308L", shortWord(word))
	case strings.HasPrefix(b.classes[i].Group, "nickel") && share > 0:
		return fmt.Errorf("dilution: %s is nickel, no stainless class, and no diagram reads it; at %.0f %% dilution %.0f %% of its alloy is left, so small beads and little melting", b.classes[i].ID, share*100, 100-share*100)
	}
	return fmt.Errorf("dilution: %s is no stainless class with a stated analysis; the diagrams read only those, and plain steel by its crack index", b.classes[i].ID)
}

// leastStainless is the chromium from which a filler is read on the Schaeffler diagram, wt% (common practice).
const leastStainless = 10.5

// byProcess is the wire of an electrode's name where a process wants wire: 309L by gtaw is ER309L.
func (b *Book) byProcess(word, process string) string {
	if process == "" || process == "smaw" {
		return word
	}
	wire := "ER" + strings.TrimPrefix(strings.TrimPrefix(strings.ToUpper(word), "ER"), "E")
	if b.held(wire) >= 0 {
		return wire
	}
	return word
}

func shortWord(word string) string {
	const letters = 20
	if r := []rune(word); len(r) > letters {
		return string(r[:letters])
	}
	return word
}

func useOf(job string, layers int) string {
	switch job {
	case "overlay", "hardface", "build-up", "patch":
		return "overlay"
	}
	if layers > 1 {
		return "overlay" // a buffer on one side is laid as a surface
	}
	return "join"
}

var processNames = map[process]string{smaw: "smaw", gmaw: "gmaw", gtaw: "gtaw", saw: "saw", fcaw: "fcaw", oxyfuel: "oxyfuel", brazing: "braze"}

func processOfClass(c *Class) string {
	for _, p := range []process{smaw, gmaw, fcaw, gtaw, saw, oxyfuel, brazing} {
		if c.process&p != 0 {
			return processNames[p]
		}
	}
	return ""
}

// diagramCarbon is the carbon of a base, wt%, above which it is iron and the carbon alone fills the weld with carbides.
const diagramCarbon = 1.7

// readByDiagram says whether a grade may be the base of a stainless deposit that the diagram reads.
func readByDiagram(g *metal.Grade) bool {
	c := g.Composition["C"]
	return g.Balance == "Fe" && max(c.Low, c.High) < diagramCarbon
}

// likeliestIron is the likeliest grade that the diagram reads, where those have the greater part of the chance.
func likeliestIron(b *Book, grades []float64) (best int, ok bool) {
	best, on, all := -1, 0.0, 0.0
	for i, p := range grades {
		all += p
		if p <= 0 || !b.onDiagram[i] {
			continue
		}
		if on += p; best < 0 || p > grades[best] {
			best = i
		}
	}
	return best, best >= 0 && on > all/2
}

// usualGrade is the grade of a family that is met most, a wrought one before a casting; ok is false where the diagram reads none.
func (b *Book) usualGrade(family int) (best int, ok bool) {
	best = -1
	for i := range b.catalogue.Grades {
		g := &b.catalogue.Grades[i]
		if g.Family != metal.Families[family] || !b.onDiagram[i] {
			continue
		}
		if best < 0 || met(g) > met(&b.catalogue.Grades[best]) {
			best = i
		}
	}
	return best, best >= 0
}

func met(g *metal.Grade) float64 {
	const wroughtFirst = 100
	if g.Form == "wrought" {
		return g.MetWeight + wroughtFirst
	}
	return g.MetWeight
}

// otherSide is the grade of the piece that the part is joined to, the usual one unless it is named; each side gives half of the base metal in the weld.
func (b *Book) otherSide(s *situation, named string) (grade int, err error) {
	if at := slices.IndexFunc(b.catalogue.Grades, func(g metal.Grade) bool { return g.ID == named }); at >= 0 && b.onDiagram[at] {
		return at, nil
	}
	grade, ok := b.usualGrade(s.joined)
	if !ok {
		return 0, fmt.Errorf("dilution: the diagram says nothing of %s on the other side; say rods for what joins the two", b.names[s.joined].full)
	}
	return grade, nil
}

// lay fills the layers, each on the one below.
func (d *Deposit) lay(b *Book, base formula.Values, fillers []formula.Values, classes []*Class) {
	d.Filler = b.constituted(fillers[len(fillers)-1], d.Hot)
	low, high := formula.Layers(base, fillers, d.Taken.Low), formula.Layers(base, fillers, d.Taken.High)
	left := [2]float64{1, 1}
	for i := range fillers {
		left[0], left[1] = left[0]*d.Taken.Low, left[1]*d.Taken.High
		d.Layers = append(d.Layers, Layer{Class: classes[i].ID, Low: b.constituted(low[i], d.Hot), High: b.constituted(high[i], d.Hot), BaseLeft: left})
	}
}

// windowSteps is how finely the dilution window is cut.
const windowSteps = 100

// window is the longest run of shares at which one layer is free of hazards on the likeliest base.
func (d *Deposit) window(b *Book, base, filler formula.Values) {
	var safe [windowSteps + 1]bool
	for i := range safe {
		c := b.constituted(formula.Dilute(base, filler, float64(i)/windowSteps), d.Hot)
		safe[i] = c.Hazards == 0
	}
	d.Window = longestRun(safe[:])
	first := b.constituted(filler, d.Hot)
	d.MartensiticRod = first.Hazards&Martensite != 0 || first.Phases.Austenite == formula.Absent
}

func longestRun(safe []bool) (w Window) {
	most := 0
	for from := 0; from < len(safe); from++ {
		to := from
		for to < len(safe) && safe[to] {
			to++
		}
		if to-from > most {
			most = to - from
			w = Window{float64(from) / float64(len(safe)-1), float64(to-1) / float64(len(safe)-1), true}
		}
		from = to
	}
	return w
}

// underDoubt is the window that holds for nine in ten of what the metal may be, and the share that is in trouble at the
// greatest dilution. mix adds the other side of a joint.
func (d *Deposit) underDoubt(b *Book, s *situation, fillers []formula.Values, mix func(formula.Values) formula.Values) {
	var free [windowSteps + 1]float64
	total, troubled := 0.0, 0.0
	for i, p := range s.grades {
		if p < tracedGrade {
			continue
		}
		if !b.onDiagram[i] {
			d.Unread += p
			continue
		}
		total += p
		base := mix(b.compositionOf(i, &s.analysis))
		for k := range free {
			if c := b.constituted(formula.Dilute(base, fillers[0], float64(k)/windowSteps), d.Hot); c.Hazards == 0 {
				free[k] += p
			}
		}
		layers := formula.Layers(base, fillers, d.Taken.High)
		if c := b.constituted(layers[len(layers)-1], d.Hot); c.Hazards&^NearMartensite != 0 {
			troubled += p
		}
	}
	if total <= 0 {
		return
	}
	var safe [windowSteps + 1]bool
	for k := range free {
		safe[k] = free[k] >= coveredShare*total-1e-9
	}
	d.WindowOfMost, d.Troubled = longestRun(safe[:]), troubled/total
}

// Words names the hazards, gravest first.
func (h Hazard) Words() []string {
	var out []string
	for _, one := range []struct {
		is   Hazard
		name string
	}{{Martensite, "martensite"}, {NearMartensite, "near martensite"}, {HotCrack, "hot crack"}, {Sigma, "sigma"}, {Unread, "outside the diagram"}} {
		if h&one.is != 0 {
			out = append(out, one.name)
		}
	}
	return slices.Clip(out)
}
