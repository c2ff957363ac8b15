package conversation

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"rodcall/bot/reply"
	"rodcall/engine"
	"rodcall/engine/measure"
	"rodcall/engine/observation"
)

// Weldability answers questions of figures. An engine that has it answers them; without it they are read as facts.
type Weldability interface {
	// Hardness converts to another scale by the tables that hold for a family; "" is steel.
	Hardness(value float64, from, to measure.Scale, family string) (measure.Converted, error)
	// Strength is the tensile strength in MPa that goes with a Brinell hardness of steel; in says that the formula holds there.
	Strength(hb float64) (mpa float64, in bool)
	// Constitution is what fillers become on what the metal may be.
	Constitution(o observation.Observation, l engine.Laying) (engine.Deposit, error)
	// PlainDeposit is what a steel filler becomes on the likeliest steel.
	PlainDeposit(o observation.Observation, l engine.Laying) (engine.PlainDeposit, error)
	// HydrogenOf is what a filler brings, ml/100 g; 0 for a dry basic rod.
	HydrogenOf(filler string) float64
	// Preheating is every way to the preheat of a part; to be shown only where a judgment gives a heat.
	Preheating(o observation.Observation, joint engine.Joint) engine.Preheating
	// Hardening is cooling time and hardness beside the weld; a preheat that is not given is that of the plan.
	Hardening(o observation.Observation, joint engine.Joint, preheat float64, given bool) engine.Hardening
	// Signs are the indices of the metal; ok is false for one that is neither steel nor stainless.
	Signs(o observation.Observation) (s engine.Signs, ok bool)
	// IsFiller says whether a word names a consumable class.
	IsFiller(word string) bool
}

// Topics of a question.
const (
	ofPreheat  = "preheat"
	ofWays     = "ways"
	ofDilution = "dilution"
	ofHardness = "hardness"
	ofStrength = "strength"
	ofHAZ      = "haz"
	ofSigns    = "signs"
)

// examples are what to type for each topic.
var examples = map[string]string{
	ofPreheat: "preheat at 2 in thick", ofWays: "ways at 2 in thick", ofDilution: "309L on this at 30 % dilution", ofHardness: "45 HRC in HB",
	ofStrength: "strength at 250 HB", ofHAZ: "HAZ hardness at 20 mm, 150 C preheat", ofSigns: "carbon equivalent",
}

// asks answers a question of figures with the metal of the case, which it does not change; ok is false when the message is
// none.
func (t *turn) asks(text string) (r reply.Reply, ok bool) {
	can, ok := t.door.engine.(Weldability)
	if !ok {
		return r, false
	}
	a := readAsk(text, can.IsFiller)
	if t.goesOn(a) {
		a = readAsk(t.c.Question+" "+text, can.IsFiller).last(a)
	} else if !a.settle() {
		return r, false
	}
	t.pickPart(&a)
	if problem, facts := t.amiss(a, text); facts {
		return r, false
	} else if problem != "" {
		return t.sentence(problem, examples[a.topic]), true
	}
	t.out.Word = a.topic
	if _, kept := topicWords[a.topic]; t.open && kept {
		t.c.Question = a.plain()
	}
	return t.answer(can, a), true
}

// pickPart takes a lone number behind a question ("ways 2") for the part it names, where the case has several.
func (t *turn) pickPart(a *asked) {
	if !t.open || len(t.c.Parts) < 2 || len(a.bare) != 1 {
		return
	}
	if n, err := strconv.Atoi(a.bare[0]); err == nil && n >= 1 && n <= len(t.c.Parts) {
		t.c.Current, a.bare = n-1, nil
	}
}

// goesOn says whether a message only changes a figure of the question before: "what about 3 in", "and with 312".
func (t *turn) goesOn(a asked) bool {
	figures := a.thickness.given || a.hydrogen.given || a.heat.given || a.preheat.given || a.cent.given || a.restraint != "" || a.process != "" || len(a.fillers) > 0 || a.layers > 0
	return t.open && t.c.Question != "" && a.again && figures && len(a.left) == 0 && len(a.bare) == 0 && (a.topic == "" || a.weak)
}

// last lets what was asked last stand: figures were read twice, the later overwrote; fillers add up and are replaced.
func (a asked) last(now asked) asked {
	if len(now.fillers) > 0 {
		a.fillers, a.hydrogen = now.fillers, now.hydrogen
	}
	a.settle()
	return a
}

