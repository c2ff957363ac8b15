package weld

import (
	"regexp"
	"strconv"

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
	stated := b.classes[i].Deposit
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
	return x, b.classes[i].ID, ok && x[formula.Cr] > 0
}

// MiddleOf is where the heats of a grade usually lie within its limits, wt%.
func (b *Book) MiddleOf(grade string) (x formula.Values, ok bool) {
	g, ok := b.catalogue.Grade(grade)
	if !ok {
		return x, false
	}
	x, _ = middleOf(g)
	return x, true
}
