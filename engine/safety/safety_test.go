package safety_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/data"
	"rodcall/engine/metal"
	"rodcall/engine/observation"
	"rodcall/engine/safety"
)

// rules loads the real tables and fails the test with every fault in them.
func rules(t testing.TB) *safety.Rules {
	t.Helper()
	var faults data.Faults
	r := safety.Load(data.Files(), &faults)
	require.NoError(t, faults.Err())
	return r
}

// uniform gives every family the same chance.
func uniform() []metal.Share {
	out := make([]metal.Share, len(metal.Families))
	for i, id := range metal.Families {
		out[i] = metal.Share{ID: id, P: 1 / float64(len(metal.Families))}
	}
	return out
}

// mostly gives one family the chance p and spreads the rest over plain steels.
func mostly(id string, p float64) []metal.Share {
	return []metal.Share{{ID: id, P: p}, {ID: "low-carbon-steel", P: 1 - p}}
}

func ids(cautions []safety.Caution) []string {
	out := make([]string, len(cautions))
	for i, c := range cautions {
		out[i] = c.ID
	}
	return out
}

// scene is a job that would be welded, on a metal that is surely low-carbon steel.
func scene(o observation.Observation) safety.Scene {
	return safety.Scene{Observation: &o, Families: mostly("low-carbon-steel", 1), FitGood: true, Consumable: true, Country: "us"}
}

func with(s observation.Scene) observation.Observation { return observation.Observation{Scene: &s} }

func TestEveryCautionOfTheTablesLoads(t *testing.T) {
	require.Equal(t, 152, len(rules(t).IDs()))
}

func TestACertainHookIsRefusedAtOnce(t *testing.T) {
	v := rules(t).Judge(scene(with(observation.Scene{Part: []string{"lifting-hook"}})))
	require.Equal(t, []string{"lifting-hook"}, v.Reasons)
	require.Equal(t, "refer", v.StopKind)
	require.Nil(t, v.Question)
	require.Contains(t, v.ReferTo, "29 CFR 1910.179")
}

func TestAnUncertainHookIsAskedAbout(t *testing.T) {
	v := rules(t).Judge(scene(with(observation.Scene{Ask: []string{"lifting-hook"}})))
	require.Equal(t, "refer", v.StopKind)
	require.NotNil(t, v.Question)
	require.Equal(t, "lifting-hook", v.Question.Caution)
	require.True(t, v.Stops[0].Open)
}

func TestNothingIsStoppedWhenNothingIsWelded(t *testing.T) {
	s := scene(with(observation.Scene{Part: []string{"lifting-hook"}}))
	s.Consumable = false
	require.Empty(t, rules(t).Judge(s).Stops)
}

func TestATrailerFrameIsAskedAndTheYardAnswersIt(t *testing.T) {
	r := rules(t)
	s := scene(with(observation.Scene{Part: []string{"trailer-frame"}}))
	require.Equal(t, "truck-frame", r.Judge(s).Question.Caution)
	answer, ok := r.Answer("truck-frame", "yard")
	require.True(t, ok)
	after := safety.Apply(*s.Observation, answer)
	s.Observation, s.Answers = &after, []safety.Answer{answer}
	v := r.Judge(s)
	require.Empty(t, v.Stops)
	require.Contains(t, ids(v.Warns), "offroad-frame")
}

func TestSkippingNeverClearsAStopAndIsNotAskedTwice(t *testing.T) {
	r := rules(t)
	s := scene(with(observation.Scene{Part: []string{"roller"}}))
	answer, ok := r.Answer("hollow-vented", "skip")
	require.True(t, ok)
	s.Answers = []safety.Answer{answer}
	v := r.Judge(s)
	require.Equal(t, []string{"hollow-vented"}, v.Reasons)
	require.Nil(t, v.Question)
}

func TestNotSureKeepsTheStop(t *testing.T) {
	r := rules(t)
	answer, ok := r.Answer("hollow-vented", "not sure mate")
	require.True(t, ok)
	require.Equal(t, safety.Keeps, answer.Effect)
}

func TestAVanDoesNotAnswerWhetherARollerIsShut(t *testing.T) {
	v := rules(t).Judge(scene(with(observation.Scene{Part: []string{"roller"}, Enclosure: []string{"van"}})))
	require.Equal(t, "hollow-vented", v.Question.Caution)
}

func TestFamilyStopsFireAtTheirThresholdAndAskForATestBelowIt(t *testing.T) {
	r := rules(t)
	at := func(p float64) safety.Verdict {
		s := scene(observation.Observation{})
		s.Families = mostly("beryllium-copper", p)
		return r.Judge(s)
	}
	require.Contains(t, at(0.10).Reasons, "fume-beryllium")
	require.Empty(t, at(0.09).Reasons)
	require.True(t, at(0.09).TestFirst)
	require.Contains(t, ids(at(0.09).Warns), "fume-beryllium")
	require.Contains(t, at(0.02).ForbiddenTests, "spark")
	require.False(t, at(0.019).TestFirst)
	require.Empty(t, at(0.019).Near)
}

