package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rodcall/bot/conversation"
	"rodcall/bot/record"
)

// startProgram runs this test binary as the program itself, with a record in the folder.
func startProgram(t *testing.T, folder string, stdin io.Reader, stdout io.Writer) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	require.NoError(t, err)
	cmd := exec.Command(self)
	cmd.Dir, cmd.Stdin, cmd.Stdout, cmd.Stderr = folder, stdin, stdout, os.Stderr
	cmd.Env = append(os.Environ(), runVariable+"=1")
	require.NoError(t, cmd.Start())
	return cmd
}

func openFolder(t *testing.T, folder string) *record.Store {
	t.Helper()
	s, err := record.Open(context.Background(), record.Settings{Path: filepath.Join(folder, "rodcall.db")})
	require.NoError(t, err)
	t.Cleanup(func() { _ = s.Close() }) // closed earlier by most tests
	return s
}

// killAfter counts what is written and closes full once that many replies have come out.
type killAfter struct {
	replies atomic.Int64
	want    int64
	full    chan struct{}
}

func (k *killAfter) Write(p []byte) (int, error) {
	if n := k.replies.Add(int64(bytes.Count(p, []byte("case ")))); n >= k.want && n-int64(bytes.Count(p, []byte("case "))) < k.want {
		close(k.full)
	}
	return len(p), nil
}

// The program is killed at a random moment while messages stream in, again and again on one record. A line
// counts as received once it is stored; what was received must be answered after the next start, and
// what was stored must be a beginning of what was sent, without a gap.
func TestKillInTheMiddleLosesNoReceivedMessage(t *testing.T) {
	folder := t.TempDir()
	rounds := 8
	if testing.Short() {
		rounds = 2
	}
	sent := 0
	for round := range rounds {
		in, send := io.Pipe()
		cmd := startProgram(t, folder, in, io.Discard)
		stop := make(chan struct{})
		written := make(chan int, 1)
		go func() {
			n := sent
			defer func() { written <- n }()
			for {
				select {
				case <-stop:
					return
				default:
				}
				if _, err := io.WriteString(send, pinMessage(n)+"\n\n"); err != nil {
					return
				}
				n++
			}
		}()
		time.Sleep(time.Duration(200+rand.IntN(400)) * time.Millisecond)
		require.NoError(t, cmd.Process.Kill())
		close(stop)
		require.NoError(t, in.CloseWithError(io.ErrClosedPipe))
		require.Error(t, cmd.Wait(), "killed")
		after := <-written
		requireReceivedAreAnswered(t, folder, round, sent, after)
		sent = after
	}
}

// requireReceivedAreAnswered starts the program once more without a message, and looks at the record.
func requireReceivedAreAnswered(t *testing.T, folder string, round, from, to int) {
	t.Helper()
	before := openFolder(t, folder)
	pending, err := before.Pending(context.Background())
	require.NoError(t, err)
	require.NoError(t, before.Close())

	var out bytes.Buffer
	cmd := startProgram(t, folder, strings.NewReader(""), &out)
	require.NoError(t, cmd.Wait())

	s := openFolder(t, folder)
	for _, m := range pending {
		r, answered, err := s.Answered(context.Background(), m.ID)
		require.NoError(t, err)
		require.True(t, answered, "round %d: %q was received and lost", round, m.Text)
		require.NotEmpty(t, r.Lines)
		require.Contains(t, out.String(), r.Lines[0], "the reply of a recovered message is shown")
	}
	left, err := s.Pending(context.Background())
	require.NoError(t, err)
	require.Empty(t, left)
	found, err := s.Find(context.Background(), "pin worn", 1_000_000)
	require.NoError(t, err)
	require.NoError(t, s.Close())
	stored := map[string]bool{}
	for _, f := range found {
		stored[f.Title] = true
	}
	gap := false
	for n := from; n < to; n++ {
		here := stored[pinMessage(n)]
		require.False(t, here && gap, "round %d: %q is stored, one before it is not", round, pinMessage(n))
		gap = !here
	}
}

func pinMessage(n int) string { return fmt.Sprintf("pin %d worn, magnet pulls", n) }

// The moment between storing and answering is short; here it is certain: the messages are in the record
// and no program has answered them.
func TestMessagesStoredButNotAnsweredAreAnsweredAtTheNextStart(t *testing.T) {
	folder := t.TempDir()
	s := openFolder(t, folder)
	for i, text := range []string{"jaw liner off the crusher, no magnet", "pump housing cracked, short red sparks"} {
		fresh, err := s.SaveMessage(context.Background(), conversation.Message{
			ID: fmt.Sprint("before the crash ", i), Thread: fmt.Sprint("earlier session ", i), Author: "rep", Text: text, At: time.Now().UTC()})
		require.NoError(t, err)
		require.True(t, fresh)
	}
	require.NoError(t, s.Close())
	var out bytes.Buffer
	require.NoError(t, startProgram(t, folder, strings.NewReader(""), &out).Wait())
	require.Contains(t, out.String(), "manganese")
	s = openFolder(t, folder)
	left, err := s.Pending(context.Background())
	require.NoError(t, err)
	require.Empty(t, left)
	found, err := s.Find(context.Background(), "pump housing", 5)
	require.NoError(t, err)
	require.Len(t, found, 1)

	out.Reset()
	require.NoError(t, startProgram(t, folder, strings.NewReader(""), &out).Wait())
	require.NotContains(t, out.String(), "manganese", "a reply that was given is not given again")
}

// A reply that was seen on the screen is in the record, whenever the program is killed.
func TestReplyThatWasSeenIsInTheRecord(t *testing.T) {
	folder := t.TempDir()
	in, send := io.Pipe()
	seen := &killAfter{want: 5, full: make(chan struct{})}
	cmd := startProgram(t, folder, in, seen)
	go func() {
		for i := 0; ; i++ {
			if _, err := io.WriteString(send, pinMessage(i)+"\n\n"); err != nil {
				return
			}
		}
	}()
	select {
	case <-seen.full:
	case <-time.After(30 * time.Second):
		t.Error("no five replies came")
	}
	require.NoError(t, cmd.Process.Kill())
	require.NoError(t, in.CloseWithError(io.ErrClosedPipe))
	require.Error(t, cmd.Wait(), "killed")
	s := openFolder(t, folder)
	found, err := s.Find(context.Background(), "pin worn", 1_000_000)
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(found), 5)
	for i := range 5 {
		found, err = s.Find(context.Background(), fmt.Sprintf("pin %d worn", i), 1)
		require.NoError(t, err)
		require.Len(t, found, 1)
	}
}
