package quantity

import (
	"bufio"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rodcall/engine/data"
	"rodcall/engine/data/datatest"
	"rodcall/engine/filler"
)

func loadQuantities(t require.TestingT) *Tables {
	var faults data.Faults
	q := Load(data.Files(), filler.Read(data.Files(), &faults), &faults)
	require.NoError(t, faults.Err())
	return q
}

// quantityRow is one row of quantities.jsonl.
type quantityRow struct {
	ID         string             `json:"id"`
	Inputs     map[string]any     `json:"inputs"`
	Expected   map[string]float64 `json:"expected"`
	Tolerance  map[string]float64 `json:"tolerance"` // abs, rel, or a key with _abs
	Source     string             `json:"source"`
	SourceKind string             `json:"source_kind"` // seen, else our own arithmetic on a seen or own formula
}

func quantityRows(t require.TestingT) []quantityRow {
	file, err := os.Open("../../testdata/published/quantities.jsonl")
	require.NoError(t, err)
	defer file.Close()
	var rows []quantityRow
	for lines := bufio.NewScanner(file); lines.Scan(); {
		var row quantityRow
		require.NoError(t, json.Unmarshal(lines.Bytes(), &row), lines.Text())
		rows = append(rows, row)
	}
	require.NotEmpty(t, rows)
	return rows
}

// allowed is how far a value may lie off. What the row does not say is held to one per cent.
func (r quantityRow) allowed(key string) float64 {
	if v, ok := r.Tolerance[key+"_abs"]; ok {
		return v
	}
	if v, ok := r.Tolerance["abs"]; ok {
		return v
	}
	rel, ok := r.Tolerance["rel"]
	if !ok {
		rel = 0.01
	}
	return rel * math.Abs(r.Expected[key])
}

func asNumber(t require.TestingT, v any, why string) float64 {
	switch n := v.(type) {
	case float64:
		return n
	case int:
		return float64(n)
	}
	require.Fail(t, fmt.Sprintf("%s: %v is no number", why, v))
	return 0
}

func TestEveryPublishedQuantityComesOutWithinItsTolerance(t *testing.T) {
	q := loadQuantities(t)
	values := map[bool]int{}
	rows := map[bool]int{}
	for _, row := range quantityRows(t) {
		name := fmt.Sprintf("%s, source: %s", row.ID, row.Source)
		require.NotEmpty(t, row.Source, row.ID)
		got, err := q.Of(row.Inputs)
		require.NoError(t, err, name)
		published := row.SourceKind == "seen"
		rows[published]++
		for key, want := range row.Expected {
			require.Contains(t, got, key, name)
			require.InDelta(t, want, asNumber(t, got[key], name), row.allowed(key)+1e-12, "%s of %s", key, name)
			values[published]++
		}
	}
	t.Logf("%d values of %d rows are published; apart from these %d values of %d rows repeat our own arithmetic", values[true], rows[true], values[false], rows[false])
}

// Worked examples in the prose of the same sources, which no row holds.
func TestWorkedExamplesOfTheSourcesComeOut(t *testing.T) {
	q := loadQuantities(t)
	for _, c := range []struct {
		source, inputs, key string
		want, within        float64
	}{
		{"trade handbook: 40 ft3/h at 10.2 lb/h is 3.9 ft3 a pound, seen", `{"gas_cfh":40,"deposition_lb_h":10.2}`, "gas_ft3_per_lb", 3.9, 0.05},
		{"computed in the planning sheet: 120 kg from 20 to 200 C", `{"mass_kg":120,"from_c":20,"to_c":200}`, "heat_mj", 10.4, 0.05},
		{"computed in the planning sheet: at 0.3 efficiency", `{"mass_kg":120,"from_c":20,"to_c":200,"efficiency":0.3}`, "fuel_heat_mj", 34.6, 0.05},
		{"computed in the planning sheet: about 0.75 kg propane", `{"mass_kg":120,"rise_k":180,"torch_efficiency":0.3,"fuel":"propane"}`, "propane_kg", 0.75, 0.005},
		{"computed in the planning sheet: 350 mm less 75", `{"length_mm":350,"stub_mm":75}`, "recovered_length_fraction", 0.786, 0.0005},
		{"computed in the planning sheet: 450 mm less 100", `{"electrode_length_mm":450,"stub_mm":100}`, "recovered_length_fraction", 0.778, 0.0005},
		{"computed in the planning sheet: melted core of 2.4 x 300", `{"core_diameter_mm":2.4,"length_mm":300,"stub_mm":50}`, "melted_core_g", 8.9, 0.05},
		{"computed in the planning sheet: melted core of 6.3 x 450", `{"core_diameter_mm":6.3,"length_mm":450,"stub_mm":50}`, "melted_core_g", 97.9, 0.05},
		{"computed in the planning sheet: 4 x 350 at 0.90, pieces a kilogram", `{"deposit_kg":1,"core_diameter_mm":4,"length_mm":350,"stub_mm":50,"core_recovery":0.9}`, "electrodes", 38, 0},
	} {
		var inputs map[string]any
		require.NoError(t, json.Unmarshal([]byte(c.inputs), &inputs))
		got, err := q.Of(inputs)
		require.NoError(t, err, c.source)
		require.InDelta(t, c.want, asNumber(t, got[c.key], c.source), c.within+1e-9, c.source)
	}
}

