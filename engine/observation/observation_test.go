package observation_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/data"
	"rodcall/engine/observation"
)

func parse(t *testing.T, text string) observation.Observation {
	t.Helper()
	o, err := observation.Parse(json.RawMessage(text))
	require.NoError(t, err, text)
	return o
}

func printed(t *testing.T, o observation.Observation) string {
	t.Helper()
	b, err := json.Marshal(o)
	require.NoError(t, err)
	return string(b)
}

func TestObservationOfTheContractIsRead(t *testing.T) {
	text := `{"magnet":"none","spark":{"volume":"small","length_in":25,"color_near":"dull-red","bursts":"few","burst_form":"forked","against":{"piece":"low-carbon-steel","length":"less"}},` +
		`"file":"skates","hardness":[{"value":45,"scale":"HRC"}],"chip":"crumbles","rust":"none","density_g_cm3":7.85,"fracture":["fine-grey"],"part":"sprocket","marks":["8.8"],` +
		`"service":["impact"],"chem":{"C":0.4,"Cr":1},"chem_method":"lab","claim":[{"metal":"sae-4140","by":"owner"}],"excluded":["gray-iron"],"job":"crack","joined_to":"low-carbon-steel",` +
		`"size":{"thickness_mm":20},"limits":["no-preheat"],"have":["E7018"],"scene":{"site":["sawmill"],"where":["bench"]},"process":["any-weld"],"test":["spark"]}`
	require.JSONEq(t, text, printed(t, parse(t, text)))
}

func TestSingleWordsStandForListsAndTheReverse(t *testing.T) {
	o := parse(t, `{"hardness":{"value":45,"scale":"HRC"},"fracture":"fibrous","color":["gold","yellow"],"claim":"cast-steel","test":"spark","magnet":["none"],"marks":"8.8","service":"impact"}`)
	require.Len(t, o.Hardness, 1)
	require.Equal(t, []string{"fibrous"}, o.Fracture)
	require.Equal(t, []observation.Claim{{Metal: "cast-steel", By: "rep"}}, o.Claim)
	require.Equal(t, []string{"spark"}, o.Test)
	require.Equal(t, "none", o.Magnet)
	require.Equal(t, "{}", printed(t, parse(t, `{"magnet":null,"spark":null}`)))
}

func TestWhatTheContractDoesNotKnowIsAnErrorWithTheNearestWords(t *testing.T) {
	for text, want := range map[string]string{
		`{"magnat":"none"}`:                                `unknown key "magnat"; did you mean magnet`,
		`{"magnet":"wobbly"}`:                              `magnet: unknown word "wobbly"; did you mean none, `,
		`{"spark":{"volume":"smal"}}`:                      `spark.volume: unknown word "smal"; did you mean small`,
		`{"spark":{"colour_near":"red"}}`:                  `spark: unknown key "colour_near"; did you mean color_near`,
		`{"file":"skate"}`:                                 `did you mean skates`,
		`{"excluded":["grey-iron"]}`:                       `did you mean gray-iron`,
		`{"joined_to":"mild-steel"}`:                       `joined_to: unknown word "mild-steel"`,
		`{"hardness":{"value":45}}`:                        `hardness: needs a scale`,
		`{"hardness":{"value":90,"scale":"HRC"}}`:          `hardness: 90 HRC is above the scale's end (68); did you mean HRB?`,
		`{"hardness":{"value":70,"scale":"HRC"}}`:          `hardness: 70 HRC is above the scale's end (68); did you mean HRB?`,
		`{"hardness":{"value":210,"scale":"HRC"}}`:         `hardness: 210 HRC is above the scale's end (68); did you mean HB?`,
		`{"hardness":{"value":0.5,"scale":"HRC"}}`:         `hardness: 0.5 HRC is below the scale's beginning (1)`,
		`{"hardness":{"value":"45","scale":"HRC"}}`:        `should be a number`,
		`{"density_g_cm3":78.5}`:                           `density_g_cm3: 78.5 is outside 0.5 to 25`,
		`{"chem":{"C":101}}`:                               `chem.C: 101 is outside 0 to 100`,
		`{"chem":{"Fe":80,"Ni":60}}`:                       `chem: sums to 140 %`,
		`{"chem":{"Xx":1}}`:                                `chem: unknown key "Xx"`,
		`{"size":{"thickness_mm":-3}}`:                     `size.thickness_mm: -3 is outside`,
		`{"claim":[{"metal":"","by":"rep"}]}`:              `claim.metal: holds an empty word; claim: needs a metal`,
		`{"claim":[{"metal":"cast-steel","by":"nobody"}]}`: `claim.by: unknown word "nobody"`,
		`{"magnet":"x","file":"y"}`:                        `; file: unknown word "y"`,
		`{"magnet":["none","slight"]}`:                     `magnet: takes one word, not 2`,
		`[1]`:                                              `observation: should be an object`,
		`"x"`:                                              `observation: should be an object`,
		`{"service":["bath"]}`:                             `service: unknown word "bath"`,
		`{"test":3}`:                                       `test: should be a word or a list of words`,
	} {
		_, err := observation.Parse(json.RawMessage(text))
		require.ErrorContains(t, err, want, text)
	}
}

