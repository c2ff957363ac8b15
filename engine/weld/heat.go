package weld

import (
	"io/fs"
	"slices"
	"strconv"
	"strings"

	"rodcall/engine/data"
	"rodcall/engine/metal"
)

// Conditions of procedures.csv besides those of the matching tables: what is being laid.
const (
	ofHardface condition = 1 << (iota + 48)
	ofOverlay
	ofBraze
)

var procedureWords = append(slices.Clone(conditionWords), "hardface", "overlay", "braze")

// Cooling words, fastest first, and how a rep reads them.
var coolingWords = []string{"quench-ok", "air", "insulate", "slow", "very-slow", "furnace"}

var coolingText = []string{"air, or water between beads", "still air", "cover it, hand-warm between beads", "slow, wrapped in a blanket",
	"very slow, buried in dry sand or lime", "in the furnace or hot sand"}

const coolingAir = 1

var procedureSchema = data.Schema{File: "procedures.csv", Key: []string{"family", "procedure", "when", "method"}, Columns: []data.Column{
	{Name: "family", Kind: data.Word, Required: true, Of: metal.Families},
	{Name: "procedure", Doc: "group of grade_subgroups.csv; empty = the whole family"},
	{Name: "when", Kind: data.Words, Of: procedureWords, Doc: "conditions that must all hold; the row that names more goes first"},
	{Name: "method", Kind: data.Word, Of: []string{"cold", "semi-hot", "hot", "braze"}, Doc: "name of the method where a metal has several"},
	{Name: "preheat_min_c", Kind: data.Number, Required: true, Max: 900, Doc: "band to aim at, C"},
	{Name: "preheat_max_c", Kind: data.Number, Required: true, Max: 900},
	{Name: "accept_min_c", Kind: data.Number, Required: true, Max: 900, Doc: "range that the metal takes without harm, C (judgement)"},
	{Name: "accept_max_c", Kind: data.Number, Required: true, Max: 900},
	{Name: "interpass_max_c", Kind: data.Number, Required: true, Max: 900},
	{Name: "over_heat", Kind: data.Word, Required: true, Of: []string{"soft", "hard"}, Doc: "hard: above the range the metal is spoilt"},
	{Name: "cooling", Kind: data.Word, Required: true, Of: coolingWords},
	{Name: "pwht"}, {Name: "prep", Required: true}, {Name: "groove"}, {Name: "crack_ends"}, {Name: "bead"}, {Name: "peen"},
	{Name: "first_layer"}, {Name: "note"},
	{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
}}

// method is one row of procedures.csv.
type method struct {
	when                                              condition
	name                                              string
	min, max, acceptMin, acceptMax, interpass         float64
	spoils                                            bool
	fits                                              [regimeCount]float64 // what each regime is worth on the metal
	cooling                                           int
	pwht, prep, groove, ends, bead, peen, first, note string
}

// heatGroup is a (family, procedure group) with its methods, the favoured one first.
type heatGroup struct {
	family    int
	procedure string
	methods   []method
}

func (b *Book) loadProcedures(files fs.FS, faults *data.Faults) {
	at := map[[2]string]int{}
	for _, row := range data.Read(files, procedureSchema, faults).Rows {
		m := readMethod(row)
		if !(m.acceptMin <= m.min && m.min <= m.max && m.max <= m.acceptMax) {
			row.Fault("preheat_min_c", "the band %g-%g does not lie in the accepted range %g-%g", m.min, m.max, m.acceptMin, m.acceptMax)
		}
		key := [2]string{row.Text("family"), row.Text("procedure")}
		i, ok := at[key]
		if !ok {
			i = len(b.heatGroups)
			at[key] = i
			b.heatGroups = append(b.heatGroups, heatGroup{family: metal.FamilyIndex(key[0]), procedure: key[1]})
		}
		b.heatGroups[i].methods = append(b.heatGroups[i].methods, m)
	}
	for _, base := range b.bases {
		family := metal.Families[base.Family]
		i, ok := at[[2]string{family, base.Procedure}]
		if !ok && base.Procedure != "" {
			faults.Add(procedureSchema.File, 0, "procedure", "%s has no row of group %q", family, base.Procedure)
		}
		if !ok {
			if i, ok = at[[2]string{family, ""}]; !ok {
				faults.Add(procedureSchema.File, 0, "family", "%s has no row for the whole family", family)
			}
		}
		b.heatOf = append(b.heatOf, int32(i))
	}
}

func readMethod(row data.Row) method {
	m := method{name: row.Text("method"), min: row.Value("preheat_min_c", 0), max: row.Value("preheat_max_c", 0),
		acceptMin: row.Value("accept_min_c", 0), acceptMax: row.Value("accept_max_c", 0), interpass: row.Value("interpass_max_c", 0),
		spoils: row.Text("over_heat") == "hard", cooling: slices.Index(coolingWords, row.Text("cooling")),
		pwht: row.Text("pwht"), prep: row.Text("prep"), groove: row.Text("groove"), ends: row.Text("crack_ends"),
		bead: row.Text("bead"), peen: row.Text("peen"), first: row.Text("first_layer"), note: row.Text("note")}
	for _, w := range row.List("when") {
		switch w {
		case "hardface":
			m.when |= ofHardface
		case "overlay":
			m.when |= ofOverlay
		case "braze":
			m.when |= ofBraze
		default:
			c, _ := conditionOf([]string{w})
			m.when |= c
		}
	}
	for r := range m.fits {
		m.fits[r] = fit(&m, Regime(r))
	}
	return m
}

// methodsFor are the methods of a group that apply: those that name most of what holds.
func (g *heatGroup) methodsFor(met condition, out []int) []int {
	most := -1
	for i := range g.methods {
		if when := g.methods[i].when; when.within(met) {
			switch n := when.count(); {
			case n > most:
				most, out = n, append(out[:0], i)
			case n == most:
				out = append(out, i)
			}
		}
	}
	return out
}

// heated is a heat group with its chance and the method chosen for it.
type heated struct {
	group  int
	p      float64
	method *method
}

// Heat is what the metal wants before, between and after the beads.
type Heat struct {
	Preheat    *Band
	InterpassC *float64
	PWHT       *string
	Cooling    string
	Missing    float64 // C that was wanted where nothing can be heated; 0 when nothing is missing
}

// dryingC is the heat up to which a part is dried and not preheated, missedC the preheat from which doing without
// it is likely to crack the part (judgement).
const (
	dryingC = 50.0
	missedC = 100.0
)

// Band is a temperature range in C and what it rests on.
type Band struct {
	Min, Max float64
	Basis    string
	Share    float64 // of what the metal may be that Min covers, 0 to 1; 0 where nothing was weighed
	Hotter   string  // what stays uncovered and what it wants: "250 C if it is tool steel"; "" when nothing of weight
}

// clash names two metals that want opposite treatment, and why; empty when nothing clashes.
type clash struct {
	a, b int // family indices
	why  string
}

// heatMasses sums the posterior by heat group, most likely first.
func (b *Book) heatMasses(s *situation) []heated {
	out := make([]heated, 0, 16)
	add := func(group int, p float64) {
		for i := range out {
			if out[i].group == group {
				out[i].p += p
				return
			}
		}
		out = append(out, heated{group: group, p: p})
	}
	for _, m := range s.bases {
		add(int(b.heatOf[m.base]), m.p)
	}
	slices.SortStableFunc(out, func(x, y heated) int {
		switch {
		case x.p > y.p:
			return -1
		case x.p < y.p:
			return 1
		}
		return x.group - y.group
	})
	return out
}

// leaders is how many of the heated metals have their own say: those of the leading share, at least the
// likeliest.
func leaders(h []heated) int {
	n := 0
	for n < len(h) && (h[n].p >= leadingShare || n == 0) {
		n++
	}
	return n
}

// heatMet are the conditions by which procedures are chosen.
func (s *situation) heatMet(braze bool) condition {
	met := s.met
	switch s.job {
	case "hardface":
		met |= ofHardface
	case "overlay":
		met |= ofOverlay
	}
	if braze {
		met |= ofBraze
	}
	return met
}

// settleHeat chooses a method for every leading metal so that one temperature does for all; when none
// does, it names the two that clash. The others take the method that fits best.
func (b *Book) settleHeat(h []heated, met condition) (low, high float64, bad *clash) {
	lead := leaders(h)
	low, high = 0, 2000
	if !b.chooseMethods(h[:lead], met, &low, &high) {
		return 0, 0, b.heatClash(h[:lead], met)
	}
	for i := lead; i < len(h); i++ {
		g := &b.heatGroups[h[i].group]
		var scratch [4]int
		for _, k := range g.methodsFor(met, scratch[:0]) {
			m := &g.methods[k]
			if h[i].method == nil || max(m.acceptMin, low) <= min(m.acceptMax, high) && max(h[i].method.acceptMin, low) > min(h[i].method.acceptMax, high) {
				h[i].method = m
			}
		}
	}
	return low, high, nil
}

// chooseMethods walks the methods of the leading metals depth first until their ranges share a
// temperature; low and high hold that range.
func (b *Book) chooseMethods(h []heated, met condition, low, high *float64) bool {
	if len(h) == 0 {
		return true
	}
	g := &b.heatGroups[h[0].group]
	var scratch [4]int
	for _, k := range g.methodsFor(met, scratch[:0]) {
		m := &g.methods[k]
		l, u := max(*low, m.acceptMin), min(*high, m.acceptMax)
		if l > u {
			continue
		}
		h[0].method = m
		if b.chooseMethods(h[1:], met, &l, &u) {
			*low, *high = l, u
			return true
		}
	}
	return false
}

// heatClash finds the first leading metal that shares no temperature with one before it.
func (b *Book) heatClash(h []heated, met condition) *clash {
	for i := 1; i < len(h); i++ {
		for j := range i {
			x, y := h[j], h[i]
			low, high := 0.0, 2000.0
			if two := []heated{x, y}; !b.chooseMethods(two, met, &low, &high) {
				return b.wordClash(x.group, y.group, met)
			}
		}
	}
	return b.wordClash(h[0].group, h[len(h)-1].group, met)
}

func (b *Book) wordClash(x, y int, met condition) *clash {
	var scratch [4]int
	first := func(g int) *method {
		return &b.heatGroups[g].methods[b.heatGroups[g].methodsFor(met, scratch[:0])[0]]
	}
	mx, my := first(x), first(y)
	if mx.acceptMin > my.acceptMin {
		x, y, mx, my = y, x, my, mx
	}
	fx, fy := b.heatGroups[x].family, b.heatGroups[y].family
	return &clash{fx, fy, b.names[fx].full + " must stay under " + degrees(mx.acceptMax) + ", " +
		b.names[fy].full + " wants " + degrees(my.min) + ": one heat cannot serve both"}
}

// jointHeat brings in the piece that the part is joined to. Where both take one heat it counts like a
// leading metal, the hotter deciding. Where one of them must stay cold, the joint is made cold and the
// side that hardens is buttered hot beforehand, which the text says.
func (b *Book) jointHeat(h []heated, met condition, low, high float64, s *situation) (with []heated, l, u float64, butter string) {
	other := heated{group: int(b.heatOf[s.joined]), p: 1}
	both := slices.Insert(slices.Clone(h), 1, other)
	if l, u, bad := b.settleHeat(both, met); bad == nil {
		return both, l, u, ""
	}
	alone := []heated{other}
	ol, ou, _ := b.settleHeat(alone, met)
	hot := h[0]
	if ou > high {
		hot = alone[0]
		ol, ou, alone = low, high, h
	}
	butter = "butter the " + b.names[b.heatGroups[hot.group].family].short + " side first at " + degrees(hot.method.min) +
		", let it cool, then join cold"
	return alone, ol, ou, butter
}

func degrees(c float64) string { return strconv.FormatFloat(c, 'f', 0, 64) + " C" }

// uncoveredShare is what of the posterior may stay below the least that it must have (judgement). A preheat
// costs a few percent of a repair, a crack nearly all of it.
const uncoveredShare = 0.05

// hottest is the metal at which the chance of those that ask for as much heat or more passes a share.
func hottest(h []heated, share float64, asks func(*method) float64) heated {
	order := slices.Clone(h)
	slices.SortStableFunc(order, func(x, y heated) int { return int(asks(y.method) - asks(x.method)) })
	sum := 0.0
	for _, x := range order {
		if sum += x.p; sum > share {
			return x
		}
	}
	return order[len(order)-1]
}

// heat works out the heat for the leading metals. first is the class that goes first, or nil.
func (b *Book) heat(h []heated, low, high float64, first *candidate, s *situation) Heat {
	band := b.coverHeat(b.servedBy(first, h, s), low, high, s)
	var out Heat
	if s.met&noPreheat != 0 && band.Max > dryingC {
		out.Missing = band.Min
		band = Band{Min: 10, Max: dryingC, Basis: "no preheat possible here: only dry it"}
	}
	out.Preheat = &band
	lead := leaders(h)
	interpass, cooling := 2000.0, 0
	for i := range lead {
		m := h[i].method
		interpass = min(interpass, m.interpass)
		if m.cooling == 0 {
			cooling = max(cooling, coolingAir)
		}
		cooling = max(cooling, m.cooling)
	}
	if lead == 1 || cooling == 0 {
		cooling = h[0].method.cooling
	}
	interpass = max(interpass, band.Min)
	out.InterpassC = &interpass
	out.Cooling = coolingText[cooling]
	if text := b.pwht(h[0].method, first, s); text != "" {
		out.PWHT = &text
	}
	return out
}

// servedBy leaves of the heated metals what the chosen class suits: on the others this weld is wrong whatever
// the heat, so they must not heat it. Without a class, or for a joint of two pieces, all of them count.
func (b *Book) servedBy(first *candidate, h []heated, s *situation) []heated {
	if first == nil || s.joined >= 0 {
		return h
	}
	out := make([]heated, 0, len(h))
	for _, x := range h {
		suits, all := 0.0, 0.0
		for _, m := range s.bases {
			if int(b.heatOf[m.base]) != x.group {
				continue
			}
			all += m.p
			if b.fares(m.base, first.role, first.class, s).kind.suits() {
				suits += m.p
			}
		}
		if suits > 0 {
			x.p *= suits / all
			out = append(out, x)
		}
	}
	if len(out) == 0 {
		return h
	}
	return out
}

// pwht is the heat treatment after, if the class and the limits leave one: an austenitic deposit on
// hardenable steel is not heat treated, it would embrittle.
func (b *Book) pwht(m *method, first *candidate, s *situation) string {
	if m.pwht == "" || m.pwht == "none" || s.met&noPWHT != 0 {
		return ""
	}
	if first != nil && first.top.need&pwhtDone == 0 && !strings.HasPrefix(m.pwht, "none") {
		group := b.classes[first.class].Group
		if (group == "stainless" || group == "nickel") && metal.Families[s.bases[0].family] != "precipitation-hardening-stainless" {
			return "none with this rod"
		}
	}
	return m.pwht
}
