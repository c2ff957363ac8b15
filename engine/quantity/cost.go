package quantity

import "fmt"

// cost is the price of a kilogram and of a pound deposited, and of the whole weld where its deposit is
// known:
//
//	labour / (rate · operating factor) + price / efficiency + gas flow · gas price / rate
func (e *estimate) cost() error {
	if e.currency == "" {
		return nil
	}
	labour, hasLabour := 0.0, e.has[labourKey] && e.has[rateKey] && e.has[operatingKey]
	if hasLabour {
		labour = e.value[labourKey] / (e.value[rateKey] * e.value[operatingKey])
		e.price("labour", labour)
	}
	consumable, hasConsumable, err := e.consumableCost()
	if err != nil {
		return err
	}
	gas, hasGas := 0.0, e.has[gasPriceKey] && e.has[flowKey] && e.has[rateKey]
	if hasGas {
		gas = e.value[flowKey] * minutesPerHour / e.value[rateKey] * e.value[gasPriceKey]
		e.price("gas", gas)
	}
	if hasLabour && hasConsumable {
		if !hasGas && (e.has[gasPriceKey] || e.process >= 0 && e.q.processes[e.process].gas == "needed") {
			e.suppose("the total holds no gas: give gas flow and gas price")
		}
		e.price("total", labour+consumable+gas)
	}
	return nil
}

// consumableCost is the price of the consumable by mass deposited.
func (e *estimate) consumableCost() (perKilo float64, ok bool, err error) {
	efficiency := e.plainEff
	if e.process >= 0 && e.efficiency[e.process] != 0 {
		efficiency = e.efficiency[e.process]
	}
	name := ""
	for _, form := range []struct {
		key  quantityKey
		name string
	}{{wirePriceKey, "wire"}, {electrodePriceKey, "electrode"}, {rodPriceKey, "rod"}, {consumablePriceKey, "consumable"}} {
		if !e.has[form.key] {
			continue
		}
		if name != "" {
			return 0, false, fmt.Errorf("%s and %s are both priced; give the price of one consumable", name, form.name)
		}
		name = form.name
		if efficiency == 0 {
			efficiency = e.soleEfficiency(form.name)
		}
		if efficiency != 0 {
			perKilo, ok = e.value[form.key]/efficiency, true
			e.price(name, perKilo)
		}
	}
	return perKilo, ok, nil
}

// soleEfficiency is the efficiency told of the one process whose consumable has that form; 0 for none.
func (e *estimate) soleEfficiency(form string) float64 {
	found := 0.0
	for p, process := range e.q.processes {
		if e.efficiency[p] != 0 && (process.form == form || form == "consumable") {
			if found != 0 {
				return 0
			}
			found = e.efficiency[p]
		}
	}
	return found
}

// price prints an amount of money by mass deposited, and for the deposit as far as it is known.
func (e *estimate) price(name string, perKilo float64) {
	e.out[name+"_"+e.currency+"_per_kg"] = SixDigits(perKilo)
	e.out[name+"_"+e.currency+"_per_lb"] = SixDigits(perKilo * e.q.Pound())
	if e.has[depositKey] {
		e.out[name+"_"+e.currency] = SixDigits(perKilo * e.value[depositKey])
	}
}

// saving is the dearest of the processes less the cheapest, when totals of two or more are told.
func (e *estimate) saving() error {
	dear, cheap := -1, -1
	for p := range e.q.processes {
		if !e.perKiloGiven[p] {
			continue
		}
		if dear < 0 || e.perKilo[p] > e.perKilo[dear] {
			dear = p
		}
		if cheap < 0 || e.perKilo[p] < e.perKilo[cheap] {
			cheap = p
		}
	}
	if e.totals() < 2 {
		return nil
	}
	saved := e.perKilo[dear] - e.perKilo[cheap]
	e.out["saving_"+e.currency+"_kg"] = SixDigits(saved)
	e.out["saving_"+e.currency+"_lb"] = SixDigits(saved * e.q.Pound())
	e.out["cheapest"] = e.q.processes[cheap].name
	if e.has[depositKey] {
		e.out["saving_"+e.currency] = SixDigits(saved * e.value[depositKey])
	}
	return nil
}

func (e *estimate) totals() int {
	n := 0
	for _, given := range e.perKiloGiven {
		if given {
			n++
		}
	}
	return n
}
