package slack

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"runtime"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rodcall/bot/conversation"
	"rodcall/bot/reply"
	"rodcall/bot/slack/fakeslack"
)

const soon = 20 * time.Second

// scripted is a door that answers by a function and keeps what it was told.
type scripted struct {
	mu    sync.Mutex
	heard []conversation.Message
	say   func(m conversation.Message) (reply.Reply, error)
}

func (d *scripted) Handle(_ context.Context, m conversation.Message) (reply.Reply, error) {
	d.mu.Lock()
	d.heard = append(d.heard, m)
	say := d.say
	d.mu.Unlock()
	if say != nil {
		return say(m)
	}
	return reply.Reply{Lines: []string{"heard: " + m.Text}, Actions: []reply.Action{{Label: "why", Say: "why"}}}, nil
}

func (d *scripted) messages() []conversation.Message {
	d.mu.Lock()
	defer d.mu.Unlock()
	return append([]conversation.Message(nil), d.heard...)
}

// bench is a fake Slack with a running bot.
type bench struct {
	*fakeslack.Server
	t    *testing.T
	door *scripted
	stop context.CancelFunc
	done chan error
}

func fastOptions() fakeslack.Options {
	return fakeslack.Options{PostEvery: 20 * time.Millisecond, RedeliverAt: []time.Duration{150 * time.Millisecond, 300 * time.Millisecond}}
}

// start runs a bot against a new fake. At the end it must stop by itself, leave nothing unacknowledged, have
// kept the pace, and leave no goroutine behind.
func start(t *testing.T, options fakeslack.Options, door *scripted) *bench {
	t.Helper()
	before := runtime.NumGoroutine()
	server := fakeslack.New(options)
	server.AddUser("U1ANA", "ana")
	server.AddUser("U2BEN", "ben")
	server.AddChannel("C1YARD", true)
	server.AddChannel("C2OUT", false)
	server.AddChannel("D1ANA", true)
	b := &bench{Server: server, t: t, door: door, done: make(chan error, 1)}
	ctx, stop := context.WithCancel(context.Background())
	b.stop = stop
	go func() { b.done <- Run(ctx, b.settings(), door, slog.New(slog.NewTextHandler(io.Discard, nil))) }()
	t.Cleanup(func() {
		stop()
		select {
		case err := <-b.done:
			require.NoError(t, err)
		case <-time.After(soon):
			t.Error("the bot did not stop")
		}
		server.Close()
		leftBehind(t, before)
	})
	require.True(t, server.Wait(soon, func() bool { return server.Connections() > 0 }), "no socket opened")
	return b
}

// leftBehind fails with the stacks when more goroutines run than before.
func leftBehind(t *testing.T, before int) {
	t.Helper()
	for end := time.Now().Add(soon); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		if runtime.NumGoroutine() <= before {
			return
		}
	}
	stacks := make([]byte, 1<<20)
	t.Errorf("goroutines left behind:\n%s", stacks[:runtime.Stack(stacks, true)])
}

func (b *bench) settings() Settings {
	return Settings{BotToken: b.BotToken, AppToken: b.AppToken, APIURL: b.APIURL, PostEvery: 20 * time.Millisecond, Grace: time.Second}
}

func (b *bench) mention(text string) string { return "<@" + b.BotUser + "> " + text }

// answers waits for n answers under a message and for all deliveries to be acknowledged.
func (b *bench) answers(channel, ts string, n int) []fakeslack.Message {
	b.t.Helper()
	b.Wait(soon, func() bool { return len(b.Answers(channel, ts)) >= n })
	b.settle()
	answers := b.Answers(channel, ts)
	require.Len(b.t, answers, n, "%v", answers)
	return answers
}

// settle waits until everything is acknowledged and what might still be on its way has come.
func (b *bench) settle() {
	b.t.Helper()
	require.True(b.t, b.Wait(soon, func() bool { return len(b.Unacked()) == 0 }), "not acknowledged: %v", b.Unacked())
	time.Sleep(60 * time.Millisecond)
}

