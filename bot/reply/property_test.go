package reply

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rodcall/engine"
	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

// anyText draws words of many scripts, long words, control characters and empty text.
func anyText() *rapid.Generator[string] {
	word := rapid.OneOf(
		rapid.StringMatching(`[a-zA-Z0-9.,;:/()-]{1,14}`),
		rapid.StringN(1, 60, -1),
		rapid.StringOfN(rapid.RuneFrom([]rune("鋳鉄溶接é́🔥👩🏽‍🏭ｱ\u202e\x1b\x07\n\t")), 1, 50, -1),
		rapid.Just("150 C"), rapid.Just("150-260 C"))
	return rapid.Custom(func(t *rapid.T) string {
		return strings.Join(rapid.SliceOfN(word, 0, 30).Draw(t, "words"), " ")
	})
}

func anyNumber(t *rapid.T, label string) *float64 {
	if rapid.Bool().Draw(t, label+" told") {
		return nil
	}
	v := rapid.Float64Range(-50, 1500).Draw(t, label)
	return &v
}

func anyCaution(severity ...string) *rapid.Generator[engine.Caution] {
	return rapid.Custom(func(t *rapid.T) engine.Caution {
		return engine.Caution{ID: rapid.StringMatching(`[a-z]{1,8}`).Draw(t, "id"), Severity: rapid.SampledFrom(severity).Draw(t, "severity"),
			Title: anyText().Draw(t, "title"), Text: anyText().Draw(t, "text"), Authority: anyText().Draw(t, "authority"), Routine: rapid.Bool().Draw(t, "routine")}
	})
}

// anyJudgment draws a judgment of the shape that the contract allows, its texts anything at all.
func anyJudgment(t *rapid.T) engine.Judgment {
	text := func(label string) string { return anyText().Draw(t, label) }
	j := engine.Judgment{
		Fit:      rapid.SampledFrom([]string{"good", "strained", "poor"}).Draw(t, "fit"),
		Decision: rapid.SampledFrom([]string{"weld", "test-first", "stop"}).Draw(t, "decision"),
		ReferTo:  text("refer"), Cooling: text("cooling"), Repeat: rapid.SampledFrom([]string{"", "magnet", "spark", "x"}).Draw(t, "repeat"),
		InterpassMaxC: anyNumber(t, "interpass"),
		Observation:   observation.Observation{Part: text("part"), Magnet: "slight", Have: rapid.SliceOfN(anyText(), 0, 3).Draw(t, "have")},
		Assumed:       rapid.SliceOfN(anyText(), 0, 3).Draw(t, "assumed"),
		Procedure:     rapid.SliceOfN(rapid.Map(anyText(), func(s string) string { return "Grind. " + s }), 0, 6).Draw(t, "procedure"),
		Engine:        text("engine"),
		Why:           rapid.SampledFrom([]string{"", "conflict", "uncertain", "no-rod", "replace", "limits", "still-open", "test-pays"}).Draw(t, "why"),
		Conflict:      text("conflict"), Replace: text("replace"), HaveNote: text("have note"), LimitNote: text("limit note"),
	}
	rest := 1.0
	for _, id := range rapid.Permutation(metal.Families).Draw(t, "families")[:rapid.IntRange(0, 5).Draw(t, "n")] {
		p := rapid.Float64Range(0, 1).Draw(t, "p") * rest
		rest -= p
		j.Families = append(j.Families, engine.FamilyChance{ID: id, P: p})
		j.Evidence = append(j.Evidence, engine.Evidence{Key: text("key"), Value: text("value"), Bits: map[string]float64{id: rapid.Float64Range(-9, 9).Draw(t, "bits")}})
	}
	j.Unlisted = rest
	if low := anyNumber(t, "preheat"); low != nil {
		j.PreheatC = &engine.Preheat{Min: *low, Max: *low + rapid.Float64Range(0, 200).Draw(t, "range"), Basis: text("basis")}
	}
	for range rapid.IntRange(0, 4).Draw(t, "consumables") {
		j.Consumables = append(j.Consumables, engine.Consumable{Class: text("class"), Process: text("process"), Role: text("role"), Why: text("why"),
			WrongIf: []engine.WrongIf{{Family: rapid.SampledFrom(metal.Families).Draw(t, "wrong"), P: 0.1, What: text("what")}}})
	}
	for range rapid.IntRange(0, 3).Draw(t, "tests") {
		j.NextTests = append(j.NextTests, engine.NextTest{Test: rapid.SampledFrom([]string{"magnet", "spark", "hardness-rebound"}).Draw(t, "test"),
			Minutes: rapid.Float64Range(0, 90).Draw(t, "minutes"), How: text("how"), Outcomes: []engine.TestOutcome{{Seen: text("seen"), Then: text("then")}}})
	}
	j.Avoid = []engine.Avoid{{Class: text("avoid"), Why: text("reason")}}
	if j.Decision == "stop" {
		j.Cautions = rapid.SliceOfN(anyCaution("stop"), 1, 3).Draw(t, "stops")
	}
	if j.Decision == "stop" && rapid.Bool().Draw(t, "open") {
		j.Question = &engine.Question{Caution: j.Cautions[0].ID, Ask: text("ask"), Answers: rapid.SliceOfN(anyText(), 1, 6).Draw(t, "answers")}
	}
	j.Cautions = append(j.Cautions, rapid.SliceOfN(anyCaution("warn", "note"), 0, 5).Draw(t, "warns")...)
	return j
}

