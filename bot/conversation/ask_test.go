package conversation

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestPreheatIsAnsweredForTheThicknessAskedAboutAndTheCaseKeepsItsOwn(t *testing.T) {
	k := wholeTalk(t)
	k.say("4130 bracket cracked, 8 mm thick")
	before := k.open().Parts
	for _, question := range []string{"what preheat at 2 in thick", "preheat at 2 in", "What's the preheat for 2 inch thick?", "how hot at 2 in thick?"} {
		require.Contains(t, k.say(question), "At 2 in (50.8 mm) thick: Heat", question)
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
	require.Contains(t, k.say("309L on this at 10%"), "Austenite with about")
	require.Contains(t, k.say("7018 on this at 30 %"), "no stainless class")
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
	require.Contains(t, k.say("preheat at 1-1/2 in thick"), "At 1-1/2 in (38.1 mm) thick")
}