func TestWordsFromDataAreCheckedWhereTheVocabularyHoldsThem(t *testing.T) {
	faults := &data.Faults{}
	v := observation.Vocabulary{Tags: data.LoadTags(data.Files(), faults), IsGrade: func(id string) bool { return id == "sae-4140" },
		IsClass: func(name string) bool { return name == "E7018" }}
	require.NoError(t, faults.Err())
	_, err := v.Parse(json.RawMessage(`{"scene":{"site":"sawmil"}}`))
	require.ErrorContains(t, err, `scene.site: unknown word "sawmil"; did you mean sawmill`)
	_, err = v.Parse(json.RawMessage(`{"have":["E7019"]}`))
	require.ErrorContains(t, err, `have: unknown consumable class "E7019"`)
	_, err = v.Parse(json.RawMessage(`{"claim":{"metal":"sae-9999","by":"rep"}}`))
	require.ErrorContains(t, err, `claim: unknown family or grade "sae-9999"`)
	_, err = v.Parse(json.RawMessage(`{"claim":{"metal":"sae-4140","by":"rep"},"have":"E7018","scene":{"site":["sawmill"]}}`))
	require.NoError(t, err)
}

func TestLaterMessageWinsKeyByKey(t *testing.T) {
	for _, c := range []struct{ earlier, later, want string }{
		{`{"magnet":"strong","file":"bites"}`, `{"magnet":"slight"}`, `{"magnet":"slight","file":"bites"}`},
		{`{"spark":{"volume":"small","bursts":"few"}}`, `{"spark":{"bursts":"many"}}`, `{"spark":{"volume":"small","bursts":"many"}}`},
		{`{"spark":{"against":{"piece":"gray-iron","length":"more"}}}`, `{"spark":{"against":{"piece":"gray-iron","bursts":"less"}}}`,
			`{"spark":{"against":{"piece":"gray-iron","length":"more","bursts":"less"}}}`},
		{`{"spark":{"against":{"piece":"gray-iron","length":"more"}}}`, `{"spark":{"against":{"piece":"low-carbon-steel","bursts":"less"}}}`,
			`{"spark":{"against":{"piece":"low-carbon-steel","bursts":"less"}}}`},
		{`{"size":{"thickness_mm":19,"length_mm":100}}`, `{"size":{"thickness_mm":38}}`, `{"size":{"thickness_mm":38,"length_mm":100}}`},
		{`{"hardness":[{"value":45,"scale":"HRC"},{"value":400,"scale":"HB"}]}`, `{"hardness":{"value":30,"scale":"HRC"}}`,
			`{"hardness":[{"value":400,"scale":"HB"},{"value":30,"scale":"HRC"}]}`},
		{`{"chem":{"C":0.4,"Cr":1}}`, `{"chem":{"Cr":1.1,"Mo":0.2}}`, `{"chem":{"C":0.4,"Cr":1.1,"Mo":0.2}}`},
		{`{"claim":[{"metal":"cast-steel","by":"rep"},{"metal":"sae-4140","by":"owner"}]}`, `{"claim":{"metal":"gray-iron","by":"rep"}}`,
			`{"claim":[{"metal":"sae-4140","by":"owner"},{"metal":"gray-iron","by":"rep"}]}`},
		{`{"claim":{"metal":"gray-iron","by":"rep"}}`, `{"excluded":["gray-iron"]}`, `{"excluded":["gray-iron"]}`},
		{`{"excluded":["gray-iron","brass"]}`, `{"claim":{"metal":"gray-iron","by":"rep"}}`, `{"claim":[{"metal":"gray-iron","by":"rep"}],"excluded":["brass"]}`},
		{`{"limits":["no-preheat","machinable"]}`, `{"limits":["preheat-ok"]}`, `{"limits":["machinable","preheat-ok"]}`},
		{`{"have":["E7018"]}`, `{"have":["E312"]}`, `{"have":["E7018","E312"]}`},
		{`{"scene":{"site":["sawmill"],"where":["in-plant"]}}`, `{"scene":{"where":["bench"]}}`, `{"scene":{"site":["sawmill"],"where":["bench"]}}`},
		{`{}`, `{"spark_skin":{"length":"short"}}`, `{"spark_skin":{"length":"short"}}`},
	} {
		before, after := parse(t, c.earlier), parse(t, c.later)
		was, is := printed(t, before), printed(t, after)
		require.JSONEq(t, c.want, printed(t, observation.Merge(before, after)))
		require.Equal(t, was, printed(t, before), "merging changes neither side")
		require.Equal(t, is, printed(t, after), "merging changes neither side")
	}
}

func TestMergingWithNothingOrWithItselfChangesNothing(t *testing.T) {
	o := parse(t, `{"magnet":"none","spark":{"volume":"small"},"hardness":{"value":45,"scale":"HRC"},"chem":{"C":0.4},"claim":{"metal":"cast-steel","by":"rep"},"excluded":"brass","size":{"width_mm":3},"limits":"no-preheat","scene":{"where":"bench"}}`)
	for _, got := range []observation.Observation{observation.Merge(o, observation.Observation{}), observation.Merge(observation.Observation{}, o), observation.Merge(o, o)} {
		require.Equal(t, printed(t, o), printed(t, got))
	}
}

