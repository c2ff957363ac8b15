package quantity

import (
	"fmt"
	"math"
)

// handbookStub is the stub on which the efficiencies of covered electrodes rest, mm.
func (q *Tables) handbookStub() float64 { return q.figures[figureKey{"electrode", "stub"}].low }

// settleEfficiency finds the efficiency of the process: told, of its kin, plain, or the planning figure.
func (e *estimate) settleEfficiency() {
	if e.process < 0 {
		return
	}
	p := e.process
	for i := range e.q.processes {
		if e.efficiency[p] == 0 && e.efficiency[i] != 0 && e.q.sameProcess(i, p) {
			e.efficiency[p] = e.efficiency[i]
		}
	}
	if e.efficiency[p] == 0 {
		e.efficiency[p] = e.plainEff
	}
	if e.efficiency[p] != 0 || !e.has[depositKey] && !e.priced() {
		return
	}
	f, ok := e.q.ofProcess(p, "efficiency")
	if e.q.processes[p].form == "electrode" {
		f, ok = e.electrodeEfficiency()
	}
	if ok {
		e.efficiency[p] = f.value
		e.suppose("%s leaves a share of %s of the consumable in the weld", e.q.processes[p].name, Text(f.value))
	}
}

// electrodeEfficiency is the figure of the nearest electrode length, less what a longer stub loses.
func (e *estimate) electrodeEfficiency() (figure, bool) {
	length := e.usualElectrode()
	best, found, at := figure{}, false, 0.0
	for _, l := range []float64{300, 350, 450} {
		f, ok := e.q.figures[figureKey{e.q.processes[e.process].name + " " + Text(l) + " mm", "efficiency"}]
		if ok && (!found || math.Abs(l-length) < math.Abs(at-length)) {
			best, found, at = f, true, l
		}
	}
	if found && e.has[stubKey] && e.value[stubKey] < length {
		best.value *= (length - e.value[stubKey]) / (length - e.q.handbookStub())
		best.value = math.Min(best.value, 1)
	}
	return best, found
}

// usualElectrode is the electrode's length as told, else the usual one of its diameter, mm.
func (e *estimate) usualElectrode() float64 {
	if e.has[electrodeLengthKey] {
		return e.value[electrodeLengthKey]
	}
	return e.q.usualLength(e.diameterOr(e.workingDiameter()))
}

// diameterOr is the diameter of the consumable as told, mm.
func (e *estimate) diameterOr(usual float64) float64 {
	switch {
	case e.has[coreDiameterKey]:
		return e.value[coreDiameterKey]
	case e.has[wireDiameterKey]:
		return e.value[wireDiameterKey]
	}
	return usual
}

// workingDiameter is the size that a team takes first: of the class's own sizes the nearest to it, mm.
func (e *estimate) workingDiameter() float64 {
	f, ok := e.q.ofProcess(e.process, "working-diameter")
	if !ok {
		f = e.q.figures[figureKey{"SMAW", "working-diameter"}]
	}
	if size, ok := e.classSize(f.value); ok {
		return size.diameter
	}
	return f.value
}

// classSize is the size of the class nearest to a diameter.
func (e *estimate) classSize(diameter float64) (classSize, bool) {
	if e.class == nil || len(e.class.sizes) == 0 {
		return classSize{}, false
	}
	best := e.class.sizes[0]
	for _, s := range e.class.sizes {
		if math.Abs(s.diameter-diameter) < math.Abs(best.diameter-diameter) {
			best = s
		}
	}
	return best, true
}

// consumables is what to buy: the deposit over the efficiency, for each process whose efficiency is known.
func (e *estimate) consumables() error {
	e.settleEfficiency()
	if !e.has[depositKey] {
		return nil
	}
	told, byForm := 0, map[string]int{}
	last := -1
	for p := range e.q.processes {
		if e.efficiency[p] != 0 {
			told++
			byForm[e.q.processes[p].form]++
			last = p
		}
	}
	for p, process := range e.q.processes {
		if e.efficiency[p] == 0 {
			continue
		}
		bought := e.value[depositKey] / e.efficiency[p]
		if !e.metric {
			e.printAs(e.q.consumed[process.form+"_"+process.suffix], bought)
			if kin, ok := e.q.processOf[fold(process.kin)]; ok && e.efficiency[kin] == 0 && p == e.process {
				e.printAs(e.q.consumed[process.form+"_"+e.q.processes[kin].suffix], bought)
			}
		}
		if byForm[process.form] == 1 || p == e.process {
			e.printAs(e.q.consumed[process.form], bought)
		}
	}
	switch {
	case e.process >= 0 && e.efficiency[e.process] != 0:
		e.printAs(e.q.consumed["consumable"], e.value[depositKey]/e.efficiency[e.process])
	case e.plainEff != 0:
		e.printAs(e.q.consumed["consumable"], e.value[depositKey]/e.plainEff)
	case told == 1:
		e.printAs(e.q.consumed["consumable"], e.value[depositKey]/e.efficiency[last])
	}
	return nil
}

