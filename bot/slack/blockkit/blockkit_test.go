package blockkit

import (
	"fmt"
	"strings"
	"testing"

	slackgo "github.com/slack-go/slack"
	"github.com/stretchr/testify/require"
)

func TestWhatSlackRefusesIsRefusedWithItsPlace(t *testing.T) {
	button := func(id, text string) string {
		return fmt.Sprintf(`{"type":"button","action_id":%q,"text":{"type":"plain_text","text":%q},"value":"v"}`, id, text)
	}
	text := func(n int) string { return strings.Repeat("é", n) }
	for name, c := range map[string]struct{ blocks, at string }{
		"no block":              {`[]`, "blocks"},
		"no list":               {`{}`, "blocks"},
		"unknown type":          {`[{"type":"banner"}]`, "blocks[0].type"},
		"empty section":         {`[{"type":"section"}]`, "blocks[0]"},
		"section too long":      {`[{"type":"section","text":{"type":"mrkdwn","text":"` + text(3001) + `"}}]`, "blocks[0].text.text"},
		"eleven fields":         {`[{"type":"section","fields":[` + strings.Repeat(`{"type":"mrkdwn","text":"a"},`, 10) + `{"type":"mrkdwn","text":"a"}]}]`, "blocks[0].fields"},
		"header in mrkdwn":      {`[{"type":"header","text":{"type":"mrkdwn","text":"a"}}]`, "blocks[0].text.type"},
		"header too long":       {`[{"type":"header","text":{"type":"plain_text","text":"` + text(151) + `"}}]`, "blocks[0].text.text"},
		"button text as string": {`[{"type":"actions","elements":[{"type":"button","text":"go"}]}]`, "blocks[0].elements[0].text"},
		"button too long":       {`[{"type":"actions","elements":[` + button("a", text(76)) + `]}]`, "blocks[0].elements[0].text.text"},
		"action id twice":       {`[{"type":"actions","elements":[` + button("a", "x") + `]},{"type":"actions","elements":[` + button("a", "y") + `]}]`, "blocks[1].elements[0].action_id"},
		"block id twice":        {`[{"type":"divider","block_id":"d"},{"type":"divider","block_id":"d"}]`, "blocks[1].block_id"},
		"no buttons":            {`[{"type":"actions","elements":[]}]`, "blocks[0].elements"},
		"image without words":   {`[{"type":"image","image_url":"https://x.example/a.png"}]`, "blocks[0].alt_text"},
		"empty rich text":       {`[{"type":"rich_text","elements":[{"type":"rich_text_preformatted","elements":[{"type":"text","text":""}]}]}]`, "blocks[0].elements[0].elements[0].text"},
		"unknown rich element":  {`[{"type":"rich_text","elements":[{"type":"rich_text_box","elements":[]}]}]`, "blocks[0].elements[0].type"},
		"fifty-one blocks":      {`[` + strings.Repeat(`{"type":"divider"},`, 50) + `{"type":"divider"}]`, "blocks"},
	} {
		var refused *Error
		require.ErrorAs(t, CheckJSON([]byte(c.blocks), Budget), &refused, name)
		require.Equal(t, InvalidBlocks, refused.Code, name)
		require.Equal(t, c.at, refused.At, name)
	}
}

func TestLimitsCountCharactersAndTheirEdgesPass(t *testing.T) {
	section := func(n int) *slackgo.SectionBlock {
		return slackgo.NewSectionBlock(slackgo.NewTextBlockObject(slackgo.MarkdownType, strings.Repeat("é", n), false, false), nil, nil)
	}
	require.NoError(t, Check([]slackgo.Block{section(3000), section(3000), section(3000)}))
	var long *Error
	require.ErrorAs(t, Check([]slackgo.Block{section(3000), section(3000), section(3000), section(1)}), &long)
	require.Equal(t, TooLong, long.Code, "each block is good, their sum is not")
}
