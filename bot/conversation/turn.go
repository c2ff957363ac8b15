package conversation

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"slices"
	"strings"
	"unicode"

	"rodcall/bot/reply"
	"rodcall/engine"
	"rodcall/engine/observation"
)

// errBroken marks a message on which the program itself broke. It is answered and stored like any
// other, so that it does not break every restart as well.
var errBroken = errors.New("broke on this message")

// turn is one message on its way through the door.
type turn struct {
	door    *Door
	ctx     context.Context
	message Message
	c       Case
	open    bool     // c is a case of the store
	shown   []string // routine cautions that the author was shown today
	out     Turn
}

// run works out the turn; with errBroken the turn is an apology that must be stored as well.
func (t *turn) run() (err error) {
	before := t.c
	before.Parts = slices.Clone(t.c.Parts)
	defer func() {
		if cause := recover(); cause != nil {
			text := fmt.Sprintf("I broke on that message. It is kept, and my fault; nothing was changed. Say it in other words, or tell the team: message %s.", t.message.ID)
			t.out = Turn{Case: before, Reply: reply.Sentence(text, reply.Context{Case: before.Number}, "help")}
			err = fmt.Errorf("%w: %v\n%s", errBroken, cause, debug.Stack())
		}
		t.out.Message = t.message
	}()
	r, err := t.respond()
	if err != nil {
		return err
	}
	t.out.Reply, t.out.Case, t.out.Shown = r, t.c, r.Shown
	return nil
}

// respond decides what the message is: nothing at all, a photo, a word, or facts.
func (t *turn) respond() (reply.Reply, error) {
	text := t.message.Text
	switch {
	case len(text) > MaxText:
		return t.sentence(fmt.Sprintf("That message is too long to read: %d KiB at most. Send the facts in a few lines: part, damage, magnet, spark, file.", MaxText>>10)), nil
	case text == "" && t.message.Files > 0:
		return t.photo()
	case text == "":
		return t.sentence("That message is empty. Tell the part and what broke, or say help.", "help"), nil
	case !strings.ContainsFunc(text, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) || r == '?' || r == '"' }):
		return t.sentence("I read words, not pictures or signs. Tell the part, what broke, and if a magnet sticks.", "help"), nil
	}
	if c, ok := vocabularyOnce().command(text); ok && t.says(c) {
		return t.word(c)
	}
	if r, ok := t.asks(text); ok {
		return r, nil
	}
	if r, ok := t.tellsCost(text); ok {
		return r, nil
	}
	return t.facts(text)
}

// says tells a word with text behind it from facts that only begin the same: "done with 7018" reports
// work, "done a spark test, short" a test; "new: shaft" opens a case, "new tooth cracked" describes one.
func (t *turn) says(c command) bool {
	answer := c.word == "skip" || c.word == "can't"
	if answer && t.open && t.listed(t.message.Text) {
		return false // "not sure" is an answer where the question lists it
	}
	if c.text == "" {
		return true
	}
	read := t.door.engine.Read(c.text).Observation
	if c.word == "can't" {
		return len(strings.Fields(c.text)) <= longestAnswer && !hasTest(read) && read.Part == "" && read.Job == ""
	}
	if c.word == "done" {
		return !hasTest(read)
	}
	if c.as != "new " {
		return true // "new: ..." and "next job ..." can mean nothing else
	}
	p := t.current()
	return read.Part != "" && p != nil && read.Part != p.Observation.Part && (read.Job != "" || hasTest(read))
}

// hasTest says whether an observation holds the result of a shop test.
func hasTest(o observation.Observation) bool {
	return o.Magnet != "" || o.Spark != nil || o.SparkSkin != nil || o.File != "" || len(o.Hardness) > 0 || o.Chip != "" ||
		o.DensityGCM3 != nil || o.Sound != "" || len(o.Fracture) > 0 || len(o.Torch) > 0 || len(o.Chem) > 0
}

// current is the part that words without a number speak of; nil when the case has none.
func (t *turn) current() *Part {
	if !t.open || t.c.Current < 0 || t.c.Current >= len(t.c.Parts) {
		return nil
	}
	return &t.c.Parts[t.c.Current]
}

// plainContext is the context of a reply about no part in particular.
func (t *turn) plainContext() reply.Context {
	c := reply.Context{Name: t.door.engine.FamilyName, Units: t.door.options.Units, Shown: t.shown}
	if t.open {
		c.Case = t.c.Number
		c.Parts = len(t.c.Parts)
		c.Part = t.c.Current + 1
	}
	return c
}

