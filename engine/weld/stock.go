package weld

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"regexp"
	"rodcall/engine/quantity"
	"slices"
	"strings"

	"rodcall/engine/data"
	"rodcall/engine/measure"
	"rodcall/engine/observation"
)

// Item is one thing on the team's own stock list: a consumable of a standard class, in one size and pack.
type Item struct {
	Code     string
	SizeMM   float64 // diameter; 0 when the list does not say
	PackKG   float64 // one pack; 0 when the list does not say
	Price    float64 // of one pack; 0 when the list does not say
	Currency string  // "" without a price
	Truck    float64 // packs in the truck; 0 for none, and for a list that does not say
}

// stock is what the team's list holds, by class.
type stock struct {
	items map[int][]Item
}

// What a class that the team keeps gains over one that it must order (judgement): enough to part two classes
// that suit alike, too little to put a poor one before a good one.
const (
	gainOfTruck = 0.06
	gainOfStore = 0.02
)

func stockSchema(file string) data.Schema {
	return data.Schema{File: file, Key: []string{"item"}, Columns: []data.Column{
		{Name: "item", Required: true, Doc: "the team's own code"},
		{Name: "class", Kind: data.List, Required: true, Doc: "standard classes that the item carries, parted by ;"},
		{Name: "size_mm", Kind: data.Number, Optional: true, Min: 0.5, Max: 12, Doc: "diameter"},
		{Name: "size_in", Optional: true, Doc: "diameter, 1/8 or 0.125; instead of size_mm"},
		{Name: "pack_kg", Kind: data.Number, Optional: true, Min: 0.01, Max: 1000, Doc: "weight of a pack"},
		{Name: "pack_lb", Kind: data.Number, Optional: true, Min: 0.01, Max: 2000, Doc: "weight of a pack; instead of pack_kg"},
		{Name: "price", Kind: data.Number, Optional: true, Min: 0.01, Max: 1e6, Doc: "of one pack"},
		{Name: "currency", Kind: data.Word, Optional: true, Of: quantity.Currencies, Doc: "of the price"},
		{Name: "truck", Kind: data.Number, Optional: true, Min: 0, Max: 10000, Doc: "packs in the truck"},
		{Name: "note", Optional: true, Doc: "for the team; not read"},
	}}
}

// UseStock reads the team's stock list, a CSV, and keeps it; file is the name by which faults are told, with
// row and column. It is part of building the book: never call it on one that is in use.
func (b *Book) UseStock(file string, text []byte, faults *data.Faults) {
	if header, _, _ := bytes.Cut(text, []byte("\n")); bytes.Count(header, []byte(";")) > 1 {
		faults.Add(file, 1, "header", "the columns are parted by semicolons; part them by commas")
		return
	}
	b.stock.items = map[int][]Item{}
	for _, row := range data.ReadText(text, stockSchema(file), faults).Rows {
		item := b.readItem(row)
		for _, word := range row.List("class") {
			class := b.labelled(word)
			if class < 0 {
				row.Fault("class", "%q is no class that I know; did you mean %s?", word, strings.Join(observation.Nearest(word, b.classIDs()), ", "))
				continue
			}
			b.stock.items[class] = append(b.stock.items[class], item)
		}
	}
	for class, items := range b.stock.items {
		gain := gainOfStore
		if slices.ContainsFunc(items, func(i Item) bool { return i.Truck > 0 }) {
			gain = gainOfTruck
		}
		b.classes[class].handling -= gain
	}
}

// optionalMarks are what a box prints behind the class and what changes no class: improved toughness (-1),
// diffusible hydrogen and moisture resistance (H4, H4R), as AWS A5.1 and A5.5 write them.
var optionalMarks = regexp.MustCompile(`(?i)(?:[ -]1)?[ -]?(?:H4|H8|H16)?R?$`)

// labelled is the class that a box says: as a rep names it, else without the optional marks behind it; -1 for none.
func (b *Book) labelled(word string) int {
	if class := b.held(word); class >= 0 {
		return class
	}
	return b.held(optionalMarks.ReplaceAllString(word, ""))
}

// classIDs are the ids of all classes, those that trucks carry first.
func (b *Book) classIDs() []string {
	classes := slices.Clone(b.classes)
	slices.SortStableFunc(classes, func(x, y Class) int { return y.Carried - x.Carried })
	ids := make([]string, len(classes))
	for i, c := range classes {
		ids[i] = c.ID
	}
	return ids
}