func anyContext(t *rapid.T) Context {
	c := Context{Case: rapid.Int64Range(0, 1e9).Draw(t, "case"), Part: 1, Parts: rapid.IntRange(1, 3).Draw(t, "parts"),
		Units: rapid.SampledFrom([]string{"metric", "us", "both"}).Draw(t, "units"), Inch: rapid.Bool().Draw(t, "inch"),
		Kept: rapid.Bool().Draw(t, "kept"), NotProven: rapid.Bool().Draw(t, "proven"), Photos: rapid.IntRange(0, 2).Draw(t, "photos"),
		Unread: rapid.SliceOfN(anyText(), 0, 4).Draw(t, "unread"), Notes: rapid.SliceOfN(anyText(), 0, 2).Draw(t, "notes"), AfterWords: []string{"undo"}}
	if rapid.Bool().Draw(t, "named") {
		c.Name = name
	}
	if rapid.Bool().Draw(t, "before") {
		before := anyJudgment(t)
		c.Before, c.Again = &before, true
		c.Changes = []Change{{"magnet", "magnet", anyText().Draw(t, "from"), anyText().Draw(t, "to")}}
	}
	return c
}

func TestEveryReplyFitsThePhoneAndKeepsWhatTheHandNeeds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j, c := anyJudgment(t), anyContext(t)
		r := Compose(j, c)
		fits(t, r)
		if j.Decision != "stop" {
			require.LessOrEqual(t, len(r.Lines), MaxLines)
		}
		flat := flatten(r.Lines)
		require.Contains(t, flat, decisionWord(j, c))
		for _, caution := range j.Cautions {
			if caution.Severity == "stop" && (j.Question == nil || caution.ID != j.Question.Caution || c.Kept) {
				require.Contains(t, squeeze(flat), squeeze(finish(Clean(bothDegrees(caution.Text, c)))), "a stop is told in full")
			}
		}
		require.Equal(t, r, Compose(j, c), "the same bytes twice")
	})
}