func TestChangesAreListedInTheOrderOfTheContract(t *testing.T) {
	before := parse(t, `{"magnet":"strong","spark":{"length":"short"},"file":"bites","size":{"thickness_mm":19.05}}`)
	after := parse(t, `{"magnet":"slight","spark":{"length":"short","bursts":"few"},"hardness":{"value":45,"scale":"HRC"},"size":{"thickness_mm":38.1}}`)
	require.Equal(t, []observation.Change{
		{Key: "magnet", Was: "strong", Now: "slight"},
		{Key: "spark.bursts", Now: "few"},
		{Key: "file", Was: "bites"},
		{Key: "hardness", Now: "45 HRC"},
		{Key: "size.thickness_mm", Was: "19.05", Now: "38.1"},
	}, observation.Changes(before, after))
	require.Empty(t, observation.Changes(after, after))
}

func TestOrderOfEntriesIsThatOfTheContract(t *testing.T) {
	figure := 1.0
	spark := observation.Spark{Volume: "small", LengthIn: &figure, Length: "short", ColorNear: "red", ColorEnd: "red", Bursts: "few", BurstForm: "buds",
		Spread: "wide", Against: &observation.Against{Piece: "copper", Length: "less"}}
	words := []string{"x"}
	full := observation.Observation{Magnet: "none", Spark: &spark, SparkSkin: &spark, File: "bites", Hardness: []observation.Hardness{{Value: 1, Scale: "HB"}},
		Chip: "crumbles", Rust: "none", DensityGCM3: &figure, Weight: "light", Sound: "dull", Fracture: words, Color: words, Torch: words, Surface: words,
		Part: "x", Marks: words, Service: words, ServiceTempC: &figure, Chem: map[string]float64{"C": 1}, ChemMethod: "lab", Claim: []observation.Claim{{Metal: "copper", By: "rep"}},
		Excluded: words, Job: "crack", JoinedTo: "copper", Size: &observation.Size{ThicknessMM: &figure, LengthMM: &figure, DepthMM: &figure, WidthMM: &figure, DiameterMM: &figure},
		Limits: words, Have: words, Cost: &observation.Cost{Currency: "usd", Replacement: &figure, ReplaceH: &figure, DowntimeH: &figure, LabourH: &figure, RepairH: &figure,
			ConsumableKG: &figure, FuelKG: &figure}, Scene: &observation.Scene{Site: words, Where: words, Use: words, Coating: words, Enclosure: words, Residue: words,
			State: words, Person: words, Temp: words, Part: words, Ask: words}, Process: words, Test: words}
	var keys []string
	for _, e := range full.Entries() {
		keys = append(keys, e.Key)
	}
	var changed []string
	for _, c := range observation.Changes(observation.Observation{}, full) {
		changed = append(changed, c.Key)
	}
	require.Equal(t, keys, changed)
	var gone []string
	for _, c := range observation.Changes(full, observation.Observation{}) {
		gone = append(gone, c.Key)
	}
	require.Equal(t, keys, gone)
	half := full
	half.Spark, half.Size, half.Process = nil, nil, nil
	var between []string
	for _, c := range observation.Changes(half, full) {
		between = append(between, c.Key)
	}
	require.IsIncreasing(t, positions(keys, between))
}

func positions(all, some []string) []int {
	var out []int
	for _, s := range some {
		for i, a := range all {
			if a == s {
				out = append(out, i)
			}
		}
	}
	return out
}

func TestLineIsTheStructuredForm(t *testing.T) {
	o := parse(t, `{"magnet":"none","spark":{"color_near":"dull-red"},"part":"jaw crusher plate","hardness":{"value":45,"scale":"HRC"},"claim":{"metal":"sae-4140","by":"owner"}}`)
	require.Equal(t, `magnet:none spark.color_near:dull-red hardness:"45 HRC" part:"jaw crusher plate" claim:"sae-4140 by owner"`, observation.Line(o))
}

func FuzzParse(f *testing.F) {
	f.Add(`{"magnet":"none","chem":{"C":0.4}}`)
	f.Add(`{"hardness":[{"value":1e400}]}`)
	f.Add(`{"spark":{"against":[[[]]]}}`)
	f.Fuzz(func(t *testing.T, text string) {
		o, err := observation.Parse(json.RawMessage(text))
		if err != nil {
			return
		}
		again, err := observation.Parse(json.RawMessage(printed(t, o)))
		if err != nil || printed(t, again) != printed(t, o) {
			t.Fatalf("%q does not read back: %v", text, err)
		}
	})
}

func BenchmarkParse(b *testing.B) {
	raw := json.RawMessage(`{"magnet":"none","spark":{"volume":"small","length":"short","color_near":"dull-red","bursts":"few"},"file":"skates","part":"jaw liner","hardness":{"value":45,"scale":"HRC"},"chem":{"C":0.4,"Cr":1}}`)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := observation.Parse(raw); err != nil {
			b.Fatal(err)
		}
	}
}
