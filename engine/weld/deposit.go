package weld

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"rodcall/engine/formula"
)

// Shares of an element as classifications.csv writes them: "22.0-25.0 Cr", "C<=0.04", "Ni>=62".
var (
	rangeOfElement = regexp.MustCompile(`([0-9.]+)-([0-9.]+) ([A-Z][a-z]?)\b`)
	boundOfElement = regexp.MustCompile(`\b([A-Z][a-z]?)(<=|>=)([0-9.]+)`)
)

// DepositOf is the usual composition of the undiluted deposit of a class as a rep writes it ("309L"), wt%: the middle
// of a range, of a sole maximum the share that the limits of grades have. ok is false for a class that is unknown or
// states neither chromium nor a range.
func (b *Book) DepositOf(word string) (x formula.Values, class string, ok bool) {
	i := b.held(word)
	if i < 0 {
		return x, "", false
	}
	return b.deposits[i].x, b.classes[i].ID, b.deposits[i].ok && b.deposits[i].x[formula.Cr] > 0
}

// classDeposit is the usual composition of a class, worked out once.
type classDeposit struct {
	x  formula.Values
	ok bool // it states a range
}

// weldMetals are the groups whose deposit a formula reads.
var weldMetals = []string{"steel", "low-alloy", "stainless"}

func depositOf(c *Class) (d classDeposit) {
	if slices.Contains(weldMetals, c.Group) {
		d.x, d.ok = readDeposit(c.Deposit)
	}
	return d
}

// readDeposit reads the composition that a class states.
func readDeposit(stated string) (x formula.Values, ok bool) {
	for _, m := range rangeOfElement.FindAllStringSubmatch(stated, -1) {
		key, known := formula.ElementKey(m[3])
		low, _ := strconv.ParseFloat(m[1], 64)
		high, _ := strconv.ParseFloat(m[2], 64)
		if known {
			x[key], ok = (low+high)/2, true
		}
	}
	for _, m := range boundOfElement.FindAllStringSubmatch(stated, -1) {
		key, known := formula.ElementKey(m[1])
		v, _ := strconv.ParseFloat(m[3], 64)
		switch {
		case !known || x[key] > 0:
		case m[2] == ">=":
			x[key] = v
		case key == formula.C || key == formula.Mn:
			x[key] = openMiddle * v
		default:
			x[key] = openAlloy * v
		}
	}
	return x, ok
}

// HydrogenOf is the diffusible hydrogen that a filler is reckoned with, ml/100 g; 0 where its class promises nothing that
// differs from a dry basic rod.
func (b *Book) HydrogenOf(word string) float64 {
	i := b.held(word)
	if i < 0 || b.classes[i].Group != "steel" && b.classes[i].Group != "low-alloy" {
		return 0
	}
	if strings.HasPrefix(b.classes[i].hydrogen, "none") {
		return openHydrogen
	}
	return 0
}

// steelDeposit is the usual composition of the undiluted deposit of a steel class, wt%: what it states, else what such
// rods have (judgement: C 0.08, Mn 1.1, Si 0.4, S and P 0.015). ok is false for another class.
func (b *Book) steelDeposit(word string) (x formula.Values, class string, ok bool) {
	i := b.held(word)
	if i < 0 || b.classes[i].Group != "steel" && b.classes[i].Group != "low-alloy" {
		return x, "", false
	}
	x = b.deposits[i].x
	for key, usual := range map[formula.Key]float64{formula.C: 0.08, formula.Mn: 1.1, formula.Si: 0.4, formula.S: 0.015, formula.P: 0.015} {
		if x[key] == 0 {
			x[key] = usual
		}
	}
	return x, b.classes[i].ID, true
}

// IsFiller says whether a rep's word names a class.
func (b *Book) IsFiller(word string) bool { return b.held(word) >= 0 }
