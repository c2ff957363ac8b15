package weld

import (
	"io/fs"
	"math/bits"
	"slices"
	"strings"

	"rodcall/engine/data"
	"rodcall/engine/observation"
)

// condition is a set of the condition words of matching_rows.csv (column when), one bit a word.
type condition uint64

// conditionWords is the closed list; the bit of a word is its place here.
var conditionWords = []string{
	"thin", "heavy", "low-dilution", "high-dilution", "buttered", "few-layers", "on-backing", "on-alloy-layer",
	"to-carbon-steel", "preheated", "no-preheat", "hot-method", "pwht-done", "no-pwht", "h4", "full-strength",
	"undermatch", "load-bearing", "light-duty", "emergency", "machinable", "not-machined", "cutting-edge",
	"leak-tight", "colour-match", "conductivity", "dirty-surface", "high-phosphorus", "iron-excluded",
	"white-iron-excluded", "heat-service", "not-heat-service", "low-temperature", "corrosion-service", "impact",
	"no-impact", "abrasion", "galling", "cavitation",
}

const (
	thin condition = 1 << iota
	heavy
	lowDilution
	highDilution
	buttered
	fewLayers
	onBacking
	onAlloyLayer
	toCarbonSteel
	preheated
	noPreheat
	hotMethod
	pwhtDone
	noPWHT
	h4
	fullStrength
	undermatch
	loadBearing
	lightDuty
	emergency
	machinable
	notMachined
	cuttingEdge
	leakTight
	colourMatch
	conductivity
	dirtySurface
	highPhosphorus
	ironExcluded
	whiteIronExcluded
	heatService
	notHeatService
	lowTemperature
	corrosionService
	impact
	noImpact
	abrasion
	galling
	cavitation

	// ofSubgroup marks a row that names a subgroup, which counts like a condition when rows are weighed.
	ofSubgroup condition = 1 << 63
)

// supplied are the conditions that the procedure itself brings; choices are those put to the rep. What is forgone
// when it cannot be had can be forgone at any time: a row that speaks for a class without preheat does so too where
// nobody asked to go without, so that stating a limit never brings a better class in.
const (
	supplied = lowDilution | buttered | fewLayers | onBacking | preheated | pwhtDone | h4
	forgone  = noPreheat | noPWHT
	choices  = fullStrength | undermatch | notHeatService | lightDuty | forgone
)

// Thickness in mm up to which a part counts as thin, and over which it counts as heavy (closed lists of
// the matching tables).
const thinMM, heavyMM = 6.0, 25.0

// Service temperatures in C above which heat-service holds: steels 370, braze 200, aluminium 65.
const heatSteelC, heatBrazeC, heatAluminiumC = 370.0, 200.0, 65.0

// conditionOf is the set that a list of words names; ok is false for a word outside the closed list.
func conditionOf(words []string) (set condition, unknown string) {
	for _, w := range words {
		i := slices.Index(conditionWords, w)
		if i < 0 {
			return set, w
		}
		set |= 1 << i
	}
	return set, ""
}

func (c condition) count() int { return bits.OnesCount64(uint64(c)) }

// within holds when every condition of c is in set.
func (c condition) within(set condition) bool { return c&^set == 0 }

var serviceSchema = data.Schema{File: "service_conditions.csv", Key: []string{"service"}, Columns: []data.Column{
	{Name: "service", Required: true, Doc: "service word of the observation"},
	{Name: "condition", Kind: data.Word, Required: true, Of: conditionWords, Doc: "condition of matching_rows that it states"},
	{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
}}

// loadServices reads which condition a service word states. The condition words themselves are service
// words too.
func (b *Book) loadServices(files fs.FS, faults *data.Faults) {
	b.services = map[string]condition{}
	for i, w := range conditionWords {
		b.services[w] = 1 << i
	}
	for _, row := range data.Read(files, serviceSchema, faults).Rows {
		c, _ := conditionOf([]string{row.Text("condition")})
		b.services[row.Text("service")] |= c
	}
}

// stated are the conditions that the observation tells or lets follow: service words, limits, size,
// temperature. What nobody stated is not met.
func (b *Book) stated(o *observation.Observation) condition {
	var met condition
	for _, w := range o.Service {
		met |= b.services[w]
	}
	for _, w := range o.Limits {
		switch w {
		case "no-preheat", "no-pwht", "machinable", "colour-match", "emergency", "light-duty":
			met |= b.services[w]
		}
	}
	if o.Size != nil && o.Size.ThicknessMM != nil {
		if *o.Size.ThicknessMM <= thinMM {
			met |= thin
		}
		if *o.Size.ThicknessMM > heavyMM {
			met |= heavy
		}
	}
	if o.ServiceTempC != nil && *o.ServiceTempC > heatSteelC {
		met |= heatService
	}
	if met&emergency != 0 {
		// An emergency leaves no time for a furnace (judgement).
		met |= noPWHT
	}
	if met&abrasion != 0 && met&impact == 0 && slices.Contains(o.Service, "no-impact") {
		met |= noImpact
	}
	return met
}

// offer are the conditions that the procedure or a choice can still bring, given what is stated.
func offer(met condition, limits []string) condition {
	can := supplied | choices
	if met&noPreheat != 0 {
		can &^= preheated
	}
	if met&noPWHT != 0 {
		can &^= pwhtDone
	}
	if slices.Contains(limits, "no-h4") {
		can &^= h4
	}
	if met&heatService != 0 {
		can &^= notHeatService
	}
	if met&loadBearing != 0 {
		can &^= lightDuty | undermatch
	}
	return can
}

// supplyWords says in short words what must go with a class.
var supplyWords = []struct {
	is   condition
	word string
}{
	{preheated, "with preheat"}, {pwhtDone, "heat treat after"}, {h4, "H4 lot, dry"}, {buttered, "butter first"},
	{lowDilution, "dilute little"}, {fewLayers, "two or three layers at most"}, {onBacking, "arc on the steel backing only"},
	{undermatch, "weaker than the part"}, {fullStrength, "for full strength"},
	{notHeatService, "not if it runs over 200 C"}, {lightDuty, "light duty only"},
}

func supplyText(need condition) string {
	var words []string
	for _, s := range supplyWords {
		if need&s.is != 0 {
			words = append(words, s.word)
		}
	}
	return strings.Join(words, ", ")
}
