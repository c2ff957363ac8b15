package slack

import (
	"context"
	"encoding/json"
	"io"
	"log/slog"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rodcall/bot/reply"
	"rodcall/bot/slack/blockkit"
)

func quietBot() *bot {
	settings, _ := Settings{BotToken: "xoxb-1", AppToken: "xapp-1"}.checked()
	b := newBot(settings, nil, slog.New(slog.NewTextHandler(io.Discard, nil)))
	b.self = identity{team: "T1", user: "U0BOT", bot: "B0BOT"}
	return b
}

func TestMessageIsReadAsThePersonSawIt(t *testing.T) {
	b := quietBot()
	for sent, seen := range map[string]string{
		"<@U0BOT> jaw plate":                            "jaw plate",
		"jaw plate <@U0BOT|rodcall>":                    "jaw plate",
		"<@U0BOT>":                                      "",
		"hardness &lt; 45 HRC &amp; no sparks":          "hardness < 45 HRC & no sparks",
		"&amp;lt; stays an entity":                      "&lt; stays an entity",
		"ask <@U2BEN|ben> or <@U3XY>":                   "ask @ben or @somebody",
		"in <#C1YARD|yard> for <!subteam^S1|@weld>":     "in #yard for @weld",
		"<!here> <!date^1^{date}|noon>":                 "@here noon",
		"see <https://x.example/a|the sheet>":           "see the sheet",
		"see <https://x.example/a?b=1&amp;c=2>":         "see https://x.example/a?b=1&c=2",
		"<mailto:a@x.example|a@x.example>":              "a@x.example",
		"magnet *no*, file _skates_, `C .42`":           "magnet no, file skates, C .42",
		"2*3*4 in, part_no_3_b and 3 * 4 * 5":           "2*3*4 in, part_no_3_b and 3 * 4 * 5",
		"~strong~ slight pull":                          "~strong~ slight pull",
		"*one\ntwo*":                                    "*one\ntwo*",
		"```C .42 Mn .8```":                             "C .42 Mn .8",
		"3/4\" thick, 1-1/2 in & it's \u201ccast\u201d": "3/4\" thick, 1-1/2 in & it's \u201ccast\u201d",
	} {
		require.Equal(t, seen, b.words(sent), sent)
	}
}

func TestEscapedTextHoldsNoControlSignAndComesBackWhole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Draw(t, "text")
		require.False(t, strings.ContainsAny(escape(text), "<>"))
		require.Equal(t, text, unescape(escape(text)))
	})
}

func TestEveryReplyFitsSlackAndLosesNoLine(t *testing.T) {
	line := rapid.StringOfN(rapid.RuneFrom([]rune("ab <>&`*:é\u202e\x00\n")), 0, 2000, -1)
	rapid.Check(t, func(t *rapid.T) {
		r := reply.Reply{Lines: rapid.SliceOfN(line, 0, 60).Draw(t, "lines")}
		for range rapid.IntRange(0, 5).Draw(t, "actions") {
			r.Actions = append(r.Actions, reply.Action{Label: line.Draw(t, "label"), Say: line.Draw(t, "say")})
		}
		var pressed *press
		if rapid.Bool().Draw(t, "pressed") {
			pressed = &press{label: line.Draw(t, "pressed label"), name: "ana"}
		}
		var shown strings.Builder
		pages := render(r, pressed)
		for _, pg := range pages {
			require.NoError(t, blockkit.Check(pg.blocks))
			require.NotEmpty(t, pg.text)
			require.LessOrEqual(t, utf8.RuneCountInString(pg.text), 4000)
			require.False(t, strings.ContainsAny(pg.text, "<>"))
			shown.WriteString(unescape(pg.text))
		}
		require.Equal(t, len(r.Lines) == 0, len(pages) == 0)
		squeeze := func(s string) string { return strings.Join(strings.Fields(plain(s)), "") }
		if len(pages) > 0 {
			want := squeeze(strings.Join(r.Lines, "\n"))
			got := strings.ReplaceAll(squeeze(shown.String()), squeeze(emptyFallback), "")
			require.Equal(t, want, got)
		}
	})
}

func TestOpeningOfAThreadFitsSlackWhateverWasTyped(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pg := renderCommand(rapid.SampledFrom([]string{"U1ANA", "W1ANA", "", "<!channel>"}).Draw(t, "author"), DefaultCommand,
			rapid.StringN(0, 9000, -1).Draw(t, "text"))
		require.NoError(t, blockkit.Check(pg.blocks))
		require.LessOrEqual(t, utf8.RuneCountInString(pg.text), 4000)
		require.NotContains(t, pg.text, "<!")
	})
}

func TestFortyColumnsKeepTheirBlanks(t *testing.T) {
	pages := render(reply.Reply{Lines: []string{"Heat   260 C", "  yard - at once"}}, nil)
	raw, err := json.Marshal(pages[0].blocks)
	require.NoError(t, err)
	require.JSONEq(t, `[{"type":"rich_text","elements":[{"type":"rich_text_preformatted","border":0,
		"elements":[{"type":"text","text":"Heat   260 C\n  yard - at once"}]}]}]`, string(raw))
}