func TestMentionIsAnsweredInItsThread(t *testing.T) {
	b := start(t, fastOptions(), &scripted{})
	ts := b.Post("U1ANA", "C1YARD", "", b.mention("jaw plate, no magnet &amp; 45 HRC"), 0)
	answer := b.answers("C1YARD", ts, 1)[0]
	require.Equal(t, "heard: jaw plate, no magnet & 45 HRC", answer.Shown())
	require.Equal(t, "heard: jaw plate, no magnet &amp; 45 HRC", answer.Text, "fallback text is there and escaped")
	heard := b.door.messages()
	require.Len(t, heard, 1)
	require.Equal(t, "T0VALLEY/C1YARD/"+ts, heard[0].Thread)
	require.Equal(t, "T0VALLEY/C1YARD/"+ts, heard[0].ID)
	require.Equal(t, "U1ANA", heard[0].Author)
	require.Equal(t, time.UTC, heard[0].At.Location())
}

func TestDirectMessageNeedsNoMention(t *testing.T) {
	b := start(t, fastOptions(), &scripted{})
	ts := b.Post("U1ANA", "D1ANA", "", "photo of a bucket lip", 2)
	b.answers("D1ANA", ts, 1)
	require.Equal(t, 2, b.door.messages()[0].Files)
}

func TestTalkInAChannelIsLeftAlone(t *testing.T) {
	b := start(t, fastOptions(), &scripted{})
	b.Post("U1ANA", "C1YARD", "", "lunch?", 0)
	thread := b.Post("U2BEN", "C1YARD", "", "who has the grinder?", 0)
	b.Post("U1ANA", "C1YARD", thread, "me", 0)
	b.settle()
	require.Empty(t, b.door.messages())
	require.Empty(t, b.Calls("chat.postMessage"))
}

func TestThreadThatTheBotIsInGoesOnWithoutMention(t *testing.T) {
	b := start(t, fastOptions(), &scripted{})
	ts := b.Post("U1ANA", "C1YARD", "", b.mention("sprocket worn"), 0)
	b.answers("C1YARD", ts, 1)
	b.Post("U2BEN", "C1YARD", ts, "magnet pulls hard", 0)
	b.answers("C1YARD", ts, 2)
	require.Equal(t, b.door.messages()[0].Thread, b.door.messages()[1].Thread)
	require.Empty(t, b.Calls("conversations.replies"), "it remembers its own threads")
}

func TestThreadFromBeforeARestartIsLookedUp(t *testing.T) {
	first := start(t, fastOptions(), &scripted{})
	ts := first.Post("U1ANA", "C1YARD", "", first.mention("sprocket worn"), 0)
	first.answers("C1YARD", ts, 1)

	again := &bench{Server: first.Server, t: t, door: &scripted{}, done: make(chan error, 1)}
	ctx, stop := context.WithCancel(context.Background())
	first.stop()
	require.NoError(t, <-first.done)
	first.done <- nil
	connections := first.Connections()
	go func() {
		again.done <- Run(ctx, again.settings(), again.door, slog.New(slog.NewTextHandler(io.Discard, nil)))
	}()
	defer func() { stop(); require.NoError(t, <-again.done) }()
	require.True(t, again.Wait(soon, func() bool { return again.Connections() > connections }))

	again.Post("U1ANA", "C1YARD", ts, "magnet pulls hard", 0)
	again.answers("C1YARD", ts, 2)
	require.Len(t, again.Calls("conversations.replies"), 1)
}

