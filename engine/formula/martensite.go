package formula

import "math"

// msRange is the range of the three martensite-start formulas for low-alloy steel (memory).
func msRange() []Input {
	return []Input{wt("C", 0.11, 0.6).must(), wt("Mn", 0.04, 4.9), wt("Ni", 0, 5), wt("Cr", 0, 4.6), wt("Mo", 0, 5.4), wt("Si", 0, 1.9).only()}
}

const msRangeSource = "range memory; spread checked on 740 rows of the open database of Wentzien 2024"

// MsAndrewsLinear is the martensite start by Andrews' linear formula, in degC.
//
//	Ms = 539 - 423 C - 30.4 Mn - 17.7 Ni - 12.1 Cr - 7.5 Mo
//
// Inputs in wt%; C must be analysed, another missing element counts as zero and is named in the warnings.
// Range: C 0.11-0.6, Mn 0.04-4.9, Ni 0-5, Cr 0-4.6, Mo 0-5.4, Si 0-1.9.
// Outside it: the value with a warning. Above 2.1 % C: refused. Spread: 35 degC covers 90 % of measured values.
// Source: Andrews, as on the Cambridge materials algorithms page (seen; range memory).
// Rival: MsAndrewsProduct, MsStevenHaynes; take the mean and their spread.
var MsAndrewsLinear = Formula{
	ID: "ms_andrews_linear", Unit: "degC", Mark: "seen", Spread: 35,
	Source: "Andrews linear: Cambridge materials algorithms page ms-empirical2014; " + msRangeSource,
	Inputs: msRange(), Refuse: refuseIron, Eval: andrewsLinear,
}

func andrewsLinear(x Values) float64 {
	return 539 - 423*x[C] - 30.4*x[Mn] - 17.7*x[Ni] - 12.1*x[Cr] - 7.5*x[Mo]
}

// MsAndrewsProduct is the martensite start by Andrews' product formula, in degC.
//
//	Ms = 512 - 453 C - 16.9 Ni + 15 Cr - 9.5 Mo + 217 C^2 - 71.5 C Mn - 67.6 C Cr
//
// Inputs in wt%; C must be analysed, another missing element counts as zero and is named in the warnings.
// Range: C 0.11-0.6, Mn 0.04-4.9, Ni 0-5, Cr 0-4.6, Mo 0-5.4, Si 0-1.9.
// Outside it: the value with a warning. Above 2.1 % C: refused. Spread: 36 degC covers 90 % of measured values.
// Source: Andrews, as in an open collection of such formulas (seen; range memory).
// Rival: MsAndrewsLinear, which errs less at its worst (75 against 141 degC).
var MsAndrewsProduct = Formula{
	ID: "ms_andrews_product", Unit: "degC", Mark: "seen", Spread: 36,
	Source: "Andrews product: EAH-Materials/MartensiteStart; " + msRangeSource,
	Inputs: msRange(), Refuse: refuseIron, Eval: andrewsProduct,
}

func andrewsProduct(x Values) float64 {
	return 512 - 453*x[C] - 16.9*x[Ni] + 15*x[Cr] - 9.5*x[Mo] + 217*x[C]*x[C] - 71.5*x[C]*x[Mn] - 67.6*x[C]*x[Cr]
}

// MsStevenHaynes is the martensite start by Steven and Haynes, in degC.
//
//	Ms = 561 - 474 C - 33 Mn - 17 Ni - 17 Cr - 21 Mo
//
// Inputs in wt%; C must be analysed, another missing element counts as zero and is named in the warnings.
// Range: C 0.11-0.6, Mn 0.04-4.9, Ni 0-5, Cr 0-4.6, Mo 0-5.4, Si 0-1.9.
// Outside it: the value with a warning. Above 2.1 % C: refused. Spread: 40 degC covers 90 % of measured values.
// Source: Steven and Haynes, in an open collection of such formulas (seen; one page prints 476 C; range memory).
// Rival: MsAndrewsLinear. Forms with Si or Co added are other formulas.
var MsStevenHaynes = Formula{
	ID: "ms_steven_haynes", Unit: "degC", Mark: "seen", Spread: 40,
	Source: "Steven and Haynes: EAH-Materials/MartensiteStart, text id 23240279132; " + msRangeSource,
	Inputs: msRange(), Refuse: refuseIron, Eval: stevenHaynes,
}

func stevenHaynes(x Values) float64 {
	return 561 - 474*x[C] - 33*x[Mn] - 17*x[Ni] - 17*x[Cr] - 21*x[Mo]
}

// MsMean is the mean martensite start of the three formulas for low-alloy steel, in degC; each of the three
// stands in the warnings.
//
//	Ms = (Andrews linear + Andrews product + Steven and Haynes)/3
//
// Inputs in wt%; C must be analysed, another missing element counts as zero and is named in the warnings.
// Range: C 0.11-0.6, Mn 0.04-4.9, Ni 0-5, Cr 0-4.6, Mo 0-5.4, Si 0-1.9.
// Outside it: the value with a warning. Above 2.1 % C: refused. Spread: 40 degC covers 90 % of measured values.
// Source: the three formulas, compared with measured values of Wentzien 2024 (open data).
// Rival: each of the three.
var MsMean = Formula{
	ID: "ms_measured", Unit: "degC", Mark: "computed", Spread: 40,
	Source: "mean of Andrews linear, Andrews product and Steven-Haynes, for comparison with measured values; " + msRangeSource,
	Inputs: msRange(), Refuse: refuseIron,
	Eval: func(x Values) float64 { return (andrewsLinear(x) + andrewsProduct(x) + stevenHaynes(x)) / 3 },
	Notes: func(x Values, _ float64) []string {
		return []string{"ms_andrews_linear gives " + tenth(andrewsLinear(x)) + " degC", "ms_andrews_product gives " + tenth(andrewsProduct(x)) + " degC",
			"ms_steven_haynes gives " + tenth(stevenHaynes(x)) + " degC"}
	},
}

