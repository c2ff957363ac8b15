package weld

import (
	"rodcall/engine/observation"
	"rodcall/engine/quantity"
)

// drawings say what is drawn of a repair in each role.
var drawings = [roleCount]quantity.Drawing{Join: quantity.Groove, Braze: quantity.Groove, SurfacingRepair: quantity.Repair,
	BuildUp: quantity.Surface, Hardface: quantity.Face, Overlay: quantity.Face}

// Quantity is every quantity that the inputs allow; see quantity.Tables.Of.
func (b *Book) Quantity(inputs map[string]any) (map[string]any, error) {
	return b.quantities.Of(inputs)
}

// Amount is how much of a class a repair takes when the sizes that were observed suffice; see quantity.Tables.Amount.
func (b *Book) Amount(o *observation.Observation, class string, role Role) (amount map[string]any, ok bool) {
	return b.quantities.Amount(o, class, drawings[role])
}