func TestSlashCommandOpensAThreadThatQuotesIt(t *testing.T) {
	b := start(t, fastOptions(), &scripted{})
	b.Slash("U1ANA", "C1YARD", DefaultCommand, "jaw plate <!channel> cracked")
	require.True(t, b.Wait(soon, func() bool { return len(b.Messages("C1YARD")) == 2 }))
	b.settle()
	root, answer := b.Messages("C1YARD")[0], b.Messages("C1YARD")[1]
	require.Contains(t, root.Shown(), "/rodcall jaw plate")
	require.Contains(t, root.Text, "<@U1ANA> asks: /rodcall jaw plate")
	require.Equal(t, []string{"<@U1ANA>", "user"}, root.Effects(), "only the asker is named")
	require.Equal(t, root.TS, answer.ThreadTS)
	require.Equal(t, "T0VALLEY/C1YARD/"+root.TS, b.door.messages()[0].Thread)

	b.Post("U1ANA", "C1YARD", root.TS, "no magnet", 0)
	b.answers("C1YARD", root.TS, 2)
}

func TestSlashCommandWhereTheBotIsNotIsAnsweredDirectly(t *testing.T) {
	b := start(t, fastOptions(), &scripted{})
	b.Slash("U1ANA", "C2OUT", DefaultCommand, "jaw plate")
	require.True(t, b.Wait(soon, func() bool { return len(b.Messages("D1ANA")) == 2 }))
	b.settle()
	require.Empty(t, b.Messages("C2OUT"))
}

func TestAnotherSlashCommandIsAcknowledgedAndLeftAlone(t *testing.T) {
	b := start(t, fastOptions(), &scripted{})
	b.Slash("U1ANA", "C1YARD", "/lunch", "soup")
	b.settle()
	require.Empty(t, b.door.messages())
}

func TestButtonSaysItsWordAsThePersonWhoPresses(t *testing.T) {
	b := start(t, fastOptions(), &scripted{})
	ts := b.Post("U1ANA", "C1YARD", "", b.mention("bucket"), 0)
	answer := b.answers("C1YARD", ts, 1)[0]
	require.Equal(t, []string{"why"}, answer.Buttons())
	require.True(t, b.Press("U2BEN", "C1YARD", answer.TS, "why"))
	second := b.answers("C1YARD", ts, 2)[1]
	require.Equal(t, "ben: why\nheard: why", second.Shown())
	heard := b.door.messages()[1]
	require.Equal(t, "U2BEN", heard.Author)
	require.Equal(t, "T0VALLEY/C1YARD/"+ts, heard.Thread)
	require.Empty(t, second.Effects(), "the presser is named, not pinged")
}

func TestOnePostIsAnsweredOnceHoweverOftenItArrives(t *testing.T) {
	for _, fault := range []fakeslack.Fault{fakeslack.DuplicateDelivery, fakeslack.MentionAndMessage, fakeslack.MessageOnly, fakeslack.MalformedBlock} {
		t.Run(string(fault), func(t *testing.T) {
			b := start(t, fastOptions(), &scripted{})
			b.Set(fault, 1)
			ts := b.Post("U1ANA", "C1YARD", "", b.mention("drum"), 0)
			b.answers("C1YARD", ts, 1)
			require.Len(t, b.door.messages(), 1)
			require.Equal(t, "drum", b.door.messages()[0].Text)
		})
	}
}

func TestCommandOrPressDeliveredTwiceCountsOnce(t *testing.T) {
	b := start(t, fastOptions(), &scripted{})
	b.Set(fakeslack.DuplicateDelivery, 1)
	b.Slash("U1ANA", "C1YARD", DefaultCommand, "drum")
	require.True(t, b.Wait(soon, func() bool { return len(b.Messages("C1YARD")) == 2 }))
	b.settle()
	require.Len(t, b.Messages("C1YARD"), 2)
	root, answer := b.Messages("C1YARD")[0], b.Messages("C1YARD")[1]
	b.Set(fakeslack.DuplicateDelivery, 1)
	require.True(t, b.Press("U1ANA", "C1YARD", answer.TS, "why"))
	b.answers("C1YARD", root.TS, 2)
	require.Len(t, b.door.messages(), 2)
}

