package reply

import (
	"fmt"
	"slices"
	"strings"

	"rodcall/engine"
)

// itemText is what to take from the team's own stock: "WH-31 3.2 mm, 2 packs (truck)".
func itemText(item engine.Item, c Context) string {
	text := className(clip(item.Item, 24))
	if item.Class != "" {
		text += " (" + className(item.Class) + ")"
	}
	if item.SizeMM > 0 {
		text += " " + rodSize(item.SizeMM, c)
	}
	switch {
	case item.Packs > 0 && item.Truck >= float64(item.Packs):
		text += fmt.Sprintf(", %s from the truck", packs(item.Packs))
	case item.Packs > 0 && item.Truck > 0:
		text += fmt.Sprintf(", %s, %s in the truck", packs(item.Packs), trimNumber(item.Truck, 1))
	case item.Packs > 0:
		text += fmt.Sprintf(", %s, none in the truck", packs(item.Packs))
	case item.Truck > 0:
		text += ", in the truck"
	default:
		text += ", not in the truck"
	}
	return text
}

// rodSize is a diameter as boxes print it: millimetres, and inches in thirty-seconds.
func rodSize(mm float64, c Context) string {
	metric := trimNumber(mm, 1) + string(noBreak) + "mm"
	inches := fractionOf(32, mm/25.4, 0.003) + string(noBreak) + "in"
	switch {
	case c.Units == Metric:
		return metric
	case c.Units == US || c.Inch:
		return inches
	}
	return metric + " (" + inches + ")"
}

func packs(n int) string {
	if n == 1 {
		return "1 pack"
	}
	return fmt.Sprintf("%d packs", n)
}

// itemBlocks name the items of the classes that the reply names, one line a role.
func itemBlocks(j engine.Judgment, c Context) []block {
	var lines []string
	for _, p := range picks(j) {
		at := slices.IndexFunc(p.classes, func(x engine.Consumable) bool { return x.Item != nil })
		if at < 0 {
			continue
		}
		text := itemText(*p.classes[at].Item, c)
		if at > 0 || len(p.classes) > 1 {
			text = className(p.classes[at].Class) + ": " + text
		}
		lines = append(lines, labelled("Take", text)...)
	}
	if len(lines) == 0 {
		return nil
	}
	return []block{may(cutAnswers, lines, clipLines(lines, 1))}
}

// priceText is the item with its price, for the list of rods.
func priceText(item engine.Item, c Context) string {
	text := itemText(item, c)
	if item.Price == 0 {
		return text
	}
	text += fmt.Sprintf("; %s a pack", money(item.Price, item.Currency))
	if item.Packs > 1 {
		text += ", " + money(item.Cost, item.Currency) + " in all"
	}
	return text
}

// money writes an amount with its currency: cents only below a hundred.
func money(amount float64, currency string) string {
	if amount >= 100 || amount <= -100 {
		return fmt.Sprintf("%.0f%c%s", amount, noBreak, strings.ToUpper(currency))
	}
	return fmt.Sprintf("%.2f%c%s", amount, noBreak, strings.ToUpper(currency))
}