// Ms is the mean martensite start in degC of the three formulas for low-alloy steel, and how far apart the
// lowest and the highest of them are. It does not check the range.
func Ms(x Values) (mean, apart float64) {
	a, b, c := andrewsLinear(x), andrewsProduct(x), stevenHaynes(x)
	return (a + b + c) / 3, max(a, b, c) - min(a, b, c)
}

// MsEichelmannHull is the martensite start of austenitic stainless steel, in degC; far below zero it does not
// transform by cooling.
//
//	Ms = 1302 - 42 Cr - 61 Ni - 33 Mn - 28 Si - 1667 (C + N)
//
// Inputs in wt%; Cr and Ni must be analysed, another missing element counts as zero and is named in the warnings.
// Range: Cr 10-20, Ni 5-14, Mn 0-5, Si 0-2.6, C 0-0.15, N 0-0.15.
// Outside it: the value with a warning.
// Source: Eichelmann and Hull, memory. The Fahrenheit original gives 1305; a copy with 1350 has its digits exchanged.
// Rival: Md30Nohara for cold work.
var MsEichelmannHull = Formula{
	ID: "ms_eichelmann_hull", Unit: "degC", Mark: "memory", Source: "Eichelmann and Hull, memory",
	Inputs: []Input{wt("Cr", 10, 20).must(), wt("Ni", 5, 14).must(), wt("Mn", 0, 5), wt("Si", 0, 2.6), wt("C", 0, 0.15), wt("N", 0, 0.15)},
	Eval: func(x Values) float64 {
		return 1302 - 42*x[Cr] - 61*x[Ni] - 33*x[Mn] - 28*x[Si] - 1667*(x[C]+x[N])
	},
}

// Md30Nohara is the temperature at which 30 % strain leaves half martensite in austenitic stainless steel, in
// degC; higher means that cold work makes it attract a magnet.
//
//	Md30 = 551 - 462 (C + N) - 9.2 Si - 8.1 Mn - 13.7 Cr - 29 (Ni + Cu) - 18.5 Mo - 68 Nb - 1.42 (G - 8)
//
// Inputs in wt%; Cr and Ni must be analysed, another missing element counts as zero and is named in the
// warnings. grain_size G is the ASTM number; missing it counts as 8, where its term is zero.
// Range: Cr 10-22, Ni 4-16, grain_size 0-14.
// Outside it: the value with a warning.
// Source: Nohara, as in EN 10088-1 annex C by an encyclopedia page and a stored calculator (seen; range judgement).
// Rival: Angel's formula has 413 and 9.5 Ni; the two must not be mixed.
var Md30Nohara = Formula{
	ID: "md30_nohara", Unit: "degC", Mark: "seen", Source: "Nohara (EN 10088-1 annex C): fi.wikipedia.org Md30-lämpötila, text id 25228185472; range judgement",
	Inputs: all([]Input{wt("Cr", 10, 22).must(), wt("Ni", 4, 16).must()}, elements("C", "N", "Si", "Mn", "Cu", "Mo", "Nb"),
		[]Input{quantity(grainSize, "grain_size", "", 0, 14).assume(8, "its term is then zero")}),
	Eval: func(x Values) float64 {
		return 551 - 462*(x[C]+x[N]) - 9.2*x[Si] - 8.1*x[Mn] - 13.7*x[Cr] - 29*(x[Ni]+x[Cu]) - 18.5*x[Mo] - 68*x[Nb] - 1.42*(x[grainSize]-8)
	},
}

// retainedRate is the constant of Koistinen and Marburger, 1/K.
const retainedRate = 0.011

// retainedLimit is the share of austenite from which it matters at room temperature.
const retainedLimit = 0.1

// RetainedAustenite is the share of austenite that cooling leaves, a fraction.
//
//	f = exp(-0.011 (Ms - T)), 1 from Ms upwards
//
// Inputs: Ms and T in degC must be given.
// Range: Ms - T 0-1000 K.
// Outside it: the value with a warning. A temperature below absolute zero: refused.
// Source: Koistinen and Marburger: metallurgyzone.com, lecture notes (seen).
// Rival: none.
var RetainedAustenite = Formula{
	ID: "koistinen_marburger_retained_austenite", Unit: "fraction", Mark: "seen",
	Source: "Koistinen and Marburger: metallurgyzone.com; lecture notes text id 70427599225",
	Inputs: []Input{quantity(msValue, "Ms", "degC").must().least(-273.15), quantity(temperature, "T", "degC").must().least(-273.15)},
	Limits: []Limit{{"Ms - T", "K", 0, 1000, func(x Values) float64 { return x[msValue] - x[temperature] }}},
	Eval:   func(x Values) float64 { return Retained(x[msValue], x[temperature]) },
	Notes: func(x Values, f float64) []string {
		if x[temperature] >= x[msValue] {
			return []string{"at or above Ms no martensite has formed: all austenite"}
		}
		if f > retainedLimit {
			return []string{"more than a tenth of austenite is left: high-carbon steel, it may transform later"}
		}
		return nil
	},
}

// Retained is the fraction of austenite left at a temperature, for a martensite start; both in degC.
func Retained(ms, temperature float64) float64 {
	return math.Exp(-retainedRate * max(0, ms-temperature))
}
