package reply

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine"
	"rodcall/engine/observation"
)

var update = flag.Bool("update", false, "write the golden replies anew")

// names are what people call the families of these tests.
var names = map[string][2]string{
	"low-carbon-steel":           {"low-carbon (mild) steel", "mild steel"},
	"medium-carbon-steel":        {"medium-carbon steel", "medium-carbon steel"},
	"low-alloy-steel":            {"low-alloy heat-treatable steel", "low-alloy steel"},
	"cast-steel":                 {"carbon cast steel", "cast steel"},
	"gray-iron":                  {"gray cast iron", "gray iron"},
	"ductile-iron":               {"ductile (nodular) iron", "ductile iron"},
	"austenitic-manganese-steel": {"austenitic manganese steel", "manganese steel"},
	"aluminum":                   {"aluminum alloy", "aluminum"},
}

func name(family string) (string, string) {
	n := names[family]
	return n[0], n[1]
}

func golden(t *testing.T, file string, r Reply) {
	t.Helper()
	path := filepath.Join("testdata", "reply", file+".txt")
	text := r.Text() + "\n"
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), text)
	fits(t, r)
}

func fits(t require.TestingT, r Reply) {
	require.NotEmpty(t, r.Lines)
	for _, line := range r.Lines {
		require.LessOrEqual(t, Width(line), Columns, "%q", line)
		require.NotContains(t, line, "\n")
	}
	require.LessOrEqual(t, len(r.Actions), MaxActions)
}

func families(pairs ...any) []engine.FamilyChance {
	var out []engine.FamilyChance
	for i := 0; i < len(pairs); i += 2 {
		out = append(out, engine.FamilyChance{ID: pairs[i].(string), P: pairs[i+1].(float64)})
	}
	return out
}

func number(v float64) *float64 { return &v }

func sprocket() engine.Judgment {
	return engine.Judgment{
		Observation: observation.Observation{Part: "sprocket", Job: "build-up", Magnet: "strong"},
		Families:    families("medium-carbon-steel", 0.62, "low-alloy-steel", 0.30, "cast-steel", 0.08),
		Fit:         "good", Decision: "weld",
		Consumables: []engine.Consumable{
			{Class: "EFe1", Process: "SMAW", Role: "build-up", SuitsP: 0.97},
			{Class: "E312", Process: "SMAW", Role: "buffer", SuitsP: 0.93},
		},
		PreheatC: &engine.Preheat{Min: 260, Max: 260, Basis: "0.40 % carbon, 25 mm"}, InterpassMaxC: number(315),
		Cooling: "slow, wrapped in a blanket",
		NextTests: []engine.NextTest{{Test: "spark", Minutes: 2, How: "touch the edge and a plain bolt to the same wheel, same push",
			Outcomes: []engine.TestOutcome{{Seen: "more bursts", Then: "keep 260 C"}, {Seen: "same as the bolt", Then: "ask me, maybe less"}}}},
		Cautions: []engine.Caution{
			{ID: "hydrogen-delayed-crack", Severity: "warn", Title: "Cracks come late: look again after 3 days", Text: "Inspect again after 48 to 72 hours."},
			{ID: "sparks-dust", Severity: "warn", Title: "Bench clear of sawdust", Text: "Clear the bench."},
			{ID: "grind-eye-face", Severity: "warn", Title: "Glasses and face shield", Text: "Wear both.", Routine: true},
			{ID: "fume-general", Severity: "note", Title: "Keep your head out of the fume", Text: "Ventilate.", Routine: true},
		},
		Procedure: []string{"Grind to clean metal.", "Preheat to 260 C.", "Lay stringers, 75 mm at most.", "Wrap and cool slowly."},
		Engine:    "test engine",
	}
}

