package weld

import (
	"fmt"
	"math"
	"rodcall/engine/quantity"

	"rodcall/engine/observation"
)

// Estimate is what a repair costs beside a new part, in one currency. A figure that is nil is not known;
// Missing says what would make it known, and Assumed what was supposed.
type Estimate struct {
	Currency        string   `json:"currency,omitempty"`
	ConsumableKG    *float64 `json:"consumable_kg,omitempty"`
	RepairH         *float64 `json:"repair_h,omitempty"` // with preparation and heating
	Consumables     *float64 `json:"consumables,omitempty"`
	Labour          *float64 `json:"labour,omitempty"`           // preparation and welding
	Preheat         *float64 `json:"preheat,omitempty"`          // heating hours and fuel
	Repair          *float64 `json:"repair,omitempty"`           // the three together
	RepairDowntime  *float64 `json:"repair_downtime,omitempty"`  // standing while it is repaired
	Replacement     *float64 `json:"replacement,omitempty"`      // the new part, fitted
	ReplaceDowntime *float64 `json:"replace_downtime,omitempty"` // standing until it runs
	SuitsP          float64  `json:"suits_p,omitempty"`          // chance that the class suits
	Expected        *float64 `json:"expected,omitempty"`         // repair and standing, with the new part on top in the chance that it fails
	Replace         *float64 `json:"replace,omitempty"`          // new part and standing
	Saves           *float64 `json:"saves,omitempty"`            // Replace less Expected; below 0 a new part is the cheaper
	Verdict         string   `json:"verdict,omitempty"`          // repair | replace; "" while a figure is missing
	Missing         []string `json:"missing,omitempty"`          // what to tell: words of a Cost, "size", "thickness"
	Assumed         []string `json:"assumed,omitempty"`
}

// pricing works one estimate out.
type pricing struct {
	book   *Book
	cost   observation.Cost
	size   observation.Size
	amount map[string]any
	out    Estimate
	heatH  float64 // hours of heating
}

// Estimate prices the first class of a plan in an observation: consumables, labour and preheat, beside the
// figures for a new part and for standing that the rep gives. amount is what Amount gives for that class, or nil.
func (b *Book) Estimate(o *observation.Observation, plan Plan, amount map[string]any) *Estimate {
	if o == nil || len(plan.Consumables) == 0 {
		return nil
	}
	p := &pricing{book: b, amount: amount}
	if o.Cost != nil {
		p.cost = *o.Cost
	}
	if o.Size != nil {
		p.size = *o.Size
	}
	p.out.SuitsP = quantity.SixDigits(plan.Consumables[0].SuitsP)
	p.consumables(plan.Consumables[0].Class)
	if h := plan.Heat.Preheat; h != nil && h.Min > regimeRange[AsIs][1] {
		p.preheat(h.Min)
	}
	p.labour()
	p.compare()
	return &p.out
}

func (p *pricing) miss(word string) { p.out.Missing = append(p.out.Missing, word) }

func (p *pricing) suppose(format string, args ...any) {
	p.out.Assumed = append(p.out.Assumed, fmt.Sprintf(format, args...))
}

func (p *pricing) figure(subject, name string) float64 {
	return p.book.quantities.Figure(subject, name)
}

func money(v float64) *float64 {
	v = quantity.SixDigits(v)
	return &v
}

// consumables prices the mass to buy: at what the rep says of a kilogram, else at the stock list's price.
func (p *pricing) consumables(class string) {
	p.out.Currency = p.cost.Currency
	thickness := 0.0
	if p.size.ThicknessMM != nil {
		thickness = *p.size.ThicknessMM
	}
	price, known := 0.0, p.cost.ConsumableKG != nil
	if known {
		price = *p.cost.ConsumableKG
	} else if listed, currency, ok := p.book.PricePerKG(class, thickness); ok {
		switch {
		case p.cost.Currency == "" || p.cost.Currency == currency:
			price, known, p.out.Currency = listed, true, currency
			p.suppose("%s at %s %s a kilogram, from the stock list", class, quantity.Text(math.Round(100*listed)/100), currency)
		default:
			p.suppose("the stock list is in %s, your figures in %s: the rods are not priced", currency, p.cost.Currency)
		}
	}
	mass := massToBuy(p.amount)
	if mass > 0 {
		p.out.ConsumableKG = money(mass)
	} else {
		p.miss("size")
	}
	switch {
	case known && mass > 0:
		p.out.Consumables = money(price * mass)
	case !known:
		p.miss("consumable_per_kg")
	}
}

