package weld

import (
	"io/fs"
	"rodcall/engine/quantity"
	"slices"

	"rodcall/engine/data"
	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

// mechanism is a set of ways in which a face wears.
type mechanism uint16

// mechanismWords is the closed list; the bit of a word is its place here.
var mechanismWords = []string{"low-stress", "high-stress", "gouging", "impact", "metal-to-metal", "galling", "heat", "erosion", "cavitation", "corrosion"}

const (
	lowStress mechanism = 1 << iota
	highStress
	gouging
	knocks
	metalToMetal
	seizing
	hotWear
	eroding
	cavitating
	corroding
	mechanismCount = 10
)

// hotWearC is where hot wear begins (wear table: above 540 C).
const hotWearC = 540.0

// wearGroup is an alloy group of hard faces with what it gives up for what.
type wearGroup struct {
	id, name         string
	classes          []int
	abrasion, impact float64 // editorial indices, 1 to 10
	g65Low, g65High  float64 // loss in ASTM G65 procedure A, mm3
	layersMax        int     // 0 for no limit
	thicknessMax     float64 // mm, 0 for no limit
	hardness         string
	carbide          string  // volume percent
	relief           string  // one of reliefWords
	machinable       string  // one of machinableWords
	interpass        float64 // C, above which the deposit goes brittle; 0 for none
	wearsAs          []int   // families that wear as it does
	rank             [mechanismCount]int
	measured         []string // published figures, those of wear first
	worn             int      // how many of them are of wear
}

var (
	reliefWords     = []string{"expected", "when-thick", "few", "none"}
	machinableWords = []string{"yes", "carbide-tools", "grind", "no"}
)

// wear is what the tables of hard faces say.
type wear struct {
	groups   []wearGroup
	groupOf  []int8 // by class; -1 for a class of no group
	patterns map[string]string
}

const mixedPattern = "mixed-fine-and-coarse"

var (
	wearGroupSchema = data.Schema{File: "wear_groups.csv", Key: []string{"group"}, Columns: []data.Column{
		{Name: "group", Required: true}, {Name: "name", Required: true, Doc: "for people"},
		{Name: "classes", Kind: data.List, Required: true, Doc: "ids of classifications.csv"},
		{Name: "abrasion", Kind: data.Number, Required: true, Min: 1, Max: 10, Doc: "editorial index, 10 best"},
		{Name: "impact", Kind: data.Number, Required: true, Min: 1, Max: 10, Doc: "editorial index, 10 best"},
		{Name: "g65_loss_low_mm3", Kind: data.Number, Required: true, Min: 1, Max: 1000},
		{Name: "g65_loss_high_mm3", Kind: data.Number, Required: true, Min: 1, Max: 1000},
		{Name: "layers_max", Kind: data.Number, Min: 1, Max: 10, Doc: "empty = no limit"},
		{Name: "thickness_max_mm", Kind: data.Number, Min: 1, Max: 50, Doc: "empty = no limit"},
		{Name: "hardness", Required: true, Doc: "as deposited, or as welded to worked"},
		{Name: "carbide_volume_pct", Required: true},
		{Name: "relief", Kind: data.Word, Required: true, Of: reliefWords, Doc: "cracks across the bead"},
		{Name: "machinable", Kind: data.Word, Required: true, Of: machinableWords},
		{Name: "interpass_max_c", Kind: data.Number, Min: 100, Max: 600, Doc: "the deposit goes brittle above it; empty = follows the base"},
		{Name: "wears_as", Kind: data.Words, Of: metal.Families, Doc: "metals that wear as the group does"},
		{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
	}}
	wearMechanismSchema = data.Schema{File: "wear_mechanisms.csv", Key: []string{"mechanism", "group"}, Columns: []data.Column{
		{Name: "mechanism", Kind: data.Word, Required: true, Of: mechanismWords}, {Name: "group", Required: true},
		{Name: "rank", Kind: data.Number, Required: true, Min: 1, Max: 10, Doc: "1 stands up best"},
		{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
	}}
	wearPatternSchema = data.Schema{File: "wear_patterns.csv", Key: []string{"mechanism"}, Columns: []data.Column{
		{Name: "mechanism", Kind: data.Word, Required: true, Of: append([]string{mixedPattern}, mechanismWords...)},
		{Name: "pattern", Required: true, Doc: "how the beads lie"},
		{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
	}}
	wearMeasuredSchema = data.Schema{File: "wear_measured.csv", Columns: []data.Column{
		{Name: "test", Required: true}, {Name: "material", Required: true}, {Name: "condition"},
		{Name: "group", Doc: "alloy group that it speaks of; empty for another material"},
		{Name: "result", Required: true}, {Name: "unit", Required: true}, {Name: "deposit_wtpct"},
		{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
	}}
	wearBaseSchema = data.Schema{File: "wear_bases.csv", Columns: []data.Column{
		{Name: "groups", Kind: data.List, Required: true}, {Name: "families", Kind: data.Words, Required: true, Of: metal.Families},
		{Name: "verdict", Kind: data.Word, Required: true, Of: []string{"tolerant", "avoid"}},
		{Name: "when", Kind: data.Words, Of: conditionWords, Doc: "what must go with it"},
		{Name: "consequence", Kind: data.Words, Of: consequenceWords, Doc: "of an avoid row"}, {Name: "why", Required: true},
		{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
	}}
)

// loadWear reads the tables of hard faces.
func (b *Book) loadWear(files fs.FS, faults *data.Faults) {
	b.wear.groupOf = slices.Repeat([]int8{-1}, len(b.classes))
	for _, row := range data.Read(files, wearGroupSchema, faults).Rows {
		g := wearGroup{id: row.Text("group"), name: row.Text("name"), abrasion: row.Value("abrasion", 0), impact: row.Value("impact", 0),
			g65Low: row.Value("g65_loss_low_mm3", 0), g65High: row.Value("g65_loss_high_mm3", 0), layersMax: int(row.Value("layers_max", 0)),
			thicknessMax: row.Value("thickness_max_mm", 0), hardness: row.Text("hardness"), carbide: row.Text("carbide_volume_pct"),
			relief: row.Text("relief"), machinable: row.Text("machinable"), interpass: row.Value("interpass_max_c", 0)}
		if g.g65Low > g.g65High {
			row.Fault("g65_loss_low_mm3", "lies above the high end")
		}
		for _, family := range row.List("wears_as") {
			g.wearsAs = append(g.wearsAs, metal.FamilyIndex(family))
		}
		for _, id := range row.List("classes") {
			class, ok := b.classAt[id]
			if !ok {
				row.Fault("classes", "%q is not in classifications.csv", id)
				continue
			}
			g.classes = append(g.classes, class)
			b.wear.groupOf[class] = int8(len(b.wear.groups))
		}
		b.wear.groups = append(b.wear.groups, g)
	}
	for _, row := range data.Read(files, wearMechanismSchema, faults).Rows {
		if g := b.wearGroup(row, "group"); g != nil {
			g.rank[slices.Index(mechanismWords, row.Text("mechanism"))] = int(row.Value("rank", 0))
		}
	}
	b.wear.patterns = map[string]string{}
	for _, row := range data.Read(files, wearPatternSchema, faults).Rows {
		b.wear.patterns[row.Text("mechanism")] = row.Text("pattern")
	}
	for _, row := range data.Read(files, wearMeasuredSchema, faults).Rows {
		if row.Text("group") == "" {
			continue
		}
		if g := b.wearGroup(row, "group"); g != nil {
			text := row.Text("material") + ": " + row.Text("result") + " " + row.Text("unit")
			if c := row.Text("condition"); c != "" {
				text += ", " + c
			}
			text += " (" + row.Text("test") + ")"
			if row.Text("test") == "hardness" {
				g.measured = append(g.measured, text)
				continue
			}
			g.measured = slices.Insert(g.measured, g.worn, text) // wear before hardness
			g.worn++
		}
	}
}

// wearGroup is the group that a cell names; nil, with a fault, for an unknown one.
func (b *Book) wearGroup(row data.Row, column string) *wearGroup {
	for i := range b.wear.groups {
		if b.wear.groups[i].id == row.Text(column) {
			return &b.wear.groups[i]
		}
	}
	row.Fault(column, "unknown group %q", row.Text(column))
	return nil
}

// wearRows are the rows of hard faces that wear_bases.csv derives for the pairs of base and class of which the
// matching tables, their own or those of the kin that they read, hold no row as a face.
func (b *Book) wearRows(files fs.FS, matching []placedRule, kin map[kinship]kinship, faults *data.Faults) []placedRule {
	type pairing struct{ family, class int }
	taken := map[pairing]bool{}
	for _, r := range matching {
		if r.b < 0 && r.role == Hardface {
			taken[pairing{r.a, r.class}] = true
		}
	}
	spoken := func(p pairing) bool {
		k, ok := kin[kinship{Hardface, p.family}]
		return taken[p] || ok && k.role == Hardface && taken[pairing{k.family, p.class}]
	}
	var out []placedRule
	for _, row := range data.Read(files, wearBaseSchema, faults).Rows {
		names, _ := conditionOf(row.List("when"))
		r := rule{names: names, verdict: verdictTolerant, rank: 2, why: b.text(row.Text("why"))}
		if row.Text("verdict") == "avoid" {
			r.verdict, r.rank, r.consequence = verdictAvoid, 0, b.consequences(row.List("consequence"))
		}
		if (r.verdict == verdictAvoid) != (r.consequence != 0) {
			row.Fault("consequence", "belongs to avoid rows, and to each of them")
		}
		for _, id := range row.List("groups") {
			at := slices.IndexFunc(b.wear.groups, func(g wearGroup) bool { return g.id == id })
			if at < 0 {
				row.Fault("groups", "unknown group %q", id)
				continue
			}
			for _, word := range row.List("families") {
				for _, class := range b.wear.groups[at].classes {
					p := pairing{metal.FamilyIndex(word), class}
					if spoken(p) || b.classes[class].special { // a group of products is no rod to reach for
						continue
					}
					out = append(out, placedRule{place{a: p.family, b: -1, role: Hardface, class: class}, r})
				}
			}
		}
	}
	return out
}

// mechanismsOf is how the face wears, by what is told: abrasion without its kind is taken as both kinds.
func mechanismsOf(o *observation.Observation, met condition) (set mechanism) {
	for _, w := range o.Service {
		if i := slices.Index(mechanismWords, w); i >= 0 {
			set |= 1 << i
		}
	}
	if met&abrasion != 0 && set&(lowStress|highStress|gouging|eroding) == 0 {
		set |= lowStress | highStress
	}
	if met&impact != 0 {
		set |= knocks
	}
	if met&galling != 0 {
		set |= seizing
	}
	if met&corrosionService != 0 {
		set |= corroding
	}
	if o.ServiceTempC != nil {
		set &^= hotWear
		if *o.ServiceTempC >= hotWearC {
			set |= hotWear
		}
	}
	return set
}

// words are the mechanism words of a set.
func (m mechanism) words() (out []string) {
	for i, w := range mechanismWords {
		if m&(1<<i) != 0 {
			out = append(out, w)
		}
	}
	return out
}

// Figures by which groups are weighed against a mechanism (judgement).
const (
	wearStep     = 0.1  // each place down in the order of a mechanism
	wearUnlisted = 0.6  // of its index, for a group that the order of an abrasion or of blows does not name
	wearOther    = 0.1  // for one that another order does not name
	weakest      = 0.7  // weight of the worst mechanism beside the mean: a face goes where it goes first
	noGain       = 0.06 // for a face that wears under abrasion as the part itself does
	wearSpread   = 0.35 // what the choice takes off a group that does not stand up at all
)

// stands is how well a group stands up to one mechanism, 0 to 1.
func (g *wearGroup) stands(i int) float64 {
	if r := g.rank[i]; r > 0 {
		return max(1-wearStep*float64(r-1), wearOther)
	}
	switch mechanism(1 << i) {
	case lowStress, highStress, eroding:
		return wearUnlisted * g.abrasion / 10
	case knocks:
		return wearUnlisted * g.impact / 10
	case gouging:
		return wearUnlisted * min(g.abrasion, g.impact) / 10
	}
	return wearOther
}

// standsUp is how well a group stands up to all mechanisms together: the worst of them counts most.
func (g *wearGroup) standsUp(set mechanism) float64 {
	worst, sum, n := 1.0, 0.0, 0
	for i := range mechanismWords {
		if set&(1<<i) == 0 {
			continue
		}
		v := g.stands(i)
		worst, sum, n = min(worst, v), sum+v, n+1
	}
	if n == 0 {
		return 1
	}
	return weakest*worst + (1-weakest)*sum/float64(n)
}

// setWear works out, for a job that faces a part, what each group loses to the mechanisms told.
func (b *Book) setWear(s *situation, o *observation.Observation) {
	if !slices.ContainsFunc(s.roles, func(r jobRole) bool { return r.role == Hardface && r.order == 1 }) {
		return
	}
	s.mechanisms = mechanismsOf(o, s.met)
	for i := range b.wear.groups {
		g := &b.wear.groups[i]
		s.wearLoss[i] = wearSpread * (1 - g.standsUp(s.mechanisms))
		if s.mechanisms&(lowStress|highStress|eroding) == 0 {
			continue
		}
		for _, f := range s.families {
			if slices.Contains(g.wearsAs, f.base) {
				s.wearLoss[i] += f.p * noGain
			}
		}
	}
}

// lossToWear is what a class loses as a face that does not stand up to the wear told.
func (b *Book) lossToWear(class int, s *situation) float64 {
	if s.mechanisms == 0 {
		return 0
	}
	if g := b.wear.groupOf[class]; g >= 0 {
		return s.wearLoss[g]
	}
	return wearSpread
}

// maxWearGroups bounds the groups, so that their losses stand in the situation.
const maxWearGroups = 24

// Facing is how a hard face is laid, and what the choice of its alloy gives up for what.
type Facing struct {
	Mechanisms     []string   `json:"mechanisms"`
	Class          string     `json:"class"`
	Group          string     `json:"group"`
	Stands         float64    `json:"stands"`           // 0 to 1, by the mechanisms told
	Buffer         string     `json:"buffer,omitempty"` // class to lay under it
	LayersMax      int        `json:"layers_max,omitempty"`
	ThicknessMaxMM float64    `json:"thickness_max_mm,omitempty"`
	Pattern        string     `json:"pattern"`
	Relief         string     `json:"relief_cracks"` // expected | when-thick | few | none
	Hardness       string     `json:"hardness"`
	Machinable     string     `json:"machinable"` // yes | carbide-tools | grind | no
	TradeOff       []TradeOff `json:"trade_off"`  // this group first, then the best others
	Measured       []string   `json:"measured,omitempty"`
}

// TradeOff is one alloy group beside the others.
type TradeOff struct {
	Group    string     `json:"group"`
	Class    string     `json:"class"` // the class of it that goes on this part best; "" when none does
	Stands   float64    `json:"stands"`
	Abrasion float64    `json:"abrasion_index"` // 1 to 10
	Impact   float64    `json:"impact_index"`   // 1 to 10
	G65      [2]float64 `json:"g65_loss_mm3"`   // ASTM G65 procedure A, low and high
}

// tradeOffs is how many other groups are set beside the chosen one.
const tradeOffs = 3

// facing puts the first class of a plan as a face into figures; nil when the plan lays none.
func (b *Book) facing(carrying, picked []candidate, s *situation) *Facing {
	if len(picked) == 0 || picked[0].role != Hardface || b.wear.groupOf[picked[0].class] < 0 {
		return nil
	}
	own := int(b.wear.groupOf[picked[0].class])
	g := &b.wear.groups[own]
	f := &Facing{Mechanisms: s.mechanisms.words(), Class: b.classes[picked[0].class].ID, Group: g.name, Stands: quantity.SixDigits(g.standsUp(s.mechanisms)),
		LayersMax: g.layersMax, ThicknessMaxMM: g.thicknessMax, Pattern: b.pattern(s.mechanisms), Relief: g.relief, Hardness: g.hardness,
		Machinable: g.machinable, Measured: g.measured}
	for _, c := range picked {
		if c.role == Buffer {
			f.Buffer = b.classes[c.class].ID
			break
		}
	}
	f.TradeOff = b.besides(own, carrying, s)
	return f
}

// besides sets the chosen group beside the others, the best of them first.
func (b *Book) besides(own int, carrying []candidate, s *situation) []TradeOff {
	classOf := make([]string, len(b.wear.groups))
	for _, c := range carrying { // best first
		if g := b.wear.groupOf[c.class]; c.role == Hardface && g >= 0 && classOf[g] == "" && c.suits >= 0.5 {
			classOf[g] = b.classes[c.class].ID
		}
	}
	order := make([]int, len(b.wear.groups))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(x, y int) int {
		switch fx, fy := b.wear.groups[x].standsUp(s.mechanisms), b.wear.groups[y].standsUp(s.mechanisms); {
		case (x == own) != (y == own):
			return yesFirst(x == own, y == own)
		case fx > fy:
			return -1
		case fx < fy:
			return 1
		}
		return 0
	})
	var out []TradeOff
	for _, i := range order[:min(len(order), 1+tradeOffs)] {
		g := &b.wear.groups[i]
		out = append(out, TradeOff{g.name, classOf[i], quantity.SixDigits(g.standsUp(s.mechanisms)), g.abrasion, g.impact, [2]float64{g.g65Low, g.g65High}})
	}
	return out
}

// pattern is how the beads lie: the waffle where fine and coarse come together, else by the gravest mechanism told.
func (b *Book) pattern(set mechanism) string {
	if set&lowStress != 0 && set&(gouging|highStress) != 0 {
		return b.wear.patterns[mixedPattern]
	}
	for _, m := range []mechanism{cavitating, seizing, metalToMetal, hotWear, gouging, highStress, eroding, lowStress, knocks, corroding} {
		if set&m != 0 {
			return b.wear.patterns[m.words()[0]]
		}
	}
	return b.wear.patterns["low-stress"]
}

// faceSteps are the steps that only a hard face has.
func (b *Book) faceSteps(face candidate, heat Heat, s *situation) []string {
	g := b.wear.groupOf[face.class]
	if face.role != Hardface || g < 0 {
		return nil
	}
	group := &b.wear.groups[g]
	steps := []string{b.pattern(s.mechanisms)}
	switch {
	case group.layersMax > 0 && group.thicknessMax > 0:
		steps = append(steps, "at most "+quantity.Text(float64(group.layersMax))+" layers, "+quantity.Text(group.thicknessMax)+" mm in all")
	case group.thicknessMax > 0:
		steps = append(steps, "at most "+quantity.Text(group.thicknessMax)+" mm in all")
	}
	if group.interpass > 0 && heat.Preheat != nil && heat.Preheat.Min > group.interpass {
		steps = append(steps, "let the butter cool under "+degrees(group.interpass)+" before the face")
	}
	switch group.relief {
	case "expected":
		steps = append(steps, "fine cracks across the bead are expected: leave them; a crack along it is not")
	case "when-thick":
		steps = append(steps, "cracks across the bead come when it is thick: keep it to two layers")
	case "few":
		steps = append(steps, "a few fine cracks across the bead do no harm")
	default:
		steps = append(steps, "no crack is normal here: grind out any")
	}
	return steps
}

// capByFace keeps a face that goes brittle when it is laid hot under its own limit between the beads, as far as the
// preheat of the base lets it.
func (b *Book) capByFace(heat *Heat, face candidate) {
	g := b.wear.groupOf[face.class]
	if face.role != Hardface || g < 0 || b.wear.groups[g].interpass == 0 || heat.InterpassC == nil {
		return
	}
	least := 0.0
	if heat.Preheat != nil {
		least = heat.Preheat.Min
	}
	limit := max(least, min(*heat.InterpassC, b.wear.groups[g].interpass))
	heat.InterpassC = &limit
}

// keepUnderInterpass keeps the preheat no higher than the part may be between the beads, in the steps as in the figures.
func (h *Heat) keepUnderInterpass() {
	if h.Preheat == nil || h.InterpassC == nil || h.Preheat.Max <= *h.InterpassC {
		return
	}
	band := *h.Preheat
	band.Max = max(band.Min, *h.InterpassC)
	h.Preheat = &band
}
