package conversation

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine"
)

const packList = "item,class,size_in,pack_lb,price,currency,truck\nLH-18,E7018,1/8,10,36.5,usd,2\nSS-09,309L,1/8,5,95,usd,1\nNI-55,ENiFe-CI,1/8,5,210,usd,1\n"

// stockedTalk talks with an engine that knows the team's stock list.
func stockedTalk(t *testing.T) *talk {
	e, err := engine.New(engine.Settings{Stock: []byte(packList), StockFile: "stock.csv"})
	require.NoError(t, err)
	k := newTalk(t)
	k.door = New(whole{e}, k.record, k.door.options)
	return k
}

func TestReplyNamesItemAndPacksOnAMatchAndTheClassAloneWithoutOne(t *testing.T) {
	k := stockedTalk(t)
	require.Contains(t, k.say("A36 bracket cracked, 1/4 in thick 4 in long, magnet pulls, made of mild steel"), "LH-18 3.2 mm")
	require.Contains(t, k.say("rods"), "36.50 USD a pack")
	k.say("new")
	said := k.say("aluminium gearbox cover cracked, very light, no magnet")
	require.Contains(t, said, "ER4043")
	require.NotContains(t, said, "Take")
}

func TestRodsAtHandAreAnsweredWithNearestAndPrice(t *testing.T) {
	k := stockedTalk(t)
	said := strings.Join(strings.Fields(k.say("cast iron pump housing cracked, got 7018")), " ")
	require.Contains(t, said, "None of your rods is right here: get ENiFe-CI (NI-55, 210 usd a pack, in the truck).")
	require.Contains(t, said, "Not E7018: on gray iron:")
}

func TestEstimateIsAnsweredAndGrowsWithWhatIsTold(t *testing.T) {
	k := stockedTalk(t)
	require.Contains(t, k.say("estimate"), "No case is open")
	require.Contains(t, k.say("estimate new one $900"), "No part is told")
	k.say("4140 shaft cracked, sure 4140, 30 mm thick 200 mm long")
	require.Contains(t, k.say("what does it cost?"), "No verdict yet")
	require.Contains(t, k.say("new one is $900, 3 days away, we lose 50 dollars an hour standing"), "labour $60 an hour")
	require.Contains(t, k.say("labour 60 an hour"), "REPAIR: about")
	require.InDelta(t, 900, *k.open().Parts[0].Observation.Cost.Replacement, 1e-9)
	require.Contains(t, k.say("undo"), "Gone: labour")
	require.Contains(t, k.say("new one is $900 and labour €60 an hour"), "two currencies")
	require.Contains(t, k.say("estimate 900"), "I read no figure of cost")
	require.Contains(t, k.say("estimate labour 60 an hour, new one costs $9, down costs $0 an hour, 1 hour away"), "A NEW PART is about")
}

func TestEstimateOfAStoppedPartNamesNoPrice(t *testing.T) {
	k := stockedTalk(t)
	k.say("truck leaf spring cracked")
	require.Contains(t, k.say("estimate new one costs $200, labour $60 an hour"), "No price")
}

func TestPiecesThatCannotBeWeldedGetAnotherWayToJoin(t *testing.T) {
	k := wholeTalk(t)
	said := k.say("join aluminium plate to mild steel, sure aluminium")
	require.Contains(t, said, "NO ROD. Very likely aluminum.")
	require.Contains(t, said, "Instead: bolt it")
	require.NotContains(t, said, "laboratory")
	require.Contains(t, k.say("rods"), "No rod takes this. Instead")
}