func (b *Book) readItem(row data.Row) Item {
	item := Item{Code: row.Text("item"), SizeMM: row.Value("size_mm", 0), PackKG: row.Value("pack_kg", 0),
		Price: row.Value("price", 0), Currency: row.Text("currency"), Truck: row.Value("truck", 0)}
	if inches := row.Text("size_in"); inches != "" {
		v, err := measure.ParseInch(inches)
		switch {
		case item.SizeMM > 0:
			row.Fault("size_in", "the row has size_mm too; keep one")
		case err != nil || v < 0.02 || v > 0.5:
			row.Fault("size_in", "%q is no diameter in inches; write 1/8 or 0.125", inches)
		default:
			item.SizeMM = float64(v.MM())
		}
	}
	if pounds, ok := row.Number("pack_lb"); ok {
		if item.PackKG > 0 {
			row.Fault("pack_lb", "the row has pack_kg too; keep one")
		}
		item.PackKG = pounds * b.quantities.Pound()
	}
	switch {
	case item.Price > 0 && item.Currency == "":
		row.Fault("currency", "is empty beside a price; write one of %s", strings.Join(quantity.Currencies, " "))
	case item.Price == 0 && item.Currency != "":
		row.Fault("price", "is empty beside a currency")
	}
	return item
}

// Pull is the item of the stock list to take for a class.
type Pull struct {
	Item
	Class string  // of the item, where it stands in for the class by the same process; "" for the class itself
	Packs int     // to take; 0 when the amount or the pack's weight is not known
	Cost  float64 // of those packs; 0 when it is not known
}

// rodFits holds for a rod no thicker than the plate (common practice); 2 mm goes with any.
func rodFits(item Item, thickness float64) bool {
	return thickness == 0 || item.SizeMM == 0 || item.SizeMM <= max(thickness, 2)
}

// usualRodMM is the diameter that a field team takes first (quantity_figures, working-diameter of SMAW).
func (b *Book) usualRodMM() float64 {
	return b.quantities.Figure("SMAW", "working-diameter")
}

// Pull chooses the item for a class: of those in the truck, else of all, the size that fits the plate and is
// nearest to the usual one. amount is what the repair takes of the class, as Amount gives it, or nil. ok is
// false when the list holds no such class.
func (b *Book) Pull(class string, thicknessMM float64, amount map[string]any) (p Pull, ok bool) {
	i, known := b.classAt[class]
	if !known {
		return p, false
	}
	items := b.stock.items[i]
	if len(items) == 0 {
		items, p.Class = b.equivalent(i)
	}
	if len(items) == 0 {
		return p, false
	}
	usual := b.usualRodMM()
	best := slices.MinFunc(items, func(x, y Item) int {
		return cmp.Or(yesFirst(x.Truck > 0, y.Truck > 0), yesFirst(rodFits(x, thicknessMM), rodFits(y, thicknessMM)),
			cmp.Compare(math.Abs(x.SizeMM-usual), math.Abs(y.SizeMM-usual)), cmp.Compare(x.Price, y.Price), cmp.Compare(x.Code, y.Code))
	})
	p.Item = best
	if need := massToBuy(amount); need > 0 && best.PackKG > 0 {
		p.Packs = int(math.Ceil(need/best.PackKG - 1e-9))
		p.Cost = float64(p.Packs) * best.Price
	}
	return p, true
}

// equivalent are the items of a class that lays the same deposit by the same process, as E7016 for E7018 or a class
// of ISO 2560 for that of AWS A5.1 (the twins of the matching tables).
func (b *Book) equivalent(class int) (items []Item, id string) {
	if len(b.stock.items) == 0 {
		return nil, ""
	}
	for other := range b.classes {
		if other != class && b.leader[other] == b.leader[class] && b.classes[other].process&b.classes[class].process != 0 && len(b.stock.items[other]) > 0 {
			return b.stock.items[other], b.classes[other].ID
		}
	}
	return nil, ""
}

// massToBuy is the consumable that an amount asks for, kg: electrodes with their coverings and with the spare
// ones, where they are known.
func massToBuy(amount map[string]any) float64 {
	bare, _ := amount["consumable_kg"].(float64)
	covered, _ := amount["electrodes_packed_kg"].(float64)
	count, _ := amount["electrodes"].(int)
	if take, ok := amount["electrodes_to_take"].(int); ok && count > 0 {
		covered *= float64(take) / float64(count)
	}
	return max(bare, covered)
}

// PricePerKG is what a kilogram of a class costs on the stock list; ok is false when it has no price or weight.
func (b *Book) PricePerKG(class string, thicknessMM float64) (price float64, currency string, ok bool) {
	p, listed := b.Pull(class, thicknessMM, nil)
	if !listed || p.Price == 0 || p.PackKG == 0 {
		return 0, "", false
	}
	return p.Price / p.PackKG, p.Currency, true
}

// priceText says in short what a pack of the item costs: "WH-31, 48 usd a pack".
func (p Pull) priceText() string {
	text := p.Code
	if p.Price > 0 {
		text += fmt.Sprintf(", %s %s a pack", quantity.Text(p.Price), p.Currency)
	}
	if p.Truck > 0 {
		text += ", in the truck"
	}
	return text
}

func yesFirst(x, y bool) int {
	switch {
	case x == y:
		return 0
	case x:
		return -1
	}
	return 1
}
