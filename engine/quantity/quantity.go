package quantity

import (
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strings"

	"rodcall/engine/data"
)

// Tables answers how much of a consumable a weld takes and how long it burns: the tables of
// quantity_*.csv in the form that the estimate works on. Immutable after Load.
type Tables struct {
	units      []quantityUnit
	processes  []quantityProcess
	processOf  map[string]int // by name and by word, folded
	figures    map[figureKey]figure
	metals     []depositMetal
	electrodes []electrodeSize
	rates      []depositionRate
	classes    []quantityClass
	classAt    map[string]int
	joints     map[string]*jointForm // by the words that tell its form
	keys       map[string]keyMeaning
	known      []string // every key, the usual units first, for the nearest one
	prints     [quantityCount][]printed
	consumed   map[string][]printed // by word and process suffix: electrode, wire_gmaw …
}

// Load reads and checks the tables of the quantity estimate; the classes are those of filler.Read. Everything wrong goes into faults.
func Load(files fs.FS, classes []data.Row, faults *data.Faults) *Tables {
	q := &Tables{}
	q.loadUnits(files, faults)
	q.loadProcesses(files, faults)
	q.loadFigures(files, faults)
	q.loadElectrodes(files, faults)
	q.loadRates(files, faults)
	q.loadMetals(files, faults)
	q.loadClasses(classes)
	q.buildJoints(faults)
	q.buildKeys(faults)
	return q
}

// Figure is a figure of quantity_figures.csv by its subject and name; 0 when there is none.
func (q *Tables) Figure(subject, name string) float64 {
	return q.figures[figureKey{subject, name}].value
}

// estimate is one set of inputs on its way to its quantities; values stand in the first unit of their
// dimension.
type estimate struct {
	q     *Tables
	has   [quantityCount]bool
	value [quantityCount]float64
	key   [quantityCount]string // the input key that gave the value

	joint         *jointForm
	words         [wordCount]string
	process       int // index into processes, -1 when not told
	class         *quantityClass
	metal         *depositMetal
	boxed         bool
	currency      string
	efficiency    [maxProcesses]float64 // by process; 0 when neither told nor taken
	perKilo       [maxProcesses]float64 // total price by process, a kilogram
	perKiloGiven  [maxProcesses]bool
	plainEff      float64
	withoutCap    float64 // deposit without reinforcement, kg; 0 when there is none
	exactDeposit  float64 // deposit by the annulus where the thin shell was asked for, kg
	layerHeightMM float64 // thickness that layers build up
	surfacing     bool

	metric   bool
	out      map[string]any
	assumed  []string
	warnings []string
}

// Of is every quantity that the inputs allow, in metric and US units, by the keys of the machine
// contract (deposit_kg, electrodes, arc_h …); what was supposed stands under "assumed". An unknown key,
// an impossible figure and inputs that allow nothing are errors.
func (q *Tables) Of(inputs map[string]any) (map[string]any, error) {
	e := &estimate{q: q, process: -1, metal: &q.metals[0], out: map[string]any{}}
	if err := e.take(inputs); err != nil {
		return nil, err
	}
	for _, step := range []func(*estimate) error{
		(*estimate).shapeOf, (*estimate).consumables, (*estimate).pieces, (*estimate).rate, (*estimate).times,
		(*estimate).beads, (*estimate).gas, (*estimate).preheat, (*estimate).cost, (*estimate).saving,
	} {
		if err := step(e); err != nil {
			return nil, err
		}
	}
	return e.finish()
}

// finish adds what was supposed; nothing to tell is an error that says what to give.
func (e *estimate) finish() (map[string]any, error) {
	if len(e.out) == 0 {
		if e.joint == nil {
			return nil, fmt.Errorf("these inputs allow no quantity: joint is missing; give one of %s with its sizes, or a deposit such as deposit_kg",
				strings.Join(jointNames(), ", "))
		}
		return nil, fmt.Errorf("these inputs allow no quantity: %s needs %s", e.joint.name, e.joint.needs)
	}
	if len(e.assumed) > 0 {
		e.out["assumed"] = e.assumed
	}
	if len(e.warnings) > 0 {
		e.out["warnings"] = e.warnings
	}
	return e.out, nil
}

// set keeps a computed value; one that was given stays.
func (e *estimate) set(k quantityKey, v float64) {
	if !e.has[k] {
		e.has[k], e.value[k] = true, v
	}
}

// give is the value of an input, or of the figure that stands for it, which is then told: # in says is its place.
func (e *estimate) give(k quantityKey, subject, name, says string) (float64, bool) {
	if e.has[k] {
		return e.value[k], true
	}
	f, ok := e.q.figures[figureKey{subject, name}]
	if !ok {
		return 0, false
	}
	e.set(k, f.value)
	e.suppose("%s", strings.Replace(says, "#", Text(f.value), 1))
	return f.value, true
}

// suppose notes something that the inputs did not say.
func (e *estimate) suppose(format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	if !slices.Contains(e.assumed, text) {
		e.assumed = append(e.assumed, text)
	}
}

// print answers with a value in each of its units.
func (e *estimate) print(k quantityKey) {
	if e.has[k] {
		e.printAs(e.q.prints[k], e.value[k])
	}
}

func (e *estimate) printAs(keys []printed, v float64) {
	for _, p := range keys {
		if !e.metric || !p.us {
			e.out[p.key] = SixDigits(v / p.factor)
		}
	}
}

// SixDigits rounds to six significant digits: more is never known, and the text stays short.
func SixDigits(v float64) float64 {
	if v == 0 || math.IsInf(v, 0) || math.IsNaN(v) {
		return v
	}
	scale := math.Pow(10, 5-math.Floor(math.Log10(math.Abs(v))))
	if math.IsInf(scale, 0) || scale == 0 {
		return v
	}
	return math.Round(v*scale) / scale
}
