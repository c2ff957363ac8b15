package terminal_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rodcall/bot/conversation"
	"rodcall/bot/reply"
	"rodcall/bot/terminal"
)

// door is a conversation that answers every message with its own text and keeps what it got.
type door struct {
	got       []conversation.Message
	recovered []conversation.Recovered
	fail      error
}

func (d *door) Handle(_ context.Context, m conversation.Message) (reply.Reply, error) {
	d.got = append(d.got, m)
	return reply.Reply{Lines: []string{"I heard", "  " + m.Text}}, d.fail
}

func (d *door) Recover(context.Context) ([]conversation.Recovered, error) { return d.recovered, nil }

func run(t *testing.T, d *door, input string, interactive bool) string {
	t.Helper()
	var out bytes.Buffer
	err := terminal.Run(context.Background(), strings.NewReader(input), &out, d, terminal.Options{
		Session: "s1", Author: "kai", Interactive: interactive, Now: func() time.Time { return time.Unix(0, 0) }})
	require.Equal(t, d.fail, err)
	return out.String()
}

func TestPipedLinesAreMessagesAndAnEmptyLineEndsACase(t *testing.T) {
	d := &door{}
	out := run(t, d, "one\r\ntwo\n\n\nthree", false)
	require.Equal(t, "I heard\n  one\n\nI heard\n  two\n\nI heard\n  three\n\n", out)
	require.Len(t, d.got, 3)
	require.Equal(t, []string{"s1-1", "s1-2", "s1-3"}, []string{d.got[0].ID, d.got[1].ID, d.got[2].ID})
	require.Equal(t, d.got[0].Thread, d.got[1].Thread)
	require.NotEqual(t, d.got[1].Thread, d.got[2].Thread)
	require.Equal(t, "kai", d.got[0].Author)
}

func TestAPersonGetsAPromptAndAnEmptyLineDoesNothing(t *testing.T) {
	d := &door{}
	out := run(t, d, "one\n\ntwo\n", true)
	require.Contains(t, out, "> ")
	require.Equal(t, d.got[0].Thread, d.got[1].Thread)
}

func TestTextCannotDriveTheTerminal(t *testing.T) {
	out := run(t, &door{}, "red \x1b[31m and \x1b]0;title\x07 and \u202e back\n", false)
	for _, r := range out {
		require.True(t, r == '\n' || r >= ' ', "%q", out)
	}
	require.NotContains(t, out, "\u202e")
}

func TestAVeryLongLineIsOneMessageInBoundedMemory(t *testing.T) {
	d := &door{}
	run(t, d, strings.Repeat("x", 3<<20)+"\nnext\n", false)
	require.Len(t, d.got, 2)
	require.Greater(t, len(d.got[0].Text), conversation.MaxText, "the door sees that it is too long")
	require.LessOrEqual(t, len(d.got[0].Text), 64<<10)
	require.Equal(t, "next", d.got[1].Text)
}

func TestWhatAnEarlierRunLeftUnansweredIsToldFirst(t *testing.T) {
	d := &door{recovered: []conversation.Recovered{{Reply: reply.Reply{Lines: []string{"WELD. old"}}}}}
	require.Equal(t, "Earlier, answered only now:\nWELD. old\n\n", run(t, d, "", false))
}

func TestAFailingStoreIsToldAndDoesNotEndTheRun(t *testing.T) {
	d := &door{fail: errors.New("disk full")}
	out := run(t, d, "one\ntwo\n", false)
	require.Len(t, d.got, 2)
	require.Contains(t, out, "two")
}

func TestTheRunEndsWithItsContext(t *testing.T) {
	in, hold := io.Pipe()
	defer hold.Close()
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	require.NoError(t, terminal.Run(ctx, in, io.Discard, &door{}, terminal.Options{Session: "s"}))
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no room") }

func TestABrokenOutputEndsTheRun(t *testing.T) {
	in := strings.NewReader(strings.Repeat("one\n", 9))
	err := terminal.Run(context.Background(), in, full{}, &door{}, terminal.Options{Session: "s"})
	require.ErrorContains(t, err, "writing a reply: no room")
}

func ExampleRun() {
	in := strings.NewReader("sprocket cracked\n")
	var out bytes.Buffer
	_ = terminal.Run(context.Background(), in, &out, &door{}, terminal.Options{Session: "s"})
	fmt.Print(out.String())
	// Output:
	// I heard
	//   sprocket cracked
}
