package formula

import "math"

// castIronCarbon is the carbon content, wt%, from which an iron-carbon alloy counts as cast iron (the end of
// the austenite field, rounded; tool steels reach it).
const castIronCarbon = 2.1

// iiwRange is the range in which CE(IIW) is used: plain and low-alloy steel (memory).
func iiwRange() []Input {
	return []Input{wt("C", 0, 0.5).must(), wt("Mn", 0, 1.6), wt("Cr", 0, 1), wt("Mo", 0, 0.6), wt("V"), wt("Ni", 0, 3.5), wt("Cu", 0, 1)}
}

func refuseIron(x Values) string {
	if x[C] > castIronCarbon {
		return "C " + number(x[C]) + " wt% is cast iron; a carbon equivalent of steel says nothing of it, use ce_cast_iron_si_p"
	}
	return ""
}

// CEIIW is the carbon equivalent of the International Institute of Welding, the CEV of mill certificates, in wt%.
//
//	CE = C + Mn/6 + (Cr + Mo + V)/5 + (Ni + Cu)/15
//
// Inputs in wt%; C must be analysed, another missing element counts as zero and is named in the warnings.
// Range: C 0-0.5, Mn 0-1.6, Cr 0-1, Mo 0-0.6, Ni 0-3.5, Cu 0-1.
// Outside it: the value with a warning. Above 2.1 % C: refused.
// Source: TWI FAQ on carbon equivalents, EN 1011-2, EN 10168 (equation seen; range memory).
// Rival: best above about 0.12-0.18 % C; below that Pcm.
var CEIIW = Formula{
	ID: "ce_iiw", Unit: "wt%", Mark: "seen",
	Source: "TWI FAQ on carbon equivalent formulae (adopted 1967; in EN 1011-2); printed on EN 10168 certificates; range memory",
	Inputs: iiwRange(), Refuse: refuseIron, Eval: ceIIW,
}

func ceIIW(x Values) float64 {
	return x[C] + x[Mn]/6 + (x[Cr]+x[Mo]+x[V])/5 + (x[Ni]+x[Cu])/15
}

// CEAWS is the carbon equivalent of the hardness-control method of AWS D1.1, in wt%.
//
//	CE = CE(IIW) + Si/6
//
// Inputs in wt%; C must be analysed, another missing element counts as zero and is named in the warnings.
// Range: C 0-0.5, Mn 0-1.6, Cr 0-1, Mo 0-0.6, Ni 0-3.5, Cu 0-1, Si 0-0.8.
// Outside it: the value with a warning. Above 2.1 % C: refused.
// Source: TWI FAQ (the Si/6 term) and two calculators that print the whole sum (seen; range memory).
// Rival: CE(IIW) where the procedure follows EN 1011-2.
var CEAWS = Formula{
	ID: "ce_aws_d1_1_si", Unit: "wt%", Mark: "seen",
	Source: "TWI FAQ on carbon equivalent formulae (+Si/6); whole sum on colliewelding.com and cfm-calculator.com; range memory",
	Inputs: append(iiwRange(), wt("Si", 0, 0.8)), Refuse: refuseIron,
	Eval: func(x Values) float64 { return ceIIW(x) + x[Si]/6 },
}

// Pcm is the crack parameter of Ito and Bessyo, in wt%.
//
//	Pcm = C + Si/30 + (Mn + Cu + Cr)/20 + Ni/60 + Mo/15 + V/10 + 5 B
//
// Inputs in wt%; C must be analysed, another missing element counts as zero and is named in the warnings.
// Range: C 0-0.18.
// Outside it: the value with a warning. Above 2.1 % C: refused. API 5L uses it to 0.12 % C only.
// Source: eng-tips FAQ 330-1077, Yurioka's page (seen). Copies without Si, Ni or B are faulty.
// Rival: CE(IIW) above about 0.18 % C.
var Pcm = Formula{
	ID: "pcm", Unit: "wt%", Mark: "seen",
	Source: "Ito and Bessyo: eng-tips FAQ 330-1077; Yurioka's page (homepage3.nifty.com/yurioka/exp.html)",
	Inputs: all([]Input{wt("C", 0, 0.18).must()}, elements("Si", "Mn", "Cu", "Cr", "Ni", "Mo", "V", "B")),
	Refuse: refuseIron, Eval: pcm,
}

func pcm(x Values) float64 {
	return x[C] + x[Si]/30 + (x[Mn]+x[Cu]+x[Cr])/20 + x[Ni]/60 + x[Mo]/15 + x[V]/10 + 5*x[B]
}

