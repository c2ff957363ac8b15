package formula

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Result is what a formula gives.
type Result struct {
	Value    any // float64, a word, or map[string]float64 (wt% by element)
	Unit     string
	InRange  bool     // every input lies where the formula was found to hold
	Warnings []string // missing elements, values out of range, assumed inputs, what the value means
	Source   string
	Mark     string  // how firmly the equation is held: one of data.MarkIDs
	Spread   float64 // about two standard deviations, in the unit; 0 where no source states it
	Evidence string  // what speaks for our arithmetic: one of Evidences
}

// totalRounding is what an analysis of rounded figures may miss 100 % by.
const totalRounding = 0.5

// Compute gives a formula's result for inputs by name: numbers, words, and for dilution_mix compositions. Inputs
// that the formula does not use are labels and are ignored. An element that it uses and that is missing counts as
// zero and is named in the warnings; a value out of range gives a result with InRange false; what is meaningless
// is an error.
func (s *Set) Compute(id string, inputs map[string]any) (Result, error) {
	if id == dilutionID {
		return s.mix(inputs)
	}
	f, ok := s.byID[id]
	if !ok {
		return Result{}, s.unknown(id)
	}
	x, given, err := f.read(inputs)
	if err != nil {
		return Result{}, fmt.Errorf("%s: %w", id, err)
	}
	if f.Refuse != nil {
		if why := f.Refuse(x); why != "" {
			return Result{}, fmt.Errorf("%s: %s", id, why)
		}
	}
	y := f.Eval(x)
	if math.IsNaN(y) || math.IsInf(y, 0) {
		return Result{}, fmt.Errorf("%s: the formula has no value for these inputs", id)
	}
	out := Result{Value: settled(y), Unit: f.Unit, Source: f.Source, Mark: f.Mark, Spread: f.Spread, Evidence: s.evidence[id]}
	if f.Words != nil {
		out.Value = f.Words[int(y)]
	}
	out.Warnings, out.InRange = f.warnings(x, given)
	if f.Notes != nil {
		out.Warnings = append(out.Warnings, f.Notes(x, y)...)
	}
	return out, nil
}

// read turns inputs by name into values by key, and says which inputs were given.
func (f *Formula) read(inputs map[string]any) (x Values, given []bool, err error) {
	given = make([]bool, len(f.Inputs))
	total := 0.0
	for i := range f.Inputs {
		in := &f.Inputs[i]
		v, ok, err := in.read(inputs)
		if err != nil {
			return x, nil, err
		}
		given[i] = ok
		switch {
		case ok:
			x[in.Key] = v
		case in.Must && !f.instead(in, inputs):
			return x, nil, f.missing(in, inputs)
		default:
			x[in.Key] = in.Default
		}
		if ok && in.Key < elementCount {
			total += v
		}
	}
	if total > 100+totalRounding {
		return x, nil, fmt.Errorf("the elements sum to %s wt%%, more than 100", number(math.Round(total*100)/100))
	}
	return x, given, nil
}

// instead holds when the input that may stand for in is given.
func (f *Formula) instead(in *Input, inputs map[string]any) bool {
	return in.Or != "" && inputs[in.Or] != nil
}

// read finds an input under its name or that of another unit.
func (in *Input) read(inputs map[string]any) (v float64, ok bool, err error) {
	if given := inputs[in.Name]; given != nil {
		if in.Words != nil {
			v, err = in.readWord(given)
		} else {
			v, err = asNumber(given, in.Name)
		}
		if err == nil {
			if why := in.meaningless(v); why != "" {
				err = fmt.Errorf("%s", why)
			}
		}
		return v, err == nil, err
	}
	for _, other := range in.Other {
		if given := inputs[other.Name]; given != nil {
			if v, err = asNumber(given, other.Name); err != nil {
				return 0, false, err
			}
			v = v*other.Scale + other.Offset
			if why := in.meaningless(v); why != "" {
				return 0, false, fmt.Errorf("%s (from %s)", why, other.Name)
			}
			return v, true, nil
		}
	}
	return 0, false, nil
}

func (in *Input) readWord(given any) (float64, error) {
	text, ok := given.(string)
	if !ok {
		return 0, fmt.Errorf("%s must be one of %s", in.Name, list(in.Words, " "))
	}
	i := slices.IndexFunc(in.Words, func(w string) bool { return strings.EqualFold(w, strings.TrimSpace(text)) })
	if i < 0 {
		return 0, fmt.Errorf("%s: unknown word %q; known: %s", in.Name, clip(text), list(in.Words, " "))
	}
	return float64(i), nil
}

