package quantity

import (
	"fmt"
	"math"
)

// minutesPerHour turns a flow a minute into one an hour.
const minutesPerHour = 60

// rate is the mass deposited in an hour of arc: as told, else by class, diameter and current.
func (e *estimate) rate() error {
	if e.has[rateKey] || e.process < 0 || !e.has[depositKey] && !e.priced() {
		return nil
	}
	diameter := e.diameterOr(e.workingDiameter())
	if e.fed(diameter) {
		e.print(rateKey)
		return nil
	}
	row, ok := e.q.rateRow(e.metal.kind, e.process, diameter)
	if !ok {
		return nil
	}
	kilo, amps := row.kilo, e.currentAt(diameter, row.amps)
	if row.amps > 0 && amps > 0 {
		kilo *= amps / row.amps
	}
	e.set(rateKey, kilo)
	if row.amps > 0 {
		e.suppose("%s of %s mm at %s A: %s kg in an hour of arc", e.q.processes[e.process].name, Text(diameter), Text(amps), Text(kilo))
	} else {
		e.suppose("%s: %s kg in an hour of welding", e.q.processes[e.process].name, Text(kilo))
	}
	e.print(rateKey)
	return nil
}

// fed takes the rate from the wire feed: pi/4 d2 of solid wire at its speed, less what is lost.
func (e *estimate) fed(diameter float64) bool {
	if !e.has[feedKey] || e.efficiency[e.process] == 0 || !e.has[wireDiameterKey] {
		return false
	}
	if name := e.q.processes[e.process].name; name != "GMAW" && name != "SAW" {
		e.suppose("the wire feed is not used: only of a solid wire it tells the mass")
		return false
	}
	grams := math.Pi / 4 * diameter * diameter * e.value[feedKey] * e.metal.core / 1000 // a minute
	e.set(rateKey, grams*minutesPerHour/1000*e.efficiency[e.process])
	return true
}

// currentAt is the current as told, else the middle of the class's range at its nearest size, else usual.
func (e *estimate) currentAt(diameter, usual float64) float64 {
	size, sized := e.classSize(diameter)
	if e.has[ampsKey] {
		if a := e.value[ampsKey]; sized && math.Abs(size.diameter-diameter) < 0.15 && (a < size.low || a > size.high) {
			e.warnings = append(e.warnings, fmt.Sprintf("%s A is outside %s-%s A for %s of %s mm", Text(a),
				Text(size.low), Text(size.high), e.class.id, Text(size.diameter)))
		}
		return e.value[ampsKey]
	}
	if sized {
		return (size.low + size.high) / 2
	}
	return usual
}

// times are arc time = deposit / rate and clock time = arc time / operating factor.
func (e *estimate) times() error {
	if e.has[depositKey] && e.has[rateKey] {
		e.set(arcKey, e.value[depositKey]/e.value[rateKey])
		e.print(arcKey)
	}
	if !e.has[arcKey] && !e.priced() {
		return nil
	}
	e.settleOperating()
	if e.has[arcKey] && e.has[operatingKey] {
		e.set(clockKey, e.value[arcKey]/e.value[operatingKey])
		e.print(clockKey)
	}
	return nil
}

// coldIronGroup is the filler group that is run by the cold method on iron.
const coldIronGroup = "nickel-iron"

// settleOperating finds the share of the shift in which the arc burns. Nickel rods on iron go by the cold
// method, which waits after each short bead.
func (e *estimate) settleOperating() {
	if e.has[operatingKey] || e.process < 0 {
		return
	}
	f, ok := e.q.ofProcess(e.process, "operating-factor")
	if e.class != nil && e.class.group == coldIronGroup && e.q.processes[e.process].form == "electrode" {
		f, ok = e.q.figures[figureKey{"cold iron", "operating-factor"}]
	}
	if ok {
		e.set(operatingKey, f.value)
		e.suppose("an operating factor of %s", Text(f.value))
	}
}

// beads is how many runs and layers it takes. A run's section follows from rate and travel:
//
//	mm2 = kg/h / (g/cm3) / (mm/min) · 1e6/60
func (e *estimate) beads() error {
	if e.layerHeightMM > 0 && (e.process >= 0 || e.has[layerKey]) {
		layer, ok := e.value[layerKey], e.has[layerKey]
		if !ok {
			var f figure
			if f, ok = e.q.ofProcess(e.process, "layer-thickness"); ok {
				layer = f.value
				e.suppose("layers of %s mm", Text(layer))
			}
		}
		if ok {
			e.out["layers"] = int(math.Ceil(e.layerHeightMM/layer - 1e-9))
		}
	}
	if !e.has[rateKey] || !e.has[travelKey] && e.process < 0 || !e.has[areaKey] && !e.has[volumeKey] {
		return nil
	}
	travel, ok := e.value[travelKey], e.has[travelKey]
	if !ok {
		f, found := e.q.ofProcess(e.process, "travel")
		if !found {
			return nil
		}
		travel = f.value
		e.suppose("a travel of %s mm/min", Text(travel))
	}
	bead := e.value[rateKey] / e.value[densityKey] / travel * 1e6 / minutesPerHour
	if section := e.acrossMM2(); section > 0 {
		e.out["passes"] = int(math.Ceil(section/bead - 1e-9))
	}
	if e.has[volumeKey] {
		m := e.value[volumeKey] / bead // cm3 over mm2 is metres
		e.out["bead_m"] = SixDigits(m)
		if !e.metric {
			foot, _ := e.q.unit("length", "ft")
			e.out["bead_ft"] = SixDigits(m * 1000 / foot.factor)
		}
	}
	return nil
}

// acrossMM2 is the section that the runs fill: of the seam, of an overlay across its width, of a round
// build-up along its axis. 0 when it is not known.
func (e *estimate) acrossMM2() float64 {
	switch {
	case e.has[areaKey]:
		return e.value[areaKey]
	case !e.surfacing || e.layerHeightMM == 0:
		return 0
	case e.joint != nil && e.joint.round && e.has[lengthKey]:
		return e.value[lengthKey] * e.layerHeightMM
	case e.has[widthKey]:
		return e.value[widthKey] * e.layerHeightMM
	}
	return 0
}

// gas is the shielding gas: flow over the arc time, and by mass of deposit.
func (e *estimate) gas() error {
	if !e.has[flowKey] {
		if e.process < 0 || e.q.processes[e.process].gas != "needed" || !e.has[arcKey] {
			return nil
		}
		f, ok := e.q.ofProcess(e.process, "gas-flow")
		if !ok {
			return nil
		}
		e.set(flowKey, f.value)
		e.suppose("gas at %s l/min", Text(f.value))
	}
	if e.has[rateKey] {
		perKilo := e.value[flowKey] * minutesPerHour / e.value[rateKey]
		e.out["gas_l_per_kg"] = SixDigits(perKilo)
		if u, ok := e.q.unit("volume-per-mass", "ft3_lb"); ok && !e.metric {
			e.out["gas_ft3_per_lb"] = SixDigits(perKilo / u.factor)
		}
	}
	if !e.has[arcKey] {
		return nil
	}
	const cm3PerLitre = 1000
	e.set(gasKey, e.value[flowKey]*minutesPerHour*e.value[arcKey]*cm3PerLitre)
	e.print(gasKey)
	cylinder := e.q.figures[figureKey{"cylinder", "gas-volume"}].value * cm3PerLitre
	if e.has[cylinderKey] {
		cylinder = e.value[cylinderKey]
	}
	e.out["gas_cylinders"] = int(math.Ceil(e.value[gasKey]/cylinder - 1e-9))
	return nil
}
