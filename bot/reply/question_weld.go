package reply

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rodcall/engine"
	"rodcall/engine/formula"
)

// processWords is how a rep calls a process.
var processWords = map[string]string{"smaw": "stick", "gmaw": "MIG", "gtaw": "TIG", "fcaw": "flux core", "saw": "sub arc", "oxyfuel": "gas", "braze": "braze"}

// DepositOn answers what fillers become on what the metal may be: the threat first, then the window of dilution that
// keeps the deposit sound, then the figures.
func DepositOn(d engine.Deposit, c Context) []string {
	last := d.Layers[len(d.Layers)-1]
	lines := paragraph(fmt.Sprintf("%s on %s%s, %s dilution:", layersName(d), gradeName(d.Grade), otherSide(d), shares(d.Taken.Low, d.Taken.High)))
	lines = append(lines, threats(d, last)...)
	if (last.High.Hazards|last.Low.Hazards)&engine.OffDiagram != 0 {
		return append(lines, figuresOf(d, last)...)
	}
	lines = append(lines, paragraph(windowText(d))...)
	if d.Taken != d.Usual && d.Usual.High > 0 {
		lines = append(lines, paragraph(fmt.Sprintf("Usual for %s: %s.", wayOf(d), shares(d.Usual.Low, d.Usual.High)))...)
	}
	if d.Troubled > 0.005 && d.Troubled < 0.995 {
		lines = append(lines, paragraph(fmt.Sprintf("In trouble on %s of what this may be.", tenthsOf(d.Troubled)))...)
	}
	if len(d.Layers) > 1 {
		lines = append(lines, layerLines(d)...)
	}
	return append(lines, figuresOf(d, last)...)
}

// PlainDepositOn answers what a steel filler becomes on the likeliest steel.
func PlainDepositOn(d engine.PlainDeposit) []string {
	lines := paragraph(fmt.Sprintf("%s on %s%s, %s dilution:", className(d.Class), gradeName(d.Grade), otherSide(engine.Deposit{Other: d.Other}), shares(d.Taken.Low, d.Taken.High)))
	if d.UCS[1] > crackIndex {
		lines = append(lines, paragraph(fmt.Sprintf("! Hot cracks: UCS %.0f, over 30. Small convex beads, low current, butter first.", d.UCS[1]))...)
	} else {
		lines = append(lines, paragraph(fmt.Sprintf("UCS %.0f: bears hot cracking (over 30 does not).", d.UCS[1]))...)
	}
	if !d.UCSIn {
		lines = append(lines, paragraph("UCS is out of its range here: rough.")...)
	}
	if d.Most > 0 && d.Most < 1 {
		lines = append(lines, paragraph("Under 30 up to "+shares(d.Most, d.Most)+" dilution.")...)
	}
	lines = append(lines, paragraph(fmt.Sprintf("The weld picks up carbon: %s%c%%, CE(IIW) %s.", between(d.Carbon), noBreak, between(d.CE)))...)
	if d.Taken != d.Usual && d.Usual.High > 0 {
		lines = append(lines, paragraph("Usual for "+wayOf(engine.Deposit{Process: d.Process, Use: d.Use})+": "+shares(d.Usual.Low, d.Usual.High)+".")...)
	}
	return append(lines, paragraph("No constitution diagram reads plain steel. Middle of both limits.")...)
}

// crackIndex is the UCS above which weld metal hot-cracks (EN 1011-2 annex E, seen).
const crackIndex = 30

func between(v [2]float64) string {
	low, high := trimNumber(v[0], 2), trimNumber(v[1], 2)
	if low == high {
		return low
	}
	return low + "-" + high
}

func layersName(d engine.Deposit) string {
	var names []string
	for i, l := range d.Layers {
		if i == 0 || l.Class != d.Layers[i-1].Class {
			names = append(names, className(l.Class))
		}
	}
	text := strings.Join(names, " then ")
	if len(names) == 1 && len(d.Layers) > 1 {
		text += fmt.Sprintf(", %d layers", len(d.Layers))
	}
	return text
}

func otherSide(d engine.Deposit) string {
	if d.Other == "" {
		return ""
	}
	return " and " + gradeName(d.Other)
}

func wayOf(d engine.Deposit) string {
	use := map[string]string{"join": "joint", "overlay": "overlay", "root": "root without filler"}[d.Use]
	if name := processWords[d.Process]; name != "" {
		return name + ", " + use
	}
	return use
}

func shares(low, high float64) string {
	return span(math.Round(low*100), math.Round(high*100)) + string(noBreak) + "%"
}

