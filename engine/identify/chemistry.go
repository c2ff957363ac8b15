package identify

import (
	"slices"

	"rodcall/engine/data"
	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

// instrument is one method of analysis: what it sees of each element and how far off it is.
type instrument struct {
	sees               []bool
	absolute, relative []float64 // standard error = absolute + relative × value, wt%
	detect             []float64
}

// limits are what a grade may hold of one element, wt%; low and high as a standard has them, else computed
// for the balance metal, else nought to a usual residual.
type limits struct {
	low, high float64
	soft      bool // the standard sets one bound only: a wider edge
	unnamed   bool // the standard does not name the element: high is a usual top of residuals
	needed    bool // so much of it that an analysis should have listed it
}

type chemModel struct {
	elements []string
	limits   [][]limits // element × grade
	methods  map[string]instrument
	off      float64 // share of heats well outside their grade
	missing  float64 // chance that a needed element is left out of the message
}

var methodSchema = data.Schema{File: "chem_methods.csv", Key: []string{"method", "element"}, Columns: []data.Column{
	{Name: "method", Kind: data.Word, Of: []string{"xrf", "libs", "lab"}, Required: true},
	{Name: "element", Kind: data.Word, Of: observation.Elements, Required: true},
	{Name: "sees", Kind: data.Word, Of: []string{"yes", "no"}, Required: true},
	{Name: "absolute_pct", Kind: data.Number, Min: 0, Max: 5},
	{Name: "relative", Kind: data.Number, Min: 0, Max: 1},
	{Name: "detect_pct", Kind: data.Number, Min: 0, Max: 5},
	{Name: "source", Required: true}, {Name: "mark", Required: true},
}}

var residualSchema = data.Schema{File: "residuals.csv", Key: []string{"balance", "element"}, Columns: []data.Column{
	{Name: "balance", Required: true, Doc: "balance metal, or any"},
	{Name: "element", Kind: data.Word, Of: observation.Elements, Required: true},
	{Name: "usual_pct", Kind: data.Number, Min: 0.0001, Max: 20, Required: true},
	{Name: "source", Required: true}, {Name: "mark", Required: true},
}}

func (m *Model) loadChem(in input) chemModel {
	c := chemModel{elements: observation.Elements, methods: map[string]instrument{},
		off: m.constants.need(in, "chem_off_grade"), missing: m.constants.need(in, "chem_not_listed")}
	n := len(c.elements)
	for _, method := range []string{"xrf", "libs", "lab"} {
		c.methods[method] = instrument{make([]bool, n), make([]float64, n), make([]float64, n), make([]float64, n)}
	}
	for _, row := range in.read(methodSchema) {
		k, e := c.methods[row.Text("method")], slices.Index(c.elements, row.Text("element"))
		k.sees[e] = row.Text("sees") == "yes"
		k.absolute[e], k.relative[e], k.detect[e] = row.Value("absolute_pct", 0), row.Value("relative", 0), row.Value("detect_pct", 0)
	}
	c.methods["certificate"] = c.methods["lab"]
	c.methods[""] = unnamed(c.methods["xrf"], c.methods["lab"])
	residual := loadResiduals(in)
	c.limits = make([][]limits, n)
	for e := range c.limits {
		c.limits[e] = make([]limits, m.n)
	}
	for g := range m.cat.Grades {
		c.fill(g, &m.cat.Grades[g], residual)
	}
	return c
}

// unnamed is an analysis whose method is not told: the larger error of the X-ray analyser, and for what
// that cannot see three times the laboratory's (own estimate).
func unnamed(xrf, lab instrument) instrument {
	out := instrument{slices.Clone(xrf.sees), slices.Clone(xrf.absolute), slices.Clone(xrf.relative), slices.Clone(xrf.detect)}
	for e, sees := range xrf.sees {
		if !sees {
			out.sees[e], out.absolute[e], out.relative[e], out.detect[e] = lab.sees[e], 3*lab.absolute[e], 3*lab.relative[e], 3*lab.detect[e]
		}
	}
	return out
}

func loadResiduals(in input) func(balance, element string) float64 {
	usual := map[[2]string]float64{}
	for _, row := range in.read(residualSchema) {
		usual[[2]string{row.Text("balance"), row.Text("element")}] = row.Value("usual_pct", 0)
	}
	return func(balance, element string) float64 {
		if v, ok := usual[[2]string{balance, element}]; ok {
			return v
		}
		return max(usual[[2]string{"any", element}], 0.01)
	}
}

func (c *chemModel) fill(g int, grade *metal.Grade, residual func(balance, element string) float64) {
	sumLow, sumHigh := 0.0, 0.0
	for e, element := range c.elements {
		l := gradeLimits(grade, element, residual)
		c.limits[e][g] = l
		if element != grade.Balance {
			sumLow, sumHigh = sumLow+l.low, sumHigh+l.high
		}
	}
	if e := slices.Index(c.elements, grade.Balance); e >= 0 {
		l := limits{low: max(0, 100-sumHigh), high: max(0, 100-sumLow)}
		if r, ok := grade.Composition[grade.Balance]; ok && r.HasLow {
			l.low = r.Low
		}
		if l.low > l.high {
			l.low = l.high
		}
		c.limits[e][g] = l
	}
}

func gradeLimits(grade *metal.Grade, element string, residual func(balance, element string) float64) limits {
	r, named := grade.Composition[element]
	switch {
	case !named:
		return limits{high: residual(grade.Balance, element), unnamed: true}
	case r.HasLow && r.HasHigh:
		return limits{low: r.Low, high: r.High, needed: r.Low >= 0.4}
	case r.HasLow:
		return limits{low: r.Low, high: r.Low*1.4 + 0.2, soft: true, needed: r.Low >= 0.4}
	default:
		return limits{high: r.High}
	}
}

// middle is the middle of what a grade holds of an element, wt%; 0 when its standard does not name it.
func middle(grade *metal.Grade, element string) float64 {
	r, ok := grade.Composition[element]
	switch {
	case !ok:
		return 0
	case r.HasLow && r.HasHigh:
		return (r.Low + r.High) / 2
	case r.HasLow:
		return r.Low * 1.15
	default:
		return r.High / 2
	}
}

// reading is one analysed element.
type reading struct {
	element int
	pct     float64
}

// readings are what the method can have seen of the reported analysis, in the order of the elements.
func (c *chemModel) readings(o *observation.Observation, out []reading) ([]reading, instrument) {
	method := c.methods[o.ChemMethod]
	for e, element := range c.elements {
		if pct, ok := o.Chem[element]; ok && method.sees[e] {
			out = append(out, reading{e, pct})
		}
	}
	return out, method
}

// broad is the density of an element's share when the metal is none of the catalogue: even over the
// decades from 0.02 to 100 wt%.
func broad(pct float64) float64 { return 1 / (8.5 * max(pct, 0.02)) }

// weigh multiplies into clean the density of the readings on every grade, and returns the same for a
// metal outside the catalogue.
//
// Inside the limits the density is flat; outside it falls as a heavy tail over the instrument's error and
// a tolerance for product analysis. A share of heats lies anywhere. The balance metal's limits follow from
// the others. An element that a grade needs, that the method sees and that was not listed, is weakly low.
func (c *chemModel) weigh(list []reading, k instrument, clean []float64) float64 {
	outside := 1.0
	var listed [32]bool
	for _, r := range list {
		listed[r.element] = true
		wide := broad(r.pct)
		outside *= wide
		sigma := k.absolute[r.element] + k.relative[r.element]*r.pct
		for g, l := range c.limits[r.element] {
			clean[g] *= (1-c.off)*density(r.pct, l, sigma) + c.off*wide
		}
	}
	for e := range c.elements {
		if listed[e] || !k.sees[e] || c.elements[e] == "C" || c.elements[e] == "Fe" {
			continue
		}
		for g, l := range c.limits[e] {
			if l.needed && l.low > 4*k.detect[e] {
				clean[g] *= c.missing
			}
		}
	}
	return outside
}

// density is the chance of a measured share per wt%.
func density(pct float64, l limits, sigma float64) float64 {
	if l.unnamed { // a residual: most of it well below the usual top
		s := sigma + 0.5*l.high
		u := pct / s
		t := 1 + u*u/3
		return 1 / (1.36 * s * t * t)
	}
	s := sigma + 0.02*l.high + 0.01*(l.high-l.low)
	if l.soft {
		s += 0.12 * (l.high - l.low)
	}
	top := 1 / (l.high - l.low + 2.6*s)
	d := max(l.low-pct, pct-l.high)
	if d <= 0 {
		return top
	}
	u := d / s
	t := 1 + u*u/3
	return top / (t * t)
}