// drawings has one drawing in mm of every joint; those with a thickness can grow in it.
var drawings = map[string]string{
	"fillet":               `{"leg_mm":8,"length_mm":600}`,
	"square butt":          `{"t_mm":5,"gap_mm":2,"length_mm":600}`,
	"single V":             `{"t_mm":12,"angle_deg":60,"gap_mm":3,"root_face_mm":2,"length_mm":600}`,
	"double V":             `{"t_mm":30,"angle_deg":60,"gap_mm":3,"root_face_mm":2,"length_mm":600}`,
	"single bevel":         `{"t_mm":12,"bevel_deg":45,"gap_mm":3,"root_face_mm":2,"length_mm":600}`,
	"double bevel":         `{"t_mm":30,"bevel_deg":45,"gap_mm":3,"root_face_mm":2,"length_mm":600}`,
	"single U":             `{"t_mm":25,"bevel_each_side_deg":10,"radius_mm":6,"gap_mm":3,"root_face_mm":3,"length_mm":600}`,
	"double U":             `{"t_mm":50,"bevel_deg":10,"radius_mm":6,"gap_mm":3,"root_face_mm":3,"length_mm":600}`,
	"single J":             `{"t_mm":25,"bevel_deg":15,"radius_mm":6,"gap_mm":3,"root_face_mm":3,"length_mm":600}`,
	"crack gouge":          `{"width_mm":16,"depth_mm":10,"length_mm":600}`,
	"bead":                 `{"width_mm":12,"height_mm":3,"length_mm":600}`,
	"edge":                 `{"width_mm":20,"height_mm":8,"length_mm":600}`,
	"plug":                 `{"width_mm":20,"depth_mm":12,"length_mm":600}`,
	"overlay":              `{"length_mm":600,"width_mm":200,"thickness_mm":5}`,
	"shaft build-up":       `{"diameter_mm":90,"depth_mm":3,"length_mm":600}`,
	"shaft build-up exact": `{"diameter_mm":90,"depth_mm":3,"length_mm":600}`,
	"bore build-up":        `{"diameter_mm":90,"depth_mm":3,"length_mm":600}`,
}

func drawing(t require.TestingT, joint string) map[string]any {
	var inputs map[string]any
	require.NoError(t, json.Unmarshal([]byte(drawings[joint]), &inputs), joint)
	inputs["joint"] = joint
	return inputs
}

func with(inputs map[string]any, key string, value any) map[string]any {
	out := map[string]any{}
	for k, v := range inputs {
		out[k] = v
	}
	out[key] = value
	return out
}

func deposit(t require.TestingT, q *Tables, inputs map[string]any) float64 {
	got, err := q.Of(inputs)
	require.NoError(t, err, "%v", inputs)
	return asNumber(t, got["deposit_kg"], fmt.Sprint(inputs))
}

func TestEveryJointHasADrawingAndAnAnswer(t *testing.T) {
	q := loadQuantities(t)
	for _, joint := range jointNames() {
		require.Contains(t, drawings, joint)
		require.Positive(t, deposit(t, q, drawing(t, joint)), joint)
	}
	require.Len(t, drawings, len(jointForms))
}

