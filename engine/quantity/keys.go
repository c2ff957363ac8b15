package quantity

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"rodcall/engine/data"
	"rodcall/engine/observation"
)

// quantityKey is one number that an estimate takes or gives.
type quantityKey int

const (
	legKey quantityKey = iota
	leg1Key
	leg2Key
	throatKey
	plateKey
	gapKey
	rootFaceKey
	radiusKey
	widthKey
	beadWidthKey
	capKey
	depthKey
	heightKey
	lengthKey
	diameterKey
	fromKey
	toKey
	grindKey
	layerKey
	angleKey
	bevelKey
	fillShareKey
	allowanceKey
	convexityKey
	countKey
	areaKey
	surfaceKey
	volumeKey
	densityKey
	depositKey
	linearKey

	electrodeLengthKey
	stubKey
	coreDiameterKey
	wireDiameterKey
	coreDensityKey
	recoveryKey
	perElectrodeKey
	recoveredKey
	ampsKey
	rateKey
	operatingKey
	arcKey
	clockKey
	travelKey
	feedKey
	meltedKey

	flowKey
	gasKey
	cylinderKey

	massKey
	fromTempKey
	toTempKey
	riseKey
	specificHeatKey
	torchKey
	burnerKey
	heatKey
	fuelHeatKey
	fuelKey
	oxygenKey
	heatingKey
	soakKey

	labourKey
	wirePriceKey
	electrodePriceKey
	rodPriceKey
	consumablePriceKey
	gasPriceKey
	quantityCount
)

// keySpec says how a number is spelled, in which dimension it stands and which values can be.
type keySpec struct {
	dimension string
	stems     []string // the first is printed
	low, high float64  // in the first unit of the dimension
	zero      bool     // the low end itself can be; else the value must lie above it
	prints    []string // units in which it is answered
}

var (
	inMass   = []string{"kg", "lb"}
	inHours  = []string{"h"}
	noPrints []string
)

