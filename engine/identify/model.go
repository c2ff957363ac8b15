// Package identify ranks what a metal can be: observation in, posterior over grades out.
//
// It works over grades, not families, so that chemistry, hardness and carbon are physical. Each shop
// test is a submodel of its own file; all of them meet in one product of likelihoods, and everything
// that is reported (families, bits, fit, next test) is a reading of the same arrays. The facts come from
// the tables of the data package; what the observer gets wrong comes from observers.csv, and our own
// choices from model.csv. It knows nothing of welding, of sentences or of files.
package identify

import (
	"io/fs"

	"rodcall/engine/data"
	"rodcall/engine/measure"
	"rodcall/engine/metal"
)

// Options choose the observer and leave out sources.
type Options struct {
	Observer string             // field | bench; empty means field
	Mix      map[string]float64 // weights of the industry settings; nil means the default mix
	// Without names spark sources whose rows are left out: how the published tables are judged fairly.
	Without []string
}

// Model is everything that identification needs, computed at load; immutable and safe for concurrent use.
type Model struct {
	cat       *metal.Catalogue
	scale     *measure.HardnessTables
	n         int              // number of grades
	family    []int            // grade → index of its family in metal.Families
	first     []int            // family → its first grade; grades stand sorted by family
	named     map[string][]int // part → the grades that its row names
	within    []float64        // grade → share inside its family (met weight)
	general   []float64        // prior over families when nothing is told (flattened)
	settings  map[string][]float64
	base      []float64 // general prior over grades
	ones      []float64 // by grade: what says nothing
	observers observers
	constants constants

	magnet   wordTest
	words    []wordTest // rust, surface, color, fracture, weight, sound, torch
	hardness hardnessModel
	spark    sparkModel
	density  []float64 // grade → g/cm3
	weighing float64   // relative spread of a weighing in water

	densities [][]float64 // step of a weighing × grade: for the outlook
	chem      chemModel
	marks     map[string]string // head mark → part name
	looks     map[string]bool   // families that one can name by their looks
	tests     []testRow
	classes   []analysisClass
}

// input is what the loaders of the submodels share.
type input struct {
	files    fs.FS
	faults   *data.Faults
	marks    data.Marks
	observer string
	without  []string
	scale    *measure.HardnessTables

	familyTests *data.Table // read once, used by every word test
}

// table reads one file and checks how firmly its rows are held.
func (in *input) table(schema data.Schema) *data.Table {
	table := data.Read(in.files, schema, in.faults)
	for _, row := range table.Rows {
		in.marks.Check(row, "mark")
	}
	return table
}

func (in *input) read(schema data.Schema) []data.Row { return in.table(schema).Rows }

// New builds the model over a catalogue; whatever is wrong in its tables goes into faults.
func New(files fs.FS, cat *metal.Catalogue, scale *measure.HardnessTables, faults *data.Faults, o Options) *Model {
	in := input{files: files, faults: faults, marks: data.LoadMarks(files, faults), observer: "field", without: o.Without, scale: scale}
	if o.Observer == "bench" {
		in.observer = "bench"
	}
	in.familyTests = in.table(familyTestSchema)
	m := &Model{cat: cat, scale: scale, n: len(cat.Grades)}
	m.observers, m.constants = loadObservers(in), loadConstants(in)
	m.fillPrior(in, o.Mix)
	m.magnet = m.loadMagnet(in)
	m.words = m.loadWords(in)
	m.hardness = m.loadHardness(in)
	m.spark = m.loadSpark(in)
	m.chem = m.loadChem(in)
	m.marks = loadHeadMarks(in, cat)
	m.looks = loadLooks(in)
	m.density = make([]float64, m.n)
	for i := range cat.Grades {
		m.density[i] = cat.Grades[i].DensityGCM3
	}
	m.weighing = m.constants.need(in, "density_sigma_"+in.observer)
	m.densities = m.densityOutcomes()
	m.loadTests(in)
	return m
}

// average is the mean of a row over the general prior: what is reported over all metals.
func (m *Model) average(row []float64) float64 {
	sum := 0.0
	for g, p := range m.base {
		sum += p * row[g]
	}
	return sum
}