func TestInchInputsGiveWhatMillimetresGive(t *testing.T) {
	q := loadQuantities(t)
	rapid.Check(t, func(t *rapid.T) {
		joint := rapid.SampledFrom(jointNames()).Draw(t, "joint")
		metric := with(drawing(t, joint), "length_mm", rapid.Float64Range(50, 5000).Draw(t, "length"))
		metric["class"] = "E7018"
		us := map[string]any{}
		for key, v := range metric {
			if stem, ok := strings.CutSuffix(key, "_mm"); ok {
				us[stem+"_in"] = v.(float64) / 25.4
				continue
			}
			us[key] = v
		}
		want, err := q.Of(metric)
		require.NoError(t, err)
		got, err := q.Of(us)
		require.NoError(t, err)
		require.Len(t, got, len(want))
		for key, v := range want {
			if number, ok := v.(float64); ok {
				require.InEpsilon(t, number, got[key], 1e-5, "%s of %s", key, joint)
			}
		}
		require.InEpsilon(t, want["deposit_kg"].(float64)/0.45359237, want["deposit_lb"], 1e-5)
	})
}

func TestQuantitiesScaleWithLength(t *testing.T) {
	q := loadQuantities(t)
	rapid.Check(t, func(t *rapid.T) {
		joint := rapid.SampledFrom(jointNames()).Draw(t, "joint")
		if joint == "plug" {
			return // the round ends of a slot do not grow with it
		}
		class := rapid.SampledFrom([]string{"E7018", "ENiFe-CI", "ER70S-6", "E71T-8", "EFeCr-A1A"}).Draw(t, "class")
		length, times := rapid.Float64Range(20, 500).Draw(t, "length"), rapid.Float64Range(1.1, 20).Draw(t, "times")
		one, err := q.Of(with(with(drawing(t, joint), "length_mm", length), "class", class))
		require.NoError(t, err)
		more, err := q.Of(with(with(drawing(t, joint), "length_mm", length*times), "class", class))
		require.NoError(t, err)
		for _, key := range []string{"deposit_kg", "volume_cm3", "consumable_kg", "arc_h", "clock_h", "bead_m", "gas_l"} {
			if v, ok := one[key]; ok {
				require.InEpsilon(t, v.(float64)*times, more[key], 1e-4, "%s of %s", key, joint)
			}
		}
	})
}

func TestThickerPlatesAndDeeperCutsTakeMore(t *testing.T) {
	q := loadQuantities(t)
	rapid.Check(t, func(t *rapid.T) {
		joint := rapid.SampledFrom(jointNames()).Draw(t, "joint")
		inputs := drawing(t, joint)
		for _, key := range []string{"leg_mm", "t_mm", "depth_mm", "thickness_mm", "height_mm"} {
			if v, ok := inputs[key]; ok {
				grow := rapid.Float64Range(1.01, 2).Draw(t, "grow")
				require.Greater(t, deposit(t, q, with(inputs, key, v.(float64)*grow)), deposit(t, q, inputs), "%s of %s", key, joint)
			}
		}
	})
}

func TestTheAnnulusIsTheThinShellPlusItsShare(t *testing.T) {
	q := loadQuantities(t)
	rapid.Check(t, func(t *rapid.T) {
		d, e := rapid.Float64Range(10, 500).Draw(t, "diameter"), rapid.Float64Range(0.5, 10).Draw(t, "depth")
		inputs := map[string]any{"joint": "shaft build-up", "diameter_mm": d, "depth_mm": e, "length_mm": 100.0}
		got, err := q.Of(inputs)
		require.NoError(t, err)
		exact := deposit(t, q, with(inputs, "joint", "shaft build-up exact"))
		require.InEpsilon(t, got["deposit_kg"].(float64)*(1+e/d), exact, 1e-4)
		require.InEpsilon(t, exact, got["deposit_kg_exact"], 1e-4)
		two := map[string]any{"joint": "shaft build-up", "from_mm": d, "to_mm": d + 2*e, "length_mm": 100.0}
		require.InEpsilon(t, exact, deposit(t, q, two), 1e-4)
		bore := map[string]any{"joint": "bore build-up", "from_mm": d + 2*e, "to_mm": d, "length_mm": 100.0}
		require.InEpsilon(t, exact, deposit(t, q, bore), 1e-4)
	})
}