// context is the context of a reply about part n (from 1).
func (t *turn) context(n int) reply.Context {
	c := t.plainContext()
	p := t.c.Parts[n-1]
	c.Part, c.Parts, c.Inch, c.Cannot = n, len(t.c.Parts), p.Inch, p.Cannot
	return c
}

func (t *turn) sentence(text string, says ...string) reply.Reply {
	return reply.Sentence(text, t.plainContext(), says...)
}

// openCase makes sure that there is a case to add to.
func (t *turn) openCase() error {
	if t.open {
		return nil
	}
	c, err := t.door.record.NewCase(t.ctx, t.message.Thread, t.message.Author, t.message.At)
	if err != nil {
		return fmt.Errorf("open a case: %w", err)
	}
	t.c, t.open = c, true
	return nil
}

func (t *turn) photo() (reply.Reply, error) {
	if err := t.openCase(); err != nil {
		return reply.Reply{}, err
	}
	asked := ""
	if p := t.current(); p != nil && p.Asked != "" {
		if q := t.judge(*p).Question; q != nil && q.Caution == p.Asked {
			asked = q.Ask
		}
	}
	return reply.Photo(t.plainContext(), asked), nil
}

func (t *turn) judge(p Part) engine.Judgment {
	return t.door.engine.Judge(p.Observation, p.Answers)
}

// call composes the reply to part n as it stands now, and keeps what was put and proposed.
func (t *turn) call(n int, c reply.Context) reply.Reply {
	p := &t.c.Parts[n-1]
	j := t.judge(*p)
	c.Kept = t.putBefore(n, j)
	c.NotProven = t.remind(j)
	r := reply.Compose(j, c)
	t.keep(n, j, c)
	return r
}

// putBefore says whether the judgment's question was put for part n before: it is not put twice.
func (t *turn) putBefore(n int, j engine.Judgment) bool {
	return j.Question != nil && slices.Contains(t.c.Put, Put{n, j.Question.Caution})
}

// markPut notes that the judgment's question was put for part n.
func (t *turn) markPut(n int, j engine.Judgment) {
	if !t.putBefore(n, j) {
		t.c.Put = append(slices.Clone(t.c.Put), Put{n, j.Question.Caution})
	}
}

// keep notes in part n what the reply put and proposed, and in the turn what was judged.
func (t *turn) keep(n int, j engine.Judgment, c reply.Context) {
	p := &t.c.Parts[n-1]
	p.Asked, p.Test, p.Decided = "", "", j.Decision
	if j.Question != nil {
		p.Asked = j.Question.Caution
		t.markPut(n, j)
	} else if next, ok := reply.Proposed(j, c.Cannot); ok {
		p.Test = next.Test
	} else {
		p.Asked = keptBy(*p, j)
	}
	t.c.Current = n - 1
	observed := p.Observation
	t.out.Part, t.out.Observation, t.out.Judgment = n, &observed, &j
}

// keptBy is the caution whose stop stands because an answer kept it: a later, better answer to the same
// question still binds to it.
func keptBy(p Part, j engine.Judgment) string {
	for _, a := range slices.Backward(p.Answers) {
		if a.Effect == "keeps" && slices.Contains(j.StopReasons, a.Caution) {
			return a.Caution
		}
	}
	return ""
}

// loadWords are the service words under which somebody may be hurt when the part breaks.
var loadWords = []string{"load-bearing", "lifting", "pressure"}

// remind says whether the reply must remind that field tests prove nothing: once a case, when the part
// bears a load and no laboratory has spoken.
func (t *turn) remind(j engine.Judgment) bool {
	const reminder = "not-proven"
	method := j.Observation.ChemMethod
	if j.Decision == "stop" || method == "lab" || method == "certificate" || slices.Contains(t.c.Told, reminder) {
		return false
	}
	if !slices.ContainsFunc(j.Observation.Service, func(s string) bool { return slices.Contains(loadWords, s) }) {
		return false
	}
	t.c.Told = append(slices.Clone(t.c.Told), reminder)
	return true
}

// remember puts the case as it is on the stack that undo takes from.
func (t *turn) remember() {
	earlier := Earlier{Parts: slices.Clone(t.c.Parts), Current: t.c.Current, Message: t.message.ID}
	t.c.Earlier = append(slices.Clone(t.c.Earlier), earlier)
	if over := len(t.c.Earlier) - maxEarlier; over > 0 {
		t.c.Earlier = t.c.Earlier[over:]
	}
}
