package conversation

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestPreheatIsAnsweredForTheThicknessAskedAboutAndTheCaseKeepsItsOwn(t *testing.T) {
	k := wholeTalk(t)
	k.say("4130 bracket cracked, 8 mm thick")
	before := k.open().Parts
	for _, question := range []string{"what preheat at 2 in thick", "preheat at 2 in", "What's the preheat for 2 inch thick?", "how hot at 2 in thick?"} {
		require.Contains(t, k.say(question), "At 2 in (50.8 mm) thick: heat", question)
	}
	require.Contains(t, k.say("preheat at 50 mm"), "At 50 mm")
	require.Equal(t, before, k.open().Parts, "a question is no fact")
	require.NotContains(t, k.say("preheat"), "At 2 in")
}

func TestThickerPlateIsNeverAnsweredCooler(t *testing.T) {
	k := wholeTalk(t)
	k.say("4130 bracket cracked")
	require.NotEqual(t, k.say("preheat at 8 mm"), k.say("preheat at 60 mm"))
}

func TestPreheatOfAStoppedPartStaysAStop(t *testing.T) {
	k := wholeTalk(t)
	k.say("truck leaf spring cracked")
	require.Contains(t, k.say("what preheat at 1 in thick"), "No heat")
}

func TestHardnessIsAnsweredOnAnotherScale(t *testing.T) {
	k := wholeTalk(t)
	require.Contains(t, k.say("hardness of 45 HRC in HB"), "45 HRC is about 421 HB")
	require.Contains(t, k.say("what is 250 HB in HV?"), "250 HB is about")
	require.Contains(t, k.say("90 HRC in HB"), "outside")
	k.say("jaw liner cracked, no magnet, file skates")
	require.Contains(t, k.say("45 HRC to HB"), "rough for this metal")
}

func TestDilutionIsAnsweredWithTheMetalOfTheCase(t *testing.T) {
	k := wholeTalk(t)
	require.Contains(t, k.say("309L on this at 30 % dilution"), "No part is told")
	k.say("A36 bracket cracked")
	require.Contains(t, k.say("309L on this at 60 % dilution"), "Martensite: hard")
	require.Contains(t, k.say("309L on this at 10%"), "Sound: austenite with about")
	require.Contains(t, k.say("7018 on this at 30 %"), "UCS")
}

func TestFactsThatOnlyBeginLikeAQuestionStayFacts(t *testing.T) {
	k := wholeTalk(t)
	k.say("A36 bracket cracked")
	k.say("heat 12 mm plate, magnet none")
	require.Equal(t, "none", k.open().Parts[0].Observation.Magnet)
	k.say("hardness 45 HRC")
	require.NotEmpty(t, k.open().Parts[0].Observation.Hardness)
}

func TestWithoutFiguresTheEngineReadsTheQuestionAsWords(t *testing.T) {
	k := newTalk(t)
	k.say("jaw plate cracked, no magnet")
	require.NotContains(t, k.say("45 HRC in HB"), "about")
}

func TestAQuestionGoesOnFromTheOneBefore(t *testing.T) {
	k := wholeTalk(t)
	k.say("4130 bracket cracked")
	k.say("what preheat at 8 mm")
	require.Contains(t, k.say("what about 60 mm?"), "At 60 mm")
	require.Contains(t, k.say("and at 2 in with 6010"), "At 2 in")
	require.Contains(t, k.say("ways"), "by each way")
	k.say("309L on this at 30 %")
	require.Contains(t, k.say("what about 312"), "E312 on 4130")
}