func TestTwoHalvesOfADoubleGrooveTakeLessThanOneGroove(t *testing.T) {
	q := loadQuantities(t)
	for _, pair := range [][2]string{{"single V", "double V"}, {"single bevel", "double bevel"}} {
		inputs := drawing(t, pair[0])
		require.Greater(t, deposit(t, q, inputs), deposit(t, q, with(inputs, "joint", pair[1])), pair[0])
	}
	j, u := drawing(t, "single J"), drawing(t, "single J")
	j["gap_mm"], u["gap_mm"], u["joint"] = 0.0, 0.0, "single U"
	require.InEpsilon(t, 2*deposit(t, q, j), deposit(t, q, u), 1e-5)
	flat := with(drawing(t, "single U"), "radius_mm", 0.001)
	v := with(with(drawing(t, "single V"), "t_mm", flat["t_mm"]), "root_face_mm", flat["root_face_mm"])
	require.InEpsilon(t, deposit(t, q, with(v, "angle_deg", 20.0)), deposit(t, q, flat), 1e-3, "a U without a radius is a V")
}

func quantityOf(t require.TestingT, q *Tables, inputs map[string]any, key string) float64 {
	got, err := q.Of(inputs)
	require.NoError(t, err, "%v", inputs)
	require.Contains(t, got, key, "%v", inputs)
	return asNumber(t, got[key], key)
}

func TestADoubleGrooveIsTwoGroovesOfHalfThePlate(t *testing.T) {
	q := loadQuantities(t)
	for single, double := range map[string]string{"single V": "double V", "single bevel": "double bevel", "single U": "double U"} {
		whole := drawing(t, double)
		half := with(with(whole, "t_mm", whole["t_mm"].(float64)/2), "root_face_mm", whole["root_face_mm"].(float64)/2)
		require.InEpsilon(t, 2*deposit(t, q, with(half, "joint", single)), deposit(t, q, whole), 1e-5, double)
	}
}

// The arc runs the whole length of the bead at its travel, so that bead and arc time tell the same.
func TestTheBeadIsWhatTheArcTravels(t *testing.T) {
	q := loadQuantities(t)
	rapid.Check(t, func(t *rapid.T) {
		inputs := drawing(t, rapid.SampledFrom(jointNames()).Draw(t, "joint"))
		inputs["class"] = rapid.SampledFrom([]string{"E7018", "ER4043", "E71T-8", "RBCuZn-C"}).Draw(t, "class")
		travel := rapid.Float64Range(50, 600).Draw(t, "travel")
		got, err := q.Of(with(inputs, "travel_mm_min", travel))
		require.NoError(t, err)
		require.InEpsilon(t, got["arc_h"].(float64)*60*travel/1000, got["bead_m"], 1e-4)
	})
}

func TestPassesFillTheSectionAndNoMore(t *testing.T) {
	q := loadQuantities(t)
	got, err := q.Of(with(with(drawing(t, "single V"), "class", "E7018"), "travel_mm_min", 150.0))
	require.NoError(t, err)
	each := got["bead_m"].(float64) / 0.6 // runs of the length of the seam
	require.GreaterOrEqual(t, asNumber(t, got["passes"], "passes"), each)
	require.Less(t, asNumber(t, got["passes"], "passes"), each+1)
}

func TestTheRateGoesWithTheCurrent(t *testing.T) {
	q := loadQuantities(t)
	inputs := map[string]any{"deposit_kg": 1.0, "class": "E7018", "core_diameter_mm": 4.0, "amps": 180.0}
	require.InEpsilon(t, 1.7, quantityOf(t, q, inputs, "deposition_kg_h"), 1e-6, "the row of the table itself")
	require.InEpsilon(t, 1.7*160/180, quantityOf(t, q, with(inputs, "amps", 160.0), "deposition_kg_h"), 1e-5)
	got, err := q.Of(with(inputs, "amps", 400.0))
	require.NoError(t, err)
	require.Contains(t, fmt.Sprint(got["warnings"]), "400 A is outside 150-215 A for E7018 of 4 mm")
	// pi/4 1.2^2 mm2 at 8 m/min of 7.85 g/cm3, a share of 0.9 of it: 3.836 kg/h, by hand.
	feed := map[string]any{"process": "GMAW", "wire_mm": 1.2, "wire_feed_m_min": 8.0, "efficiency": 0.9}
	require.InEpsilon(t, 3.836, quantityOf(t, q, feed, "deposition_kg_h"), 1e-3)
}

