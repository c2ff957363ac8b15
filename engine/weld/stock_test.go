package weld

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/data"
	"rodcall/engine/formula"
	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

// stocked is a book of its own with a stock list: the book that other tests share is not touched.
func stocked(t testing.TB, list string) *Book {
	var faults data.Faults
	files := data.Files()
	b := Load(files, metal.Load(files, &faults), formula.Load(files, &faults), &faults)
	require.NoError(t, faults.Err())
	b.UseStock("stock.csv", []byte(list), &faults)
	require.NoError(t, faults.Err())
	return b
}

const harbourList = "\ufeffitem,class,size_in,pack_lb,price,currency,truck,note\n" +
	"LH-332,E7018;E7018-1 H4R,3/32,10,38,usd,1,\nLH-18,7018,1/8,10,36.5,usd,2,\nSS-09,309L,1/8,5,95,usd,,\nNI-55,ENiFe-CI,1/8,5,210,usd,0.5,half open\n"

func TestItemAndPacksAreNamedForAClassOnTheList(t *testing.T) {
	b := stocked(t, harbourList)
	p, ok := b.Pull("E7018", 12, map[string]any{"consumable_kg": 5.0})
	require.True(t, ok)
	require.Equal(t, "LH-18", p.Code, "in the truck, and nearest to the usual 3.2 mm")
	require.InDelta(t, 3.175, p.SizeMM, 1e-9)
	require.InDelta(t, 4.536, p.PackKG, 1e-3)
	require.Equal(t, 2, p.Packs)
	require.InDelta(t, 73.0, p.Cost, 1e-9)
	p, _ = b.Pull("E7018", 2.5, nil)
	require.Equal(t, "LH-332", p.Code, "no rod thicker than the plate")
	require.Zero(t, p.Packs, "no amount, no packs")
	_, ok = b.Pull("E312", 12, nil)
	require.False(t, ok)
	_, ok = b.Pull("no such class", 12, nil)
	require.False(t, ok)
}

func TestItemOfAnotherStandardStandsInForTheSameDeposit(t *testing.T) {
	b := stocked(t, "item,class\nBAS-32,E 42 4 B 42 H5 (ISO 2560-A)\nMIG-1,ER309L\n")
	p, ok := b.Pull("E7018", 12, nil)
	require.True(t, ok)
	require.Equal(t, "BAS-32", p.Code)
	require.Equal(t, "E 42 4 B 42 H5 (ISO 2560-A)", p.Class)
	_, ok = b.Pull("E309L", 12, nil)
	require.False(t, ok, "a wire is no stick")
}

func TestSpareElectrodesAreTakenAlong(t *testing.T) {
	require.InDelta(t, 1.2, massToBuy(map[string]any{"consumable_kg": 0.9, "electrodes_packed_kg": 1.0, "electrodes": 10, "electrodes_to_take": 12}), 1e-9)
	require.Zero(t, massToBuy(nil))
}

func TestFaultsOfTheStockListNameRowAndColumn(t *testing.T) {
	b := stocked(t, "item,class\n")
	for list, want := range map[string]string{
		"":                                                "stock.csv:1 header: the file is empty",
		"item;class;price\nA;E7018;3\n":                   "stock.csv:1 header: the columns are parted by semicolons",
		"item,klass\nA,E7018\n":                           "stock.csv:1 klass: unknown column",
		"item,class\nA,E7081\n":                           `stock.csv:2 class: "E7081" is no class that I know; did you mean E6011, E7018, E7024?`,
		"item,class\n,E7018\n":                            "stock.csv:2 item: is empty",
		"item,class\nA,E7018\nA,E6013\n":                  `stock.csv:3 item: "A" stands already in line 2`,
		"item,class,price\nA,E7018,\"12,5\"\n":            `stock.csv:2 price: "12,5" is not a number`,
		"item,class,price\nA,E7018,NaN\n":                 `stock.csv:2 price: "NaN" is not a number`,
		"item,class,price\nA,E7018,-3\n":                  "stock.csv:2 price: -3 is outside",
		"item,class,price\nA,E7018,3\n":                   "stock.csv:2 currency: is empty beside a price",
		"item,class,price,currency\nA,E7018,3,yen\n":      `stock.csv:2 currency: unknown word "yen"`,
		"item,class,size_mm,size_in\nA,E7018,3.2,1/8\n":   "stock.csv:2 size_in: the row has size_mm too",
		"item,class,size_in\nA,E7018,fat\n":               `stock.csv:2 size_in: "fat" is no diameter in inches`,
		"item,class,size_in\nA,E7018,12\n":                `stock.csv:2 size_in: "12" is no diameter in inches`,
		"item,class,pack_kg,pack_lb\nA,E7018,5,10\n":      "stock.csv:2 pack_lb: the row has pack_kg too",
		"item,class,truck\nA,E7018\nB,E6013,1\nC,E7018,x": `stock.csv:4 truck: "x" is not a number`,
	} {
		var faults data.Faults
		b.UseStock("stock.csv", []byte(list), &faults)
		require.ErrorContains(t, faults.Err(), want, list)
	}
}

func TestClassInTheTruckGoesBeforeAnEqualOneButNotBeforeABetterOne(t *testing.T) {
	iron := map[string]float64{"gray-iron": 1}
	plain := stocked(t, "item,class\n")
	plan := plain.Plan(ask(plain, observation.Observation{Job: "crack"}, iron))
	first, second := plan.Consumables[0].Class, plan.Consumables[1].Class
	b := stocked(t, "item,class,truck\nX,"+second+",3\n")
	require.Equal(t, second, b.Plan(ask(b, observation.Observation{Job: "crack"}, iron)).Consumables[0].Class, "%s and %s suit alike", first, second)
	b = stocked(t, "item,class,truck\nX,E312,9\n")
	require.Equal(t, "E7018", b.Plan(ask(b, observation.Observation{Job: "crack"}, map[string]float64{"low-carbon-steel": 1})).Consumables[0].Class)
}

func TestEachRodAtHandIsAnsweredWithItsReason(t *testing.T) {
	b := stocked(t, harbourList)
	iron := map[string]float64{"gray-iron": 0.75, "ductile-iron": 0.25}
	plan := b.Plan(ask(b, observation.Observation{Job: "crack", Have: []string{"7018", "ENi-CI", "312"}}, iron))
	require.Equal(t, "take the ENi-CI", plan.HaveNote)
	require.Len(t, plan.AtHand, 3)
	require.Equal(t, "E7018", plan.AtHand[0].Class)
	require.Contains(t, plan.AtHand[0].Why, "on gray iron: ")
	require.True(t, plan.AtHand[1].Take)
	require.False(t, plan.AtHand[2].Take)
	require.NotEmpty(t, plan.AtHand[2].Why)
	plan = b.Plan(ask(b, observation.Observation{Job: "crack", Have: []string{"7018"}}, iron))
	require.Equal(t, "none of your rods is right here: get ENiFe-CI (NI-55, 210 usd a pack, in the truck)", plan.HaveNote)
	plan = b.Plan(ask(b, observation.Observation{Job: "join", Have: []string{"6013"}}, map[string]float64{"low-carbon-steel": 1}))
	require.Contains(t, plan.AtHand[0].Why, "only for thin")
	plan = b.Plan(ask(b, observation.Observation{Job: "crack", Have: []string{"7018", "312"}, Limits: []string{"gtaw"}}, map[string]float64{"low-carbon-steel": 1}))
	for _, a := range plan.AtHand {
		require.Equal(t, "not by the process, current or position told", a.Why)
	}
}
