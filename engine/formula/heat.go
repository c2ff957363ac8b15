package formula

import (
	"math"

	"rodcall/engine/measure"
)

// HeatInput is the heat input of a bead, in kJ/mm.
//
//	Q = k V I / v / 1000
//
// Inputs: V volts, I_A ampere, travel_mm_s (or travel_in_min) must be given; k, the share that enters the
// plate, is 1.0 for submerged arc, 0.8 for stick and wire, 0.6 for TIG and plasma; missing it counts as 1.
// Range: V 5-60 V, I_A 5-2000, travel_mm_s 0.2-60, k 0.3-1.
// Outside it: the value with a warning. Travel speed not above zero, or k above 1: refused.
// Source: TWI FAQ on heat input and arc energy (seen; range judgement).
// Rival: arc energy, the same with k = 1, which some codes limit instead.
var HeatInput = Formula{
	ID: "heat_input", Unit: "kJ/mm", Mark: "seen", Source: "TWI FAQ: heat input and arc energy; range judgement",
	Inputs: []Input{
		quantity(volts, "V", "V", 5, 60).must().least(0), quantity(amps, "I_A", "A", 5, 2000).must().least(0),
		quantity(travel, "travel_mm_s", "mm/s", 0.2, 60).must().above(0).also("travel_in_min", mmPerInch/60, 0),
		quantity(efficiency, "k", "", 0.3, 1).above(0).assume(1, "arc energy, no efficiency taken off")},
	Refuse: func(x Values) string {
		if x[efficiency] > 1 {
			return "k is the share of the arc energy that enters the plate, at most 1, not " + number(x[efficiency])
		}
		return ""
	},
	Eval: func(x Values) float64 { return x[efficiency] * x[volts] * x[amps] / x[travel] / 1000 },
}

// CoolingTime is the time t8/5 in which a weld cools from 800 to 500 degC, in s.
//
//	thick: (6700 - 5 T0) Q [1/(500 - T0) - 1/(800 - T0)] F3
//	thin:  (4300 - 4.3 T0) 10^5 Q^2/d^2 [1/(500 - T0)^2 - 1/(800 - T0)^2] F2
//	t8/5 is the longer of the two; they meet at the transition thickness
//
// Inputs: T0_C plate temperature (or T0_F), Q_kJ_mm heat input (or Q_kJ_in), d_mm thickness (or d_in) must be
// given; F2 and F3, the shape factors, count as 1 (bead on plate) when missing.
// Range: T0_C -20 to 350, Q_kJ_mm 0.2-6, d_mm 2-200, F2 0.4-1, F3 0.4-1
// and low-alloy steel only. Outside it: the value with a warning. T0 from 500 degC, Q or d not above zero: refused.
// Source: EN 1011-2 annex D as told by stored specifications (equations seen; shape factors and range memory).
// Rival: a thermocouple in the pool. One stored text has the thin and the thick formula exchanged.
var CoolingTime = Formula{
	ID: "t85", Unit: "s", Mark: "seen",
	Source: "EN 1011-2 annex D: clay-good/roughlogic.com spec v1410, text ids 60244846049 and 55639589820; shape factors and range memory",
	Inputs: []Input{
		quantity(plateTemp, "T0_C", "degC", -20, 350).must().least(float64(measure.AbsoluteZero)).also("T0_F", 5./9, -160./9),
		heatInput("Q_kJ_mm", "Q_kJ_in", 0.2, 6).must(), lengthMM(thickness, "d_mm", "d_in", 2, 200).must(),
		quantity(shape2, "F2", "", 0.4, 1).above(0).assume(1, "bead on plate"), quantity(shape3, "F3", "", 0.4, 1).above(0).assume(1, "bead on plate")},
	Refuse: func(x Values) string {
		if x[plateTemp] >= 500 {
			return "T0_C must be below 500 degC, where the cooling time ends, not " + number(x[plateTemp])
		}
		return ""
	},
	Eval: func(x Values) float64 {
		s, _ := Cooling(measure.Celsius(x[plateTemp]), x[heat], measure.MM(x[thickness]), x[shape2], x[shape3])
		return s
	},
	Notes: func(x Values, _ float64) []string {
		_, thick := Cooling(measure.Celsius(x[plateTemp]), x[heat], measure.MM(x[thickness]), x[shape2], x[shape3])
		if thick {
			return nil
		}
		return []string{"thin plate: the heat flows sideways and the thickness counts"}
	},
}