// CET is the carbon equivalent of EN 1011-2 method B, in wt%.
//
//	CET = C + (Mn + Mo)/10 + (Cr + Cu)/20 + Ni/40
//
// Inputs in wt%; C must be analysed, another missing element counts as zero and is named in the warnings.
// Range: C 0.05-0.32, Si 0-0.8, Mn 0.5-1.9, Cr 0-1.5, Cu 0-0.7, Mo 0-0.75, Nb 0-0.06, Ni 0-2.5, Ti 0-0.12, V
// 0-0.18, B 0-0.005.
// Outside it: the value with a warning. Above 2.1 % C: refused.
// Source: EN 1011-2 as told by colliewelding.com, vmvcm.com and a stored specification (equation seen; range memory).
// Rival: Pcm for low-carbon pipe steel.
var CET = Formula{
	ID: "cet", Unit: "wt%", Mark: "partly-seen",
	Source: "EN 1011-2 method B: colliewelding.com, vmvcm.com, clay-good/roughlogic.com spec v1946; composition range memory",
	Inputs: []Input{wt("C", 0.05, 0.32).must(), wt("Si", 0, 0.8).only(), wt("Mn", 0.5, 1.9), wt("Cr", 0, 1.5), wt("Cu", 0, 0.7),
		wt("Mo", 0, 0.75), wt("Nb", 0, 0.06).only(), wt("Ni", 0, 2.5), wt("Ti", 0, 0.12).only(), wt("V", 0, 0.18).only(), wt("B", 0, 0.005).only()},
	Refuse: refuseIron,
	Eval:   func(x Values) float64 { return x[C] + (x[Mn]+x[Mo])/10 + (x[Cr]+x[Cu])/20 + x[Ni]/40 },
}

// cenFactor is A(C) of Yurioka: it leads from about 0.5 at low carbon to 1 from about 0.2 % C.
func cenFactor(carbon float64) float64 { return 0.75 + 0.25*math.Tanh(20*(carbon-0.12)) }

// cenBracket is the sum that Yurioka and the Canadian standard share.
func cenBracket(x Values) float64 {
	return x[Si]/24 + x[Mn]/6 + x[Cu]/15 + x[Ni]/20 + (x[Cr]+x[Mo]+x[V]+x[Nb])/5 + 5*x[B]
}

// CEN is Yurioka's carbon equivalent, in wt%; it leads from Pcm at low carbon to CE(IIW) at higher carbon.
//
//	CEN = C + A(C) [Si/24 + Mn/6 + Cu/15 + Ni/20 + (Cr + Mo + V + Nb)/5 + 5 B]
//	A(C) = 0.75 + 0.25 tanh(20 (C - 0.12))
//
// Inputs in wt%; C must be analysed, another missing element counts as zero and is named in the warnings.
// Range: C 0-0.25.
// Outside it: the value with a warning. Above 2.1 % C: refused.
// Source: bracket on CSA sheets, A(C) on Yurioka's page (seen; range memory). That page leaves out 5 B, another prints (Cu + Ni)/15.
// Rival: ce_csa_z245, the same sum with a printed table for A(C).
var CEN = Formula{
	ID: "cen", Unit: "wt%", Mark: "partly-seen",
	Source: "Yurioka: A(C) on homepage3.nifty.com/yurioka/exp.html, bracket on CSA Z245.1-07 and Z662-99 sheets; range memory",
	Inputs: all([]Input{wt("C", 0, 0.25).must()}, elements("Si", "Mn", "Cu", "Ni", "Cr", "Mo", "V", "Nb", "B")),
	Refuse: refuseIron,
	Eval:   func(x Values) float64 { return x[C] + cenFactor(x[C])*cenBracket(x) },
}

// CEJIS is the carbon equivalent of Japanese practice (JIS G 3106, WES), in wt%.
//
//	Ceq = C + Si/24 + Mn/6 + Ni/40 + Cr/5 + Mo/4 + V/14
//
// Inputs in wt%; C must be analysed, another missing element counts as zero and is named in the warnings.
// Range: C 0-0.25.
// Outside it: the value with a warning. Above 2.1 % C: refused.
// Source: JIS G 3106 property sheet; Yurioka's page (equation seen; range judgement: structural steel).
// Rival: CE(IIW) outside Japanese practice.
var CEJIS = Formula{
	ID: "ceq_jis_wes", Unit: "wt%", Mark: "seen",
	Source: "JIS G 3106-2008 sheet scribd.com 472025636; Yurioka's page; mill data sheet scribd.com 471563986; range judgement (structural steel)",
	Inputs: all([]Input{wt("C", 0, 0.25).must()}, elements("Si", "Mn", "Ni", "Cr", "Mo", "V")), Refuse: refuseIron,
	Eval: func(x Values) float64 {
		return x[C] + x[Si]/24 + x[Mn]/6 + x[Ni]/40 + x[Cr]/5 + x[Mo]/4 + x[V]/14
	},
}

