// Package weld holds what is welded with what: consumable classes, their outcome on each base metal, the
// choice among them while the metal is in doubt, the heat and the steps of the repair, and how much each
// action is worth on each metal, which is what a further test is weighed against.
//
// It knows no message and no odds of a metal: it is asked with an observation and a posterior, and gives
// values. It does not know the stop rules either; those come before it. Its facts are the tables of
// engine/data (classifications, matching_rows, matching_process, procedures, grade_subgroups), each row
// with its source; the figures by which outcomes are weighed are judgement and stand in consequences.csv
// and in outcome.go.
package weld

import (
	"io/fs"
	"rodcall/engine/filler"
	"rodcall/engine/quantity"

	"rodcall/engine/data"
	"rodcall/engine/formula"
	"rodcall/engine/metal"
)

// Book is every table of the package in the form that the choice works on; immutable after Load and safe
// for concurrent use.
type Book struct {
	catalogue  *metal.Catalogue
	quantities *quantity.Tables
	stock      stock
	wear       wear
	joints     joints
	duties     []dutyLoss

	methodReasons map[string]methodReason
	groupOf       []uint8             // by class: index into fillerGroups
	kin           map[kinship]kinship // whose rows are read where a family has none of its own
	classes       []Class
	classAt       map[string]int
	carried       []int // classes that trucks carry

	bases      []Base
	baseOf     []int32 // by grade index
	baseAt     map[baseKey]int
	heatGroups []heatGroup
	heatOf     []int32 // by base: index into heatGroups
	names      []familyName
	gradeHeats []gradeHeat      // by grade: what its preheat is worked out from
	deposits   []classDeposit   // by class
	onDiagram  []bool           // by grade: the diagram of stainless weld metal reads it as a base
	middles    []formula.Values // by grade: where its heats usually lie, wt%
	formulas   *formula.Set

	blocks    []int32   // base*roles + role: which block of cells; bases that the rows do not tell apart share one
	cells     []int32   // block*classes + class: index into entries, or -1
	final     []uint16  // (role*classes + class)*bases + base: index into results when nothing is stated; see conditionalBit
	results   []outcome // every different outcome once
	resultAt  map[outcome]uint16
	entries   []entry
	silent    []uint16  // class*families + family: index into results of what holds where no row speaks
	good      [][]int32 // by block: classes with a good row, table order
	lead      [][]int32 // the same without twins, which repeat another class's deposit by another process; best first
	leader    []int32   // by class: the class whose twin it is, or itself
	asked     condition // every condition that some row of a real metal names
	shut      []shutting
	pairs     map[[2]int]*pair
	texts     []string
	textAt    map[string]int32
	bothSides int32             // the text for a filler that both sides of a joint take
	phrases   map[uint16]string // by set of consequences, those that occur
	harmTable [consequenceCount]consequence

	jobs     map[string][]jobRole
	services map[string]condition
	actions  [][]action // by base, then pair bases are looked up in the pair
}

// familyName is what people call a family: in full, and short for a line on a phone.
type familyName struct{ full, short string }

// Load reads and checks the welding tables against the catalogue; the formulas come checked. Everything wrong goes into faults; the
// book is fit for use only when faults stays empty.
func Load(files fs.FS, catalogue *metal.Catalogue, formulas *formula.Set, faults *data.Faults) *Book {
	b := &Book{catalogue: catalogue, classAt: map[string]int{}, baseAt: map[baseKey]int{},
		pairs: map[[2]int]*pair{}, resultAt: map[outcome]uint16{}, phrases: map[uint16]string{}, textAt: map[string]int32{"": 0}, texts: []string{""}}
	for _, id := range metal.Families {
		full, short := catalogue.FamilyName(id)
		b.names = append(b.names, familyName{full, short})
	}
	b.bothSides = b.text("both sides take it")
	b.loadConsequences(files, faults)
	classes := filler.Read(files, faults)
	b.loadClasses(classes, faults)
	b.loadBases(files, faults)
	b.loadJobs(files, faults)
	b.loadServices(files, faults)
	b.loadProcedures(files, faults)
	b.loadPreheats(formulas)
	b.quantities = quantity.Load(files, classes, faults)
	b.loadWear(files, faults)
	b.loadDuties(files, faults)
	b.loadMethodReasons(files, faults)
	rows := b.readRows(files, faults)
	b.kin = b.readKin(files, faults)
	b.loadJoints(files, faults)
	rows = append(rows, b.wearRows(files, rows, b.kin, faults)...)
	b.fillHandling()
	b.loadSilent(files, faults)
	b.loadProcess(files, faults)
	b.buildCells(rows, b.kin)
	b.fillBridging()
	return b
}

// text keeps a text once and gives its index, so that outcomes stay small.
func (b *Book) text(s string) int32 {
	if i, ok := b.textAt[s]; ok {
		return i
	}
	i := int32(len(b.texts))
	b.texts = append(b.texts, s)
	b.textAt[s] = i
	return i
}