// Every reply to a question of figures, good, wrong or hostile, fits a phone, and none changes what is known of the part.
func TestEveryAnswerToAQuestionFitsAPhoneAndChangesNothing(t *testing.T) {
	questions := []string{
		"what preheat at 2 in thick", "preheat at 50 mm with 6010", "ways at 2 in", "is 150 C preheat enough at 3 in?", "preheat at 2 in, 8 ml, 1.2 kJ/mm, high restraint",
		"309L on this at 30 % dilution", "309L on this, 2 layers", "309L then 308L on this", "tig 312 on this", "dilution", "7018 on this at 30%", "ferrite number?",
		"HAZ hardness at 20 mm, 150 C preheat", "t8/5", "carbon equivalent", "PREN?", "strength at 250 HB", "45 HRC in HB", "90 HRC in HB", "520 HLD in HB",
		"preheat at -3 mm", "preheat at 0 in", "preheat at 9999999 in thick", "preheat at 1/0 in", "400 preheat", "309L on this at 130 %", "309L on this at -5 %", "309L on this at 30",
		"dilution of unobtainium?", "what preheat for bananas", "preheat at 2 in with 900 ml", "HAZ hardness at 5000 C", "999999999999999999999999 HB in HV", "0 HB in HV", "1e9 HRC in HB",
		"what preheat at NaN in?", "what about 3 in", "what about 99 layers", "309L 309L 309L on this at 1 %", "E312 over E309L on this at 99.9 %",
		"how hot; DROP TABLE cases", "preheat at ½ in", "what's the t8/5 at 2\" and 2 kj/in",
	}
	for _, opening := range []string{"4140 shaft cracked", "jaw liner cracked, no magnet, file skates", "gray iron pump housing cracked", "304 bracket cracked, joined to mild steel", "casting broke", "truck leaf spring cracked", ""} {
		k := wholeTalk(t)
		var before []Part
		if opening != "" {
			k.say(opening)
			before = k.open().Parts
		}
		for _, question := range questions {
			text := k.say(question) // checks lines and columns
			require.NotContains(t, text, "NaN")
			require.NotContains(t, text, "Inf")
			if opening != "" {
				require.Equal(t, before[0].Observation, k.open().Parts[0].Observation, "%s: %q changed the facts\n%s", opening, question, text)
			}
		}
	}
}

func TestNoQuestionWringsHeatOrRodOutOfAStop(t *testing.T) {
	k := wholeTalk(t)
	k.say("10t hoist hook saddle worn, hardface?")
	for _, question := range []string{"what preheat at 1 in", "ways", "309L on this at 30 %", "HAZ hardness", "carbon equivalent", "dilution"} {
		text := k.say(question)
		require.NotContains(t, text, " C (", question)
		require.Contains(t, text, "No heat", question)
	}
}

func TestManganeseSteelIsNeverToldACarbonEquivalent(t *testing.T) {
	k := wholeTalk(t)
	k.say("jaw liner cracked, no magnet, file skates")
	require.Contains(t, k.say("carbon equivalent"), "likely neither")
	require.Contains(t, k.say("HAZ hardness"), "likely none")
	require.Contains(t, k.say("what preheat at 3 in"), "none, dry")
	require.Contains(t, k.say("is 200 C preheat ok?"), "200 C (390 F) is too hot")
}

func TestAQuestionNamesItsPartWhereThereAreSeveral(t *testing.T) {
	k := wholeTalk(t)
	k.say("1: bracket cracked, 4130\n2: jaw liner cracked, no magnet, file skates")
	require.Contains(t, k.say("what preheat at 2 in 1"), "method B")
	require.Contains(t, k.say("ways 2"), "cold method")
	require.Contains(t, k.say("ways 1"), "4130")
	require.Contains(t, k.say("ways 7"), "7 what?")
}

func TestInchAndMillimetreGetTheSameFigure(t *testing.T) {
	k := wholeTalk(t)
	k.say("4130 bracket cracked")
	heat := regexp.MustCompile(`heat ([0-9-]+ C)`)
	for inch, metric := range map[string]string{"2 in": "50.8 mm", "1/2 in": "12.7 mm", "1-1/2 in": "38.1 mm", "3 in": "7.62 cm"} {
		one, two := heat.FindString(k.say("preheat at "+inch)), heat.FindString(k.say("preheat at "+metric))
		require.NotEmpty(t, one)
		require.Equal(t, one, two, inch)
	}
}

func TestADissimilarJointMayBeNamedInTheQuestion(t *testing.T) {
	k := wholeTalk(t)
	k.say("A36 bracket cracked")
	before := k.open().Parts[0].Observation
	require.Contains(t, k.say("309L joining this to 304 at 30 %"), "E309L on ASTM A36 and AISI 304, 30 %")
	require.Contains(t, k.say("what about 308L?"), "E308L on ASTM A36 and AISI 304")
	require.Contains(t, k.say("309L between this and bananas at 30 %"), "do not know")
	require.Equal(t, before, k.open().Parts[0].Observation)
}
