package quantity

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"rodcall/engine/measure"
	"rodcall/engine/observation"
)

// take reads the inputs. Every fault is one sentence that names the key.
func (e *estimate) take(inputs map[string]any) error {
	for _, key := range slices.Sorted(maps.Keys(inputs)) {
		if err := e.takeOne(key, inputs[key]); err != nil {
			return err
		}
	}
	return e.settleWords()
}

func (e *estimate) takeOne(key string, value any) error {
	folded := strings.ToLower(strings.TrimSpace(key))
	if m, ok := e.q.keys[folded]; ok {
		if text, isText := value.(string); !isText || wordOnly(folded) < 0 {
			v, err := quantityNumber(key, text, value)
			if err != nil {
				return err
			}
			return e.takeNumber(key, m, v)
		}
	}
	if slices.Contains(labelKeys, folded) {
		return nil
	}
	if folded == boxedKey {
		boxed, ok := value.(bool)
		if !ok {
			return fmt.Errorf("%s must be true or false", key)
		}
		e.boxed = boxed
		return nil
	}
	if w := wordOnly(folded); w >= 0 {
		text, ok := value.(string)
		if !ok {
			return fmt.Errorf("%s must be a word, not %v", key, value)
		}
		e.words[w] = strings.TrimSpace(text)
		return nil
	}
	if whole := e.q.withUnits(folded); len(whole) > 0 {
		return fmt.Errorf("%s lacks its unit; write %s", key, strings.Join(whole, " or "))
	}
	return fmt.Errorf("unknown input %q; nearest: %s", key, strings.Join(e.q.nearestKeys(folded), ", "))
}

// wordOnly is the word that a key stands for; -1 for none.
func wordOnly(key string) quantityWord {
	if w, ok := wordKeys[key]; ok {
		return w
	}
	return -1
}

// withUnits are some keys that a bare name becomes with its unit, in both systems.
func (q *Tables) withUnits(name string) []string {
	var first, us string
	for _, u := range q.units {
		key := name + "_" + u.name
		if _, ok := q.keys[key]; !ok || u.name == "" {
			continue
		}
		if first == "" {
			first = key
		} else if us == "" && slices.Contains(usInputs, u.name) {
			us = key
		}
	}
	if first == "" {
		return nil
	}
	return slices.DeleteFunc([]string{first, us}, func(key string) bool { return key == "" })
}

// usInputs are the usual US units of what is told.
var usInputs = []string{"in", "in2", "lb", "lb_ft", "lb_in3", "lb_h", "cfh", "ft3", "f"}

func (q *Tables) nearestKeys(key string) []string {
	dashed := make([]string, len(q.known))
	for i, k := range q.known {
		dashed[i] = strings.ReplaceAll(k, "_", "-")
	}
	near := observation.Nearest(key, dashed)
	for i := range near {
		near[i] = strings.ReplaceAll(near[i], "-", "_")
	}
	return near
}

// quantityNumber is the number of an input: a JSON number, or a text such as 3/4 or 1-1/2.
func quantityNumber(key, text string, value any) (float64, error) {
	switch v := value.(type) {
	case float64:
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return 0, fmt.Errorf("%s must be a finite number", key)
		}
		return v, nil
	case int:
		return float64(v), nil
	case string:
		if v, err := measure.ParseInch(text); err == nil {
			return float64(v), nil
		}
		return 0, fmt.Errorf("%s: %q is no number; write 12.5 or 3/4", key, text)
	}
	return 0, fmt.Errorf("%s must be a number, not %v", key, value)
}

func (e *estimate) takeNumber(key string, m keyMeaning, v float64) error {
	if m.currency != "" {
		if e.currency != "" && e.currency != m.currency {
			return fmt.Errorf("%s: the other prices are in %s; give all in one currency", key, e.currency)
		}
		e.currency = m.currency
	}
	v = v*m.factor + m.offset
	switch m.kind {
	case efficiencyKind, lossKind:
		return e.takeEfficiency(key, m, v)
	case totalKind:
		if !(v > 0) {
			return fmt.Errorf("%s must be above 0", key)
		}
		e.perKilo[m.process], e.perKiloGiven[m.process] = v, true
		return nil
	}
	k := m.number
	if err := checkRange(key, keySpecs[k], v, m); err != nil {
		return err
	}
	if e.has[k] && math.Abs(e.value[k]-v) > 0.005*math.Abs(v) {
		return fmt.Errorf("%s and %s say different things; give one of them", e.key[k], key)
	}
	if !e.has[k] {
		e.has[k], e.value[k], e.key[k] = true, v, key
	}
	return nil
}

