package formula

import (
	"math"

	"rodcall/engine/measure"
)

// strengthPerBrinell is MPa a point of HB (about 0.5 ksi, seen: ficientdesign.com).
const strengthPerBrinell = 3.45

// TensileFromBrinell is the tensile strength that goes with a Brinell hardness of steel, in MPa.
//
//	UTS = 3.45 HB
//
// Inputs: HB must be given.
// Range: HB 150-400 HB
// and steel only, neither austenitic stainless nor cast iron. Outside it: the value with a warning. HB not above zero: refused.
// Source: ficientdesign.com (0.5 HB in ksi, seen).
// Rival: the strength column of the printed Brinell table.
var TensileFromBrinell = Formula{
	ID: "uts_from_hb_mpa", Unit: "MPa", Mark: "seen", Source: "ficientdesign.com hardness and tensile table (about 0.5 HB in ksi)",
	Inputs: []Input{quantity(brinell, "HB", "HB", 150, 400).must().above(0)},
	Eval:   func(x Values) float64 { return strengthPerBrinell * x[brinell] },
}

// AtBrinell is the input of a formula that reads a Brinell hardness.
func AtBrinell(hb float64) (x Values) {
	x[brinell] = hb
	return x
}

// hbToHRC is the Rockwell C hardness that goes with a Brinell hardness of steel, in HRC.
//
//	straight line between the rows of the printed table
//
// Inputs: HB must be given.
// Range: HB 226-650 HB
// and non-austenitic steel only. Outside the table: refused, never extrapolated; above 650 HB the ball is no longer fit.
// Source: ASTM E140 table 1 as printed in a tester's manual (seen).
// Rival: measuring HRC.
func (s *Set) hbToHRC() Formula {
	low, high, _ := s.scale.Range(measure.HB, measure.HRC, measure.Steel)
	return Formula{
		ID: "hb_to_hrc", Unit: "HRC", Mark: "seen", Source: "ASTM E140 table 1 as printed in a hardness tester manual (manuzoid.com OyrRW), encoremetals.com",
		Inputs: []Input{quantity(brinell, "HB", "HB", low, min(high, brinellEnd)).must().above(0)},
		Refuse: func(x Values) string {
			if _, err := s.scale.Convert(x[brinell], measure.HB, measure.HRC, measure.Steel); err != nil {
				return err.Error()
			}
			return ""
		},
		Eval: func(x Values) float64 {
			c, err := s.scale.Convert(x[brinell], measure.HB, measure.HRC, measure.Steel)
			if err != nil {
				return math.NaN()
			}
			return c.Value
		},
	}
}

// brinellEnd is the hardness above which the Brinell ball flattens (ASTM E140 prints what is above in brackets, seen).
const brinellEnd = 650