func jawPlate() engine.Judgment {
	return engine.Judgment{
		Observation: observation.Observation{Part: "jaw crusher plate", Magnet: "none"},
		Families:    families("austenitic-manganese-steel", 0.97, "low-alloy-steel", 0.02),
		Fit:         "good", Decision: "weld",
		Consumables: []engine.Consumable{
			{Class: "E307", Process: "SMAW", Role: "join", SuitsP: 0.98},
			{Class: "EFeMn-A", Process: "SMAW", Role: "build-up", SuitsP: 0.97},
		},
		PreheatC: &engine.Preheat{Min: 0, Max: 50}, InterpassMaxC: number(260),
		Cooling: "water quench between beads allowed",
		Cautions: []engine.Caution{
			{ID: "fume-manganese", Severity: "warn", Title: "Manganese fume: extract it", Text: "Extract the fume at the arc."},
		},
		Assumed: []string{"no job told: joining assumed"},
	}
}

func trailer() engine.Judgment {
	kind := "refer"
	return engine.Judgment{
		Observation: observation.Observation{Part: "trailer frame", Job: "crack"},
		Families:    families("low-alloy-steel", 0.60, "aluminum", 0.20, "low-carbon-steel", 0.20),
		Fit:         "good", Decision: "stop", StopKind: &kind, StopReasons: []string{"truck-frame"},
		Question: &engine.Question{Caution: "truck-frame", Ask: "Does it run on a public road?",
			Answers: []string{"yard or field only", "road", "not sure"}},
		ReferTo: "the maker's written repair, 49 CFR 393.201(d)",
		Cautions: []engine.Caution{
			{ID: "truck-frame", Severity: "stop", Title: "Road frames: the maker's repair only", Text: "Do not weld the frame of a road vehicle without the maker's written instruction."},
			{ID: "lead-paint", Severity: "warn", Title: "Old paint: strip 100 mm back", Text: "Strip the paint."},
		},
	}
}

func hook() engine.Judgment {
	kind := "refer"
	return engine.Judgment{
		Observation: observation.Observation{Part: "hoist hook", Job: "hardface"},
		Families:    families("low-alloy-steel", 0.70, "medium-carbon-steel", 0.30),
		Fit:         "good", Decision: "stop", StopKind: &kind, StopReasons: []string{"lifting-hook"},
		ReferTo: "hook maker or qualified person, 29 CFR 1910.179(l)(3)(iii)(a); ASME B30.10",
		Cautions: []engine.Caution{
			{ID: "lifting-hook", Severity: "stop", Title: "A lifting hook is not built up", Text: "Take the hook out of service and tag it; no welding, heating or bending. A qualified person or the maker decides on repair or replacement."},
		},
	}
}

func bossed() engine.Judgment {
	return engine.Judgment{
		Observation: observation.Observation{Part: "casing", Magnet: "slight"},
		Families:    families("cast-steel", 0.48, "austenitic-manganese-steel", 0.45),
		Fit:         "good", Decision: "test-first",
		NextTests: []engine.NextTest{
			{Test: "magnet", Minutes: 1, How: "grind a fresh spot on the BACK, magnet on bare metal",
				Outcomes: []engine.TestOutcome{{Seen: "pulls hard", Then: "steel, I give the heat"}, {Seen: "barely or no", Then: "manganese, weld cold"}}},
			{Test: "file", Minutes: 1, How: "corner of the part, one push of a sharp file"},
		},
		Cautions: []engine.Caution{{ID: "identity", Severity: "warn", Title: "One wants heat, the other must stay cold"}},
	}
}

func casing() engine.Judgment {
	j := sprocket()
	j.Observation = observation.Observation{Part: "pump casing", Have: []string{"E7018", "E312", "ENiFe-CI"}}
	j.Families = families("gray-iron", 0.71, "ductile-iron", 0.24)
	j.Consumables = []engine.Consumable{{Class: "ENi-CI", Process: "SMAW", Role: "join", SuitsP: 0.94}, {Class: "ENiFe-CI", Process: "SMAW", Role: "join", SuitsP: 0.95}}
	j.Avoid = []engine.Avoid{{Class: "E7018", Why: "goes glass-hard, cracks next to the bead on iron"}, {Class: "E312", Why: "cracks out on iron"}}
	j.PreheatC, j.InterpassMaxC = &engine.Preheat{Min: 10, Max: 110}, number(110)
	j.Cooling = "let each bead cool till you can hold your hand there"
	j.NextTests, j.Cautions = nil, nil
	return j
}

