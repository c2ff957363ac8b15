package engine

// Quantity is every quantity of a weld that the inputs allow, in metric and US units: deposit, consumable to
// buy, electrodes, passes, arc and clock time, gas, preheat, cost. Inputs are numbers under names that end in
// their unit (leg_mm, length_ft) and words (joint, process, class). What was supposed stands under "assumed".
// An unknown name, an impossible figure and inputs that allow nothing are errors.
func (e *Engine) Quantity(inputs map[string]any) (map[string]any, error) {
	return e.book.Quantity(inputs)
}