func TestEditsDeletionsAndBotsAreNotAnswered(t *testing.T) {
	b := start(t, fastOptions(), &scripted{})
	ts := b.Post("U1ANA", "C1YARD", "", b.mention("drum"), 0)
	b.answers("C1YARD", ts, 1)
	b.Edit("C1YARD", ts, b.mention("drum of a winch"))
	b.Delete("C1YARD", ts)
	b.BotPost("B7OTHER", "C1YARD", ts, b.mention("beep"))
	b.Notice("channel_topic", "U1ANA", "C1YARD", b.mention("is our topic"))
	b.answers("C1YARD", ts, 1)
	require.Len(t, b.door.messages(), 1)
}

func TestUnknownEventTypeIsAcknowledged(t *testing.T) {
	b := start(t, fastOptions(), &scripted{})
	b.Set(fakeslack.UnknownEvent, 1)
	ts := b.Post("U1ANA", "C1YARD", "", b.mention("drum"), 0)
	b.answers("C1YARD", ts, 1)
	first := b.Deliveries()[0]
	require.Equal(t, "weld_inspected", first.EventType())
	require.True(t, first.Acked)
	require.Equal(t, 1, first.Attempts)
}

func TestAcknowledgementDoesNotWaitForTheAnswer(t *testing.T) {
	release := make(chan struct{})
	door := &scripted{say: func(m conversation.Message) (reply.Reply, error) {
		<-release
		return reply.Reply{Lines: []string{"late"}}, nil
	}}
	b := start(t, fastOptions(), door)
	ts := b.Post("U1ANA", "C1YARD", "", b.mention("drum"), 0)
	require.True(t, b.Wait(soon, func() bool { return len(b.Deliveries()) > 0 && len(b.Unacked()) == 0 }), "acknowledged while the door still thinks")
	require.Empty(t, b.Answers("C1YARD", ts))
	require.True(t, b.Wait(soon, func() bool { return len(b.Reactions()) == 1 }), "eyes while it takes long")
	require.Equal(t, fakeslack.Reaction{Channel: "C1YARD", TS: ts, Name: "eyes"}, b.Reactions()[0])
	close(release)
	b.answers("C1YARD", ts, 1)
}

func TestThreadKeepsItsOrderWhileOthersGoOn(t *testing.T) {
	release := make(chan struct{})
	door := &scripted{say: func(m conversation.Message) (reply.Reply, error) {
		if m.Text == "slow" {
			<-release
		}
		return reply.Reply{Lines: []string{m.Text}}, nil
	}}
	b := start(t, fastOptions(), door)
	slow := b.Post("U1ANA", "C1YARD", "", b.mention("slow"), 0)
	for i := range 4 {
		b.Post("U1ANA", "C1YARD", slow, fmt.Sprint(i), 0)
	}
	other := b.Post("U2BEN", "C1YARD", "", b.mention("other"), 0)
	b.answers("C1YARD", other, 1)
	require.Empty(t, b.Answers("C1YARD", slow))
	close(release)
	var said []string
	for _, answer := range b.answers("C1YARD", slow, 5) {
		said = append(said, answer.Shown())
	}
	require.Equal(t, []string{"slow", "0", "1", "2", "3"}, said)
}

func TestRepsWordsNeverBecomeMarkup(t *testing.T) {
	hostile := "<!channel> <@U2BEN> <https://x.example|win> *bold* _it_ ~no~ ``` :tada: &lt;!here&gt; https://x.example <!subteam^S1>"
	door := &scripted{say: func(m conversation.Message) (reply.Reply, error) {
		return reply.Reply{Lines: []string{hostile, m.Text}, Actions: []reply.Action{{Label: "<!here> & *x* :tada:", Say: "<!channel>"}}}, nil
	}}
	b := start(t, fastOptions(), door)
	ts := b.Post("U1ANA", "C1YARD", "", b.mention(fakeslack.Escape("<!channel> *bold*")), 0)
	answer := b.answers("C1YARD", ts, 1)[0]
	require.Empty(t, answer.Effects())
	require.Equal(t, hostile+"\n<!channel> bold", answer.Shown(), "and every sign of it is shown")

	require.True(t, b.Press("U2BEN", "C1YARD", answer.TS, answer.Buttons()[0]))
	require.Empty(t, b.answers("C1YARD", ts, 2)[1].Effects())
	require.Equal(t, "<!channel>", b.door.messages()[1].Text)
}

