package conversation

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"rodcall/bot/reply"
)

// Limits of one message.
const (
	MaxText    = 16 << 10  // bytes of text that are read; a longer one is answered with a sentence
	keepText   = 256 << 10 // bytes of text that are stored
	maxParts   = 9         // parts in one case: their numbers have one digit
	maxEarlier = 8         // changes that undo can take back
)

// Options are the team's settings of the conversation.
type Options struct {
	Units string // metric | us | both
}

// Door is the one way in for messages. It is safe for concurrent use: messages of one thread are
// handled one at a time, in the order in which they come in.
type Door struct {
	engine  Engine
	record  Record
	options Options
	threads threads
}

// New makes a door over an engine and a record.
func New(engine Engine, record Record, options Options) *Door {
	return &Door{engine: engine, record: record, options: options, threads: threads{held: map[string]*held{}}}
}

// Handle stores a message, works out what it says, stores what it led to and returns the reply. A
// message with an id that was answered before gets the same reply again and changes nothing. The reply
// is never empty: with an error it says in plain words what to do.
func (d *Door) Handle(ctx context.Context, m Message) (reply.Reply, error) {
	m.Text = readable(m.Text)
	fresh, err := d.record.SaveMessage(ctx, m)
	if err != nil {
		return unsaved(), fmt.Errorf("message %s: store: %w", m.ID, err)
	}
	defer d.threads.lock(m.Thread)()
	if !fresh {
		r, answered, err := d.record.Answered(ctx, m.ID)
		if err != nil {
			return unsaved(), fmt.Errorf("message %s: earlier reply: %w", m.ID, err)
		}
		if answered {
			return r, nil
		}
	}
	return d.answer(ctx, m)
}

// Recovered is a message that was stored but never answered, with the reply that it has now.
type Recovered struct {
	Message Message
	Reply   reply.Reply
}

// Recover answers the messages that were stored before a crash and never answered, oldest first. It
// goes on after one that fails and returns the first error.
func (d *Door) Recover(ctx context.Context) ([]Recovered, error) {
	pending, err := d.record.Pending(ctx)
	if err != nil {
		return nil, fmt.Errorf("unanswered messages: %w", err)
	}
	var done []Recovered
	for _, m := range pending {
		r, failed := d.Handle(ctx, m)
		if failed != nil {
			if err == nil {
				err = failed
			}
			continue
		}
		done = append(done, Recovered{m, r})
	}
	return done, err
}

func (d *Door) answer(ctx context.Context, m Message) (reply.Reply, error) {
	c, open, err := d.record.OpenCase(ctx, m.Thread)
	if err != nil {
		return unsaved(), fmt.Errorf("message %s: open case: %w", m.ID, err)
	}
	shown, err := d.record.Shown(ctx, m.Author, m.At.UTC().Format("2006-01-02"))
	if err != nil {
		return unsaved(), fmt.Errorf("message %s: cautions shown: %w", m.ID, err)
	}
	t := &turn{door: d, ctx: ctx, message: m, open: open, shown: shown}
	if open {
		t.c = c
	}
	broken := t.run()
	if broken != nil && !errors.Is(broken, errBroken) {
		return unsaved(), fmt.Errorf("message %s: %w", m.ID, broken)
	}
	if err := d.record.SaveTurn(ctx, t.out); err != nil {
		return unsaved(), fmt.Errorf("message %s: store the turn: %w", m.ID, err)
	}
	return t.out.Reply, broken
}

// unsaved is the reply when the store failed: nothing is claimed that was not kept.
func unsaved() reply.Reply {
	return reply.Sentence("I could not save that, so I say nothing on it. It is my fault, not yours: send it once more in a minute.", reply.Context{})
}

// readable makes valid text of any bytes: control characters other than newline and tab become spaces,
// what turns the writing around goes, and no more is kept than the store takes.
func readable(text string) string {
	if len(text) > keepText {
		text = text[:keepText]
	}
	if utf8.ValidString(text) && !strings.ContainsFunc(text, unfit) {
		return strings.TrimSpace(text)
	}
	text = strings.ToValidUTF8(text, "")
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if unfit(r) {
			return ' '
		}
		return r
	}, text))
}

func unfit(r rune) bool {
	return unicode.IsControl(r) && r != '\n' && r != '\t' || r == unicode.ReplacementChar ||
		unicode.Is(unicode.Bidi_Control, r) || r == '\ufeff'
}

// threads hands out one lock a thread, and forgets a lock that nobody holds or waits for.
type threads struct {
	mu   sync.Mutex
	held map[string]*held
}

type held struct {
	mu    sync.Mutex
	users int
}

func (t *threads) lock(thread string) (unlock func()) {
	t.mu.Lock()
	h := t.held[thread]
	if h == nil {
		h = &held{}
		t.held[thread] = h
	}
	h.users++
	t.mu.Unlock()
	h.mu.Lock()
	return func() {
		h.mu.Unlock()
		t.mu.Lock()
		if h.users--; h.users == 0 {
			delete(t.held, thread)
		}
		t.mu.Unlock()
	}
}
