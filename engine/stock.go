package engine

import (
	"rodcall/engine/data"
	"rodcall/engine/observation"
	"rodcall/engine/weld"
)

// Item is what to take from the team's own stock for one class.
type Item struct {
	Item     string  `json:"item"`            // the team's code
	Class    string  `json:"class,omitempty"` // its class, where it lays the same deposit by the same process under another
	SizeMM   float64 `json:"size_mm,omitempty"`
	PackKG   float64 `json:"pack_kg,omitempty"`
	Packs    int     `json:"packs,omitempty"` // to take; absent when sizes or pack weight are not known
	Price    float64 `json:"price,omitempty"` // of one pack
	Currency string  `json:"currency,omitempty"`
	Cost     float64 `json:"cost,omitempty"`  // of the packs to take
	Truck    float64 `json:"truck,omitempty"` // packs in the truck
}

// RodAtHand answers for one rod that the rep has.
type RodAtHand struct {
	Class string `json:"class"`
	Take  bool   `json:"take"`
	Why   string `json:"why"`
}

// useStock reads the team's stock list into the book.
func (e *Engine) useStock(s Settings) error {
	if s.Stock == nil {
		return nil
	}
	var faults data.Faults
	e.book.UseStock(s.StockFile, s.Stock, &faults)
	return faults.Err()
}

// addItems names the item of the team's stock beside each class that the list holds.
func (e *Engine) addItems(j *Judgment, o *observation.Observation, plan weld.Plan) {
	thickness := 0.0
	if o.Size != nil && o.Size.ThicknessMM != nil {
		thickness = *o.Size.ThicknessMM
	}
	for i := range j.Consumables {
		class := j.Consumables[i].Class
		if _, listed := e.book.Pull(class, thickness, nil); !listed {
			continue
		}
		amount, _ := e.book.Amount(o, class, plan.Consumables[i].Role)
		p, _ := e.book.Pull(class, thickness, amount)
		j.Consumables[i].Item = &Item{Item: p.Code, Class: p.Class, SizeMM: round6(p.SizeMM), PackKG: round6(p.PackKG), Packs: p.Packs, Price: p.Price,
			Currency: p.Currency, Cost: round6(p.Cost), Truck: p.Truck}
	}
}
