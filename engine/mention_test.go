package engine

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestCallsOnPeopleAndChannelsAreNoWordsAboutAPart(t *testing.T) {
	for text, want := range map[string]string{
		"<!channel> jaw liner":            "           jaw liner",
		"@everyone no magnet":             "          no magnet",
		"<@U42> <#C1|yard> file skates":   "                  file skates",
		"@joe.smith-2: no magnet":         "            : no magnet",
		"weld @ 30 in":                    "weld @ 30 in",
		"mail me at a@b":                  "mail me at a@b",
		"thinner < 3 mm > thicker":        "thinner < 3 mm > thicker",
		"<!never closed, sparks short":    "<!never closed, sparks short",
		"@":                               "@",
		"wall 3mm @12 in, magnet strong@": "wall 3mm @12 in, magnet strong@",
	} {
		require.Equal(t, want, withoutMentions(text))
	}
	e := mustEngine(t)
	o := e.Read("@everyone <!channel> magnet none file skates jaw liner").Observation
	require.Equal(t, "jaw crusher plate", o.Part)
	require.Equal(t, "none", o.Magnet)
}