func TestANamedFamilyFiresBelowItsThreshold(t *testing.T) {
	s := scene(observation.Observation{Claim: []observation.Claim{{Metal: "beryllium-copper", By: "rep"}}})
	require.Contains(t, rules(t).Judge(s).Reasons, "fume-beryllium")
}

func TestEvidenceDropsTheStopOnlyWhenTheChanceFalls(t *testing.T) {
	r := rules(t)
	answer, ok := r.Answer("grind-magnesium", "stays quiet")
	require.True(t, ok)
	require.Equal(t, safety.Evidence, answer.Effect)
	require.Equal(t, []string{"magnesium"}, answer.Excluded)
	s := scene(observation.Observation{})
	s.Answers, s.Named = []safety.Answer{answer}, []string{"magnesium"}
	s.Families = mostly("magnesium", 0.3)
	v := r.Judge(s)
	require.Equal(t, []string{"grind-magnesium"}, v.Reasons)
	require.Nil(t, v.Question)
	s.Families = mostly("magnesium", 0.05)
	require.Empty(t, r.Judge(s).Stops)
}

func TestWorstKindComesFirst(t *testing.T) {
	v := rules(t).Judge(scene(with(observation.Scene{Part: []string{"roller", "lifting-hook", "gas-cylinder"}})))
	require.Equal(t, []string{"gas-cylinder", "lifting-hook", "hollow-vented"}, v.Reasons)
	require.Equal(t, "never", v.StopKind)
	require.Nil(t, v.Question, "no answer lifts the bottle")
}

func TestUncertainMetalUnderLoadIsTestFirst(t *testing.T) {
	s := scene(observation.Observation{Service: []string{"load-bearing"}})
	require.False(t, rules(t).Judge(s).Uncertain)
	s.Families = uniform()
	v := rules(t).Judge(s)
	require.True(t, v.Uncertain)
	require.True(t, v.TestFirst)
	require.Contains(t, ids(v.Warns), "identity-uncertain-brittle")
}

func TestEveryAnswerIsUnderstoodByItsLabelAndItsNumber(t *testing.T) {
	r := rules(t)
	for _, id := range r.IDs() {
		q, ok := r.QuestionOf(id)
		if !ok {
			continue
		}
		for i, label := range q.Answers {
			answer, ok := r.Answer(id, label)
			require.True(t, ok, "%s: %s", id, label)
			require.Equal(t, label, answer.Label, id)
			answer, ok = r.Answer(id, string(rune('1'+i)))
			require.True(t, ok)
			require.Equal(t, label, answer.Label, id)
		}
	}
}

func BenchmarkJudge(b *testing.B) {
	r := rules(b)
	s := scene(observation.Observation{Process: []string{"smaw", "grind"}, Test: []string{"spark"}, Job: "build-up",
		Scene: &observation.Scene{Site: []string{"sawmill"}, Where: []string{"bench"}, Part: []string{"trailer-frame"}, Ask: []string{"lifting-hook"}}})
	s.Families = uniform()
	b.ReportAllocs()
	for b.Loop() {
		r.Judge(s)
	}
}

func TestWordsOfRepsMeanTheAnswerTheyShould(t *testing.T) {
	r := rules(t)
	for _, c := range []struct{ caution, words, effect string }{
		{"truck-frame", "no never on the road, farm only", safety.Clears},
		{"truck-frame", "yes", safety.Keeps},
		{"truck-frame", "no", safety.Clears},
		{"truck-frame", "both", safety.Keeps},
		{"truck-frame", "road and yard", safety.Keeps},
		{"closed-container", "just the stand", safety.Clears},
		{"closed-container", "held diesel", safety.Keeps},
		{"hollow-vented", "i drilled a hole", safety.Clears},
		{"hollow-vented", "no hole", safety.Keeps},
		{"hollow-vented", "not open", safety.Skips},
		{"tyre-mounted", "tyre's off", safety.Clears},
		{"tyre-mounted", "still on", safety.Keeps},
		{"graded-bolt", "scrap", safety.Clears},
		{"graded-bolt", "goes back in", safety.Keeps},
		{"combustible-dust", "on the bench", safety.Clears},
		{"combustible-dust", "inside", safety.Keeps},
		{"combustible-dust", "skip", safety.Skips},
		{"lifting-hook", "tool rack", safety.Clears},
		{"lifting-hook", "dunno", safety.Keeps},
		{"lead-paint", "not tested", safety.Keeps},
		{"lead-paint", "bare metal 4 in back", safety.Clears},
		{"magnet-implant", "no", safety.Keeps},
		{"magnet-implant", "y", safety.Clears},
		{"grind-magnesium", "fizzes like mad", safety.Keeps},
		{"confined-space", "no", safety.Clears},
		{"confined-space", "yes", safety.Keeps},
		{"confined-space", "yes with a permit, Jo signed", safety.Clears},
	} {
		answer, ok := r.Answer(c.caution, c.words)
		if c.words == "not open" {
			require.False(t, ok && answer.Effect == safety.Clears, "%s: a denied word clears nothing", c.words)
			continue
		}
		require.True(t, ok, "%s: %s", c.caution, c.words)
		require.Equal(t, c.effect, answer.Effect, "%s: %s -> %s", c.caution, c.words, answer.Label)
	}
}