func TestPreheatBalancesHeatFuelAndTime(t *testing.T) {
	q := loadQuantities(t)
	inputs := map[string]any{"mass_kg": 120.0, "from_c": 20.0, "to_c": 200.0, "burner_kw": 30.0, "thickness_mm": 50.0, "fuel": "oxy-acetylene"}
	got, err := q.Of(inputs)
	require.NoError(t, err)
	require.InEpsilon(t, got["fuel_heat_mj"].(float64)*1000/30/3600, got["heating_h"], 1e-5, "kilojoules over kilowatts are seconds")
	require.InEpsilon(t, 2.0, got["soak_h"], 1e-9, "an hour for each 25 mm")
	require.InEpsilon(t, got["fuel_kg"].(float64)/1.1*1.15, got["oxygen_m3"], 1e-4)
	require.Less(t, quantityOf(t, q, with(inputs, "boxed", true), "fuel_kg"), got["fuel_kg"])
	us := map[string]any{"mass_lb": 120 / 0.45359237, "from_f": 68.0, "to_f": 392.0, "burner_btu_h": 30 * 3412.1416331, "thickness_in": 50 / 25.4, "fuel": "oxy-acetylene"}
	for _, key := range []string{"heat_mj", "fuel_kg", "heating_h", "soak_h", "oxygen_m3"} {
		require.InEpsilon(t, got[key], quantityOf(t, q, us, key), 1e-4, key)
	}
}

func TestThePriceOfTheWireNeedsNoProcessWhenOneEfficiencyIsTold(t *testing.T) {
	q := loadQuantities(t)
	inputs := map[string]any{"wire_usd_lb": 1.78, "eff_fcaw": 0.87, "deposit_lb": 100.0}
	require.InDelta(t, 2.05, quantityOf(t, q, inputs, "wire_usd_per_lb"), 0.005) // the published worksheet
	require.InDelta(t, 204.6, quantityOf(t, q, inputs, "wire_usd"), 0.05)
	require.InEpsilon(t, quantityOf(t, q, inputs, "wire_usd_per_lb"),
		quantityOf(t, q, map[string]any{"wire_usd_kg": 1.78 / 0.45359237, "eff_fcaw": 0.87, "deposit_kg": 10.0}, "wire_usd_per_lb"), 1e-5)
}

// The handbook's efficiencies hold for a stub of 50 mm; a longer one wastes the length that it keeps.
func TestALongerStubLowersTheEfficiencyByWhatItKeeps(t *testing.T) {
	q := loadQuantities(t)
	inputs := map[string]any{"process": "SMAW", "deposit_kg": 10.0, "core_diameter_mm": 4.0, "electrode_length_mm": 350.0, "stub_mm": 50.0}
	require.InEpsilon(t, 10/0.62, quantityOf(t, q, inputs, "electrode_kg"), 1e-5)
	require.InEpsilon(t, 10/(0.62*250/300), quantityOf(t, q, with(inputs, "stub_mm", 100.0), "electrode_kg"), 1e-5)
}

func TestALongerStubTakesMoreElectrodes(t *testing.T) {
	q := loadQuantities(t)
	last := 0.0
	for stub := 25.0; stub <= 150; stub += 25 {
		got, err := q.Of(map[string]any{"deposit_kg": 10.0, "class": "E7018", "core_diameter_mm": 4.0, "electrode_length_mm": 350.0, "stub_mm": stub})
		require.NoError(t, err)
		n, bought := asNumber(t, got["electrodes"], "electrodes"), asNumber(t, got["electrode_kg"], "electrode_kg")
		require.Greater(t, n+bought, last)
		last = n + bought
	}
}