// asNumber takes the numbers of Go and of JSON; anything else is an error that names the input.
func asNumber(given any, name string) (float64, error) {
	var v float64
	switch g := given.(type) {
	case float64:
		v = g
	case int:
		v = float64(g)
	case json.Number:
		parsed, err := strconv.ParseFloat(g.String(), 64)
		if err != nil {
			return 0, fmt.Errorf("%s must be a number, not %s", name, clip(g.String()))
		}
		v = parsed
	default:
		return 0, fmt.Errorf("%s must be a number", name)
	}
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%s must be a finite number", name)
	}
	return v, nil
}

func numberInput(inputs map[string]any, name string) (float64, error) {
	if inputs[name] == nil {
		return 0, fmt.Errorf("%s is missing", name)
	}
	return asNumber(inputs[name], name)
}

// missing is the error for an input that must be given, with the key that was probably meant for it.
func (f *Formula) missing(in *Input, inputs map[string]any) error {
	var strangers []string
	for name := range inputs {
		if !slices.ContainsFunc(f.Inputs, func(i Input) bool { return i.Name == name }) {
			strangers = append(strangers, name)
		}
	}
	slices.Sort(strangers)
	hint, letters := "", max(3, len(in.Name)/2)
	if in.Key.isElement() {
		letters = 0 // only the same symbol in small letters: Cu is not meant for C
	}
	if near := nearest(in.Name, strangers, letters); len(near) > 0 {
		hint = fmt.Sprintf("; is %q meant for it?", near[0])
	}
	names := in.Name
	for _, other := range in.Other {
		names += " or " + other.Name
	}
	if in.Or != "" {
		names += " or " + in.Or
	}
	switch {
	case in.Key.isElement():
		return fmt.Errorf("%s must be analysed; without it the formula says nothing%s", in.Name, hint)
	case in.Words != nil:
		return fmt.Errorf("%s is missing; give one of %s%s", names, list(in.Words, " "), hint)
	default:
		return fmt.Errorf("%s is missing; give it in %s%s", names, orNumber(in.Unit), hint)
	}
}

func orNumber(unit string) string {
	if unit == "" {
		return "figures"
	}
	return unit
}

// warnings names missing elements, assumed inputs and what is out of range.
func (f *Formula) warnings(x Values, given []bool) (out []string, inRange bool) {
	var missing []string
	inRange = true
	for i := range f.Inputs {
		in := &f.Inputs[i]
		switch {
		case given[i] || in.Only || in.Or != "" && isGiven(f, given, in.Or):
		case in.Key.isElement():
			missing = append(missing, in.Name)
		case !in.Must:
			out = append(out, in.Name+" is not given; "+number(in.Default)+" is taken ("+in.Basis+")")
		}
	}
	if missing != nil {
		out = append(out, "not in the analysis and counted as zero: "+list(missing))
	}
	for i := range f.Inputs {
		in := &f.Inputs[i]
		if in.outside(x[in.Key]) {
			inRange = false
			out = append(out, outsideText(in.Name, x[in.Key], in.Low, in.High, in.Unit))
		}
	}
	for _, l := range f.Limits {
		if v := l.Of(x); !(v >= l.Low && v <= l.High) {
			inRange = false
			out = append(out, outsideText(l.Name, math.Round(v*1e4)/1e4, l.Low, l.High, l.Unit))
		}
	}
	return out, inRange
}

func isGiven(f *Formula, given []bool, name string) bool {
	i := slices.IndexFunc(f.Inputs, func(in Input) bool { return in.Name == name })
	return i >= 0 && given[i]
}

func outsideText(name string, v, low, high float64, unit string) string {
	if unit != "" {
		unit = " " + unit
	}
	return fmt.Sprintf("%s %s is outside %s to %s%s, where the formula holds", name, number(v), number(low), number(high), unit)
}

// list joins words by a separator, a comma when none is given.
func list(words []string, separator ...string) string {
	if separator == nil {
		return strings.Join(words, ", ")
	}
	return strings.Join(words, separator[0])
}

// settled leaves twelve figures of a result, so that the last bits of a machine do not show.
func settled(v float64) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64), 64)
	if err != nil {
		return v
	}
	return r
}

// tenth prints a figure to one place.
func tenth(v float64) string { return strconv.FormatFloat(v, 'f', 1, 64) }
