package weld

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// invented is a book with nothing in it but figures for consequences: enough to weigh rows.
func invented() *Book {
	b := &Book{phrases: map[uint16]string{}}
	for i := range b.harmTable {
		b.harmTable[i] = consequence{0.2, consequenceWords[i]}
	}
	return b
}

func row(verdict uint8, rank uint8, names condition) rule {
	return rule{names: names, verdict: verdict, rank: rank, consequence: 1}
}

func TestNeverIsNotLiftedByAnything(t *testing.T) {
	o, ok := invented().weigh([]rule{row(verdictRecommended, 1, heavy|h4), row(verdictNever, 0, 0)}, heavy, supplied)
	require.True(t, ok)
	require.Equal(t, Never, o.kind)
}

func TestBadRowHoldsUnlessTheGoodRowNamesAllOfItAndMore(t *testing.T) {
	b := invented()
	for _, c := range []struct {
		name      string
		good, bad condition
		want      Kind
	}{
		{"both name nothing", 0, 0, Poor},
		{"good names more", thin, 0, Sound},
		{"good names the same", thin, thin, Poor},
		{"good names something else", thin, impact, Poor},
		{"good names both", thin | impact, impact, Sound},
		{"bad names the subgroup", thin, ofSubgroup, Poor},
		{"good names the subgroup", ofSubgroup, 0, Sound},
	} {
		o, ok := b.weigh([]rule{row(verdictRecommended, 1, c.good), row(verdictAvoid, 0, c.bad)}, thin|impact, 0)
		require.True(t, ok, c.name)
		require.Equal(t, c.want, o.kind, c.name)
	}
}

func TestConditionThatNobodyStatedCountsAsNotMet(t *testing.T) {
	b := invented()
	_, ok := b.weigh([]rule{row(verdictRecommended, 1, dirtySurface)}, 0, supplied|choices)
	require.False(t, ok)
	o, ok := b.weigh([]rule{row(verdictRecommended, 1, 0), row(verdictNever, 0, loadBearing)}, 0, 0)
	require.True(t, ok)
	require.Equal(t, Sound, o.kind)
}

func TestProcedureSuppliesPreheatUnlessALimitRulesItOut(t *testing.T) {
	b := invented()
	rows := []rule{row(verdictRecommended, 1, preheated), row(verdictAvoid, 0, 0)}
	o, _ := b.weigh(rows, 0, offer(0, nil))
	require.Equal(t, Supplied, o.kind)
	require.Equal(t, preheated, o.need)
	o, _ = b.weigh(rows, noPreheat, offer(noPreheat, nil))
	require.Equal(t, Poor, o.kind)
	require.Zero(t, offer(0, []string{"no-h4"})&h4)
	require.Zero(t, offer(noPWHT, nil)&pwhtDone)
}

func TestRowThatNamesMoreOfWhatIsStatedWins(t *testing.T) {
	o, _ := invented().weigh([]rule{row(verdictRecommended, 2, abrasion|impact), row(verdictRecommended, 1, abrasion)}, abrasion|impact, 0)
	require.EqualValues(t, 2, o.rank)
}

func TestRecommendedGoesBeforeTolerantAndRankBeforeRank(t *testing.T) {
	b := invented()
	o, _ := b.weigh([]rule{row(verdictTolerant, 1, 0), row(verdictRecommended, 3, 0)}, 0, 0)
	require.Equal(t, Sound, o.kind)
	first, _ := b.weigh([]rule{row(verdictRecommended, 1, 0)}, 0, 0)
	third, _ := b.weigh([]rule{row(verdictRecommended, 3, 0)}, 0, 0)
	require.Greater(t, first.utility, third.utility)
}

func TestWorthFallsFromSoundToNever(t *testing.T) {
	b := invented()
	sound, _ := b.weigh([]rule{row(verdictRecommended, 1, 0)}, 0, 0)
	withHelp, _ := b.weigh([]rule{row(verdictRecommended, 1, preheated|h4)}, 0, supplied)
	tolerant, _ := b.weigh([]rule{row(verdictTolerant, 1, 0)}, 0, 0)
	poor, _ := b.weigh([]rule{row(verdictAvoid, 0, 0)}, 0, 0)
	never, _ := b.weigh([]rule{row(verdictNever, 0, 0)}, 0, 0)
	require.Greater(t, sound.utility, withHelp.utility)
	require.Greater(t, withHelp.utility, tolerant.utility)
	require.Greater(t, tolerant.utility, poor.utility)
	require.Greater(t, poor.utility, never.utility)
	require.Zero(t, never.utility)
	require.Greater(t, never.harm(), poor.harm())
}

func TestShutProcessClosesEverythingButBrazing(t *testing.T) {
	shut := shutting{fusion: 7}
	require.EqualValues(t, 7, shut.closes(Join, smaw, false))
	require.EqualValues(t, 7, shut.closes(Hardface, gtaw, false))
	require.Zero(t, shut.closes(Braze, brazing, false))
	cold := shutting{cold: 9}
	require.Zero(t, cold.closes(Join, smaw, false))
	require.EqualValues(t, 9, cold.closes(Join, smaw, true), "no weld without preheat where none can be given")
	flame := shutting{oxyfuel: 5}
	require.EqualValues(t, 5, flame.closes(Join, oxyfuel, false))
	require.Zero(t, flame.closes(Join, oxyfuel|gtaw, false))
}

func TestPositionsAndCurrentAreReadAsTheStandardWritesThem(t *testing.T) {
	require.Equal(t, anyPosition, readPositions("all except vertical-down"))
	require.Equal(t, anyPosition|verticalDown, readPositions("all incl. vertical-down"))
	require.Equal(t, flat, readPositions("flat"))
	require.Equal(t, anyPosition, readPositions("flat preferred"))
	ac, dc := readCurrent("DCEP")
	require.False(t, ac)
	require.True(t, dc)
	ac, dc = readCurrent("AC")
	require.True(t, ac)
	require.False(t, dc)
	ac, dc = readCurrent("flame neutral")
	require.True(t, ac && dc)
	require.Equal(t, 50.0, readHRC("about 50-58 HRC"))
}