// An electrode cannot deposit more than it weighs, so pieces by core and mass by efficiency must not part.
func TestPiecesByCoreAndMassByEfficiencyAgreeForEveryCoveredElectrode(t *testing.T) {
	q := loadQuantities(t)
	for _, c := range q.classes {
		if c.metal == nil || !slices.Contains(c.processes, q.processOf["smaw"]) || c.group != "steel" {
			continue
		}
		got, err := q.Of(map[string]any{"deposit_kg": 20.0, "class": c.id, "process": "SMAW", "core_diameter_mm": 3.2, "electrode_length_mm": 350.0})
		require.NoError(t, err, c.id)
		ratio := asNumber(t, got["electrodes_packed_kg"], c.id) / asNumber(t, got["electrode_kg"], c.id)
		require.Greater(t, ratio, 0.6, c.id) // heavy iron powder coverings weigh more than the table's
		require.Less(t, ratio, 1.4, c.id)
	}
}

func TestWhatCannotBeIsRefusedInOneSentence(t *testing.T) {
	q := loadQuantities(t)
	for _, c := range []struct{ inputs, says string }{
		{`{"joint":"fillet","leg_mn":6,"length_m":1}`, `unknown input "leg_mn"; nearest: leg_mm`},
		{`{"joint":"fillet","leg":6,"length_m":1}`, "leg lacks its unit; write leg_mm or leg_in"},
		{`{"joint":"fillet","leg_mm":6,"lenght_m":1}`, "length_m"},
		{`{"joint":"filet","leg_mm":6}`, `unknown joint "filet"; known: fillet`},
		{`{"joint":"fillet","leg_mm":-6,"length_m":1}`, "leg_mm: -6 is impossible; it must be above 0"},
		{`{"joint":"fillet","leg_mm":"six","length_m":1}`, "leg_mm: \"six\" is no number"},
		{`{"joint":"fillet","length_m":1}`, "fillet: missing: leg_mm or leg_in"},
		{`{"joint":"fillet","leg_mm":6,"leg_in":0.5,"length_m":1}`, "leg_in and leg_mm say different things"},
		{`{"joint":"single V","t_mm":12,"angle_deg":190,"length_m":1}`, "angle_deg: 190 is impossible; it must be at most 179"},
		{`{"joint":"single V","t_mm":12,"angle_deg":60,"root_face_mm":14,"length_m":1}`, "root face 14 mm is more than the thickness of 12 mm"},
		{`{"joint":"single U","t_mm":12,"bevel_deg":10,"radius_mm":20,"length_m":1}`, "root radius of 20 mm is more than the depth"},
		{`{"joint":"shaft build-up exact","from_mm":96,"to_mm":90,"length_mm":100}`, "the finished diameter must be the larger"},
		{`{"joint":"bore build-up","from_mm":90,"to_mm":96,"length_mm":100}`, "the finished diameter must be the smaller"},
		{`{"deposit_kg":1,"efficiency":65}`, "efficiency: 65 is impossible; it is a share of at most 1, so write 0.65"},
		{`{"deposit_kg":1,"loss_smaw":1}`, "with a loss of all nothing is deposited"},
		{`{"deposit_kg":1,"efficiency":0.65,"loss":0.5}`, "contradicts the other efficiency"},
		{`{"deposit_kg":1,"core_diameter_mm":3.2,"length_mm":350,"stub_mm":400}`, "must be shorter"},
		{`{"deposit_kg":1,"deposition_kg_h":2,"operating_factor":0}`, "operating_factor: 0 is impossible"},
		{`{"deposit_kg":1,"process":"laser"}`, `unknown process "laser"; known: SMAW`},
		{`{"deposit_kg":1,"class":"E7081"}`, `unknown class "E7081"; nearest: E`},
		{`{"deposit_kg":1,"class":"EWTh-2"}`, "EWTh-2 is not consumed"},
		{`{"deposit_kg":1,"class":"E7018","process":"GTAW"}`, "E7018 is not welded by GTAW but by SMAW"},
		{`{"mass_kg":100,"from_c":200,"to_c":100}`, "heating from 200 to 100 °C is no rise"},
		{`{"mass_kg":100,"to_c":100,"fuel":"coal"}`, `unknown fuel "coal"`},
		{`{"labour_usd_h":45,"wire_eur_lb":2}`, "give all in one currency"},
		{`{}`, "these inputs allow no quantity: joint is missing"},
		{`{"joint":["fillet"]}`, "joint must be a word"},
		{`{"joint":"crack gouge","shape":"star","width_mm":5,"depth_mm":5,"length_mm":5}`, `shape: "star" is not known`},
		{`{"joint":"single V","t_mm":12,"angle_deg":60,"length_m":1,"reinforcement":"convex"}`, "only a fillet is convex"},
		{`{"joint":"fillet","leg_mm":6,"length_m":1,"reinforcement":"star"}`, `reinforcement: unknown word "star"`},
	} {
		var inputs map[string]any
		require.NoError(t, json.Unmarshal([]byte(c.inputs), &inputs))
		_, err := q.Of(inputs)
		require.ErrorContains(t, err, c.says, c.inputs)
		require.NotContains(t, err.Error(), "\n", c.inputs)
	}
}