// Cooling is t8/5 in s for a plate temperature, heat input in kJ/mm, thickness and shape factors, and whether
// the plate counts as thick. It does not check the range.
func Cooling(plate measure.Celsius, heatInput float64, thickness measure.MM, shape2, shape3 float64) (seconds float64, thick bool) {
	t0, d := float64(plate), float64(thickness)
	low, high := 1/(500-t0), 1/(800-t0)
	inThick := (6700 - 5*t0) * heatInput * (low - high) * shape3
	inThin := (4300 - 4.3*t0) * 1e5 * heatInput * heatInput / (d * d) * (low*low - high*high) * shape2
	return max(inThick, inThin), inThick >= inThin
}

// TransitionThickness is the plate thickness from which Cooling no longer depends on it.
func TransitionThickness(plate measure.Celsius, heatInput, shape2, shape3 float64) measure.MM {
	t0 := float64(plate)
	low, high := 1/(500-t0), 1/(800-t0)
	return measure.MM(math.Sqrt((4300 - 4.3*t0) * 1e5 * heatInput * (low + high) * shape2 / ((6700 - 5*t0) * shape3)))
}

// steelHeatCapacity is that of steel between 20 and 200 degC, kJ/(kg K) (seen in the formula's source).
const steelHeatCapacity = 0.49

// PreheatEnergy is the heat that warms a mass, in kJ; a flame brings 0.3 to 0.5 of its heat into the metal.
//
//	E = m cp dT
//
// Inputs: mass_kg (or mass_lb) and delta_T_K (or delta_T_F) must be given; cp_kJ_kgK counts as 0.49, that of
// steel at 20-200 degC, when missing.
// Range: mass_kg 0-1e+06, delta_T_K 0-800, cp_kJ_kgK 0.1-1.1.
// Outside it: the value with a warning. Mass or cp not above zero, or a temperature difference below zero: refused.
// Source: definition of heat capacity (efficiency common practice; range judgement).
// Rival: none.
var PreheatEnergy = Formula{
	ID: "preheat_energy_kJ", Unit: "kJ", Mark: "common-practice",
	Source: "definition of heat capacity; steel 0.49 kJ/(kg K) at 20-200 degC; range judgement",
	Inputs: []Input{
		quantity(mass, "mass_kg", "kg", 0, 1e6).must().above(0).also("mass_lb", kgPerPound, 0),
		quantity(warming, "delta_T_K", "K", 0, 800).must().least(0).also("delta_T_F", 5./9, 0),
		quantity(heatCapacity, "cp_kJ_kgK", "kJ/(kg K)", 0.1, 1.1).above(0).assume(steelHeatCapacity, "steel, 20-200 degC")},
	Eval: func(x Values) float64 { return x[mass] * x[heatCapacity] * x[warming] },
}

// kgPerPound is exact by definition (international yard and pound agreement, 1959).
const kgPerPound = 0.45359237

// ThermalExpansion is by how much a length grows, in mm.
//
//	dL = L alpha dT
//
// Inputs: L_mm (or L_in), alpha_per_K, delta_T_K (or delta_T_F) must be given.
// Range: L_mm 0-1e+06, alpha_per_K 1e-06-4e-05, delta_T_K -300 to 1200.
// Outside it: the value with a warning. Length not above zero, or alpha from 0.001: refused.
// Source: definition (coefficients by metal: memory; range judgement).
// Rival: none.
var ThermalExpansion = Formula{
	ID: "thermal_expansion_mm", Unit: "mm", Mark: "common-practice", Source: "definition of the coefficient of expansion; range judgement",
	Inputs: []Input{
		lengthMM(length, "L_mm", "L_in", 0, 1e6).must(), quantity(expansion, "alpha_per_K", "1/K", 1e-6, 4e-5).must().above(0),
		quantity(warming, "delta_T_K", "K", -300, 1200).must().also("delta_T_F", 5./9, 0)},
	Refuse: func(x Values) string {
		if x[expansion] >= 1e-3 {
			return "alpha_per_K is per kelvin: 11.7e-6 for carbon steel, not " + number(x[expansion])
		}
		return ""
	},
	Eval: func(x Values) float64 { return x[length] * x[expansion] * x[warming] },
}
