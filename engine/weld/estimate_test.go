package weld

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rodcall/engine/observation"
)

func estimateOf(b *Book, o observation.Observation, families map[string]float64) *Estimate {
	plan := b.Plan(ask(b, o, families))
	amount, _ := b.Amount(&o, plan.Consumables[0].Class, plan.Consumables[0].Role)
	return b.Estimate(&o, plan, amount)
}

func crackOf(mm float64, cost *observation.Cost) observation.Observation {
	long := 200.0
	return observation.Observation{Job: "crack", Size: &observation.Size{ThicknessMM: &mm, LengthMM: &long}, Cost: cost}
}

func TestEstimateSetsTheRepairBesideANewPart(t *testing.T) {
	b := stocked(t, harbourList)
	new, days, down, labour := 900.0, 72.0, 50.0, 60.0
	cost := observation.Cost{Currency: "usd", Replacement: &new, ReplaceH: &days, DowntimeH: &down, LabourH: &labour}
	e := estimateOf(b, crackOf(30, &cost), map[string]float64{"low-carbon-steel": 1})
	require.Equal(t, "repair", e.Verdict)
	require.Empty(t, e.Missing)
	require.InDelta(t, *e.Repair, *e.Consumables+*e.Labour+*e.Preheat, 1e-3)
	require.InDelta(t, *e.Replace, new+days*down, 1e-6)
	require.InDelta(t, *e.Expected, *e.Repair+*e.RepairDowntime+(1-e.SuitsP)**e.Replace, 1e-2)
	require.InDelta(t, *e.Saves, *e.Replace-*e.Expected, 0.01)
	require.NotEmpty(t, e.Assumed)
	cheap := 20.0
	none := 0.0
	cost.Replacement, cost.DowntimeH = &cheap, &none
	require.Equal(t, "replace", estimateOf(b, crackOf(30, &cost), map[string]float64{"low-carbon-steel": 1}).Verdict)
}

func TestEstimateSaysWhatIsMissingAndGivesNoVerdict(t *testing.T) {
	b := load(t)
	e := estimateOf(b, crackOf(30, &observation.Cost{}), map[string]float64{"low-carbon-steel": 1})
	require.Empty(t, e.Verdict)
	require.Nil(t, e.Repair)
	require.NotNil(t, e.RepairH, "the time is known from the sizes")
	require.Equal(t, []string{"consumable_per_kg", "labour_per_h", "replacement", "downtime_per_h"}, e.Missing)
	e = estimateOf(b, observation.Observation{Job: "crack"}, map[string]float64{"low-carbon-steel": 1})
	require.Contains(t, e.Missing, "size")
	require.Nil(t, e.RepairH)
}

func TestPreheatIsPricedByTheHeatedZone(t *testing.T) {
	b := load(t)
	labour, fuel := 60.0, 3.0
	cost := observation.Cost{LabourH: &labour, FuelKG: &fuel}
	thin, thick := estimateOf(b, crackOf(20, &cost), map[string]float64{"high-carbon-steel": 1}), estimateOf(b, crackOf(80, &cost), map[string]float64{"high-carbon-steel": 1})
	require.NotNil(t, thin.Preheat)
	require.Greater(t, *thick.Preheat, 4**thin.Preheat, "more metal in thickness and in width")
	p := pricing{book: b}
	require.Equal(t, 40.0, p.zone(10))
	require.Equal(t, 50.0, p.zone(40))
	require.Equal(t, 75.0, p.zone(60))
}

func TestRodsOfAnotherCurrencyAreNotPriced(t *testing.T) {
	b := stocked(t, harbourList)
	e := estimateOf(b, crackOf(30, &observation.Cost{Currency: "eur"}), map[string]float64{"low-carbon-steel": 1})
	require.Nil(t, e.Consumables)
	require.Equal(t, "eur", e.Currency)
}

func TestDearerFiguresNeverMakeTheRepairLookBetter(t *testing.T) {
	b := stocked(t, harbourList)
	rapid.Check(t, func(rt *rapid.T) {
		draw := func(name string) *float64 { v := rapid.Float64Range(0, 2000).Draw(rt, name); return &v }
		cost := observation.Cost{Currency: "usd", Replacement: draw("new"), ReplaceH: draw("hours"), DowntimeH: draw("down"), LabourH: draw("labour")}
		thick := rapid.Float64Range(4, 60).Draw(rt, "thick")
		steel := map[string]float64{"medium-carbon-steel": 1}
		before := estimateOf(b, crackOf(thick, &cost), steel)
		dearer := *cost.LabourH + rapid.Float64Range(0, 500).Draw(rt, "more")
		cost.LabourH = &dearer
		require.LessOrEqual(rt, *estimateOf(b, crackOf(thick, &cost), steel).Saves, *before.Saves+1e-6*(1+*before.Replace))
		more := *cost.Replacement + 100
		cost.Replacement = &more
		require.GreaterOrEqual(rt, *estimateOf(b, crackOf(thick, &cost), steel).Saves+1e-6*(1+more), *estimateOf(b, crackOf(thick, &cost), steel).Saves)
	})
}