func TestWordsAboutSomethingElseAreNoAnswer(t *testing.T) {
	r := rules(t)
	for _, words := range []string{"magnet pulls", "", "7018", "9", "what about the other part?"} {
		_, ok := r.Answer("truck-frame", words)
		require.False(t, ok, words)
	}
}

func TestAnAnswerReplacesWhatItContradicts(t *testing.T) {
	r := rules(t)
	answer, ok := r.Answer("lead-paint", "bare 100 mm back")
	require.True(t, ok)
	before := with(observation.Scene{Coating: []string{"old-paint", "zinc"}})
	after := safety.Apply(before, answer)
	require.Equal(t, []string{"stripped"}, after.Scene.Coating)
	require.Equal(t, []string{"old-paint", "zinc"}, before.Scene.Coating, "the observation given is not changed")
}

func TestAnAnswerMayHandTheJobToAnotherCaution(t *testing.T) {
	r := rules(t)
	answer, ok := r.Answer("rail-track", "a crane runs on it")
	require.True(t, ok)
	require.Equal(t, safety.Refers, answer.Effect)
	s := scene(with(observation.Scene{Ask: []string{"rail-track"}}))
	after := safety.Apply(*s.Observation, answer)
	s.Observation, s.Answers = &after, []safety.Answer{answer}
	require.Equal(t, []string{"crane-structure"}, r.Judge(s).Reasons)
}

func TestWhatTheMessageSaidIsNotAsked(t *testing.T) {
	r := rules(t)
	s := scene(with(observation.Scene{Ask: []string{"confined-space"}, Where: []string{"bench"}}))
	require.Empty(t, r.Judge(s).Stops)
	s = scene(with(observation.Scene{Ask: []string{"confined-space"}, Where: []string{"outside", "inside"}}))
	require.NotEmpty(t, r.Judge(s).Stops, "he is inside, whatever else is outside")
}

func TestTestsThatAHazardForbidsAreNotProposed(t *testing.T) {
	r := rules(t)
	v := r.Judge(scene(with(observation.Scene{Person: []string{"implant"}})))
	require.Contains(t, v.ForbiddenTests, "magnet")
	v = r.Judge(scene(with(observation.Scene{Site: []string{"sawmill"}})))
	require.Contains(t, v.ForbiddenTests, "spark")
	v = r.Judge(scene(with(observation.Scene{Site: []string{"sawmill"}, Where: []string{"bench"}})))
	require.NotContains(t, v.ForbiddenTests, "spark")
}

func TestEveryCountryNamesWhoTakesOver(t *testing.T) {
	r := rules(t)
	for _, country := range append([]string{"", "nowhere"}, safety.Countries...) {
		s := scene(with(observation.Scene{Part: []string{"boiler"}}))
		s.Country = country
		require.NotEmpty(t, r.Judge(s).ReferTo, country)
	}
}

func TestWarningsComeFromWhatTheAnswerWouldDo(t *testing.T) {
	s := scene(observation.Observation{})
	s.ConsumableProcess, s.ConsumableClass, s.PreheatMinC, s.Peens = "smaw", "E7018", 150, true
	v := rules(t).Judge(s)
	require.Contains(t, ids(v.Warns), "fume-fluoride")
	require.Contains(t, ids(v.Warns), "preheat-burn")
	require.Contains(t, ids(v.Notes), "peening-noise")
	require.Empty(t, v.Stops)
}

func FuzzAnswerTakesAnyWords(f *testing.F) {
	f.Add("yes no not sure 2 skip")
	f.Add("\x00\xff'’ never ever on the road")
	r := rules(f)
	f.Fuzz(func(t *testing.T, words string) {
		for _, id := range []string{"truck-frame", "confined-space", "grind-magnesium"} {
			first, ok := r.Answer(id, words)
			again, okAgain := r.Answer(id, words)
			require.Equal(t, ok, okAgain)
			require.Equal(t, first, again)
		}
	})
}

func TestAnUncertainWordIsNotAskedAboutWhenTheMessageConfirmsIt(t *testing.T) {
	s := scene(observation.Observation{Service: []string{"pressure"}, Scene: &observation.Scene{Ask: []string{"pressure-pipe"}}})
	v := rules(t).Judge(s)
	require.Equal(t, []string{"pressure-pipe"}, v.Reasons)
	require.Nil(t, v.Question)
	require.False(t, v.Stops[0].Open)
}
