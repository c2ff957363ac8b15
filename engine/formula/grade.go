package formula

import "rodcall/engine/metal"

// LimitsOf is the limits of a grade: the least and the greatest share of each element that a formula knows, wt%. An element without
// a least share may be missing; one without a greatest stands at its least; one that the grade does not name is zero.
func LimitsOf(composition map[string]metal.Range) (least, greatest Values) {
	for k, symbol := range Elements {
		r, ok := composition[symbol]
		if !ok {
			continue
		}
		least[k], greatest[k] = r.Low, r.High
		if !r.HasHigh {
			greatest[k] = r.Low
		}
	}
	return least, greatest
}

// Between is the composition a share of the way from one to another.
func Between(least, greatest Values, share float64) Values { return Dilute(greatest, least, share) }
