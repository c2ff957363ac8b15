package engine

import "rodcall/engine/formula"

// Compute gives a formula's result by id, for inputs by name: elements in wt%, other quantities under names that
// end in their unit. Inputs that the formula does not use are ignored. It fails on an unknown id, a missing or
// meaningless input; out of range is a result with InRange false and a warning.
func (e *Engine) Compute(id string, inputs map[string]any) (formula.Result, error) {
	return e.formulas.Compute(id, inputs)
}