func TestAJointIsKnownByItsWordsInAnyOrder(t *testing.T) {
	q := loadQuantities(t)
	for word, name := range map[string]string{"fillet weld": "fillet", "unequal leg fillet": "fillet", "Fillet, unequal": "fillet", "single-V": "single V", "V groove weld": "single V",
		"build-up of a shaft": "shaft build-up", "shaft buildup exact": "shaft build-up exact", "exact shaft build-up": "shaft build-up exact", "double_v": "double V", "crack": "crack gouge",
		"Square Butt Weld": "square butt", "bore": "bore build-up", "plug weld": "plug", "hardfacing": "overlay"} {
		j := q.joint(word)
		require.NotNil(t, j, word)
		require.Equal(t, name, j.name, word)
	}
	for _, word := range []string{"", "weld", "triple V", "shaft bore"} {
		require.Nil(t, q.joint(word), word)
	}
}

func TestTheNearestKeyIsAmongThoseOffered(t *testing.T) {
	q := loadQuantities(t)
	for typed, meant := range map[string]string{"leg_mn": "leg_mm", "lenght_m": "length_m", "opperating_factor": "operating_factor",
		"deposit_kgs": "deposit_kg", "angel_deg": "angle_deg", "root_gap": "root_gap_mm or root_gap_in", "radius_mmm": "radius_mm"} {
		_, err := q.Of(map[string]any{typed: 1.0})
		require.ErrorContains(t, err, meant, typed)
	}
}

func TestInputsOfAnyKindNeverPanicAndNeverGiveAnImpossibleFigure(t *testing.T) {
	q := loadQuantities(t)
	numbers := []any{0.0, -1.0, 1e-9, 0.3, 1.0, 3.2, 12.0, 60.0, 350.0, 1e6, 1e300, math.Inf(1), math.NaN(), "3/4", "", "E7018", true, nil, []any{1.0}}
	words := slices.Concat(jointNames(), []string{"E7018", "SMAW", "GMAW", "ER70S-6", "convex", "rectangle", "propane"})
	rapid.Check(t, func(t *rapid.T) {
		inputs := map[string]any{}
		if rapid.Bool().Draw(t, "joined") {
			inputs = drawing(t, rapid.SampledFrom(jointNames()).Draw(t, "joint"))
		}
		for range rapid.IntRange(0, 6).Draw(t, "keys") {
			key := rapid.SampledFrom(q.known).Draw(t, "key")
			if _, isWord := wordKeys[key]; isWord {
				inputs[key] = rapid.SampledFrom(words).Draw(t, "word")
			} else {
				inputs[key] = rapid.SampledFrom(numbers).Draw(t, "value")
			}
		}
		got, err := q.Of(inputs)
		if err != nil {
			return
		}
		_, err = json.Marshal(got)
		require.NoError(t, err, "%v", inputs)
		for key, v := range got {
			if n, ok := v.(float64); ok {
				require.GreaterOrEqual(t, n, 0.0, "%s of %v", key, inputs)
			}
			if n, ok := v.(int); ok {
				require.GreaterOrEqual(t, n, 0, "%s of %v", key, inputs)
			}
		}
	})
}