// threats says what threatens the last layer over the range of dilution, gravest first, and what to do against it.
func threats(d engine.Deposit, l engine.Layer) []string {
	worst, best := l.High.Hazards|l.Low.Hazards, l.High.Hazards&l.Low.Hazards
	may := func(h engine.Hazard) string {
		if best&h != 0 || d.Taken.Low == d.Taken.High {
			return ""
		}
		return " at the high end"
	}
	var lines []string
	add := func(text string) { lines = append(lines, paragraph(text)...) }
	switch {
	case worst&engine.OffDiagram != 0:
		add("! Outside the diagram (much carbon or manganese): I give no window. Say rods for what suits it.")
		return lines
	case d.MartensiticRod:
		add("! The rod itself is martensitic or ferritic: preheat, and temper after.")
	case worst&engine.Martensite != 0:
		add("! Martensite" + may(engine.Martensite) + ": hard, cracks. Butter first, dilute less, or a richer rod (309L, 312).")
	case worst&engine.NearMartensite != 0:
		add("! Close to the martensite line" + may(engine.NearMartensite) + " (+-1.5): dilute less.")
	}
	if worst&engine.HotCrack != 0 {
		add("! Hot cracks" + may(engine.HotCrack) + ": under 3 FN or no ferrite. Small convex beads, low heat, fill craters.")
	}
	if worst&engine.Sigma != 0 {
		add("! Sigma: over 10 FN turns brittle at 350-900 C service.")
	}
	if len(lines) == 0 {
		add("Sound: austenite with " + ferriteText(l.High) + ".")
	}
	return lines
}

// ferriteText is the ferrite number where its fit holds, else the ferrite by Seferian's.
func ferriteText(c engine.Constituted) string {
	switch {
	case c.FNKnown:
		return fmt.Sprintf("about %.0f FN (+-2)", math.Max(c.FN, 0))
	case !c.Phases.InRange:
		return "much ferrite, beyond the fit"
	case c.Phases.FerritePct < 0.5:
		return "hardly any ferrite"
	}
	return fmt.Sprintf("about %.0f%c%% ferrite", c.Phases.FerritePct, noBreak)
}

// windowText is the dilution that keeps the deposit sound, on the likeliest metal and on nine in ten of what it may be.
func windowText(d engine.Deposit) string {
	if d.MartensiticRod {
		return "No dilution window: it is meant to harden."
	}
	if !d.Window.Open {
		return "No dilution is free of it with this rod here."
	}
	text := "Sound from " + shares(d.Window.From, d.Window.To) + " dilution"
	if d.Window.From == 0 {
		text = "Sound up to " + shares(d.Window.To, d.Window.To) + " dilution"
	}
	switch w := d.WindowOfMost; {
	case !w.Open:
		return text + ", but none holds for 9 in 10 of what this may be."
	case w != d.Window:
		return text + "; " + shares(w.From, w.To) + " on 9 in 10 of what this may be."
	}
	return text + "."
}

func layerLines(d engine.Deposit) []string {
	var lines []string
	for i, l := range d.Layers {
		text := fmt.Sprintf("Layer %d: %s base left, %s, %s", i+1, shares(l.BaseLeft[0], l.BaseLeft[1]), phasesText(l.High.Phases), ferriteText(l.High))
		if words := l.High.Hazards.Words(); len(words) > 0 {
			text += ": " + strings.Join(words, ", ")
		}
		lines = append(lines, wrap(text+".", "", "  ")...)
	}
	return lines
}

func phasesText(p formula.Phases) string {
	if text := p.String(); text != "" {
		return text
	}
	return "?"
}

// figuresOf are the equivalents of base, rod and weld on both diagrams.
func figuresOf(d engine.Deposit, last engine.Layer) []string {
	pair := func(name string, cr, ni float64) string { return fmt.Sprintf("%s %.1f/%.1f", name, cr, ni) }
	at := last.High.At
	text := "Schaeffler Cr/Ni eq.: " + pair("base", d.Base.SchaefflerCr, d.Base.SchaefflerNi)
	if d.Other != "" {
		text += ", " + pair("other", d.OtherBase.SchaefflerCr, d.OtherBase.SchaefflerNi)
	}
	text += ", " + pair("rod", d.Filler.At.SchaefflerCr, d.Filler.At.SchaefflerNi) + ", " + pair("weld", at.SchaefflerCr, at.SchaefflerNi)
	lines := paragraph(text + ".")
	wrc := fmt.Sprintf("WRC-1992 weld %.1f/%.1f", at.WRCCr, at.WRCNi)
	if mode := last.High.Freezes; mode != "" {
		wrc += ", freezes " + string(mode)
	} else {
		wrc += ", outside its plot"
	}
	lines = append(lines, paragraph(wrc+"; phases "+phasesText(last.High.Phases)+", "+ferriteText(last.High)+".")...)
	return append(lines, paragraph("At the middle of both limits; lines known to +-1.5.")...)
}

