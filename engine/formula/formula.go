// Package formula holds the published formulas of weldability as values: carbon equivalents, preheat, cooling
// time, hardness of the heat-affected zone, martensite start, constitution of stainless weld metal, dilution,
// crack and embrittlement indices.
//
// Each formula states its inputs, their units and range, its source and how firmly that is held; the same
// value serves Compute, the range check and the tests. Nothing is clipped or extrapolated in silence: outside
// its range a formula gives its value with a warning, and where it would be meaningless it refuses with a
// sentence. The package knows no grade and no case; the tables it reads are CSV files of engine/data.
package formula

import (
	"fmt"
	"strconv"
	"strings"
)

// Formula is one published formula.
type Formula struct {
	ID     string  // "cet"
	Unit   string  // unit of the result; "" for a bare number or a word
	Mark   string  // how firmly the equation is held: one of data.MarkIDs
	Source string  // where the equation and its range were read
	Spread float64 // about two standard deviations of the result, in its unit; 0 where no source states it
	Words  []string
	Inputs []Input
	Limits []Limit
	Eval   func(Values) float64           // the result; with Words a place in that list
	Refuse func(Values) string            // why the inputs are meaningless together; "" when they are not
	Notes  func(Values, float64) []string // what the result means where it matters; nil for nothing
}

// Input is one input of a formula.
type Input struct {
	Key     Key
	Name    string // as Compute takes it: an element symbol, or a name with its unit
	Unit    string
	Low     float64 // the range in which the formula was found to hold
	High    float64
	Bounded bool // Low and High hold
	Must    bool // without it there is no result
	Floor   float64
	floor   floorKind
	Default float64 // taken for a missing input that is neither element nor Must, and said
	Basis   string  // where the default comes from
	Words   []string
	Other   []OtherUnit
	Or      string // another input that may stand instead
	Only    bool   // the equation does not use it; its range bounds where the equation holds
}

// OtherUnit is another name under which an input may be given: value = given*Scale + Offset.
type OtherUnit struct {
	Name          string
	Scale, Offset float64
}

// floorKind says whether values at or below an input's Floor are meaningless.
type floorKind int

const (
	noFloor      floorKind = iota
	aboveFloor             // must be above Floor
	atLeastFloor           // must be Floor or more
)

// Limit is the range of a quantity that follows from the inputs.
type Limit struct {
	Name, Unit string
	Low, High  float64
	Of         func(Values) float64
}

// InRange holds when every input and every derived quantity lies in the range of the formula.
func (f *Formula) InRange(x Values) bool {
	for i := range f.Inputs {
		if in := &f.Inputs[i]; in.outside(x[in.Key]) {
			return false
		}
	}
	for i := range f.Limits {
		if v := f.Limits[i].Of(x); !(v >= f.Limits[i].Low && v <= f.Limits[i].High) {
			return false
		}
	}
	return true
}

// RangeText is the declared range in the words that the documentation of a formula repeats.
func (f *Formula) RangeText() string {
	var parts []string
	for _, in := range f.Inputs {
		if in.Bounded {
			parts = append(parts, rangeOf(in.Name, in.Low, in.High, in.unitInText()))
		}
	}
	for _, l := range f.Limits {
		parts = append(parts, rangeOf(l.Name, l.Low, l.High, l.Unit))
	}
	if parts == nil {
		return "none is stated"
	}
	return strings.Join(parts, ", ")
}

func rangeOf(name string, low, high float64, unit string) string {
	text := name + " " + number(low) + "-" + number(high)
	if low < 0 {
		text = name + " " + number(low) + " to " + number(high)
	}
	if unit != "" && unit != "wt%" {
		text += " " + unit
	}
	return text
}

// unitInText leaves out a unit that the name of the input already ends in.
func (in *Input) unitInText() string {
	if strings.Contains(in.Name, "_") {
		return ""
	}
	return in.Unit
}

func (in *Input) outside(v float64) bool { return in.Bounded && !(v >= in.Low && v <= in.High) }

// number prints a figure as briefly as it can be read back.
func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// meaningless is why a value cannot stand for an input at all; "" when it can.
func (in *Input) meaningless(v float64) string {
	switch {
	case in.floor == aboveFloor && !(v > in.Floor):
		return fmt.Sprintf("%s must be above %s %s, not %s", in.Name, number(in.Floor), in.Unit, number(v))
	case in.floor == atLeastFloor && !(v >= in.Floor):
		return fmt.Sprintf("%s must be %s %s or more, not %s", in.Name, number(in.Floor), in.Unit, number(v))
	}
	return ""
}

// Builders of inputs. A range of two zeros is none.

func wt(name string, limits ...float64) Input {
	key, ok := ElementKey(name)
	if !ok {
		panic("formula: no element key " + name)
	}
	in := Input{Key: key, Name: name, Unit: "wt%", floor: atLeastFloor}
	return in.within(limits)
}

func (in Input) within(limits []float64) Input {
	if len(limits) == 2 {
		in.Low, in.High, in.Bounded = limits[0], limits[1], true
	}
	return in
}

func quantity(key Key, name, unit string, limits ...float64) Input {
	return Input{Key: key, Name: name, Unit: unit}.within(limits)
}

func word(key Key, name string, words []string) Input {
	return Input{Key: key, Name: name, Words: words, Must: true}
}

func (in Input) must() Input               { in.Must = true; return in }
func (in Input) above(floor float64) Input { in.Floor, in.floor = floor, aboveFloor; return in }
func (in Input) least(floor float64) Input { in.Floor, in.floor = floor, atLeastFloor; return in }
func (in Input) only() Input               { in.Only = true; return in }
func (in Input) or(name string) Input      { in.Or = name; return in }
func (in Input) assume(v float64, basis string) Input {
	in.Default, in.Basis = v, basis
	return in
}
func (in Input) also(name string, scale, offset float64) Input {
	in.Other = append(in.Other[:len(in.Other):len(in.Other)], OtherUnit{name, scale, offset})
	return in
}

func lengthMM(key Key, name, inName string, limits ...float64) Input {
	return quantity(key, name, "mm", limits...).above(0).also(inName, mmPerInch, 0)
}

// mmPerInch is exact by definition (international yard and pound agreement, 1959).
const mmPerInch = 25.4

func all(groups ...[]Input) []Input {
	var out []Input
	for _, g := range groups {
		out = append(out, g...)
	}
	return out
}

func elements(names ...string) []Input {
	out := make([]Input, len(names))
	for i, name := range names {
		out[i] = wt(name)
	}
	return out
}
