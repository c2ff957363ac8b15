// Package terminal is the conversation on a terminal, or over a pipe: it cuts input into lines, hands
// each to the door as a message and prints the replies as plain text. It decides nothing.
package terminal

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"
	"unicode"

	"golang.org/x/term"

	"rodcall/bot/conversation"
	"rodcall/bot/reply"
)

// maxLine is how much of one line is taken in; the rest of a longer line is read and dropped. The door
// answers what is too long for it with a sentence.
const maxLine = 64 << 10

// Door is the conversation as the terminal uses it.
type Door interface {
	Handle(ctx context.Context, m conversation.Message) (reply.Reply, error)
	Recover(ctx context.Context) ([]conversation.Recovered, error)
}

// Options say who talks and how.
type Options struct {
	Session     string           // unique for each run: message ids and threads are made of it
	Author      string           // who types; empty is "terminal"
	Interactive bool             // a person sits at it: a prompt is shown, and an empty line does nothing
	Now         func() time.Time // the clock; nil is the system's
}

// Interactive says whether both ends are a terminal.
func Interactive(in io.Reader, out io.Writer) bool {
	return isTerminal(in) && isTerminal(out) && os.Getenv("TERM") != "dumb"
}

func isTerminal(end any) bool {
	file, ok := end.(*os.File)
	return ok && term.IsTerminal(int(file.Fd()))
}

// Run talks until the input ends or the context does. Each line is one message; over a pipe an empty line
// ends a case, so that the next line opens another. Messages that an earlier run stored and did not
// answer are answered first. A message that cannot be stored is told and does not end the run; the first
// such error is returned at the end.
func Run(ctx context.Context, in io.Reader, out io.Writer, door Door, o Options) error {
	t := &session{out: out, door: door, options: o}
	if o.Author == "" {
		t.options.Author = "terminal"
	}
	if o.Now == nil {
		t.options.Now = time.Now
	}
	recovered, err := door.Recover(ctx)
	t.failed = err
	for _, r := range recovered {
		t.print(append([]string{"Earlier, answered only now:"}, r.Reply.Lines...))
	}
	if o.Interactive {
		t.print([]string{"Tell the part and what broke; hi or", "help for more; Ctrl-D ends."})
	}
	return t.talk(ctx, in)
}

// session is one run.
type session struct {
	out      io.Writer
	door     Door
	options  Options
	messages int   // handed to the door
	cases    int   // ended by an empty line
	failed   error // first error of the door
	broken   error // error of the output
}

type line struct {
	text string
	err  error
}

func (t *session) talk(ctx context.Context, in io.Reader) error {
	lines := make(chan line)
	go readLines(ctx, in, lines)
	for t.broken == nil {
		t.prompt()
		select {
		case <-ctx.Done():
			return t.failed
		case l, ok := <-lines:
			if !ok {
				return t.failed
			}
			if l.err != nil {
				return errors.Join(fmt.Errorf("reading input: %w", l.err), t.failed)
			}
			t.take(ctx, l.text)
		}
	}
	return errors.Join(fmt.Errorf("writing a reply: %w", t.broken), t.failed)
}

// take handles one line.
func (t *session) take(ctx context.Context, text string) {
	if strings.TrimSpace(text) == "" {
		if !t.options.Interactive {
			t.cases++
		}
		return
	}
	t.messages++
	m := conversation.Message{
		ID:     fmt.Sprintf("%s-%d", t.options.Session, t.messages),
		Thread: fmt.Sprintf("terminal/%s/%d", t.options.Session, t.cases),
		Author: t.options.Author, Text: text, At: t.options.Now().UTC(),
	}
	r, err := t.door.Handle(ctx, m)
	if err != nil && t.failed == nil {
		t.failed = err
	}
	t.print(r.Lines)
}

func (t *session) prompt() {
	if t.options.Interactive {
		t.write("> ")
	}
}

// print writes lines and an empty one behind them. Control characters that came in with a user's words
// never reach the terminal.
func (t *session) print(lines []string) {
	var b strings.Builder
	for _, l := range lines {
		b.WriteString(plain(l))
		b.WriteByte('\n')
	}
	b.WriteByte('\n')
	t.write(b.String())
}

func (t *session) write(text string) {
	if _, err := io.WriteString(t.out, text); err != nil && t.broken == nil {
		t.broken = err
	}
}

// plain is a line without anything that could drive a terminal: no control characters, nothing that
// turns the writing around.
func plain(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) {
			return -1
		}
		return r
	}, text)
}

// readLines sends the lines of the input, each at most maxLine bytes of it.
func readLines(ctx context.Context, in io.Reader, lines chan<- line) {
	defer close(lines)
	reader := bufio.NewReaderSize(in, 4096)
	for {
		text, err := readLine(reader)
		if err != nil && err != io.EOF {
			send(ctx, lines, line{err: err})
			return
		}
		if (text != "" || err == nil) && !send(ctx, lines, line{text: text}) || err == io.EOF {
			return
		}
	}
}

func send(ctx context.Context, lines chan<- line, l line) bool {
	select {
	case lines <- l:
		return true
	case <-ctx.Done():
		return false
	}
}

// readLine reads up to a line end in constant memory; what is over maxLine is dropped.
func readLine(r *bufio.Reader) (string, error) {
	var b strings.Builder
	for {
		chunk, err := r.ReadSlice('\n')
		if room := maxLine - b.Len(); room > 0 {
			b.Write(chunk[:min(room, len(chunk))])
		}
		if err == bufio.ErrBufferFull {
			continue
		}
		return strings.TrimRight(b.String(), "\r\n"), err
	}
}
