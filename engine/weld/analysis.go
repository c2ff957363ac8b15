package weld

import (
	"slices"

	"rodcall/engine/formula"
	"rodcall/engine/observation"
)

// analysis is what was measured of the metal at hand: it stands in place of the limits of a grade.
type analysis struct {
	at    formula.Values
	seen  [elementEnd]bool
	given bool
}

// elementEnd is one past the last element key.
const elementEnd = formula.As + 1

// blind are the elements whose reading a method of analysis does not give well enough to heat by (chem_methods.csv:
// unseen, or read poorly).
var blind = map[string][]string{"xrf": {"C", "N", "B", "P", "S", "Si", "Al"}, "libs": {"N", "B", "P", "S"}}

// analysisOf keeps what of a reported chemistry can be computed with.
func analysisOf(o *observation.Observation) (a analysis) {
	for symbol, v := range o.Chem {
		key, known := formula.ElementKey(symbol)
		if !known || v < 0 || slices.Contains(blind[o.ChemMethod], symbol) {
			continue
		}
		a.at[key], a.seen[key], a.given = v, true, true
	}
	return a
}

// over puts what was measured in place of what the limits of a grade make likely.
func (a *analysis) over(x formula.Values) formula.Values {
	if a.given {
		for k, seen := range a.seen {
			if seen {
				x[k] = a.at[k]
			}
		}
	}
	return x
}

// whole says whether the analysis names the carbon, without which a grade must fill in.
func (a *analysis) whole() bool { return a.seen[formula.C] }

// compositionOf is the likely composition of a grade, wt%, with what was measured in its place.
func (b *Book) compositionOf(grade int, a *analysis) formula.Values {
	return a.over(b.middles[grade])
}

// measured is what is worked out of a grade, with what was measured in place of its limits.
func (g gradeHeat) measured(b *Book, grade int, a *analysis) gradeHeat {
	if !g.computed {
		return g
	}
	middle, rich := middleOf(&b.catalogue.Grades[grade])
	g.fill(a.over(middle), a.over(rich))
	return g
}