func TestEveryClassThatIsConsumedHasAMetalAndAnAmount(t *testing.T) {
	q := loadQuantities(t)
	counted := map[string]int{}
	for _, c := range q.classes {
		if c.metal == nil {
			continue
		}
		got, err := q.Of(map[string]any{"deposit_kg": 1.0, "class": c.id})
		require.NoError(t, err, c.id)
		require.Contains(t, got, "consumable_kg", c.id)
		require.Contains(t, got, "clock_h", c.id)
		require.Greater(t, asNumber(t, got["consumable_kg"], c.id), 1.0, c.id)
		counted[q.processes[c.processes[0]].form]++
	}
	t.Logf("classes by form of the first process: %v", counted)
}

func TestDepositsWeighWhatTheirMetalWeighs(t *testing.T) {
	q := loadQuantities(t)
	for class, metal := range map[string]string{"E7018": "carbon-steel", "E6010": "steel-cellulosic", "E6013": "steel-plain-covering", "E7024": "steel-iron-powder",
		"E309L": "stainless", "E410": "stainless-straight-chromium", "ENi-CI": "nickel", "ENiFe-CI": "nickel-iron", "ENiCu-7": "nickel-copper", "ENiCrFe-3": "nickel-chromium",
		"ERNiCr-3": "nickel-chromium", "ERNiCr-C": "nickel-chromium-boron", "ENiCr-A": "nickel-chromium-boron", "ECu": "copper", "ECuSn-A": "tin-bronze", "ECuAl-A2": "aluminium-bronze",
		"ECuNi": "copper-nickel", "ECuNiAl": "aluminium-bronze", "RBCuZn-C": "brass", "BAg-5": "silver-braze", "EFeCr-A1A": "chromium-carbide-iron", "EFe2": "hardfacing-iron",
		"EFeMn-A": "manganese-steel", "EFeMnCr": "manganese-steel", "ECoCr-A": "cobalt-chromium", "EWCX-12/30": "tungsten-carbide-steel", "ER4043": "aluminium", "ERTi-2": "titanium",
		"ER AZ61A": "magnesium", "RCI": "cast-iron", "EN 14700 Fe9": "manganese-steel", "EN 14700 Co2": "cobalt-chromium", "EN 14700 Ni1": "nickel", "EN 14700 Cu1": "copper", "BNi-2": "nickel-braze"} {
		i, ok := q.classAt[class]
		require.True(t, ok, class)
		require.Equal(t, metal, q.classes[i].metal.name, class)
	}
}

func TestFaultsInTheQuantityTablesAreNamedByFileAndRow(t *testing.T) {
	for _, c := range []struct{ file, old, new, says string }{
		{"quantity_figures.csv", "SMAW,operating-factor,0.15,0.30", "SMAW,operating-factor,0.15,0.90", "does not lie in"},
		{"quantity_figures.csv", "electrode,stub", "electrode,stubb", "stub of electrode is missing"},
		{"quantity_units.csv", ",count,1", ",counts,1", "no unit of count"},
		{"quantity_processes.csv", "stick;mma", "stick;mig", "stands for"},
		{"quantity_metals.csv", ",1.1,1.1,1.3,basic", ",1.1,1.1,1.3,basics", `is of kind "basics"`},
		{"quantity_metals.csv", ",titanium,", ",magnesium,", "takes ERTi-2"},
		{"quantity_deposition.csv", "any,SAW", "any,SAWW", "unknown process"},
		{"quantity_electrodes.csv", "3.2,350", "3.2,35", "outside 100-1000"},
	} {
		var faults data.Faults
		files := datatest.Patch(t, c.file, c.old, c.new)
		Load(files, filler.Read(files, &faults), &faults)
		require.ErrorContains(t, faults.Err(), c.says, c.file)
		require.ErrorContains(t, faults.Err(), ".csv:", c.file)
	}
}

func BenchmarkQuantityOfAGrooveByClass(b *testing.B) {
	q := loadQuantities(b)
	inputs := with(drawing(b, "single V"), "class", "E7018")
	b.ReportAllocs()
	for b.Loop() {
		_, _ = q.Of(inputs)
	}
}

func BenchmarkLoadQuantities(b *testing.B) {
	for b.Loop() {
		Load(data.Files(), filler.Read(data.Files(), &data.Faults{}), &data.Faults{})
	}
}