// CEDueren is Dueren's carbon equivalent for line pipe of low carbon, in wt%.
//
//	CEpls = C + Si/25 + (Mn + Cu)/16 + Cr/20 + Ni/60 + Mo/40 + V/15
//
// Inputs in wt%; C must be analysed, another missing element counts as zero and is named in the warnings.
// Range: C 0-0.22.
// Outside it: the value with a warning. Above 2.1 % C: refused.
// Source: TWI FAQ names the formula (seen); its coefficients and the range are memory.
// Rival: Pcm, which more line-pipe standards use.
var CEDueren = Formula{
	ID: "ceq_pls_duren", Unit: "wt%", Mark: "memory",
	Source: "Dueren, named in the TWI FAQ on carbon equivalent formulae; coefficients and range memory",
	Inputs: all([]Input{wt("C", 0, 0.22).must()}, elements("Si", "Mn", "Cu", "Cr", "Ni", "Mo", "V")), Refuse: refuseIron,
	Eval: func(x Values) float64 {
		return x[C] + x[Si]/25 + (x[Mn]+x[Cu])/16 + x[Cr]/20 + x[Ni]/60 + x[Mo]/40 + x[V]/15
	},
}

// residualsOfCertificate is what EN 1011-2 adds to C + Mn/6 when a certificate shows no other element (memory).
const residualsOfCertificate = 0.03

// CEFromCarbonAndManganese is CE(IIW) in wt% for a certificate that shows only C and Mn: C + Mn/6 + 0.03 for
// what is not shown (EN 1011-2 method A, memory).
func CEFromCarbonAndManganese(carbon, manganese float64) float64 {
	return carbon + manganese/6 + residualsOfCertificate
}

// ironCarbon is the carbon content, wt%, below which an alloy is no cast iron.
const ironCarbon = 1.7

func refuseSteel(x Values) string {
	if x[C] < ironCarbon {
		return "C " + number(x[C]) + " wt% is no cast iron; for steel use ce_iiw"
	}
	return ""
}

// eutectic is the carbon equivalent of the iron-carbon eutectic, wt% (seen: metallography.com).
const eutectic = 4.3

func ironNotes(_ Values, ce float64) []string {
	if ce > eutectic {
		return []string{"above the eutectic at 4.3: primary graphite"}
	}
	return nil
}

// CECastIron is the carbon equivalent of cast iron from carbon and silicon, in wt%; the eutectic lies at 4.3.
//
//	CE = C + Si/3
//
// Inputs in wt%; C must be analysed, missing Si counts as zero and is named in the warnings.
// Range: C 2-4.5, Si 0-4.
// Outside it: the value with a warning. Below 1.7 % C: refused.
// Source: encyclopedia extract at liquisearch.com (seen; range judgement).
// Rival: ce_cast_iron_si_p when phosphorus is known.
var CECastIron = Formula{
	ID: "ce_cast_iron_si", Unit: "wt%", Mark: "seen",
	Source: "equivalent carbon content of cast iron, liquisearch.com extract; range judgement",
	Inputs: []Input{wt("C", 2, 4.5).must(), wt("Si", 0, 4)}, Refuse: refuseSteel, Notes: ironNotes,
	Eval: func(x Values) float64 { return x[C] + x[Si]/3 },
}

// CECastIronP is the carbon equivalent of cast iron from carbon, silicon and phosphorus, in wt%; the eutectic
// lies at 4.3.
//
//	CE = C + (Si + P)/3
//
// Inputs in wt%; C must be analysed, another missing element counts as zero and is named in the warnings.
// Range: C 2-4.5, Si 0-4, P 0-1.5.
// Outside it: the value with a warning. Below 1.7 % C: refused.
// Source: Radzikowska, metallography.com table of irons (seen; range judgement).
// Rival: ce_cast_iron_si when phosphorus is not known.
var CECastIronP = Formula{
	ID: "ce_cast_iron_si_p", Unit: "wt%", Mark: "seen",
	Source: "J. Radzikowska, metallography.com technotes, table of irons; range judgement",
	Inputs: []Input{wt("C", 2, 4.5).must(), wt("Si", 0, 4), wt("P", 0, 1.5)}, Refuse: refuseSteel, Notes: ironNotes,
	Eval: func(x Values) float64 { return x[C] + (x[Si]+x[P])/3 },
}
