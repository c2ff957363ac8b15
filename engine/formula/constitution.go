package formula

// SchaefflerCr is the chromium equivalent of the Schaeffler and DeLong diagrams, in wt%.
//
//	Creq = Cr + Mo + 1.5 Si + 0.5 Nb
//
// Inputs in wt%; at least one of the elements must be analysed, another missing one counts as zero and is named
// in the warnings.
// Range: Mo 0-3, Si 0-1, Nb 0-1.5, Creq 0-40.
// Outside it: the value with a warning.
// Source: worked example, scribd 245334387; limits told by a foundry note, scribd 277994694 (seen; its S < 1 read as Si).
// Rival: WRCCr for ferrite of modern stainless weld metal.
var SchaefflerCr = Formula{
	ID: "schaeffler_creq", Unit: "wt%", Mark: "seen",
	Source: "Schaeffler 1949: worked example scribd.com 245334387; limits scribd.com 277994694",
	Inputs: []Input{wt("Cr"), wt("Mo", 0, 3), wt("Si", 0, 1), wt("Nb", 0, 1.5)}, Eval: schaefflerCr,
	Limits: []Limit{{"Creq", "", 0, 40, schaefflerCr}}, Refuse: refuseNothing(Cr, Mo, Si, Nb),
}

// refuseNothing refuses an analysis in which none of the elements that count stands.
func refuseNothing(keys ...Key) func(Values) string {
	return func(x Values) string {
		for _, k := range keys {
			if x[k] > 0 {
				return ""
			}
		}
		return "none of the elements that the formula uses is above zero"
	}
}

func schaefflerCr(x Values) float64 { return x[Cr] + x[Mo] + 1.5*x[Si] + 0.5*x[Nb] }

// SchaefflerNi is the nickel equivalent of the Schaeffler diagram, in wt%.
//
//	Nieq = Ni + 30 C + 0.5 Mn
//
// Inputs in wt%; at least one of the elements must be analysed, another missing one counts as zero and is named
// in the warnings.
// Range: C 0-0.2, Mn 0-4, Nieq 0-30.
// Outside it: the value with a warning.
// Source: worked example, scribd 245334387; limits told by a foundry note, scribd 277994694 (seen).
// Rival: DeLongNi when nitrogen is known.
var SchaefflerNi = Formula{
	ID: "schaeffler_nieq", Unit: "wt%", Mark: "seen",
	Source: "Schaeffler 1949: worked example scribd.com 245334387; limits scribd.com 277994694",
	Inputs: []Input{wt("Ni"), wt("C", 0, 0.2), wt("Mn", 0, 4)}, Eval: schaefflerNi,
	Limits: []Limit{{"Nieq", "", 0, 30, schaefflerNi}}, Refuse: refuseNothing(Ni, C, Mn),
}

func schaefflerNi(x Values) float64 { return x[Ni] + 30*x[C] + 0.5*x[Mn] }

// DeLongNi is the nickel equivalent of the DeLong diagram, in wt%.
//
//	Nieq = Ni + 30 C + 30 N + 0.5 Mn
//
// Inputs in wt%; at least one of the elements must be analysed, another missing one counts as zero and is named
// in the warnings.
// Range: C 0-0.2, Mn 0-4, Nieq 10-21.
// Outside it: the value with a warning.
// Source: Long and DeLong, Welding Journal July 1973 (that 30 N was added seen; the rest and the window memory).
// Rival: WRCNi, which took its place.
var DeLongNi = Formula{
	ID: "delong_nieq", Unit: "wt%", Mark: "partly-seen",
	Source: "Long and DeLong, Welding Journal July 1973 (scribd.com 217017558); window memory",
	Inputs: []Input{wt("Ni"), wt("C", 0, 0.2), wt("N"), wt("Mn", 0, 4)}, Eval: deLongNi,
	Limits: []Limit{{"Nieq", "", 10, 21, deLongNi}}, Refuse: refuseNothing(Ni, C, N, Mn),
}

func deLongNi(x Values) float64 { return schaefflerNi(x) + 30*x[N] }

// WRCCr is the chromium equivalent of the WRC-1992 diagram, in wt%.
//
//	Creq = Cr + Mo + 0.7 Nb
//
// Inputs in wt%; at least one of the elements must be analysed, another missing one counts as zero and is named
// in the warnings.
// Range: Creq 17-31.
// Outside it: the value with a warning.
// Source: Kotecki and Siewert 1992; a case study (seen; window memory).
// Rival: SchaefflerCr outside the window, with carbon steel in the mix.
var WRCCr = Formula{
	ID: "wrc1992_creq", Unit: "wt%", Mark: "seen",
	Source: "Kotecki and Siewert 1992 (WRC-1992); case study weldingknowledge.co.in 2020/06/25; window memory",
	Inputs: elements("Cr", "Mo", "Nb"), Eval: wrcCr,
	Limits: []Limit{{"Creq", "", 17, 31, wrcCr}}, Refuse: refuseNothing(Cr, Mo, Nb),
}