func TestPaceOfAChannelIsKept(t *testing.T) {
	options := fastOptions()
	options.PostBurst = burst + 3 // more than ours: posts bunch up on the way on a loaded machine; twelve without a limiter still fail
	b := start(t, options, &scripted{})
	var posts []string
	for i := range 12 {
		posts = append(posts, b.Post("U1ANA", "C1YARD", "", b.mention(fmt.Sprint(i)), 0))
	}
	for _, ts := range posts {
		b.answers("C1YARD", ts, 1)
	}
	require.Zero(t, b.TooFast(), "the limiter stands before the call")
}

func TestSlackAskingForPatienceGetsIt(t *testing.T) {
	b := start(t, fastOptions(), &scripted{})
	b.Set(fakeslack.RateLimit, 2)
	ts := b.Post("U1ANA", "C1YARD", "", b.mention("drum"), 0)
	b.answers("C1YARD", ts, 1)
	calls := b.Calls("chat.postMessage")
	require.Len(t, calls, 3)
	for i := range 2 {
		require.GreaterOrEqual(t, calls[i+1].At.Sub(calls[i].At), time.Second, "Retry-After is one second")
		require.Equal(t, calls[i].Form, calls[i+1].Form)
	}
}

func TestPostWithUnknownOutcomeIsNotSentTwice(t *testing.T) {
	for _, fault := range []fakeslack.Fault{fakeslack.StoreThenCut, fakeslack.StoreThen500} {
		t.Run(string(fault), func(t *testing.T) {
			b := start(t, fastOptions(), &scripted{})
			b.Set(fault, 1)
			ts := b.Post("U1ANA", "C1YARD", "", b.mention("drum"), 0)
			b.answers("C1YARD", ts, 1)
		})
	}
}

func TestSocketComesBackAfterADisconnect(t *testing.T) {
	b := start(t, fastOptions(), &scripted{})
	b.Disconnect()
	require.True(t, b.Wait(soon, func() bool { return b.Connections() == 2 }))
	ts := b.Post("U1ANA", "C1YARD", "", b.mention("drum"), 0)
	b.answers("C1YARD", ts, 1)
}

func TestAcknowledgementLostWithTheSocketDoesNotDoubleTheAnswer(t *testing.T) {
	b := start(t, fastOptions(), &scripted{})
	b.Set(fakeslack.DisconnectFirst, 1)
	ts := b.Post("U1ANA", "C1YARD", "", b.mention("drum"), 0)
	b.answers("C1YARD", ts, 1)
	require.GreaterOrEqual(t, b.Connections(), 2)
	require.Len(t, b.door.messages(), 1)
}

func TestDoorThatFailsOrPanicsIsAdmitted(t *testing.T) {
	door := &scripted{say: func(m conversation.Message) (reply.Reply, error) {
		if m.Text == "panic" {
			panic("broken")
		}
		return reply.Reply{}, errors.New("record: disk full")
	}}
	b := start(t, fastOptions(), door)
	for _, text := range []string{"panic", "fail"} {
		ts := b.Post("U1ANA", "C1YARD", "", b.mention(text), 0)
		answer := b.answers("C1YARD", ts, 1)[0]
		require.Contains(t, answer.Shown(), "Send the same words again")
		require.NotContains(t, answer.Shown(), "disk")
	}
}

func TestSilentReplyPostsNothing(t *testing.T) {
	b := start(t, fastOptions(), &scripted{say: func(conversation.Message) (reply.Reply, error) { return reply.Reply{}, nil }})
	ts := b.Post("U1ANA", "C1YARD", "", b.mention("thanks"), 0)
	require.True(t, b.Wait(soon, func() bool { return len(b.door.messages()) == 1 }))
	b.answers("C1YARD", ts, 0)
}

