package formula

import (
	"math"

	"rodcall/engine/measure"
)

// preheatNotes says what a low result means.
func preheatNotes(_ Values, preheat float64) []string {
	if preheat <= 20 {
		return []string{"no preheat against hydrogen cracking above 20 °C; still dry the metal and warm it to the hand"}
	}
	return nil
}

// PreheatMethodB is the preheat of EN 1011-2 method B, in degC.
//
//	Tp = 697 CET + 160 tanh(d/35) + 62 HD^0.35 + (53 CET - 32) Q - 328
//
// Inputs: CET in wt%; d_mm plate thickness, not combined (or d_in); HD diffusible hydrogen in ml per 100 g of
// deposited metal; Q_kJ_mm heat input with process efficiency (or Q_kJ_in). All must be given.
// Range: CET 0.2-0.5, d_mm 10-90, HD 1-20 ml/100 g, Q_kJ_mm 0.5-4
// and a yield strength up to 1000 MPa. Outside it: the value with a warning. d, HD or Q not above zero: refused.
// Source: EN 1011-2:2001 annex C.3, quoted in stored code; a stored specification (equation and ranges seen).
// SEW 088 has 700 CET and -330, less than 1.5 degC apart. A copy with 62 (0.35 HD) is an error, as is the one of
// metallurgyzone.com. Rival: the tables by grade outside the range of CET.
var PreheatMethodB = Formula{
	ID: "preheat_en1011_2_method_b", Unit: "degC", Mark: "seen",
	Source: "EN 1011-2:2001 annex C.3 as quoted in stored code (text id 60244846049); clay-good/roughlogic.com spec v1946",
	Inputs: []Input{
		quantity(cet, "CET", "wt%", 0.2, 0.5).must().above(0), lengthMM(thickness, "d_mm", "d_in", 10, 90).must(),
		quantity(hydrogen, "HD", "ml/100 g", 1, 20).must().above(0), heatInput("Q_kJ_mm", "Q_kJ_in", 0.5, 4).must()},
	Eval: func(x Values) float64 {
		return float64(MethodB(x[cet], measure.MM(x[thickness]), x[hydrogen], x[heat]))
	},
	Notes: preheatNotes,
}

func heatInput(name, inName string, limits ...float64) Input {
	return quantity(heat, name, "kJ/mm", limits...).above(0).also(inName, 1/mmPerInch, 0)
}

// MethodB is the equation of PreheatMethodB for inputs that are at hand: CET in wt%, plate thickness,
// diffusible hydrogen in ml/100 g, heat input in kJ/mm. It does not check the range.
func MethodB(cet float64, thickness measure.MM, hydrogen, heatInput float64) measure.Celsius {
	return measure.Celsius(697*cet + 160*math.Tanh(float64(thickness)/35) + 62*math.Pow(hydrogen, 0.35) + (53*cet-32)*heatInput - 328)
}

// seferianLimit is the corrected Seferian carbon below which no preheat is needed.
const seferianLimit = 0.25

// PreheatSeferian is Seferian's preheat, in degC; 0 means none.
//
//	Cx = C + (40 (Mn + Cr) + 20 Ni + 28 Mo)/360, Ct = Cx (1 + 0.005 t)
//	Tp = 350 sqrt(Ct - 0.25) above Ct = 0.25, otherwise none
//
// Inputs: elements in wt%, C must be analysed, another missing element counts as zero and is named in the
// warnings; thickness_mm (or thickness_in) must be given.
// Range: C 0-1, Mn 0-2, Cr 0-3, Ni 0-5, Mo 0-1, thickness_mm 1-100.
// Outside it: the value with a warning. Thickness not above zero, or above 2.1 % C: refused.
// Source: a worked sheet in French, scribd 723706121 (equation and one result seen; its sum leaves out the Ni and Mo terms
// that it prints; range judgement). Rival: PreheatMethodB, which knows hydrogen and heat input.
var PreheatSeferian = Formula{
	ID: "seferian_preheat", Unit: "degC", Mark: "seen",
	Source: "Seferian: worked sheet scribd.com 723706121; thickness factor also in text id 27275469993; range judgement",
	Inputs: []Input{wt("C", 0, 1).must(), wt("Mn", 0, 2), wt("Cr", 0, 3), wt("Ni", 0, 5), wt("Mo", 0, 1),
		lengthMM(thickness, "thickness_mm", "thickness_in", 1, 100).must()},
	Refuse: refuseIron,
	Eval: func(x Values) float64 {
		carbon := (360*x[C] + 40*(x[Mn]+x[Cr]) + 20*x[Ni] + 28*x[Mo]) / 360 * (1 + 0.005*x[thickness])
		if carbon <= seferianLimit {
			return 0
		}
		return 350 * math.Sqrt(carbon-seferianLimit)
	},
	Notes: preheatNotes,
}

// PreheatItoBessyo is the preheat of Ito and Bessyo for severe restraint (y-groove), in degC.
//
//	Pw = Pcm + H/60 + t/600, T0 = 1440 Pw - 392
//
// Inputs: elements in wt%, C must be analysed, another missing element counts as zero and is named in the
// warnings; H hydrogen by the glycerine method in ml per 100 g; thickness_mm (or thickness_in). Both must be given.
// Range: H 1-5 ml/100 g, thickness_mm 19-50, Pcm 0.17-0.32.
// Outside it: the value with a warning. Thickness or hydrogen below zero, or above 2.1 % C: refused.
// Source: memory.
// Rival: PreheatMethodB for ordinary restraint. Hydrogen by other methods reads about twice as high.
var PreheatItoBessyo = Formula{
	ID: "preheat_ito_bessyo", Unit: "degC", Mark: "memory", Source: "Ito and Bessyo, memory",
	Inputs: all([]Input{wt("C").must()}, elements("Si", "Mn", "Cu", "Cr", "Ni", "Mo", "V", "B"),
		[]Input{quantity(hydrogen, "H", "ml/100 g", 1, 5).must().least(0), lengthMM(thickness, "thickness_mm", "thickness_in", 19, 50).must()}),
	Limits: []Limit{{"Pcm", "", 0.17, 0.32, pcm}},
	Refuse: refuseIron, Notes: preheatNotes,
	Eval: func(x Values) float64 {
		return 1440*(pcm(x)+x[hydrogen]/60+x[thickness]/600) - 392
	},
}

// SusceptibilityIndex is the index of the hydrogen-control method of AWS D1.1, a bare number.
//
//	SI = 12 Pcm + log10(H)
//
// Inputs: Pcm in wt%, H in ml per 100 g. Both must be given.
// Range: Pcm 0.05-0.5, H 1-30 ml/100 g.
// Outside it: the value with a warning. H not above zero: refused.
// Source: AWS D1.1 annex, memory. Groups by index: A to 3.0, B 3.5, C 4.0, D 4.5, E 5.0, F 5.5, G 7.0.
// Rival: aws_hydrogen_group, the table by bands of Pcm.
var SusceptibilityIndex = Formula{
	ID: "aws_susceptibility_index", Mark: "memory", Source: "AWS D1.1 hydrogen control annex, memory",
	Inputs: []Input{quantity(pcmValue, "Pcm", "wt%", 0.05, 0.5).must().above(0), quantity(hydrogen, "H", "ml/100 g", 1, 30).must().above(0)},
	Eval:   func(x Values) float64 { return 12*x[pcmValue] + math.Log10(x[hydrogen]) },
}