// preheat is the heating of the zone along the repair: EN ISO 13916 asks for the heat at four thicknesses from
// the joint, 50 mm at most, and at 75 mm on parts over 50 mm.
func (p *pricing) preheat(toC float64) {
	mass, ok := p.heatedKG()
	if !ok {
		p.miss("thickness")
		return
	}
	losses := p.figure("heated zone", "losses")
	heat, err := p.book.quantities.Of(map[string]any{"mass_kg": mass * losses, "to_c": toC})
	if err != nil {
		return
	}
	p.heatH, _ = heat["heating_h"].(float64)
	fuel, _ := heat["fuel_kg"].(float64)
	p.suppose("%s kg of metal heated to %s C, times %s for what runs off: %s kg propane, %s h at one burner", quantity.Text(round2(mass)),
		quantity.Text(toC), quantity.Text(losses), quantity.Text(round2(fuel)), quantity.Text(round2(p.heatH)))
	total, priced := 0.0, false
	if p.cost.LabourH != nil {
		total, priced = p.heatH**p.cost.LabourH, true
	}
	if p.cost.FuelKG != nil {
		total, priced = total+fuel**p.cost.FuelKG, true
	} else {
		p.suppose("the gas of the preheat is not priced")
	}
	if priced {
		p.out.Preheat = money(total)
	}
}

// heatedKG is the metal of the heated zone: of a round part its length, else the plate along both sides.
func (p *pricing) heatedKG() (kg float64, ok bool) {
	const steel = 7.85e-6 // kg/mm3
	along := 0.0
	if p.size.LengthMM != nil {
		along = *p.size.LengthMM
	}
	thick := p.size.ThicknessMM
	if round := p.size.DiameterMM; round != nil && *round > 0 {
		return math.Pi / 4 * *round * *round * (along + 2*p.zone(*round)) * steel, true
	}
	if thick == nil || *thick <= 0 || along == 0 {
		return 0, false
	}
	zone, across := p.zone(*thick), 0.0
	if p.size.WidthMM != nil {
		across = *p.size.WidthMM
	}
	return *thick * (along + 2*zone) * (across + 2*zone) * steel, true
}

// zone is the width heated on each side, mm.
func (p *pricing) zone(thickness float64) float64 {
	const thick = 50
	if thickness > thick {
		return p.figure("heated zone", "least-width-thick")
	}
	return min(thickness*p.figure("heated zone", "thickness-multiple"), p.figure("heated zone", "most-width-thin"))
}

// labour is the time of preparation and welding: as the rep says, else from the arc time.
func (p *pricing) labour() {
	hours, known := 0.0, false
	clock, timed := p.amount["clock_h"].(float64)
	switch {
	case p.cost.RepairH != nil:
		hours, known = *p.cost.RepairH, true
		p.heatH = 0 // the rep's hours hold the heating
	case timed:
		prepare := max(clock*p.figure("repair", "preparation"), p.figure("repair", "least-preparation"))
		hours, known = clock+prepare, true
		p.suppose("%s h of welding, %s h of preparation and checks", quantity.Text(round2(clock)), quantity.Text(round2(prepare)))
	}
	if !known {
		if p.out.ConsumableKG != nil {
			p.miss("repair_h")
		}
		return
	}
	p.out.RepairH = money(hours + p.heatH)
	if p.cost.LabourH == nil {
		p.miss("labour_per_h")
		return
	}
	p.out.Labour = money(hours * *p.cost.LabourH)
}

// compare adds up, and sets the repair beside a new part. A repair that fails is followed by a new part.
func (p *pricing) compare() {
	o, c := &p.out, &p.cost
	if o.Labour != nil && (o.Consumables != nil || c.ConsumableKG == nil) {
		repair := *o.Labour
		for _, part := range []*float64{o.Consumables, o.Preheat} {
			if part != nil {
				repair += *part
			}
		}
		if o.Consumables == nil {
			p.suppose("the rods are not in the sum")
		}
		o.Repair = money(repair)
	}
	o.Replacement = c.Replacement
	if c.Replacement == nil {
		p.miss("replacement")
	}
	standing := c.DowntimeH != nil && *c.DowntimeH > 0
	if standing && c.ReplaceH == nil {
		p.miss("replace_h")
	}
	if c.DowntimeH == nil {
		p.miss("downtime_per_h")
		p.suppose("standing costs nothing")
	}
	if o.Repair == nil || c.Replacement == nil || standing && c.ReplaceH == nil {
		return
	}
	replace, repair := *c.Replacement, *o.Repair
	if standing {
		o.RepairDowntime, o.ReplaceDowntime = money(*o.RepairH**c.DowntimeH), money(*c.ReplaceH**c.DowntimeH)
		repair, replace = repair+*o.RepairDowntime, replace+*o.ReplaceDowntime
		p.suppose("standing costs day and night: tell hours where it is by the shift; cooling and the last check are not counted")
	}
	p.suppose("in the %.0f %% that the rod does not suit, the new part comes on top", 100*(1-o.SuitsP))
	o.Replace = money(replace)
	o.Expected = money(repair + (1-o.SuitsP)*replace)
	o.Saves = money(*o.Replace - *o.Expected)
	o.Verdict = "repair"
	if *o.Saves < 0 {
		o.Verdict = "replace"
	}
}

func round2(v float64) float64 { return math.Round(v*100) / 100 }