func TestChannelTakesABurstAndThenOnePostASecond(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := newPoster(nil, time.Second, slog.Default())
		began := time.Now()
		var at []time.Duration
		for range 6 {
			require.NoError(t, p.wait(context.Background(), "C1"))
			at = append(at, time.Since(began))
		}
		require.Equal(t, []time.Duration{0, 0, 0, time.Second, 2 * time.Second, 3 * time.Second}, at)
		require.NoError(t, p.wait(context.Background(), "C2"))
		require.Equal(t, 3*time.Second, time.Since(began), "another channel does not wait")
		time.Sleep(time.Hour)
		require.NoError(t, p.wait(context.Background(), "C1"))
		require.Equal(t, time.Hour+3*time.Second, time.Since(began))
	})
}

func TestHoldKeepsEveryChannelBackAndTheDeadlineCounts(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := newPoster(nil, time.Second, slog.Default())
		p.hold(30 * time.Second)
		began := time.Now()
		var group sync.WaitGroup
		for _, channel := range []string{"C1", "C2"} {
			group.Go(func() {
				require.NoError(t, p.wait(context.Background(), channel))
				require.Equal(t, 30*time.Second, time.Since(began))
			})
		}
		group.Wait()
		p.hold(time.Hour)
		ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
		defer cancel()
		require.ErrorIs(t, p.wait(ctx, "C1"), context.DeadlineExceeded)
	})
}

func TestKeysAreForgottenByAgeAndByNumber(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := newSeen(2, time.Hour)
		require.True(t, s.first("a"))
		require.False(t, s.first("a"))
		time.Sleep(2 * time.Hour)
		require.True(t, s.first("a"), "after its time")
		require.True(t, s.first("b"))
		require.True(t, s.first("c"))
		require.True(t, s.first("a"), "pushed out by number")
		s.drop("a")
		require.True(t, s.first("a"), "taken back")
	})
}

func TestFullQueueRefusesAndLaterTakesAgain(t *testing.T) {
	release, started := make(chan struct{}), make(chan struct{})
	q := newQueue(context.Background(), 2, 1)
	require.True(t, q.add("a", func(context.Context) { close(started); <-release }))
	<-started
	require.True(t, q.add("a", func(context.Context) {}))
	require.True(t, q.add("b", func(context.Context) {}))
	require.False(t, q.add("c", func(context.Context) {}), "two wait already")
	close(release)
	require.Eventually(t, func() bool { return q.length() == 0 }, soon, time.Millisecond)
	require.True(t, q.add("c", func(context.Context) {}))
	q.close()
	require.False(t, q.add("c", func(context.Context) {}), "closed")
	require.Empty(t, q.lines)
}

func TestFullQueueLeavesADeliveryForItsRetry(t *testing.T) {
	b := quietBot()
	b.queue = newQueue(context.Background(), 0, 1)
	payload := json.RawMessage(`{"event_id":"Ev1","team_id":"T1","event":{"type":"message","channel_type":"im","channel":"D1","user":"U1","ts":"1.000001","text":"x"}}`)
	require.False(t, b.accept("events_api", payload), "not acknowledged")
	require.False(t, b.accept("events_api", payload), "and the retry is not taken for a repetition")
}

// FuzzDelivery feeds the reading of deliveries with anything: it must not panic, and what it takes must have
// a place, an author and an id.
func FuzzDelivery(f *testing.F) {
	for _, payload := range []string{
		`{"event_id":"Ev1","team_id":"T1","event":{"type":"app_mention","channel":"C1","user":"U1","ts":"1.000001","text":"<@U0BOT> x"}}`,
		`{"event_id":"Ev2","event":{"type":"message","subtype":"file_share","channel_type":"im","channel":"D1","user":"U1","ts":"1.000001","files":[{}]}}`,
		`{"event_id":"Ev3","event":{"type":"message","subtype":"message_changed","message":{"text":"x"},"channel":"C1","ts":"1.2"}}`,
		`{"event":{"type":"channel_created","channel":{"id":"C1"}}}`,
		`{"team_id":"T1","channel_id":"C1","user_id":"U1","command":"/rodcall","text":"x","trigger_id":"1.2"}`,
		`{"type":"block_actions","team":{"id":"T1"},"user":{"id":"U1"},"channel":{"id":"C1"},"message":{"ts":"1.1"},"actions":[{"action_id":"say.0","value":"why"}]}`,
		`{"type":"block_actions","actions":[{}]}`, `{"event":null}`, `[]`, ``,
	} {
		for _, kind := range []string{"events_api", "slash_commands", "interactive", "other"} {
			f.Add(kind, []byte(payload))
		}
	}
	b := quietBot()
	f.Fuzz(func(t *testing.T, kind string, payload []byte) {
		in, skip := b.read(kind, payload)
		if skip != "" {
			return
		}
		if in.delivery == "" || in.line == "" || in.message.ID == "" {
			t.Fatalf("taken without a key: %+v", in)
		}
		if in.command == "" && (in.place.channel == "" || in.place.thread == "" || in.message.Author == "") {
			t.Fatalf("taken without a place: %+v", in)
		}
	})
}
