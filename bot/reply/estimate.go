package reply

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rodcall/engine"
	"rodcall/engine/observation"
)

// missingCosts says what to tell for each figure that an estimate lacks, in the order in which they matter.
var missingCosts = []struct{ word, say string }{
	{"size", "how long, wide and deep"},
	{"thickness", "how thick"},
	{"replacement", "new one $900"},
	{"replace_h", "3 days away"},
	{"downtime_per_h", "down costs $200 an hour"},
	{"labour_per_h", "labour $60 an hour"},
	{"repair_h", "repair takes 4 hours"},
	{"consumable_per_kg", "rods $12 a kilo"},
}

// Estimate is the price of the repair beside that of a new part: the verdict first, then what it rests on.
func Estimate(j engine.Judgment, c Context) []string {
	e := j.Estimate
	if e == nil {
		if j.Decision == weld && len(j.Consumables) > 0 {
			return paragraph("Nothing is told to price. Say: estimate new one $900, 3 days away, labour $60 an hour.")
		}
		return paragraph(strings.Replace(noneYet(j), "No rod", "No price", 1))
	}
	lines := verdict(*e)
	if j.Replace != "" {
		lines = append(lines, paragraph("Better not welded: "+bothDegrees(j.Replace, c))...)
	}
	lines = append(lines, repairLines(*e)...)
	lines = append(lines, replaceLines(*e)...)
	var say []string
	for _, m := range missingCosts {
		if slices.Contains(e.Missing, m.word) {
			say = append(say, m.say)
		}
	}
	if len(say) > 0 {
		lines = append(lines, wrap("Tell me: "+strings.Join(say, "; ")+".", "", "  ")...)
	}
	if len(e.Assumed) > 0 {
		lines = append(lines, wrap("Supposed: "+bothDegrees(strings.Join(e.Assumed, "; "), c)+".", "", "  ")...)
	}
	return lines
}

func verdict(e engine.Estimate) []string {
	switch e.Verdict {
	case "repair":
		return paragraph("REPAIR: about " + sum(*e.Saves, e) + " cheaper than a new part.")
	case "replace":
		return paragraph("A NEW PART is about " + sum(-*e.Saves, e) + " cheaper than the repair.")
	}
	return paragraph("No verdict yet: figures are missing.")
}

// repairLines are what the repair takes and costs.
func repairLines(e engine.Estimate) []string {
	var parts []string
	for _, p := range []struct {
		name string
		cost *float64
	}{{"rods", e.Consumables}, {"labour", e.Labour}, {"heat", e.Preheat}} {
		if p.cost != nil {
			parts = append(parts, p.name+" "+sum(*p.cost, e))
		}
	}
	head := "Repair"
	if e.RepairH != nil {
		head += fmt.Sprintf(", %s h", trimNumber(*e.RepairH, 1))
	}
	if e.ConsumableKG != nil {
		head += fmt.Sprintf(", %s kg of rods", trimNumber(*e.ConsumableKG, 2))
	}
	if e.Repair != nil {
		head += ": " + sum(*e.Repair, e)
		if len(parts) > 1 {
			head += " (" + strings.Join(parts, ", ") + ")"
		}
	} else if len(parts) > 0 {
		head += ": " + strings.Join(parts, ", ")
	}
	if head == "Repair" {
		return nil
	}
	lines := wrap(head, "", "  ")
	if e.RepairDowntime != nil {
		lines = append(lines, wrap("  standing meanwhile "+sum(*e.RepairDowntime, e), "", "  ")...)
	}
	if e.Expected != nil {
		lines = append(lines, wrap(fmt.Sprintf("  with the risk that it fails (%s): %s", percent(1-e.SuitsP), sum(*e.Expected, e)), "", "  ")...)
	}
	return lines
}

func replaceLines(e engine.Estimate) []string {
	if e.Replacement == nil {
		return nil
	}
	text := "New part: " + sum(*e.Replacement, e)
	if e.ReplaceDowntime != nil {
		text += ", standing " + sum(*e.ReplaceDowntime, e)
		if e.Replace != nil {
			text += ", in all " + sum(*e.Replace, e)
		}
	}
	return wrap(text, "", "  ")
}

// sum writes money for an estimate: three figures, no cents, since it is one.
func sum(v float64, e engine.Estimate) string {
	step := 1.0
	for math.Abs(v) >= 1000*step {
		step *= 10
	}
	text := fmt.Sprintf("%.0f", math.Round(v/step)*step)
	if e.Currency == "" {
		return text
	}
	return text + string(noBreak) + strings.ToUpper(e.Currency)
}

// cost lists the figures of cost as facts.
func (l *list) cost(o observation.Observation) {
	if o.Cost == nil {
		return
	}
	for _, e := range o.Entries() {
		if key, isCost := strings.CutPrefix(e.Key, "cost."); isCost && costLabels[key] != "" {
			l.word(e.Key, costLabels[key], e.Value)
		}
	}
}

var costLabels = map[string]string{"currency": "money in", "replacement": "new part", "replace_h": "new part, hours to come", "downtime_per_h": "standing, an hour",
	"labour_per_h": "labour, an hour", "repair_h": "repair, hours", "consumable_per_kg": "rods, a kilo", "fuel_per_kg": "gas, a kilo"}