// pieces counts covered electrodes: pi/4 d2 (L - stub) of core melts, and a recovery of it stays.
func (e *estimate) pieces() error {
	covered := e.process >= 0 && e.q.processes[e.process].form == "electrode"
	if e.process >= 0 && !covered || e.process < 0 && !e.has[coreDiameterKey] && !e.has[perElectrodeKey] {
		return e.recovered()
	}
	if covered && e.class != nil && !e.has[coreDiameterKey] && e.has[depositKey] && !e.has[perElectrodeKey] {
		e.set(coreDiameterKey, e.workingDiameter())
		e.suppose("electrodes of %s mm", Text(e.value[coreDiameterKey]))
	}
	if e.has[coreDiameterKey] && !e.has[perElectrodeKey] {
		if !e.has[electrodeLengthKey] {
			e.set(electrodeLengthKey, e.q.usualLength(e.value[coreDiameterKey]))
			e.suppose("electrodes %s mm long", Text(e.value[electrodeLengthKey]))
		}
		e.give(stubKey, "electrode", "stub", "a stub of # mm")
		if err := e.recovered(); err != nil {
			return err
		}
		e.set(meltedKey, e.meltedCore(e.value[coreDiameterKey], e.value[electrodeLengthKey]))
		e.print(meltedKey)
		if !e.has[recoveryKey] {
			e.set(recoveryKey, e.metal.recovery)
			e.suppose("a share of %s of the melted core stays in the weld", Text(e.metal.recovery))
		}
		e.set(perElectrodeKey, e.value[meltedKey]*e.value[recoveryKey])
		e.print(perElectrodeKey)
	}
	if !e.has[depositKey] || !e.has[perElectrodeKey] {
		return nil
	}
	e.out["electrodes"] = pieceCount(e.value[depositKey], e.value[perElectrodeKey])
	e.out["electrodes_to_take"] = pieceCount(e.value[depositKey]*(1+e.spare()), e.value[perElectrodeKey])
	e.packed(pieceCount(e.value[depositKey], e.value[perElectrodeKey]))
	e.classSizes()
	return nil
}

// recovered is the share of an electrode's length that melts.
func (e *estimate) recovered() error {
	if !e.has[electrodeLengthKey] || !e.has[stubKey] {
		return nil
	}
	l, stub := e.value[electrodeLengthKey], e.value[stubKey]
	if stub >= l {
		return fmt.Errorf("stub: %s mm is impossible for an electrode %s mm long; it must be shorter", Text(stub), Text(l))
	}
	e.set(recoveredKey, (l-stub)/l)
	e.print(recoveredKey)
	return nil
}

// coreDensity is that of the core wire, g/cm3. A planning sheet without a joint names it plainly.
func (e *estimate) coreDensity() float64 {
	switch {
	case e.has[coreDensityKey]:
		return e.value[coreDensityKey]
	case e.key[densityKey] != "" && e.joint == nil && !e.has[areaKey] && !e.has[volumeKey]:
		return e.value[densityKey]
	}
	return e.metal.core
}

// meltedCore is the core of one electrode down to its stub, kg.
func (e *estimate) meltedCore(diameter, length float64) float64 {
	return math.Pi / 4 * diameter * diameter * (length - e.value[stubKey]) * e.coreDensity() * 1e-6
}

// pieceCount rounds up; a billionth over a whole number is the rounding of the machine.
func pieceCount(deposit, each float64) int { return int(math.Ceil(deposit/each - 1e-9)) }

// spare is the excess that is taken along, unless the deposit holds one already.
func (e *estimate) spare() float64 {
	subject := "joint"
	if e.surfacing {
		subject = "overlay"
	}
	if e.has[allowanceKey] {
		return 0
	}
	return e.q.figures[figureKey{subject, "allowance"}].value
}

// packed is what the electrodes weigh with their coverings, where the table knows the size.
func (e *estimate) packed(count int) {
	for _, size := range e.q.electrodes {
		if e.has[coreDiameterKey] && size.packedLow > 0 && math.Abs(size.diameter-e.value[coreDiameterKey]) < 0.06 &&
			math.Abs(size.length-e.value[electrodeLengthKey]) < 1 {
			kg := float64(count) * (size.packedLow + size.packedHigh) / 2000
			e.out["electrodes_packed_kg"] = SixDigits(kg)
			if !e.metric {
				e.out["electrodes_packed_lb"] = SixDigits(kg / e.q.Pound())
			}
		}
	}
}

// SizeCount is what one electrode size of a class would take.
type SizeCount struct {
	DiameterMM float64 `json:"diameter_mm"`
	LengthMM   float64 `json:"length_mm"`
	AmpsMin    float64 `json:"amps_min"`
	AmpsMax    float64 `json:"amps_max"`
	Grams      float64 `json:"deposit_per_electrode_g"`
	Electrodes int     `json:"electrodes"`
}

// classSizes lists, for a class, what each of its electrode sizes would take.
func (e *estimate) classSizes() {
	if e.class == nil || len(e.class.sizes) == 0 || !e.has[stubKey] {
		return
	}
	list := make([]SizeCount, 0, len(e.class.sizes))
	for _, size := range e.class.sizes {
		length := e.q.usualLength(size.diameter)
		if length <= e.value[stubKey] {
			continue
		}
		each := e.meltedCore(size.diameter, length) * e.value[recoveryKey]
		list = append(list, SizeCount{size.diameter, length, size.low, size.high, SixDigits(each * 1000), pieceCount(e.value[depositKey], each)})
	}
	if len(list) > 0 {
		e.out["sizes"] = list
	}
}

// priced holds when a price or a wire feed was told, so that rate and efficiency are of use without a deposit.
func (e *estimate) priced() bool {
	for _, k := range []quantityKey{feedKey, labourKey, wirePriceKey, electrodePriceKey, rodPriceKey, consumablePriceKey} {
		if e.has[k] {
			return true
		}
	}
	return false
}