func wrcCr(x Values) float64 { return x[Cr] + x[Mo] + 0.7*x[Nb] }

// WRCNi is the nickel equivalent of the WRC-1992 diagram, in wt%.
//
//	Nieq = Ni + 35 C + 20 N + 0.25 Cu
//
// Inputs in wt%; at least one of the elements must be analysed, another missing one counts as zero and is named
// in the warnings. Nitrogen that is not reported is 0.06 % in shielded weld metal (common practice).
// Range: Nieq 9-18.
// Outside it: the value with a warning.
// Source: Kotecki and Siewert 1992, abstract; a case study (seen; window memory).
// Rival: SchaefflerNi outside the window, with carbon steel in the mix.
var WRCNi = Formula{
	ID: "wrc1992_nieq", Unit: "wt%", Mark: "seen",
	Source: "Kotecki and Siewert 1992 (WRC-1992) abstract; case study weldingknowledge.co.in 2020/06/25; window memory",
	Inputs: elements("Ni", "C", "N", "Cu"), Eval: wrcNi,
	Limits: []Limit{{"Nieq", "", 9, 18, wrcNi}}, Refuse: refuseNothing(Ni, C, N, Cu),
}

func wrcNi(x Values) float64 { return x[Ni] + 35*x[C] + 20*x[N] + 0.25*x[Cu] }

// HammarSvenssonCr is the chromium equivalent of Hammar and Svensson, in wt%.
//
//	Creq = Cr + 1.37 Mo + 1.5 Si + 2 Nb + 3 Ti
//
// Inputs in wt%; Cr must be analysed, another missing element counts as zero and is named in the warnings.
// Range: Cr 10.5-30.
// Outside it: the value with a warning.
// Source: memory (coefficients seen in a stored text; range judgement: stainless steel).
// Rival: WRCCr.
var HammarSvenssonCr = Formula{
	ID: "hammar_svensson_creq", Unit: "wt%", Mark: "partly-seen",
	Source: "Hammar and Svensson: text id 27275469993; range judgement",
	Inputs: all([]Input{wt("Cr", 10.5, 30).must()}, elements("Mo", "Si", "Nb", "Ti")), Eval: hammarCr,
}

func hammarCr(x Values) float64 { return x[Cr] + 1.37*x[Mo] + 1.5*x[Si] + 2*x[Nb] + 3*x[Ti] }

// HammarSvenssonNi is the nickel equivalent of Hammar and Svensson, in wt%.
//
//	Nieq = Ni + 0.31 Mn + 22 C + 14.2 N + Cu
//
// Inputs in wt%; Ni must be analysed, another missing element counts as zero and is named in the warnings.
// Range: Ni 0.5-30.
// Outside it: the value with a warning.
// Source: memory (coefficients seen in a stored text; range judgement: stainless steel).
// Rival: WRCNi.
var HammarSvenssonNi = Formula{
	ID: "hammar_svensson_nieq", Unit: "wt%", Mark: "partly-seen",
	Source: "Hammar and Svensson: text id 27275469993; range judgement",
	Inputs: all([]Input{wt("Ni", 0.5, 30).must()}, elements("Mn", "C", "N", "Cu")), Eval: hammarNi,
}

func hammarNi(x Values) float64 { return x[Ni] + 0.31*x[Mn] + 22*x[C] + 14.2*x[N] + x[Cu] }

// Limits of the ferrite number of austenitic weld metal: at least 3 against hot cracking (Valiente Bermejo 2012,
// seen), above 10 sigma or spinodal decomposition in service at 350-900 degC (same paper, seen).
const (
	hotCrackFN = 3
	sigmaFN    = 10
)

func ferriteNotes(_ Values, fn float64) []string {
	switch {
	case fn < 0:
		return []string{"below zero: fully austenitic weld metal, hot-crack risk"}
	case fn < hotCrackFN:
		return []string{"below 3 FN: hot-crack risk"}
	case fn > sigmaFN:
		return []string{"above 10 FN: embrittles in service at 350-900 °C"}
	}
	return nil
}