func TestAcceptedMessagesAreAnsweredBeforeTheEnd(t *testing.T) {
	release := make(chan struct{})
	door := &scripted{say: func(conversation.Message) (reply.Reply, error) {
		<-release
		return reply.Reply{Lines: []string{"done"}}, nil
	}}
	b := start(t, fastOptions(), door)
	ts := b.Post("U1ANA", "C1YARD", "", b.mention("drum"), 0)
	require.True(t, b.Wait(soon, func() bool { return len(door.messages()) == 1 }))
	b.stop()
	close(release)
	require.NoError(t, <-b.done)
	b.done <- nil
	require.Len(t, b.Answers("C1YARD", ts), 1)
}

func TestFinalRefusalsEndTheBotLoudly(t *testing.T) {
	for _, c := range []struct{ method, code, says string }{
		{"auth.test", "invalid_auth", "make a new token"},
		{"auth.test", "account_inactive", "make a new token"},
		{"apps.connections.open", "missing_scope", "compare the scopes"},
		{"apps.connections.open", "not_allowed_token_type", "exchanged"},
	} {
		server := fakeslack.New(fastOptions())
		server.Refuse(c.method, c.code)
		settings := Settings{BotToken: server.BotToken, AppToken: server.AppToken, APIURL: server.APIURL}
		err := Run(context.Background(), settings, &scripted{}, slog.New(slog.NewTextHandler(io.Discard, nil)))
		var final *FinalError
		require.ErrorAs(t, err, &final, c.code)
		require.Equal(t, c.code, final.Code)
		require.ErrorContains(t, err, c.says)
		require.NotContains(t, err.Error(), server.BotToken)
		server.Close()
	}
}

// requireFinal waits for the bot to end with a final error of Slack.
func requireFinal(t *testing.T, b *bench, code string) {
	t.Helper()
	select {
	case err := <-b.done:
		var final *FinalError
		require.ErrorAs(t, err, &final)
		require.Equal(t, code, final.Code)
	case <-time.After(soon):
		t.Fatal("still running")
	}
	b.done <- nil
}

func TestTokenRevokedWhileRunningEndsTheBotLoudly(t *testing.T) {
	for _, method := range []string{"apps.connections.open", "chat.postMessage"} {
		t.Run(method, func(t *testing.T) {
			b := start(t, fastOptions(), &scripted{})
			b.Refuse(method, "token_revoked")
			if method == "chat.postMessage" {
				b.Post("U1ANA", "C1YARD", "", b.mention("drum"), 0)
			} else {
				b.Disconnect()
			}
			requireFinal(t, b, "token_revoked")
		})
	}
}

func TestMissingScopeWhileRunningDoesNotRetryForEver(t *testing.T) {
	b := start(t, fastOptions(), &scripted{})
	b.Refuse("apps.connections.open", "missing_scope")
	b.Disconnect()
	requireFinal(t, b, "missing_scope")
}

func TestWithoutTheHistoryScopeMentionsStillWork(t *testing.T) {
	options := fastOptions()
	options.MissingScopes = []string{"channels:history", "reactions:write"}
	b := start(t, options, &scripted{})
	thread := b.Post("U2BEN", "C1YARD", "", "who has the grinder?", 0)
	b.Post("U1ANA", "C1YARD", thread, "me", 0)
	b.settle()
	require.Empty(t, b.door.messages())
	b.Post("U1ANA", "C1YARD", thread, b.mention("drum"), 0)
	b.answers("C1YARD", thread, 1)
}

func TestWrongSettingsAreAllNamed(t *testing.T) {
	err := Run(context.Background(), Settings{BotToken: "xapp-1", Command: "rod"}, &scripted{}, slog.Default())
	for _, want := range []string{"slack.bot_token", "slack.app_token", "slack.command"} {
		require.ErrorContains(t, err, want)
	}
	require.NotContains(t, err.Error(), "xapp-1")
}