// keySpecs holds every number of the inputs and answers. Ranges are those of what can be, not of good
// practice: they are there to catch a slipped unit or sign.
var keySpecs = [quantityCount]keySpec{
	legKey:       {"length", []string{"leg", "leg_size", "leg_length", "fillet_leg", "fillet", "size", "z"}, 0, 500, false, noPrints},
	leg1Key:      {"length", []string{"leg1", "leg_1", "leg_a", "z1", "long_leg"}, 0, 500, false, noPrints},
	leg2Key:      {"length", []string{"leg2", "leg_2", "leg_b", "z2", "short_leg"}, 0, 500, false, noPrints},
	throatKey:    {"length", []string{"throat", "a"}, 0, 500, false, noPrints},
	plateKey:     {"length", []string{"t", "plate", "thickness", "plate_thickness", "wall", "wall_thickness", "part_thickness"}, 0, 5000, false, noPrints},
	gapKey:       {"length", []string{"gap", "root_gap", "root_opening", "opening", "g"}, 0, 500, true, noPrints},
	rootFaceKey:  {"length", []string{"root_face", "land", "f"}, 0, 1000, true, noPrints},
	radiusKey:    {"length", []string{"radius", "root_radius", "r"}, 0, 500, true, noPrints},
	widthKey:     {"length", []string{"width", "top_width", "slot_width", "groove_width", "w", "edge_width"}, 0, 1e5, false, noPrints},
	beadWidthKey: {"length", []string{"bead_width", "cap_width", "reinforcement_width"}, 0, 1e4, false, noPrints},
	capKey:       {"length", []string{"reinforcement", "cap", "cap_height", "reinforcement_height"}, 0, 200, true, noPrints},
	depthKey:     {"length", []string{"depth", "gouge_depth", "groove_depth", "wear", "wear_depth", "build_up", "buildup", "overlay_thickness", "finished_thickness"}, 0, 5000, false, noPrints},
	heightKey:    {"length", []string{"height", "edge_height", "h"}, 0, 1e4, false, noPrints},
	lengthKey:    {"length", []string{"length", "weld_length", "joint_length", "l"}, 0, 1e8, false, noPrints},
	diameterKey:  {"length", []string{"diameter", "shaft_diameter", "bore_diameter", "hole_diameter", "hole", "bore", "plug_diameter"}, 0, 1e5, false, noPrints},
	fromKey:      {"length", []string{"from", "from_diameter", "worn_diameter", "worn", "d1", "start_diameter"}, 0, 1e5, false, noPrints},
	toKey:        {"length", []string{"to", "to_diameter", "finished_diameter", "finish_diameter", "finished", "d2", "end_diameter"}, 0, 1e5, false, noPrints},
	grindKey:     {"length", []string{"grinding_allowance", "machining_allowance", "grind_allowance", "allowance"}, 0, 100, true, noPrints},
	layerKey:     {"length", []string{"layer_thickness", "layer", "layer_height"}, 0, 50, false, noPrints},
	angleKey:     {"angle", []string{"angle", "included_angle", "groove_angle"}, 0, 179, false, noPrints},
	bevelKey:     {"angle", []string{"bevel", "bevel_angle", "bevel_each_side"}, 0, 89, true, noPrints},
	fillShareKey: {"share", []string{"gap_fill_depth", "gap_fill", "fill_depth"}, 0, 1, false, noPrints},
	allowanceKey: {"share", []string{"allowance", "excess", "excess_allowance", "overweld"}, 0, 2, true, noPrints},
	convexityKey: {"share", []string{"convexity"}, 0, 1, true, noPrints},
	countKey:     {"count", []string{"count", "joints", "welds", "plugs", "pieces"}, 0, 1e6, false, noPrints},
	areaKey:      {"area", []string{"area", "section", "section_area"}, 0, 1e10, false, []string{"mm2", "in2"}},
	surfaceKey:   {"area", []string{"surface", "overlay_area", "surface_area"}, 0, 1e12, false, []string{"cm2", "in2"}},
	volumeKey:    {"volume", []string{"volume", "deposit", "weld_volume"}, 0, 1e12, false, []string{"cm3", "in3"}},
	densityKey:   {"density", []string{"density", "deposit_density", "rho"}, 0.5, 25, false, noPrints},
	depositKey:   {"mass", []string{"deposit", "weld_metal", "deposit_mass", "deposit_weight"}, 0, 1e7, false, inMass},
	linearKey:    {"linear-mass", []string{"deposit", "weld_metal"}, 0, 1e6, false, []string{"kg_m", "lb_ft"}},

	electrodeLengthKey: {"length", []string{"electrode_length", "rod_length", "core_length"}, 50, 1200, true, noPrints},
	stubKey:            {"length", []string{"stub", "stub_length", "stub_loss"}, 0, 1200, true, noPrints},
	coreDiameterKey:    {"length", []string{"core_diameter", "electrode_diameter", "electrode", "core", "rod_diameter", "rod"}, 0.5, 13, true, noPrints},
	wireDiameterKey:    {"length", []string{"wire", "wire_diameter"}, 0.3, 8, true, noPrints},
	coreDensityKey:     {"density", []string{"core_density"}, 0.5, 25, false, noPrints},
	recoveryKey:        {"share", []string{"core_recovery", "recovery"}, 0, 3, false, noPrints},
	perElectrodeKey:    {"mass", []string{"deposit_per_electrode"}, 0, 5, false, []string{"g", "oz"}},
	recoveredKey:       {"share", []string{"recovered_length"}, 0, 1, false, []string{"fraction"}},
	ampsKey:            {"current", []string{"amps", "current", "amperes", "i"}, 1, 5000, true, noPrints},
	rateKey:            {"mass-rate", []string{"deposition", "deposition_rate", "rate", "melt_off"}, 0, 500, false, []string{"kg_h", "lb_h"}},
	operatingKey:       {"share", []string{"operating_factor", "operating", "arc_on", "duty"}, 0, 1, false, noPrints},
	arcKey:             {"time", []string{"arc", "arc_time"}, 0, 1e6, false, inHours},
	clockKey:           {"time", []string{"clock", "clock_time"}, 0, 1e7, false, inHours},
	feedKey:            {"speed", []string{"wire_feed", "wire_feed_speed", "wfs"}, 0, 1e5, false, noPrints},
	meltedKey:          {"mass", []string{"melted_core"}, 0, 5, false, []string{"g", "oz"}},
	travelKey:          {"speed", []string{"travel", "travel_speed"}, 0, 1e5, false, noPrints},

	flowKey:     {"flow", []string{"gas", "gas_flow", "flow", "flow_rate"}, 0, 500, false, noPrints},
	gasKey:      {"volume", []string{"gas", "gas_volume", "shielding_gas"}, 0, 1e12, false, []string{"l", "m3", "ft3"}},
	cylinderKey: {"volume", []string{"cylinder", "cylinder_gas"}, 0, 1e9, false, noPrints},

	massKey:         {"mass", []string{"mass", "part", "part_mass", "weight", "part_weight", "heated_mass", "steel_mass", "steel"}, 0, 1e7, false, noPrints},
	fromTempKey:     {"temperature", []string{"from", "start", "ambient", "initial", "from_temperature", "start_temperature", "t0"}, -100, 1500, true, noPrints},
	toTempKey:       {"temperature", []string{"to", "preheat", "target", "to_temperature", "preheat_temperature"}, -100, 1500, true, noPrints},
	riseKey:         {"temperature-difference", []string{"rise", "temperature_rise", "delta_t"}, 0, 1500, false, noPrints},
	specificHeatKey: {"specific-heat", []string{"specific_heat", "cp"}, 0.05, 5, true, noPrints},
	torchKey:        {"share", []string{"torch_efficiency", "heating_efficiency", "preheat_efficiency"}, 0, 1, false, noPrints},
	burnerKey:       {"power", []string{"burner", "torch", "burner_power", "torch_power"}, 0, 1e5, false, noPrints},
	heatKey:         {"energy", []string{"heat", "preheat_heat"}, 0, 1e9, false, []string{"mj", "btu"}},
	fuelHeatKey:     {"energy", []string{"fuel_heat"}, 0, 1e9, false, []string{"mj", "btu"}},
	fuelKey:         {"mass", []string{"fuel"}, 0, 1e7, false, inMass},
	oxygenKey:       {"volume", []string{"oxygen"}, 0, 1e12, false, []string{"m3", "ft3"}},
	heatingKey:      {"time", []string{"heating", "preheat_heating"}, 0, 1e6, false, inHours},
	soakKey:         {"time", []string{"soak", "preheat_soak"}, 0, 1e6, false, inHours},

	labourKey:          {"money-per-time", []string{"labour", "labor", "labour_rate", "labor_rate"}, 0, 1e6, true, noPrints},
	wirePriceKey:       {"money-per-mass", []string{"wire", "wire_price"}, 0, 1e6, true, noPrints},
	electrodePriceKey:  {"money-per-mass", []string{"electrode", "electrode_price", "electrodes"}, 0, 1e6, true, noPrints},
	rodPriceKey:        {"money-per-mass", []string{"rod", "rod_price"}, 0, 1e6, true, noPrints},
	consumablePriceKey: {"money-per-mass", []string{"consumable", "consumable_price", "filler", "price"}, 0, 1e6, true, noPrints},
	gasPriceKey:        {"money-per-volume", []string{"gas", "gas_price"}, 0, 1e5, true, noPrints},
}