// checkRange refuses what cannot be, in the unit of the key.
func checkRange(key string, spec keySpec, v float64, m keyMeaning) error {
	shown := func(canonical float64) string { return Text((canonical - m.offset) / m.factor) }
	switch {
	case v < spec.low || v == spec.low && !spec.zero:
		word := "above"
		if spec.zero {
			word = "at least"
		}
		return fmt.Errorf("%s: %s is impossible; it must be %s %s", key, shown(v), word, shown(spec.low))
	case v > spec.high && spec.dimension == "share" && m.factor == 1:
		return fmt.Errorf("%s: %s is impossible; it is a share of at most %s, so write 0.65 or %s_pct 65", key, shown(v), shown(spec.high), key)
	case v > spec.high:
		return fmt.Errorf("%s: %s is impossible; it must be at most %s", key, shown(v), shown(spec.high))
	}
	return nil
}

var efficiencySpec = keySpec{dimension: "share", low: 0, high: 1}

func (e *estimate) takeEfficiency(key string, m keyMeaning, v float64) error {
	spec := efficiencySpec
	if m.kind == lossKind {
		spec.zero = true
		if err := checkRange(key, spec, v, m); err != nil {
			return err
		}
		if v = 1 - v; !(v > 0) {
			return fmt.Errorf("%s: with a loss of all nothing is deposited", key)
		}
	} else if err := checkRange(key, spec, v, m); err != nil {
		return err
	}
	place := &e.plainEff
	if m.process >= 0 {
		place = &e.efficiency[m.process]
	}
	if *place != 0 && math.Abs(*place-v) > 0.005 {
		return fmt.Errorf("%s contradicts the other efficiency or loss; give one of them", key)
	}
	*place = v
	return nil
}

// settleWords finds joint, process, class and metal behind their words.
func (e *estimate) settleWords() error {
	if word := e.words[jointWord]; word != "" {
		if e.joint = e.q.joint(word); e.joint == nil {
			return fmt.Errorf("joint: unknown joint %q; known: %s", word, strings.Join(jointNames(), ", "))
		}
	}
	switch fold(e.words[reinforcementWord]) {
	case "", "none", "flat", "convex":
	default: // the shape of a reinforcement whose height stands in a number
		if e.words[capShapeWord] == "" {
			e.words[capShapeWord] = e.words[reinforcementWord]
		}
		e.words[reinforcementWord] = ""
		s := &sizes{e: e}
		if e.capShape(s); s.wrong != "" {
			return fmt.Errorf("reinforcement: unknown word %q; known: none, convex, parabolic, rectangle", e.words[capShapeWord])
		}
	}
	if word := e.words[processWord]; word != "" {
		i, ok := e.q.processOf[fold(word)]
		if !ok {
			return fmt.Errorf("process: unknown process %q; known: %s", word, strings.Join(e.q.processNames(), ", "))
		}
		e.process = i
	}
	if word := e.words[classWord]; word != "" {
		if err := e.takeClass(word); err != nil {
			return err
		}
	}
	if word := e.words[metalWord]; word != "" {
		m := e.q.metalNamed(word)
		if m == nil {
			return fmt.Errorf("%s: unknown deposit metal; known: %s", word, strings.Join(e.q.metalNames(), ", "))
		}
		e.metal = m
	}
	return nil
}

func (e *estimate) takeClass(word string) error {
	i, ok := e.q.classAt[word]
	if !ok {
		var ids []string
		for _, c := range e.q.classes {
			ids = append(ids, c.id)
		}
		return fmt.Errorf("class: unknown class %q; nearest: %s", word, strings.Join(observation.Nearest(word, ids), ", "))
	}
	c := &e.q.classes[i]
	if c.metal == nil {
		return fmt.Errorf("class: %s is not consumed; give the filler", c.id)
	}
	e.class, e.metal = c, c.metal
	if e.process < 0 {
		e.process = c.processes[0]
	}
	if !slices.ContainsFunc(c.processes, func(p int) bool { return e.q.sameProcess(p, e.process) }) {
		return fmt.Errorf("process: %s is not welded by %s but by %s", c.id, e.q.processes[e.process].name, e.q.namesOf(c.processes))
	}
	return nil
}

// sameProcess holds for one process, and for one that is a kind of the other.
func (q *Tables) sameProcess(a, b int) bool {
	pa, pb := q.processes[a], q.processes[b]
	return a == b || pa.kin == pb.name || pb.kin == pa.name
}

func (q *Tables) namesOf(processes []int) string {
	var names []string
	for _, p := range processes {
		names = append(names, q.processes[p].name)
	}
	return strings.Join(names, " or ")
}

func (q *Tables) processNames() []string {
	var names []string
	for _, p := range q.processes {
		names = append(names, p.name)
	}
	return names
}

func (q *Tables) metalNames() []string {
	var names []string
	for _, m := range q.metals {
		names = append(names, m.name)
	}
	return names
}

func (q *Tables) metalNamed(word string) *depositMetal {
	for i, m := range q.metals {
		for _, name := range append([]string{m.name}, m.words...) {
			if fold(name) == fold(word) {
				return &q.metals[i]
			}
		}
	}
	return nil
}

// Text writes a number for people: at most five digits, no exponent where it can be spared.
func Text(v float64) string { return strconv.FormatFloat(SixDigits(v), 'g', 6, 64) }
