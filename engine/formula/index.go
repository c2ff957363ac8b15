package formula

// Limits of the crack index of weld metal: below 10 high resistance, above 30 low resistance (EN 1011-2 annex E, seen).
const (
	ucsGood = 10
	ucsBad  = 30
)

// ucsCarbon is the carbon that the crack index takes for anything lower, wt%.
const ucsCarbon = 0.08

// UCS is the hot-crack index of EN 1011-2 for weld metal, units of crack susceptibility.
//
//	UCS = 230 C* + 190 S + 75 P + 45 Nb - 12.3 Si - 5.4 Mn - 1, C* = C, at least 0.08
//
// Inputs in wt% of the weld metal; C must be analysed, another missing element counts as zero and is named in
// the warnings.
// Range: C 0-0.23, S 0.01-0.05, P 0.01-0.045, Si 0.15-0.65, Mn 0.45-1.6, Nb 0-0.07.
// Outside it: the value with a warning. Above 2.1 % C: refused.
// Source: EN 1011-2 annex E, full form in a formula page (seen; range memory).
// Rival: the regression of 1976 (223 C + 197 S + 100 P + 48 Nb - 14.3 Si - 6 Mn - 16 Al + 0.5); an exam prints 12 Si and no last term.
var UCS = Formula{
	ID: "ucs", Mark: "seen", Source: "EN 1011-2 annex E: formula page text id 27275469993; range memory",
	Inputs: []Input{wt("C", 0, 0.23).must(), wt("S", 0.01, 0.05), wt("P", 0.01, 0.045), wt("Si", 0.15, 0.65), wt("Mn", 0.45, 1.6), wt("Nb", 0, 0.07)},
	Refuse: refuseIron,
	Eval: func(x Values) float64 {
		return 230*max(x[C], ucsCarbon) + 190*x[S] + 75*x[P] + 45*x[Nb] - 12.3*x[Si] - 5.4*x[Mn] - 1
	},
	Notes: func(_ Values, ucs float64) []string {
		switch {
		case ucs > ucsBad:
			return []string{"above 30: low resistance to solidification cracking"}
		case ucs < ucsGood:
			return []string{"below 10: high resistance to solidification cracking"}
		}
		return nil
	},
}

// PREN is the pitting resistance number of stainless steel, a bare number.
//
//	PREN = Cr + 3.3 (Mo + 0.5 W) + 16 N
//
// Inputs in wt%; Cr must be analysed, another missing element counts as zero and is named in the warnings.
// Range: Cr 10.5-35.
// Outside it: the value with a warning.
// Source: IMOA table, a stockholder's extract (seen; range judgement: stainless steel).
// Rival: some versions take 30 N for duplex, and 0 N for ferritic grades. 32 is the least for sea water, 40 super duplex.
var PREN = Formula{
	ID: "pren", Mark: "seen", Source: "International Molybdenum Association, stainless grades and properties; steelplates.in extract; range judgement",
	Inputs: all([]Input{wt("Cr", 10.5, 35).must()}, elements("Mo", "W", "N")),
	Eval:   func(x Values) float64 { return x[Cr] + 3.3*(x[Mo]+0.5*x[W]) + 16*x[N] },
}

// Limits of the temper-embrittlement indices: low risk up to these (seen: qci-refractories.com).
const (
	jLowRisk = 180
	xLowRisk = 20
)

// JFactor is Watanabe's index of temper embrittlement of parent steel, a bare number.
//
//	J = (Mn + Si) (P + Sn) 10^4
//
// Inputs in wt%; Mn and P must be analysed, another missing element counts as zero and is named in the warnings.
// Range: Mn 0-2, Si 0-2, P 0-0.1, Sn 0-0.1.
// Outside it: the value with a warning. Low risk to 180; specifications for 2.25Cr-1Mo ask 100 to 120.
// Source: qci-refractories.com; a worked sheet, scribd 359432631 (seen; range judgement).
// Rival: XBar for weld metal.
var JFactor = Formula{
	ID: "j_factor", Mark: "seen", Source: "qci-refractories.com; worked sheet scribd.com 359432631; limits for 2.25Cr-1Mo text id 45597272844; range judgement",
	Inputs: []Input{wt("Mn", 0, 2).must(), wt("Si", 0, 2), wt("P", 0, 0.1).must(), wt("Sn", 0, 0.1)},
	Eval:   func(x Values) float64 { return (x[Mn] + x[Si]) * (x[P] + x[Sn]) * 1e4 },
	Notes: func(_ Values, j float64) []string {
		if j > jLowRisk {
			return []string{"above 180: temper embrittlement in service at about 350-600 °C"}
		}
		return nil
	},
}

// XBar is Bruscato's index of temper embrittlement of weld metal, in ppm.
//
//	X = (10 P + 5 Sb + 4 Sn + As)/100, elements in ppm
//
// Inputs in wt%; P must be analysed, another missing element counts as zero and is named in the warnings.
// Range: P 0-0.1, Sb 0-0.1, Sn 0-0.1, As 0-0.1.
// Outside it: the value with a warning. Low risk below 20; specifications for 2.25Cr-1Mo ask 15.
// Source: qci-refractories.com; a worked sheet, scribd 359432631 (seen; range judgement).
// Rival: JFactor for parent steel.
var XBar = Formula{
	ID: "x_bar", Unit: "ppm", Mark: "seen", Source: "qci-refractories.com; worked sheet scribd.com 359432631; limits for 2.25Cr-1Mo text id 45597272844; range judgement",
	Inputs: []Input{wt("P", 0, 0.1).must(), wt("Sb", 0, 0.1), wt("Sn", 0, 0.1), wt("As", 0, 0.1)},
	Eval:   func(x Values) float64 { return (10*x[P] + 5*x[Sb] + 4*x[Sn] + x[As]) * ppmPerPercent / 100 },
	Notes: func(_ Values, index float64) []string {
		if index >= xLowRisk {
			return []string{"20 or more: temper embrittlement of the weld metal in service at about 350-600 °C"}
		}
		return nil
	},
}

const ppmPerPercent = 1e4

// CopperShortness is the surface hot-shortness sum of forging-steel certificates, in wt%.
//
//	Cu + 10 Sn
//
// Inputs in wt%; Cu must be analysed, missing Sn counts as zero and is named in the warnings.
// Range: Cu 0-1, Sn 0-0.2.
// Outside it: the value with a warning.
// Source: certificate of an open certificate format (seen; range judgement).
// Rival: none.
var CopperShortness = Formula{
	ID: "cu_hot_shortness", Unit: "wt%", Mark: "seen", Source: "forged-bar certificate, material-identity/schemas test data; range judgement",
	Inputs: []Input{wt("Cu", 0, 1).must(), wt("Sn", 0, 0.2)},
	Eval:   func(x Values) float64 { return x[Cu] + 10*x[Sn] },
}

// Resulphurised steel: above this sulphur ordinary electrodes crack (1100 and 1200 series, seen: CSA sheet), and
// below these ratios the grain boundaries melt (common practice) or line pipe is refused (seen).
const (
	FreeMachiningSulphur = 0.08
	LiquationMnS         = 10
	LinePipeMnS          = 20
)

// ManganeseToSulphur is the ratio Mn/S of a steel; ok is false without sulphur.
func ManganeseToSulphur(x Values) (ratio float64, ok bool) {
	if x[S] <= 0 {
		return 0, false
	}
	return x[Mn] / x[S], true
}
