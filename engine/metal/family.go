// Package metal holds what metals and parts are: the families of the contract, the grades with their
// limits, and what common parts are made of. It knows no odds of a message and no weld.
package metal

// Families lists the family ids of the contract in its order.
var Families = []string{
	"low-carbon-steel", "medium-carbon-steel", "high-carbon-steel", "free-machining-steel", "hsla-structural-steel",
	"low-alloy-steel", "quenched-tempered-plate", "tool-steel", "high-speed-steel", "cast-steel", "wrought-iron",
	"gray-iron", "ductile-iron", "malleable-iron", "white-iron", "high-chromium-iron", "austenitic-manganese-steel",
	"austenitic-stainless", "ferritic-stainless", "martensitic-stainless", "precipitation-hardening-stainless",
	"duplex-stainless", "nickel", "nickel-copper-alloy", "nickel-chromium-alloy", "cobalt-alloy", "tungsten-carbide",
	"copper", "brass", "bronze", "aluminum-bronze", "silicon-bronze", "cupronickel", "beryllium-copper", "aluminum",
	"magnesium", "zinc-die-cast", "lead", "titanium", "tin-babbitt",
}

// Groups are the kinds of metal that a rep tells apart at first sight or by one word; each family is of one group.
var Groups = []string{"carbon-steel", "alloy-steel", "tool-steel", "wrought-iron", "cast-iron", "manganese-steel",
	"stainless", "nickel", "cobalt", "carbide", "copper", "light-metal", "white-metal"}

// FamilyIndex is the place of a family id in Families, or -1.
func FamilyIndex(id string) int {
	for i, f := range Families {
		if f == id {
			return i
		}
	}
	return -1
}

// Share is a probability that goes with an id (of a family, a grade, a part).
type Share struct {
	ID string
	P  float64
}