// plain is the question in plain words, so that "what about 3 in" can go on from it.
func (a asked) plain() string {
	words := []string{topicWords[a.topic]}
	for _, f := range []figure{a.thickness, a.hydrogen, a.heat, a.preheat, a.cent} {
		if f.given {
			words = append(words, f.words)
		}
	}
	words = append(words, a.fillers...)
	if a.layers > 0 {
		words = append(words, fmt.Sprintf("%d layers", a.layers))
	}
	if a.other != "" {
		words = append(words, "joining this to "+a.other+",")
	}
	words = append(words, a.process, a.use)
	if a.restraint != "" {
		words = append(words, a.restraint+" restraint")
	}
	return strings.Join(strings.Fields(strings.Join(words, " ")), " ")
}

// topicWords name a topic in words that are read again.
var topicWords = map[string]string{ofPreheat: "preheat", ofWays: "ways", ofDilution: "dilution", ofHAZ: "haz", ofSigns: "cet"}

// amiss says what is wrong with a question and what to type instead; facts means that the message is none after all.
func (t *turn) amiss(a asked, text string) (problem string, facts bool) {
	say := " Say " + examples[a.topic] + "."
	switch {
	case len(a.left) > 0:
		if a.to == "" && (!a.opens && !a.first || a.weak || t.tellsFacts(text) || !a.put && t.tellsLimit(text)) {
			return "", true
		}
		return fmt.Sprintf("I took that for a question of %s, but not %q in it.", topicName(a.topic), clipped(strings.Join(a.left, " "))) + say, false
	case a.topic == ofPreheat && !a.put && t.tellsLimit(text):
		return "", true
	case len(a.bare) > 0 && a.topic == ofPreheat:
		return fmt.Sprintf("%s what? Say preheat %s C or %s F, or preheat at 2 in thick.", a.bare[0], a.bare[0], a.bare[0]), false
	case len(a.bare) > 0:
		return fmt.Sprintf("%s what? A figure needs its unit.", a.bare[0]) + say, false
	}
	return a.outOfBounds(say), false
}

// tellsFacts says whether words tell something of the part or of the work, and are no mere question.
func (t *turn) tellsFacts(text string) bool {
	read := t.door.engine.Read(text).Observation
	return hasTest(read) || read.Part != "" || read.Job != ""
}

// tellsLimit says whether words hold that the part can or cannot be heated here.
func (t *turn) tellsLimit(text string) bool {
	limits := t.door.engine.Read(text).Observation.Limits
	return slices.Contains(limits, "preheat-ok") || slices.Contains(limits, "no-preheat")
}

// outOfBounds names the first figure that can be no figure of a weld.
func (a asked) outOfBounds(say string) string {
	for _, b := range []struct {
		f         figure
		name      string
		low, high float64
		unit      string
	}{
		{a.cent, "Dilution", 0, 100, "%"}, {a.hydrogen, "Hydrogen", 0.5, 40, "ml in 100 g"}, {a.heat, "Heat input", 0.1, 10, "kJ/mm"},
		{a.preheat, "A preheat", -40, 700, "C"}, {a.hardness, "A hardness", 1, 3000, ""},
	} {
		if b.f.given && !(b.f.value >= b.low && b.f.value <= b.high) {
			return strings.TrimSpace(fmt.Sprintf("%s lies between %g and %g %s", b.name, b.low, b.high, b.unit)) + ", not " + clipped(b.f.words) + "." + say
		}
	}
	if a.thickness.given && a.thickness.value < 0 {
		return "A thickness is above zero, not " + clipped(a.thickness.words) + "." + say
	}
	return ""
}

func topicName(topic string) string {
	switch topic {
	case ofHAZ:
		return "the hardness beside the weld"
	case ofSigns:
		return "the figures of this metal"
	case ofWays:
		return "the ways to a preheat"
	}
	return topic
}

// clipped bounds what of a message is repeated.
func clipped(text string) string {
	const letters = 30
	if r := []rune(text); len(r) > letters {
		return string(r[:letters]) + ".."
	}
	return text
}