// FerriteNumber is the ferrite number of austenitic weld metal by Valiente Bermejo 2012, in FN.
//
//	FN = 54.22 - 126.26 S + (-48.11 + 37.14 S) r + (-0.23 + 61.95 S) r^2
//	S = (Creq + Nieq)/100, r = Creq/Nieq, equivalents of Hammar and Svensson
//
// Inputs in wt%; Cr and Ni must be analysed, another missing element counts as zero and is named in the warnings.
// Range: S 0.3-0.4, r 1.22-2
// and cooling at 10-1000 degC/s. Outside it: the value with a warning. Nieq not above zero: refused. Spread: 2.12 FN at 95 %.
// Source: Valiente Bermejo, Welding in the World 2012, doi 10.1007/bf03321381, abstract (seen; S as a fraction is our reading).
// Rival: the WRC-1992 diagram, whose lines no source gives as figures.
var FerriteNumber = Formula{
	ID: "fn_valiente_2012", Unit: "FN", Mark: "partly-seen", Spread: 2.12,
	Source: "M. A. Valiente Bermejo, Welding in the World 2012, doi 10.1007/bf03321381, abstract; S as a fraction is our reading",
	Inputs: all([]Input{wt("Cr").must(), wt("Ni").must()}, elements("Mo", "Si", "Nb", "Ti", "Mn", "C", "N", "Cu")),
	Limits: []Limit{
		{"S", "", 0.3, 0.4, func(x Values) float64 { return (hammarCr(x) + hammarNi(x)) / 100 }},
		{"r", "", 1.22, 2, func(x Values) float64 { return hammarCr(x) / hammarNi(x) }}},
	Refuse: func(x Values) string {
		if hammarNi(x) <= 0 {
			return "the nickel equivalent is not above zero; the ratio of the equivalents has no meaning"
		}
		return ""
	},
	Eval: func(x Values) float64 {
		cr, ni := hammarCr(x), hammarNi(x)
		sum, ratio := (cr+ni)/100, cr/ni
		return 54.22 - 126.26*sum + (-48.11+37.14*sum)*ratio + (-0.23+61.95*sum)*ratio*ratio
	},
	Notes: ferriteNotes,
}

func hullCr(x Values) float64 { return x[Cr] + 1.21*x[Mo] + 0.48*x[Si] - 4.99 }

func hullNi(x Values) float64 {
	return x[Ni] + 0.11*x[Mn] - 0.0086*x[Mn]*x[Mn] + 18.4*x[N] + 24.5*x[C] + 2.77
}

// hullVertex is the ratio of the equivalents at which Hull's parabola turns: below it less chromium would mean
// more ferrite.
const hullVertex = 170.72 / (2 * 100.3)

// FerriteHull is the ferrite of cast stainless steel by Hull's equivalents, in %.
//
//	ferrite = 100.3 r^2 - 170.72 r + 74.22, r = Creq/Nieq
//	Creq = Cr + 1.21 Mo + 0.48 Si - 4.99
//	Nieq = Ni + 0.11 Mn - 0.0086 Mn^2 + 18.4 N + 24.5 C + 2.77
//
// Inputs in wt%; Cr and Ni must be analysed, another missing element counts as zero and is named in the warnings.
// Range: Cr 16-26, Ni 5-16, r 0.9-1.6
// and castings only. Outside it: the value with a warning. Below the turn of the parabola at r = 0.851: refused.
// Source: Hull, used by NUREG/CR-4513, memory (range judgement).
// Rival: FerriteNumber for weld metal.
var FerriteHull = Formula{
	ID: "ferrite_pct_hull_nureg", Unit: "%", Mark: "memory", Source: "Hull, as used by NUREG/CR-4513, memory; range judgement",
	Inputs: all([]Input{wt("Cr", 16, 26).must(), wt("Ni", 5, 16).must()}, elements("Mo", "Si", "Mn", "N", "C")),
	Limits: []Limit{{"r", "", 0.9, 1.6, func(x Values) float64 { return hullCr(x) / hullNi(x) }}},
	Refuse: func(x Values) string {
		if ni := hullNi(x); ni <= 0 || hullCr(x)/ni < hullVertex {
			return "the equivalents lie below the turn of the parabola, where it says nothing; the casting is austenitic or no stainless"
		}
		return ""
	},
	Eval: func(x Values) float64 {
		r := hullCr(x) / hullNi(x)
		return 100.3*r*r - 170.72*r + 74.22
	},
}

// Equivalents are the Schaeffler and WRC-1992 equivalents of a composition, wt%.
type Equivalents struct{ SchaefflerCr, SchaefflerNi, WRCCr, WRCNi float64 }

// EquivalentsOf computes both pairs of equivalents; what is missing from x counts as zero.
func EquivalentsOf(x Values) Equivalents {
	return Equivalents{schaefflerCr(x), schaefflerNi(x), wrcCr(x), wrcNi(x)}
}

// Solidification is the mode in which stainless weld metal freezes.
type Solidification string

// The modes, by the ratio of the WRC-1992 equivalents (memory).
const (
	Austenitic        Solidification = "A or AF" // primary austenite: hot-crack risk
	FerriticAustenite Solidification = "FA"      // primary ferrite with austenite: resists hot cracking
	Ferritic          Solidification = "F"       // ferrite alone
)

// Limits of the ratio Creq/Nieq (WRC-1992) between the modes (memory).
const (
	ratioFA = 1.4
	ratioF  = 1.95
)

// Freezes is the solidification mode by WRC-1992; ok is false outside the window of the diagram.
func (e Equivalents) Freezes() (mode Solidification, ok bool) {
	if e.WRCNi <= 0 {
		return Ferritic, false
	}
	ok = e.WRCCr >= 17 && e.WRCCr <= 31 && e.WRCNi >= 9 && e.WRCNi <= 18
	switch ratio := e.WRCCr / e.WRCNi; {
	case ratio < ratioFA:
		return Austenitic, ok
	case ratio <= ratioF:
		return FerriticAustenite, ok
	default:
		return Ferritic, ok
	}
}
