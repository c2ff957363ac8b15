package formula

import "slices"

// Key is the place of one input in Values.
type Key int

// The elements, mass per cent, and the other inputs of the formulas with the unit that each has in Values.
const (
	C Key = iota
	Si
	Mn
	P
	S
	Cr
	Mo
	Ni
	Cu
	V
	Nb
	Ti
	N
	B
	Al
	W
	Co
	Sn
	Sb
	As
	elementCount
)

const (
	crMoVNb       Key = iota + elementCount // Cr + Mo + V + Nb as one printed sum, wt%
	cet                                     // carbon equivalent CET, wt%
	pcmValue                                // crack parameter Pcm, wt%
	pcmBelow                                // upper bound of a band of Pcm, wt%
	thickness                               // mm
	hydrogen                                // ml per 100 g of deposited metal
	hydrogenLevel                           // place in hydrogenLevels
	group                                   // place in groups
	restraint                               // place in restraints
	heat                                    // heat input, kJ/mm
	volts                                   // V
	amps                                    // A
	travel                                  // mm/s
	efficiency                              // share of the arc energy that enters the plate
	plateTemp                               // plate temperature before the bead, degC
	shape2                                  // shape factor of thin plate
	shape3                                  // shape factor of thick plate
	coolingTime                             // t8/5, s
	msValue                                 // martensite start, degC
	temperature                             // degC
	grainSize                               // ASTM grain size number
	brinell                                 // HB
	mass                                    // kg
	warming                                 // temperature difference, K
	heatCapacity                            // kJ/(kg K)
	length                                  // mm
	expansion                               // 1/K
	keyCount
)

// Elements are the symbols of the element keys, in their order.
var Elements = []string{"C", "Si", "Mn", "P", "S", "Cr", "Mo", "Ni", "Cu", "V", "Nb", "Ti", "N", "B", "Al", "W", "Co", "Sn", "Sb", "As"}

// Values holds the inputs of a formula by key, each in the unit that the key states; elements in wt%. It is a
// plain array, so that an evaluation allocates nothing. What was not measured is zero: who needs to know
// what is missing keeps that beside it, as Compute does.
type Values [keyCount]float64

// ElementKey is the key of an element symbol; ok is false for one that no formula uses.
func ElementKey(symbol string) (Key, bool) {
	i := slices.Index(Elements, symbol)
	return Key(i), i >= 0
}

// isElement holds for a share of mass in percent.
func (k Key) isElement() bool { return k < elementCount || k == crMoVNb }