func (t *turn) answer(can Weldability, a asked) reply.Reply {
	switch a.topic {
	case ofHardness:
		return t.asksHardness(can, a)
	case ofStrength:
		return t.asksStrength(can, a)
	}
	p := t.current()
	if p == nil {
		return t.sentence(fmt.Sprintf("No part is told here, so I cannot say the %s. Tell the part and what broke.", strings.TrimPrefix(topicName(a.topic), "the ")), "help")
	}
	n := t.c.Current + 1
	t.out.Part = n
	part, mm, problem := t.partAt(*p, a)
	if problem == "" && a.other != "" {
		part, problem = t.joinedTo(part, a.other)
	}
	if problem != "" {
		return t.sentence(problem, examples[a.topic])
	}
	j := t.judge(part)
	if j.Decision == "stop" || j.Why == "uncertain" || j.Why == "near-danger" {
		return t.refused(j, n)
	}
	c := t.context(n)
	c.Inch = c.Inch || a.thickness.given && !metricWords(a.thickness.words)
	switch a.topic {
	case ofPreheat, ofWays:
		return t.asksPreheat(can, a, j, mm, c)
	case ofHAZ:
		return t.screen(reply.Harden(can.Hardening(j.Observation, a.joint(), a.preheat.value, a.preheat.given), c), c, "preheat", "ways")
	case ofSigns:
		signs, ok := can.Signs(j.Observation)
		if !ok {
			return t.sentence("Those figures are for steel and stainless, and this is likely neither. Say why for what it may be.", "why")
		}
		return t.screen(reply.SignsOf(signs, c), c, "preheat", "why")
	}
	return t.asksDilution(can, a, j, c)
}

// refused answers a question about a part on which nothing may be welded, or nothing yet.
func (t *turn) refused(j engine.Judgment, n int) reply.Reply {
	c := t.context(n)
	if j.Question != nil {
		return reply.Sentence("No heat, no rod and no figure before the open question is answered: "+j.Question.Ask, c, "again", "why")
	}
	if j.Decision != "stop" {
		return reply.Sentence("No heat and no rod before the metal is known: somebody may be hurt if it breaks. Say next for the test.", c, "next", "why")
	}
	return reply.Sentence("No heat and no rod from me on this one: it is a stop. Say why.", c, "why", "again")
}

// mostThickness is the thickest section that is believed, mm.
const mostThickness = 1000

// partAt is the part as if it had the thickness asked about.
func (t *turn) partAt(p Part, a asked) (at Part, mm float64, problem string) {
	if !a.thickness.given {
		return p, 0, ""
	}
	size := strings.TrimSuffix(a.thickness.words, " thick") + " thick"
	read := t.door.engine.Read(size).Observation
	if read.Size == nil || read.Size.ThicknessMM == nil || !(*read.Size.ThicknessMM > 0 && *read.Size.ThicknessMM <= mostThickness) {
		return p, 0, fmt.Sprintf("I cannot take %q for a thickness up to %d mm. Say preheat at 2 in thick, or at 50 mm.", clipped(a.thickness.words), mostThickness)
	}
	p.Observation = t.door.engine.Merge(p.Observation, observation.Observation{Size: read.Size})
	return p, *read.Size.ThicknessMM, ""
}

// joinedTo is the part as if it were joined to another piece.
func (t *turn) joinedTo(p Part, other string) (joined Part, problem string) {
	read := t.door.engine.Read("joined to " + other).Observation
	if read.JoinedTo == "" {
		return p, fmt.Sprintf("I do not know %q as the other side. Say 309L joining this to mild steel at 30 %%.", clipped(other))
	}
	p.Observation = t.door.engine.Merge(p.Observation, observation.Observation{JoinedTo: read.JoinedTo, Job: "join"})
	return p, ""
}

func metricWords(size string) bool {
	return strings.Contains(size, "mm") || strings.Contains(size, "cm")
}

// joint is what a question says of the joint itself.
func (a asked) joint() engine.Joint {
	return engine.Joint{Hydrogen: a.hydrogen.value, HeatInput: a.heat.value, Restraint: a.restraint, TriedC: a.preheat.value}
}

func (t *turn) asksPreheat(can Weldability, a asked, j engine.Judgment, mm float64, c reply.Context) reply.Reply {
	joint := a.joint()
	for _, filler := range a.fillers {
		if a.hydrogen.given {
			break // a stated figure stands before that of the rod
		}
		joint.Hydrogen = max(joint.Hydrogen, can.HydrogenOf(filler))
	}
	p := can.Preheating(j.Observation, joint)
	switch {
	case p.Conflict != "":
		return t.screen(reply.Clash(p, j, c), c, "next", "why")
	case a.topic == ofWays:
		return t.screen(reply.Ways(p, c), c, "preheat", "steps")
	}
	answer := reply.PreheatAsked{Judgment: j, Preheating: p, ThicknessMM: mm, Own: joint.Hydrogen > 0 || joint.HeatInput > 0, TriedC: a.preheat.value}
	if j.PreheatC != nil {
		joint.TriedC = j.PreheatC.Min
		answer.CoveredAtShown = can.Preheating(j.Observation, joint).Tried
	}
	return t.screen(reply.PreheatAt(answer, c), c, "ways", "steps")
}

