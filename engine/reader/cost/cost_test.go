package cost_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/reader/cost"
)

func TestWordsOfCostAreReadAsPeopleSayThem(t *testing.T) {
	for text, want := range map[string]string{
		"a new one is $900, 3 days away":                                   `{"currency":"usd","replacement":900,"replace_h":72}`,
		"New part costs 1,200 and lead time is 2 weeks":                    `{"replacement":1200,"replace_h":336}`,
		"replacement 1.2k usd, delivery 10 days":                           `{"currency":"usd","replacement":1200,"replace_h":240}`,
		"€450 for a new one":                                               `{"currency":"eur","replacement":450}`,
		"down costs 200 dollars an hour, labour 60 dollars an hour":        `{"currency":"usd","downtime_per_h":200,"labour_per_h":60}`,
		"downtime £2400/day, shop rate 55/h":                               `{"currency":"gbp","downtime_per_h":100,"labour_per_h":55}`,
		"new one $600 and 4 days, labour $65 an hour":                      `{"currency":"usd","replacement":600,"replace_h":96,"labour_per_h":65}`,
		"we lose $4800 a day":                                              `{"currency":"usd","downtime_per_h":200}`,
		"new shaft 850 eur, in 5 days":                                     `{"currency":"eur","replacement":850,"replace_h":120}`,
		"we lose 300 an hour standing":                                     `{"downtime_per_h":300}`,
		"repair takes 4 hours, labor 45 per hour":                          `{"labour_per_h":45,"repair_h":4}`,
		"rods 12 a kilo, propane 3 per kg":                                 `{"consumable_per_kg":12,"fuel_per_kg":3}`,
		"new part costs 1,200 euros":                                       `{"currency":"eur","replacement":1200}`,
		"new shaft costs $1,400 and lead time 3 weeks":                     `{"currency":"usd","replacement":1400,"replace_h":504}`,
		"a replacement pump casing is €820":                                `{"currency":"eur","replacement":820}`,
		"new rods cost $12 a kilo":                                         `{"currency":"usd","consumable_per_kg":12}`,
		"a spare costs 80 quid and comes in 2 days":                        `{"currency":"gbp","replacement":80,"replace_h":48}`,
		"new part 700 Canadian dollars, one shift to get, welding 3 hours": `{"currency":"cad","replacement":700}`,
	} {
		r := cost.Read(text)
		require.NotNil(t, r.Cost, text)
		got, err := json.Marshal(r.Cost)
		require.NoError(t, err)
		require.JSONEq(t, want, string(got), text)
		for _, s := range r.Spans {
			require.True(t, s.Start >= 0 && s.Start < s.End && s.End <= len(text), text)
		}
	}
}

func TestWordsOfTheShopAreNotReadAsCost(t *testing.T) {
	for _, text := range []string{"", "new 7018 rods", "new sprocket, 12 mm thick", "got new 309L", "rusted 2 weeks out in the rain", "took the pump down 2 days ago",
		"rods 3.2 mm, 5 kg", "new one is 12 mm thick", "replacement jaw 300 HB", "wait 2 days then check", "heat at 50 C per hour", "down 4 in from the edge", "it costs 1,2,3", "new one costs $1e400", "new one costs 12mm"} {
		require.Nil(t, cost.Read(text).Cost, text)
	}
}

func TestTwoCurrenciesAreToldAndNotMixed(t *testing.T) {
	r := cost.Read("new one $900, labour €60 an hour")
	require.Nil(t, r.Cost)
	require.True(t, r.Mixed)
}

func FuzzRead(f *testing.F) {
	f.Add("a new one is $900, 3 days away, down costs 200 an hour")
	f.Add("€€€ new 9,,9 k per h\xff")
	f.Fuzz(func(t *testing.T, text string) {
		r := cost.Read(text)
		for _, s := range r.Spans {
			if s.Start < 0 || s.End > len(text) || s.Start >= s.End {
				t.Fatalf("%q: %v", text, s)
			}
		}
		if _, err := json.Marshal(r.Cost); err != nil {
			t.Fatal(err)
		}
	})
}