// quantityWord is one input that is a word.
type quantityWord int

const (
	jointWord quantityWord = iota
	shapeWord
	reinforcementWord
	capShapeWord
	processWord
	classWord
	metalWord
	fuelWord
	wordCount
)

var wordKeys = map[string]quantityWord{"joint": jointWord, "shape": shapeWord, "reinforcement": reinforcementWord,
	"reinforcement_shape": capShapeWord, "cap_shape": capShapeWord, "process": processWord, "class": classWord,
	"electrode_class": classWord, "consumable_class": classWord, "deposit_metal": metalWord, "material": metalWord, "metal": metalWord, "fuel": fuelWord}

// labelKeys name things for the sender and change nothing.
var labelKeys = []string{"note", "label", "part", "steel", "alloy", "grade"}

// Currencies are the money words of a key; one set of inputs keeps to one.
var Currencies = observation.Currencies

// boxedKey says that the part is heated under blankets or in a box.
const boxedKey = "boxed"

// keyMeaning is what an input key says.
type keyMeaning struct {
	kind     keyKind
	number   quantityKey
	factor   float64
	offset   float64
	process  int // for efficiency, loss and total; -1 for all
	currency string
}

type keyKind int

const (
	numberKind keyKind = iota
	efficiencyKind
	lossKind
	totalKind
)

// printed is one key of an answer.
type printed struct {
	key    string
	factor float64
	us     bool
}

// efficiencyStems and lossStems may carry a process: eff_fcaw, loss_smaw.
var (
	efficiencyStems = []string{"efficiency", "eff", "deposition_efficiency"}
	lossStems       = []string{"loss", "scrap"}
)

// usUnits are the units of the US system; judgments are metric.
var usUnits = []string{"in2", "in3", "ft3", "lb", "lb_ft", "lb_h", "oz", "btu"}

