package quantity

import "fmt"

// flame is a way of heating with gas: the fuel, and whether oxygen comes from a cylinder.
type flame struct {
	fuel   string
	oxygen bool
}

// flames by the words of the input fuel; an air torch takes no oxygen.
var flames = map[string]flame{"propane": {"propane", false}, "lpg": {"propane", false}, "oxy propane": {"propane", true},
	"acetylene": {"acetylene", true}, "oxy acetylene": {"acetylene", true}, "air acetylene": {"acetylene", false}}

// preheat is the heat that a part takes up, the fuel that gives it, and the time.
//
//	heat MJ = mass kg · specific heat kJ/(kg K) · rise K / 1000
func (e *estimate) preheat() error {
	rise, heated, err := e.rise()
	if err != nil || !heated {
		return err
	}
	if e.has[plateKey] && e.joint == nil || e.has[plateKey] && e.has[massKey] {
		perMM := e.q.figures[figureKey{"soak", "time-per-thickness"}].value / 25
		e.set(soakKey, perMM*e.value[plateKey])
		e.suppose("a soak of an hour for each 25 mm in a furnace or bed")
		e.print(soakKey)
	}
	if !e.has[massKey] {
		return nil
	}
	cp, _ := e.give(specificHeatKey, "steel", "specific-heat", "a specific heat of # kJ/(kg K)")
	e.set(heatKey, e.value[massKey]*cp*rise/1000)
	e.print(heatKey)
	place := "open air"
	if e.boxed {
		place = "boxed"
	}
	if e.plainEff != 0 && !e.has[depositKey] {
		e.set(torchKey, e.plainEff) // nothing is deposited: the efficiency is the flame's
	}
	share, _ := e.give(torchKey, place, "torch-efficiency", "the part takes a share of # of the flame's heat ("+place+")")
	e.set(fuelHeatKey, e.value[heatKey]/share)
	e.print(fuelHeatKey)
	return e.fuel()
}

// rise is how much hotter the part gets, K. It is asked for by a rise or by a target.
func (e *estimate) rise() (k float64, asked bool, err error) {
	if e.has[riseKey] {
		return e.value[riseKey], true, nil
	}
	if !e.has[toTempKey] {
		return 0, false, nil
	}
	from, _ := e.give(fromTempKey, "surroundings", "temperature", "a part that starts at # °C")
	if k = e.value[toTempKey] - from; !(k > 0) {
		return 0, false, fmt.Errorf("%s: heating from %s to %s °C is no rise; the target must be the hotter",
			e.key[toTempKey], Text(from), Text(e.value[toTempKey]))
	}
	return k, true, nil
}

// fuel is the gas burned, the oxygen with it, and the time at one burner.
func (e *estimate) fuel() error {
	word := fold(e.words[fuelWord])
	if word == "" {
		word = "propane"
		e.suppose("propane in an air torch")
	}
	f, ok := flames[word]
	if !ok {
		return fmt.Errorf("fuel: unknown fuel %q; known: propane, oxy-propane, acetylene, air-acetylene", e.words[fuelWord])
	}
	figureOf := func(name string) float64 { return e.q.figures[figureKey{f.fuel, name}].value }
	e.set(fuelKey, e.value[fuelHeatKey]/figureOf("net-heat"))
	e.print(fuelKey)
	e.out[f.fuel+"_kg"] = SixDigits(e.value[fuelKey])
	if f.oxygen {
		const cm3PerCubicMetre = 1e6
		e.set(oxygenKey, e.value[fuelKey]/figureOf("gas-density")*figureOf("oxygen-ratio")*cm3PerCubicMetre)
		e.print(oxygenKey)
	}
	power, _ := e.give(burnerKey, f.fuel, "burner-power", "one burner of # kW")
	const megajoulesPerKilowattHour = 3.6
	e.set(heatingKey, e.value[fuelHeatKey]/power/megajoulesPerKilowattHour)
	e.print(heatingKey)
	return nil
}