func context() Context { return Context{Case: 118, Part: 1, Parts: 1, Name: name} }

func TestSituationsOfTheTruckReadAsTheyShould(t *testing.T) {
	inCase := context()
	golden(t, "a1_first_screen", FirstScreen(Context{}, ""))
	golden(t, "a1_first_screen_in_a_case", FirstScreen(inCase, "pump casing"))
	golden(t, "a2_ordinary_job", Compose(sprocket(), inCase))
	golden(t, "a3_one_question", Compose(trailer(), inCase))
	skipped := inCase
	skipped.Kept = true
	golden(t, "a3_question_skipped", Compose(trailer(), skipped))
	golden(t, "a4_rods_at_hand", Compose(casing(), inCase))
	corrected := inCase
	before := jawPlate()
	before.Families = families("cast-steel", 0.85, "low-alloy-steel", 0.15)
	corrected.Before, corrected.Inch = &before, true
	corrected.AfterWords = []string{"undo"}
	corrected.Changes = Changes(
		observation.Observation{Magnet: "strong", Size: &observation.Size{ThicknessMM: number(19.05)}},
		observation.Observation{Magnet: "slight", Size: &observation.Size{ThicknessMM: number(38.1)}}, corrected)
	golden(t, "a5_corrected", Compose(bossed(), corrected))
	one, two := inCase, inCase
	two.Part = 2
	golden(t, "a6_two_parts", Parts([]Call{{sprocket(), one}, {bossed(), two}}, inCase))
	golden(t, "a7_cold", Compose(jawPlate(), inCase))
	golden(t, "a8_photo", Photo(inCase, ""))
	golden(t, "a9_stop", Compose(hook(), inCase))
	golden(t, "a10_details_why", page(Why(sprocket(), inCase)))
	golden(t, "rods", page(Rods(casing(), inCase)))
	golden(t, "steps", page(Steps(sprocket(), inCase)))
	golden(t, "cautions", page(Cautions(sprocket(), inCase)))
	golden(t, "next", page(Next(bossed(), inCase)))
	golden(t, "preheat", page(Preheat(sprocket(), inCase)))
	golden(t, "nothing_read", NothingRead("wyh", []string{"why"}, inCase))
}

func page(lines []string) Reply {
	r, _ := Page("", lines, context())
	return r
}

func TestFactsThatDisagreeNameBothAndTheOneToRepeat(t *testing.T) {
	j := bossed()
	j.Fit, j.Repeat = "poor", "magnet"
	j.Evidence = []engine.Evidence{
		{Key: "file", Value: "bites-easily", Bits: map[string]float64{"cast-steel": 1, "austenitic-manganese-steel": -0.5}},
		{Key: "magnet", Value: "none", Bits: map[string]float64{"cast-steel": -4, "austenitic-manganese-steel": 3}},
		{Key: "spark.length", Value: "long", Bits: map[string]float64{"cast-steel": 2, "austenitic-manganese-steel": -1}},
	}
	r := Compose(j, context())
	golden(t, "facts_disagree", r)
	require.Equal(t, "your facts disagree", DoubtWord(j))
	for _, d := range words().doubts {
		require.NotContains(t, r.Lines[0], d.word)
	}
}

func TestUsualCautionsAreToldOncePerPersonAndDay(t *testing.T) {
	first := Compose(sprocket(), context())
	require.Equal(t, []string{"grind-eye-face", "fume-general"}, first.Shown)
	require.Contains(t, first.Text(), usualPrefix)
	later := context()
	later.Shown = first.Shown
	second := Compose(sprocket(), later)
	require.Empty(t, second.Shown)
	require.NotContains(t, second.Text(), usualPrefix)
}

func TestATestOfDaysIsNotProposedBesideAWeld(t *testing.T) {
	j := sprocket()
	j.NextTests[0].Minutes = 3 * 24 * 60
	_, ok := Proposed(j, nil)
	require.False(t, ok)
	require.NotContains(t, Compose(j, context()).Text(), "Test worth")
	require.Contains(t, Next(j, context())[0], "3 days")
	j.Decision = "test-first"
	_, ok = Proposed(j, nil)
	require.True(t, ok)
}