func TestEveryDetailAndEveryPartsReplyFitsThePhone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j, c := anyJudgment(t), anyContext(t)
		for _, detail := range []func(engine.Judgment, Context) []string{Why, Rods, Steps, Preheat, Cautions, Next, Avoid} {
			lines := detail(j, c)
			require.NotEmpty(t, lines)
			for screens := 0; len(lines) > 0; screens++ {
				var r Reply
				before := len(lines)
				r, lines = Page("", lines, c)
				fits(t, r)
				require.LessOrEqual(t, len(r.Lines), MaxLines)
				require.Less(t, len(lines), before, "every screen tells something")
			}
		}
		r := Parts([]Call{{j, c}, {anyJudgment(t), c}}, c)
		fits(t, r)
	})
}

// flatten joins lines and takes the spaces of hanging indents away; squeeze takes all spaces, because a
// word longer than a line is broken.
func flatten(lines []string) string {
	return strings.Join(strings.Fields(strings.Join(lines, " ")), " ")
}
func squeeze(text string) string { return strings.Join(strings.Fields(text), "") }

func TestWrappingLosesNothingAndNeverBreaksACharacterFromItsMark(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := anyText().Draw(t, "text")
		lines := wrap(text, "", "  ")
		for _, line := range lines {
			require.LessOrEqual(t, Width(line), Columns)
		}
		require.Equal(t, squeeze(Clean(text)), squeeze(strings.Join(lines, " ")))
	})
}

func TestTemperaturesAlwaysStandInBothScales(t *testing.T) {
	c := Context{}
	for text, want := range map[string]string{
		"preheat to 260 C":              "preheat to 260 C (500 F)",
		"150-260 °C":                    "150-260 C (300-500 F)",
		"below 100 C, wrapped":          "below 100 C (210 F), wrapped",
		"260 C (500 F) stays":           "260 C (500 F) stays",
		"0.40 C steel is not hot":       "0.40 C steel is not hot",
		"a C clamp and 12 Cr":           "a C clamp and 12 Cr",
		"between 200 to 300 C in sand":  "between 200-300 C (390-570 F) in sand",
		"steel with .45 C":              "steel with .45 C",
		"hold 595 C, then 20 C an hour": "hold 595 C (1100 F), then 20 C (70 F) an hour",
	} {
		require.Equal(t, want, finish(bothDegrees(text, c)), text)
	}
	require.Equal(t, "300 F (150 C)", finish(degrees(150, Context{Units: US})))
}

func TestSizesStandInTheRepsOwnUnitFirst(t *testing.T) {
	inch := Context{Inch: true}
	for mm, want := range map[float64]string{38.1: "1-1/2 in (38.1 mm)", 19.05: "3/4 in (19.1 mm)", 3: "0.12 in (3 mm)", 50.8: "2 in (50.8 mm)"} {
		require.Equal(t, want, finish(length(mm, inch)))
	}
	require.Equal(t, "38.1 mm", finish(length(38.1, Context{Units: Metric})))
	require.Equal(t, "38.1 mm (1-1/2 in)", finish(length(38.1, Context{Units: Both})))
}

func TestDoubtWordsFollowTheirTable(t *testing.T) {
	for p, want := range map[float64]string{1: "almost surely", 0.95: "almost surely", 0.949: "very likely", 0.80: "very likely", 0.79: "likely",
		0.55: "likely", 0.54: "maybe", 0.35: "maybe", 0.34: "still open", 0: "still open"} {
		require.Equal(t, want, DoubtWord(engine.Judgment{Fit: "good", Families: families("gray-iron", p)}), "%v", p)
	}
	for _, fit := range []string{"strained", "poor"} {
		require.Equal(t, "your facts disagree", DoubtWord(engine.Judgment{Fit: fit, Families: families("gray-iron", 0.99)}))
	}
}

func TestNoReplyPromisesWhatNobodyCanKnow(t *testing.T) {
	for _, d := range append(words().doubts, words().disagree) {
		for _, promise := range []string{"safe", "ok to weld", "will hold", "definitely", "certain"} {
			require.NotContains(t, strings.ToLower(d.sentence), promise)
		}
	}
}