// screen shows the first lines of an answer and keeps the rest for "more".
func (t *turn) screen(lines []string, c reply.Context, says ...string) reply.Reply {
	r, rest := reply.Answered(lines, c, says...)
	if t.open {
		t.c.More = rest
	}
	return r
}

// family is the likeliest family of the part that is open; "" when none is.
func (t *turn) family() string {
	if p := t.current(); p != nil {
		if j := t.judge(*p); len(j.Families) > 0 {
			return j.Families[0].ID
		}
	}
	return ""
}

func (t *turn) asksHardness(can Weldability, a asked) reply.Reply {
	switch {
	case !a.hardness.given || a.to == "":
		return t.sentence("Hardness of what? Say 45 HRC in HB to convert, HAZ hardness for the metal beside the weld, or hardness 45 HRC as a fact.", examples[ofHardness], examples[ofHAZ])
	case a.from == measure.HLD || a.to == measure.HLD:
		return t.sentence(reply.Rebound(), examples[ofHardness])
	case a.from == a.to:
		return t.sentence("That is the same scale. Say "+examples[ofHardness]+".", examples[ofHardness])
	}
	is, err := can.Hardness(a.hardness.value, a.from, a.to, t.family())
	if err != nil {
		return t.sentence(upper(err)+". I never go past a table.", examples[ofHardness])
	}
	return t.screen(reply.HardnessOn(a.hardness.value, a.from, a.to, is), t.plainContext(), "help")
}

func (t *turn) asksStrength(can Weldability, a asked) reply.Reply {
	switch {
	case !a.hardness.given:
		return t.sentence("I tell strength from hardness. Say "+examples[ofStrength]+".", examples[ofStrength])
	case a.from == measure.HLD:
		return t.sentence(reply.Rebound(), examples[ofStrength])
	}
	hb := a.hardness.value
	if a.from != measure.HB {
		is, err := can.Hardness(hb, a.from, measure.HB, t.family())
		if err != nil {
			return t.sentence(upper(err)+". I never go past a table.", examples[ofStrength])
		}
		hb = is.Value
	}
	mpa, in := can.Strength(hb)
	return t.screen(reply.StrengthOf(a.hardness.value, a.from, hb, mpa, in), t.plainContext(), "help")
}

func upper(err error) string {
	text := err.Error()
	return strings.ToUpper(text[:1]) + text[1:]
}

func (t *turn) asksDilution(can Weldability, a asked, j engine.Judgment, c reply.Context) reply.Reply {
	fillers := a.fillers
	if len(fillers) == 0 {
		fillers = stainlessOf(j, can)
	}
	if len(fillers) == 0 {
		return t.sentence("With which rod? Say "+examples[ofDilution]+".", examples[ofDilution])
	}
	if len(fillers) == 1 && a.layers > 1 {
		fillers = slices.Repeat(fillers, a.layers)
	}
	l := engine.Laying{Fillers: fillers, Share: a.cent.value / 100, Process: a.process, Use: a.use}
	if a.other != "" {
		for _, claim := range t.door.engine.Read(a.other + " plate").Observation.Claim {
			l.Other = claim.Metal
		}
	}
	d, err := can.Constitution(j.Observation, l)
	if plain, otherwise := can.PlainDeposit(j.Observation, l); err != nil && otherwise == nil {
		return t.screen(reply.PlainDepositOn(plain), c, "rods", "preheat")
	}
	if err != nil {
		return t.sentence(upper(err)+".", "rods", examples[ofDilution])
	}
	return t.screen(reply.DepositOn(d, c), c, "rods", "steps")
}

// stainlessOf is the first class of a judgment whose deposit the diagram reads; nil when it names none.
func stainlessOf(j engine.Judgment, can Weldability) []string {
	for _, x := range j.Consumables {
		if _, err := can.Constitution(j.Observation, engine.Laying{Fillers: []string{x.Class}}); err == nil {
			return []string{x.Class}
		}
	}
	return nil
}
