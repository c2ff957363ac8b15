package quantity

import (
	"io/fs"
	"math"
	"regexp"
	"rodcall/engine/filler"
	"slices"
	"strconv"
	"strings"

	"rodcall/engine/data"
)

// quantityUnit is one row of quantity_units.csv.
type quantityUnit struct {
	name, dimension string
	factor, offset  float64
}

var unitSchema = data.Schema{File: "quantity_units.csv", Key: []string{"unit", "dimension"}, Columns: []data.Column{
	{Name: "unit", Doc: "how a key ends; empty for a bare number"},
	{Name: "dimension", Required: true, Doc: "what it measures; its first row is the unit of calculation"},
	{Name: "factor", Kind: data.Number, Required: true, Min: 1e-9, Max: 1e9, Doc: "times the value gives the first unit"},
	{Name: "offset", Kind: data.Number, Required: true, Doc: "added after the factor"},
	{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
}}

func (q *Tables) loadUnits(files fs.FS, faults *data.Faults) {
	for _, row := range data.Read(files, unitSchema, faults).Rows {
		q.units = append(q.units, quantityUnit{row.Text("unit"), row.Text("dimension"), row.Value("factor", 1), row.Value("offset", 0)})
	}
}

// quantityProcess is one row of quantity_processes.csv.
type quantityProcess struct {
	name, suffix string
	form         string // electrode | wire | rod
	gas          string // none | maybe | needed
	kin          string // process whose figures hold where it has none
}

// maxProcesses bounds the processes, so that an estimate holds them in an array.
const maxProcesses = 12

var quantityProcessSchema = data.Schema{File: "quantity_processes.csv", Key: []string{"process"}, Columns: []data.Column{
	{Name: "process", Required: true, Doc: "as classifications.csv writes it"},
	{Name: "suffix", Required: true, Doc: "how a key ends that speaks of it"},
	{Name: "form", Kind: data.Word, Required: true, Of: []string{"electrode", "wire", "rod"}, Doc: "what its consumable is called"},
	{Name: "gas", Kind: data.Word, Required: true, Of: []string{"none", "maybe", "needed"}, Doc: "shielding gas from a cylinder"},
	{Name: "kin", Doc: "process whose figures hold where it has none"},
	{Name: "words", Kind: data.List, Doc: "other words for it"},
	{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
}}

func (q *Tables) loadProcesses(files fs.FS, faults *data.Faults) {
	q.processOf = map[string]int{}
	for _, row := range data.Read(files, quantityProcessSchema, faults).Rows {
		if len(q.processes) == maxProcesses {
			row.Fault("process", "more than %d processes", maxProcesses)
			return
		}
		for _, word := range append(row.List("words"), row.Text("process"), row.Text("suffix")) {
			word = fold(word)
			if other, ok := q.processOf[word]; ok && other != len(q.processes) {
				row.Fault("words", "%q stands for %s too", word, q.processes[other].name)
			}
			q.processOf[word] = len(q.processes)
		}
		q.processes = append(q.processes, quantityProcess{row.Text("process"), row.Text("suffix"), row.Text("form"), row.Text("gas"), row.Text("kin")})
	}
}

// joiners are what a word may be written with instead of a space.
var joiners = strings.NewReplacer("-", " ", "_", " ", ",", " ")

// fold makes two spellings of a word alike.
func fold(word string) string {
	return strings.Join(strings.Fields(joiners.Replace(strings.ToLower(word))), " ")
}

// figure is one planning figure with its range.
type figure struct{ low, value, high float64 }

type figureKey struct{ subject, name string }

var figureSchema = data.Schema{File: "quantity_figures.csv", Key: []string{"subject", "figure"}, Columns: []data.Column{
	{Name: "subject", Required: true, Doc: "process, fuel, or what the figure belongs to"},
	{Name: "figure", Required: true, Doc: "what it says"},
	{Name: "low", Kind: data.Number, Required: true, Doc: "lower end of the range"},
	{Name: "value", Kind: data.Number, Required: true, Doc: "taken when the inputs do not say"},
	{Name: "high", Kind: data.Number, Required: true, Doc: "upper end of the range"},
	{Name: "unit", Required: true, Doc: "unit of the three"},
	{Name: "note", Doc: "why this value"},
	{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
}}

// neededFigures are those that the estimate reads by name; a missing one would silence it.
var neededFigures = []figureKey{{"electrode", "stub"}, {"joint", "allowance"}, {"overlay", "allowance"}, {"fillet", "convexity"},
	{"crack groove", "width-to-depth"}, {"crack groove", "least-width"}, {"hard face", "layers"}, {"cold iron", "operating-factor"},
	{"steel", "specific-heat"}, {"surroundings", "temperature"}, {"open air", "torch-efficiency"}, {"boxed", "torch-efficiency"},
	{"propane", "net-heat"}, {"propane", "burner-power"}, {"soak", "time-per-thickness"}, {"cylinder", "gas-volume"},
	{"repair", "preparation"}, {"repair", "least-preparation"}, {"heated zone", "thickness-multiple"}, {"heated zone", "most-width-thin"},
	{"heated zone", "least-width-thick"}, {"heated zone", "losses"}}

func (q *Tables) loadFigures(files fs.FS, faults *data.Faults) {
	q.figures = map[figureKey]figure{}
	for _, row := range data.Read(files, figureSchema, faults).Rows {
		f := figure{row.Value("low", 0), row.Value("value", 0), row.Value("high", 0)}
		if f.low > f.value || f.value > f.high {
			row.Fault("value", "%g does not lie in %g-%g", f.value, f.low, f.high)
		}
		q.figures[figureKey{row.Text("subject"), row.Text("figure")}] = f
	}
	for _, k := range neededFigures {
		if _, ok := q.figures[k]; !ok {
			faults.Add(figureSchema.File, 0, "figure", "%s of %s is missing", k.name, k.subject)
		}
	}
}

// ofProcess is the figure of a process, or of its kin.
func (q *Tables) ofProcess(process int, name string) (figure, bool) {
	if process < 0 {
		return figure{}, false
	}
	f, ok := q.figures[figureKey{q.processes[process].name, name}]
	if !ok && q.processes[process].kin != "" {
		f, ok = q.figures[figureKey{q.processes[process].kin, name}]
	}
	return f, ok
}

// electrodeSize is a covered electrode as sold.
type electrodeSize struct {
	diameter, length      float64 // mm
	packedLow, packedHigh float64 // g, 0 when not told
}

var electrodeSchema = data.Schema{File: "quantity_electrodes.csv", Key: []string{"diameter_mm"}, Columns: []data.Column{
	{Name: "diameter_mm", Kind: data.Number, Required: true, Min: 1, Max: 12},
	{Name: "length_mm", Kind: data.Number, Required: true, Min: 100, Max: 1000, Doc: "usual length"},
	{Name: "packed_low_g", Kind: data.Number, Min: 1, Max: 1000, Doc: "one electrode with its covering"},
	{Name: "packed_high_g", Kind: data.Number, Min: 1, Max: 1000},
	{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
}}

func (q *Tables) loadElectrodes(files fs.FS, faults *data.Faults) {
	for _, row := range data.Read(files, electrodeSchema, faults).Rows {
		q.electrodes = append(q.electrodes, electrodeSize{row.Value("diameter_mm", 0), row.Value("length_mm", 0),
			row.Value("packed_low_g", 0), row.Value("packed_high_g", 0)})
	}
	if len(q.electrodes) == 0 {
		faults.Add(electrodeSchema.File, 0, "diameter_mm", "no row")
	}
}

// usualLength is the length of the electrode size nearest to a diameter, mm.
func (q *Tables) usualLength(diameter float64) float64 {
	best := q.electrodes[0]
	for _, e := range q.electrodes {
		if math.Abs(e.diameter-diameter) < math.Abs(best.diameter-diameter) {
			best = e
		}
	}
	return best.length
}

// depositionRate is one row of quantity_deposition.csv; diameter and amps are 0 where the source names none.
type depositionRate struct {
	kind, process        string
	diameter, amps, kilo float64
}

var rateSchema = data.Schema{File: "quantity_deposition.csv", Key: []string{"kind", "process", "diameter_mm"}, Columns: []data.Column{
	{Name: "kind", Required: true, Doc: "kind of consumable, or any"},
	{Name: "process", Required: true}, {Name: "diameter_mm", Kind: data.Number, Min: 0.3, Max: 13},
	{Name: "amps", Kind: data.Number, Min: 5, Max: 2000, Doc: "current at which the rate holds"},
	{Name: "low_kg_h", Kind: data.Number, Min: 0.01, Max: 100}, {Name: "kg_h", Kind: data.Number, Required: true, Min: 0.01, Max: 100, Doc: "while the arc burns"},
	{Name: "high_kg_h", Kind: data.Number, Min: 0.01, Max: 100},
	{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
}}

func (q *Tables) loadRates(files fs.FS, faults *data.Faults) {
	for _, row := range data.Read(files, rateSchema, faults).Rows {
		if _, ok := q.processOf[fold(row.Text("process"))]; !ok {
			row.Fault("process", "unknown process %q", row.Text("process"))
		}
		q.rates = append(q.rates, depositionRate{row.Text("kind"), row.Text("process"), row.Value("diameter_mm", 0), row.Value("amps", 0), row.Value("kg_h", 0)})
	}
}

// rateRow is the row for a kind and process nearest in diameter; a row of the kind comes before one of any.
func (q *Tables) rateRow(kind string, process int, diameter float64) (depositionRate, bool) {
	p := q.processes[process]
	for _, name := range []string{p.name, p.kin} {
		for _, k := range []string{kind, "any"} {
			best, found := depositionRate{}, false
			for _, r := range q.rates {
				if r.kind == k && r.process == name && (!found || math.Abs(r.diameter-diameter) < math.Abs(best.diameter-diameter)) {
					best, found = r, true
				}
			}
			if found {
				return best, true
			}
		}
	}
	return depositionRate{}, false
}

// depositMetal is one row of quantity_metals.csv.
type depositMetal struct {
	name     string
	prefixes []string
	groups   []string
	words    []string
	density  float64 // g/cm3
	core     float64 // g/cm3
	recovery float64 // deposit / melted core
	kind     string
}

var metalSchema = data.Schema{File: "quantity_metals.csv", Key: []string{"metal"}, Columns: []data.Column{
	{Name: "metal", Required: true}, {Name: "classes", Kind: data.List, Doc: "beginnings of class ids"},
	{Name: "groups", Kind: data.Words, Of: filler.Groups, Doc: "filler groups whose other classes it takes"},
	{Name: "words", Kind: data.List, Doc: "other names of the deposit"},
	{Name: "density_low", Kind: data.Number, Required: true, Min: 1, Max: 20, Doc: "g/cm3"},
	{Name: "density", Kind: data.Number, Required: true, Min: 1, Max: 20, Doc: "g/cm3 of the deposit"},
	{Name: "density_high", Kind: data.Number, Required: true, Min: 1, Max: 20, Doc: "g/cm3"},
	{Name: "core_density", Kind: data.Number, Required: true, Min: 1, Max: 20, Doc: "g/cm3 of the core wire"},
	{Name: "recovery_low", Kind: data.Number, Required: true, Min: 0.3, Max: 3}, {Name: "recovery", Kind: data.Number, Required: true, Min: 0.3, Max: 3, Doc: "deposit / melted core"},
	{Name: "recovery_high", Kind: data.Number, Required: true, Min: 0.3, Max: 3},
	{Name: "kind", Required: true, Doc: "row of quantity_deposition.csv"},
	{Name: "density_source", Required: true}, {Name: "density_mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
	{Name: "recovery_source", Required: true}, {Name: "recovery_mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
}}

func (q *Tables) loadMetals(files fs.FS, faults *data.Faults) {
	for _, row := range data.Read(files, metalSchema, faults).Rows {
		m := depositMetal{row.Text("metal"), row.List("classes"), row.List("groups"), row.List("words"), row.Value("density", 1),
			row.Value("core_density", 1), row.Value("recovery", 1), row.Text("kind")}
		for _, c := range []string{"density", "recovery"} {
			if v := row.Value(c, 0); row.Value(c+"_low", 0) > v || v > row.Value(c+"_high", 0) {
				row.Fault(c, "does not lie between its ends")
			}
		}
		if !slices.ContainsFunc(q.rates, func(r depositionRate) bool { return r.kind == m.kind }) {
			row.Fault("kind", "no row of %s is of kind %q", rateSchema.File, m.kind)
		}
		q.metals = append(q.metals, m)
	}
	if len(q.metals) == 0 {
		faults.Add(metalSchema.File, 0, "metal", "no row")
		q.metals = []depositMetal{{density: 1, core: 1, recovery: 1}}
	}
}

// quantityClass is what the estimate takes of a consumable class.
type quantityClass struct {
	id        string
	group     string        // filler group
	metal     *depositMetal // nil when it is not consumed
	processes []int
	sizes     []classSize
}

// classSize is a diameter with its current; the amps are 0 where the table names none.
type classSize struct{ diameter, low, high float64 }

// sizePattern finds the sizes in the text of diameters_amps.
var sizePattern = regexp.MustCompile(`([0-9.]+)mm ([0-9]+)-([0-9]+)A`)

func (q *Tables) loadClasses(classes []data.Row) {
	q.classAt = map[string]int{}
	sizes := map[string][]classSize{} // many classes share one text
	for _, row := range classes {
		c := quantityClass{id: row.Text("class"), group: row.Text("group")}
		if c.group != "tungsten" {
			if c.metal = q.metalOf(c.id, c.group); c.metal == nil {
				row.Fault("group", "no row of %s takes %s", metalSchema.File, c.id)
			}
		}
		for _, p := range row.List("process") {
			i, ok := q.processOf[fold(p)]
			if !ok {
				row.Fault("process", "%q is not in %s", p, quantityProcessSchema.File)
				continue
			}
			if !slices.Contains(c.processes, i) {
				c.processes = append(c.processes, i)
			}
		}
		text := row.Text("diameters_amps")
		if _, ok := sizes[text]; !ok {
			sizes[text] = readSizes(text)
		}
		c.sizes = sizes[text]
		q.classAt[c.id] = len(q.classes)
		q.classes = append(q.classes, c)
	}
}

func readSizes(text string) []classSize {
	var out []classSize
	for _, m := range sizePattern.FindAllStringSubmatch(text, -1) {
		d, _ := strconv.ParseFloat(m[1], 64)
		low, _ := strconv.ParseFloat(m[2], 64)
		high, _ := strconv.ParseFloat(m[3], 64)
		out = append(out, classSize{d, low, high})
	}
	return out
}

// metalOf is what a class deposits: the row with the longest beginning of its id, else that of its group.
func (q *Tables) metalOf(class, group string) *depositMetal {
	var best *depositMetal
	longest := 0
	for i := range q.metals {
		for _, prefix := range q.metals[i].prefixes {
			if len(prefix) > longest && strings.HasPrefix(class, prefix) {
				best, longest = &q.metals[i], len(prefix)
			}
		}
	}
	for i := range q.metals {
		if best == nil && slices.Contains(q.metals[i].groups, group) {
			best = &q.metals[i]
		}
	}
	return best
}
