package formula

import "math"

// hydrogenLimitHV is the hardness below which cold cracking is not expected (Dearden and O'Neill as told by EWI, seen).
const (
	hydrogenLimitHV = 350
	crackProneHV    = 400
)

// hardnessSpread is two standard deviations of the best hybrid of twelve methods over more than 300 points,
// HV (Nicholas and Abson 2008, seen).
const hardnessSpread = 56

func hardnessNotes(_ Values, hv float64) []string {
	switch {
	case hv > crackProneHV:
		return []string{"above 400 HV: prone to cold cracking (Dearden and O'Neill as told by EWI); ±56 HV (2 sigma)"}
	case hv > hydrogenLimitHV:
		return []string{"above 350 HV: cold cracking can be expected (Dearden and O'Neill as told by EWI); ±56 HV (2 sigma)"}
	}
	return nil
}

// HardnessYurioka is the greatest hardness of the heat-affected zone by Yurioka 1987, in HV.
//
//	HV = (HM + HB)/2 - (HM - HB)/2.2 arctan(x), x = 4 ln(t/tM)/ln(tB/tM) - 2
//	HM = 884 C (1 - 0.3 C^2) + 294, HB = 145 + 130 tanh(2.65 CE2 - 0.69)
//	tM = exp(10.6 CE1 - 4.8), tB = exp(6.2 CE3 + 0.74), Cp = C to 0.3 % C, else C/6 + 0.25
//	CE1 = Cp + Si/24 + Mn/6 + Cu/15 + Ni/12 + Cr (1 - 0.16 sqrt(Cr))/8 + Mo/4 + dH
//	CE2 = C + Si/24 + Mn/5 + Cu/10 + Ni/18 + Cr/5 + Mo/2.5 + V/5 + Nb/3
//	CE3 = Cp + Mn/3.6 + Cu/20 + Ni/9 + Cr/5 + Mo/4
//	dH = 0 to 1 ppm B, then 0.03 f a ppm, 0.09 f from 4 ppm; f = (0.02 - N)/0.02
//
// Inputs: elements in wt%, C must be analysed, another missing element counts as zero and is named in the
// warnings; t85_s in s must be given.
// Range: C 0-0.8, N 0-0.01, t85_s 1-1000.
// Outside it: the value with a warning. t8/5 not above zero, above 2.1 % C, or an alloy content at which the
// bainite time is not above the martensite time: refused. Spread: 56 HV (two sigma).
// Source: Yurioka, Metal Construction 19 (1987) 217R (named by JWES; equations memory; range of C and N seen there).
// Rival: HardnessLorenzDueren; both agree within 30 HV for S355 between 2 and 20 s.
var HardnessYurioka = Formula{
	ID: "hv_yurioka_1987", Unit: "HV", Mark: "memory", Spread: hardnessSpread,
	Source: "N. Yurioka et al., Metal Construction 19 (1987) 217R; range of C and N on the JWES page, equations memory, range of t8/5 judgement",
	Inputs: all([]Input{wt("C", 0, 0.8).must()}, elements("Si", "Mn", "Cu", "Ni", "Cr", "Mo", "V", "Nb"),
		[]Input{wt("N", 0, 0.01), wt("B"), quantity(coolingTime, "t85_s", "s", 1, 1000).must().above(0)}),
	Refuse: func(x Values) string {
		if y := yurioka(x); y.bainite <= y.martensite {
			return "the alloy content is beyond the model: its bainite time is not above its martensite time"
		}
		return refuseIron(x)
	},
	Eval: evalYurioka, Notes: hardnessNotes,
}

// transformation is what Yurioka derives from the composition: hardness of martensite and bainite, and the
// logarithms of the cooling times at which each stands alone.
type transformation struct{ hardMartensite, hardBainite, martensite, bainite float64 }

func yurioka(x Values) transformation {
	cp := x[C]
	if cp > 0.3 {
		cp = cp/6 + 0.25
	}
	ce1 := cp + x[Si]/24 + x[Mn]/6 + x[Cu]/15 + x[Ni]/12 + x[Cr]*(1-0.16*math.Sqrt(x[Cr]))/8 + x[Mo]/4 + boronHardening(x[B], x[N])
	ce2 := x[C] + x[Si]/24 + x[Mn]/5 + x[Cu]/10 + x[Ni]/18 + x[Cr]/5 + x[Mo]/2.5 + x[V]/5 + x[Nb]/3
	ce3 := cp + x[Mn]/3.6 + x[Cu]/20 + x[Ni]/9 + x[Cr]/5 + x[Mo]/4
	return transformation{
		hardMartensite: 884*x[C]*(1-0.3*x[C]*x[C]) + 294,
		hardBainite:    145 + 130*math.Tanh(2.65*ce2-0.69),
		martensite:     10.6*ce1 - 4.8,
		bainite:        6.2*ce3 + 0.74,
	}
}

// boronHardening is dH: what a few ppm of boron that nitrogen leaves free add to the hardenability.
func boronHardening(boron, nitrogen float64) float64 {
	steps := min(max(boron*1e4-1, 0), 3)
	return 0.03 * steps * max(0, (0.02-nitrogen)/0.02)
}

func evalYurioka(x Values) float64 {
	y := yurioka(x)
	at := 4*(math.Log(x[coolingTime])-y.martensite)/(y.bainite-y.martensite) - 2
	return (y.hardMartensite+y.hardBainite)/2 - (y.hardMartensite-y.hardBainite)/2.2*math.Atan(at)
}

// HardnessLorenzDueren is the greatest hardness of the heat-affected zone by Lorenz and Dueren, in HV.
//
//	HM = 802 C + 305, HB = 350 CEB + 101
//	CEB = C + Si/11 + Mn/8 + Cu/9 + Cr/5 + Ni/17 + Mo/6 + V/3
//	between: 2019 [C (1 - 0.5 log10 t) + 0.3 (CEB - C)] + 66 (1 - 0.8 log10 t), held between HB and HM
//
// Inputs: elements in wt%, C must be analysed, another missing element counts as zero and is named in the
// warnings; t85_s in s must be given.
// Range: C 0-0.3, t85_s 1-1000.
// Outside it: the value with a warning. t8/5 not above zero, or above 2.1 % C: refused. Spread: 56 HV (two sigma).
// Source: memory (range judgement: line pipe and structural steel).
// Rival: HardnessYurioka, which reaches to 0.8 % C.
var HardnessLorenzDueren = Formula{
	ID: "hv_lorenz_duren", Unit: "HV", Mark: "memory", Spread: hardnessSpread,
	Source: "Lorenz and Dueren, memory; range judgement",
	Inputs: all([]Input{wt("C", 0, 0.3).must()}, elements("Si", "Mn", "Cu", "Cr", "Ni", "Mo", "V"),
		[]Input{quantity(coolingTime, "t85_s", "s", 1, 1000).must().above(0)}),
	Refuse: refuseIron, Notes: hardnessNotes,
	Eval: func(x Values) float64 {
		equivalent := x[C] + x[Si]/11 + x[Mn]/8 + x[Cu]/9 + x[Cr]/5 + x[Ni]/17 + x[Mo]/6 + x[V]/3
		martensite, bainite := 802*x[C]+305, 350*equivalent+101
		decades := math.Log10(x[coolingTime])
		between := 2019*(x[C]*(1-0.5*decades)+0.3*(equivalent-x[C])) + 66*(1-0.8*decades)
		return min(max(between, bainite), martensite)
	},
}

// CooledIn is a composition with the cooling time t8/5 in s that the hardness formulas read.
func CooledIn(x Values, seconds float64) Values {
	x[coolingTime] = seconds
	return x
}