// buildKeys spells every key once, so that reading one is a look-up.
func (q *Tables) buildKeys(faults *data.Faults) {
	q.keys = map[string]keyMeaning{}
	for k, spec := range keySpecs {
		for _, stem := range spec.stems {
			q.spell(stem, spec.dimension, keyMeaning{kind: numberKind, number: quantityKey(k), process: -1}, faults)
		}
		q.prints[k] = q.printsOf(spec, faults)
	}
	suffixes := []string{""}
	for _, p := range q.processes {
		suffixes = append(suffixes, "_"+p.suffix)
	}
	for i, suffix := range suffixes {
		for _, stem := range efficiencyStems {
			q.spell(stem+suffix, "share", keyMeaning{kind: efficiencyKind, process: i - 1}, faults)
		}
		for _, stem := range lossStems {
			q.spell(stem+suffix, "share", keyMeaning{kind: lossKind, process: i - 1}, faults)
		}
		if i > 0 {
			q.spell("total"+suffix, "money-per-mass", keyMeaning{kind: totalKind, process: i - 1}, faults)
		}
	}
	q.buildConsumed(suffixes)
	q.known = append(append(q.known, slices.Sorted(maps.Keys(wordKeys))...), boxedKey)
}

// spell adds a stem with every unit of its dimension.
func (q *Tables) spell(stem, dimension string, m keyMeaning, faults *data.Faults) {
	found := false
	for _, u := range q.units {
		if u.dimension != dimension {
			continue
		}
		found = true
		m := m
		m.factor, m.offset = u.factor, u.offset
		if !strings.HasPrefix(u.name, "cur") {
			q.add(strings.TrimSuffix(stem+"_"+u.name, "_"), m, faults)
			continue
		}
		for _, c := range Currencies {
			m.currency = c
			q.add(stem+"_"+c+strings.TrimPrefix(u.name, "cur"), m, faults)
			// wire_usd_per_lb is an answer, the price of a pound deposited; only these are told so too.
			if m.kind == totalKind || m.number == labourKey {
				q.add(stem+"_"+c+strings.Replace(strings.TrimPrefix(u.name, "cur"), "_", "_per_", 1), m, faults)
			}
		}
	}
	if !found {
		faults.Add(unitSchema.File, 0, "dimension", "no unit of %s", dimension)
	}
}

func (q *Tables) add(key string, m keyMeaning, faults *data.Faults) {
	if other, ok := q.keys[key]; ok && other != m {
		faults.Add(unitSchema.File, 0, "unit", "the key %q has two meanings", key)
	}
	if _, ok := q.keys[key]; !ok {
		q.known = append(q.known, key)
	}
	q.keys[key] = m
}

func (q *Tables) printsOf(spec keySpec, faults *data.Faults) []printed {
	var out []printed
	stem := spec.stems[0]
	for _, unit := range spec.prints {
		u, ok := q.unit(spec.dimension, unit)
		if !ok {
			faults.Add(unitSchema.File, 0, "unit", "%s has no unit %q", spec.dimension, unit)
			continue
		}
		out = append(out, printed{stem + "_" + u.name, u.factor, slices.Contains(usUnits, unit)})
	}
	return out
}

// buildConsumed spells the masses of consumable to buy: electrode_kg, electrode_lb_smaw, wire_kg_gmaw …
func (q *Tables) buildConsumed(suffixes []string) {
	q.consumed = map[string][]printed{}
	for _, word := range []string{"consumable", "electrode", "wire", "rod"} {
		for _, suffix := range suffixes {
			for _, unit := range inMass {
				u, _ := q.unit("mass", unit)
				q.consumed[word+suffix] = append(q.consumed[word+suffix], printed{word + "_" + unit + suffix, u.factor, unit == "lb"})
			}
		}
	}
}

func (q *Tables) unit(dimension, name string) (quantityUnit, bool) {
	for _, u := range q.units {
		if u.dimension == dimension && u.name == name {
			return u, true
		}
	}
	return quantityUnit{}, false
}

// keyFor names the keys under which a number is told: the first spelling, metric and US.
func (q *Tables) keyFor(k quantityKey) string {
	spec := keySpecs[k]
	for _, pair := range [][2]string{{"length", "mm or _in"}, {"angle", "deg"}, {"mass", "kg or _lb"}, {"temperature", "c or _f"}} {
		if pair[0] == spec.dimension {
			first, second, both := strings.Cut(pair[1], " or ")
			if !both {
				return spec.stems[0] + "_" + first
			}
			return fmt.Sprintf("%s_%s or %s%s", spec.stems[0], first, spec.stems[0], second)
		}
	}
	return spec.stems[0]
}