// Harden answers how fast the metal beside the weld cools and how hard it gets.
func Harden(h engine.Hardening, c Context) []string {
	if len(h.Grades) == 0 {
		return paragraph("These figures are for steel that hardens beside the weld; this is likely none.")
	}
	g := h.Grades[0]
	lines := paragraph(fmt.Sprintf("t8/5 about %s%cs at %s preheat, %s thick, %s%ckJ/mm.", trimNumber(h.Seconds, 0), noBreak, degrees(h.Preheat, c), length(h.ThicknessMM, c), trimNumber(h.Heat, 2), noBreak))
	lines = append(lines, paragraph(hardText(g))...)
	switch {
	case h.Most > crackProne:
		lines = append(lines, paragraph(fmt.Sprintf("! 9 in 10 stay under %.0f%cHV: over 400 HV is prone to cold cracks.", h.Most, noBreak))...)
	case h.Most > crackLimit:
		lines = append(lines, paragraph(fmt.Sprintf("! 9 in 10 stay under %.0f%cHV: over 350 HV cold cracks can come.", h.Most, noBreak))...)
	default:
		lines = append(lines, paragraph(fmt.Sprintf("9 in 10 stay under %.0f%cHV: below the limit of 350.", h.Most, noBreak))...)
	}
	lines = append(lines, paragraph(toLimitText(g, c))...)
	lines = append(lines, paragraph(msText(g, h, c))...)
	lines = append(lines, paragraph("350 HV: Dearden and O'Neill; for hydrogen, not strength.")...)
	return append(lines, supposed(h.Assumed)...)
}

// Limits of the hardness beside a weld, HV (Dearden and O'Neill as told by EWI, seen).
const crackLimit, crackProne = 350, 400

func hardText(g engine.Hardened) string {
	var models []string
	if g.YuriokaIn {
		models = append(models, fmt.Sprintf("%.0f%cHV (Yurioka)", g.Yurioka, noBreak))
	}
	text := fmt.Sprintf("%.0f%cHV (Lorenz-Dueren", g.LorenzDueren, noBreak)
	if !g.LorenzDuerenIn {
		text += ", out of range"
	}
	models = append(models, text+")")
	return gradeName(g.Grade) + ": HAZ " + strings.Join(models, ", ") + ", each +-56."
}

func toLimitText(g engine.Hardened, c Context) string {
	switch {
	case g.NoPreheatFor350:
		return "Stays under 350 HV without preheat."
	case g.PreheatFor350 > 0:
		return fmt.Sprintf("Under 350 HV from %s preheat (t8/5 %.0f%cs).", degrees(g.PreheatFor350, c), g.SecondsFor350, noBreak)
	}
	return "No preheat keeps it under 350 HV: temper it after, or a soft rod that bears it (312, 309L)."
}

func msText(g engine.Hardened, h engine.Hardening, c Context) string {
	text := fmt.Sprintf("Martensite starts about %s (+-40%cC)", degrees(g.Ms, c), noBreak)
	if !g.MsIn {
		text += ", out of range"
	}
	if g.RetainedMatters {
		return text + fmt.Sprintf("; %.0f%c%% austenite stays: temper twice.", g.Retained*100, noBreak)
	}
	if h.Preheat > g.Ms {
		return text + "; your preheat is above it: it hardens only as it cools, so let it cool slow."
	}
	return text + "."
}

// SignsOf answers the indices of a metal, the one that was asked about first.
func SignsOf(s engine.Signs, c Context) []string {
	from := "middle of its limits"
	if len(s.Analysed) > 0 {
		from = "by your analysis of " + strings.Join(s.Analysed, " ") + ", else middle of its limits"
	}
	lines := paragraph(fmt.Sprintf("%s (%s), %s:", gradeName(s.Grade), percent(s.P), from))
	list := slices.Clone(s.List)
	slices.SortStableFunc(list, func(a, b engine.Sign) int { return order(a) - order(b) })
	for _, x := range list {
		text := x.Name + " " + trimNumber(x.Value, places(x.Value))
		if x.Unit != "" {
			text += string(noBreak) + x.Unit
		}
		if !x.InRange {
			text += " (out of range)"
		}
		mark := ""
		if x.Bad {
			mark = "! "
		}
		lines = append(lines, wrap(mark+text+": "+bothDegrees(x.Limit, c)+".", "", "  ")...)
		if x.Says != "" {
			lines = append(lines, wrap("-> "+x.Says+".", "  ", "  ")...)
		}
	}
	if !s.Carbon && len(s.Analysed) > 0 {
		lines = append(lines, paragraph("No carbon in the analysis: that of the grade stands in.")...)
	}
	return lines
}

func order(x engine.Sign) int {
	if x.Bad {
		return 0
	}
	return 1
}

func places(v float64) int {
	if math.Abs(v) < 3 {
		return 2
	}
	return 0
}
