package conversation

import (
	"fmt"
	"slices"
	"strings"

	"rodcall/bot/reply"
	"rodcall/engine"
	"rodcall/engine/observation"
)

// details are the words that show one side of a judgment, with the heading of its screen.
var details = map[string]struct {
	heading string
	lines   func(engine.Judgment, reply.Context) []string
}{
	"why": {"", reply.Why}, "rods": {"", reply.Rods}, "steps": {"", reply.Steps}, "preheat": {"", reply.Preheat},
	"cautions": {"", reply.Cautions}, "next": {"", reply.Next}, "avoid": {"", reply.Avoid},
	"estimate": {"", reply.Estimate}, "face": {"", reply.Face},
	"facts": {"", func(j engine.Judgment, c reply.Context) []string { return reply.Told(j.Observation, c) }},
}

// word answers a word of words.csv.
func (t *turn) word(c command) (reply.Reply, error) {
	t.out.Word = c.word
	switch c.word {
	case "hi":
		return reply.FirstScreen(t.plainContext(), t.partWords()), nil
	case "help":
		return t.page(reply.Help(vocabularyOnce().help, t.plainContext()), t.plainContext()), nil
	case "more":
		return t.more(), nil
	case "thanks":
		return t.thanks(), nil
	case "new":
		return t.newCase(c.text)
	case "done":
		return t.done(c.text)
	}
	if !t.open {
		return t.sentence(fmt.Sprintf("No case is open here, so there is nothing to %s. Tell the part and what broke.", wordVerb(c.word)), "help"), nil
	}
	if c.word == "undo" {
		return t.undo(), nil
	}
	n := c.part
	if n == 0 {
		n = t.c.Current + 1
	}
	if len(t.c.Parts) == 0 {
		return t.sentence("No fact is told in this case yet. Tell the part and what broke.", "help"), nil
	}
	if n > len(t.c.Parts) {
		return t.sentence(fmt.Sprintf("This case has %s. Say %s 1.", counted(len(t.c.Parts), "part"), c.word), c.word+" 1"), nil
	}
	t.c.Current = n - 1
	switch c.word {
	case "again":
		return t.call(n, t.context(n)), nil
	case "skip", "can't":
		return t.pass(n, c.text), nil
	}
	return t.detail(n, c.word), nil
}

func wordVerb(word string) string {
	switch word {
	case "undo", "skip":
		return word
	case "can't":
		return "pass over"
	}
	return "show"
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func (t *turn) partWords() string {
	if p := t.current(); p != nil {
		return p.Observation.Part
	}
	return ""
}

// detail shows one side of the judgment of part n, a screen at a time.
func (t *turn) detail(n int, word string) reply.Reply {
	p := t.c.Parts[n-1]
	if word == "estimate" && p.Observation.Cost == nil {
		p.Observation.Cost = &observation.Cost{} // what is asked is worked out, whatever was told of costs
	}
	j := t.judge(p)
	t.out.Part = n
	lines := details[word].lines(j, t.context(n))
	if len(t.c.Parts) > 1 {
		lines = append([]string{fmt.Sprintf("Part %d:", n)}, lines...)
	}
	return t.page(lines, t.context(n))
}

// page shows the first screen of lines and keeps the rest for "more".
func (t *turn) page(lines []string, c reply.Context) reply.Reply {
	r, rest := reply.Page("", lines, c)
	if t.open {
		t.c.More = rest
	}
	return r
}

func (t *turn) more() reply.Reply {
	if !t.open || len(t.c.More) == 0 {
		return t.sentence("There is no more to show. Say why, steps, rods or help.", "why", "help")
	}
	return t.page(t.c.More, t.plainContext())
}

func (t *turn) thanks() reply.Reply {
	if !t.open {
		return t.sentence("Any time. Tell the next part and what broke.")
	}
	return t.sentence(fmt.Sprintf("Case %d is kept. When it is welded, say done and the rod.", t.c.Number), "why")
}

// newCase ends the case of the thread; what stands behind the word is the first message of the next.
func (t *turn) newCase(text string) (reply.Reply, error) {
	if text != "" {
		t.open, t.c = false, Case{}
		return t.facts(text)
	}
	if !t.open {
		return reply.FirstScreen(t.plainContext(), ""), nil
	}
	t.c.Closed = true
	return t.sentence(fmt.Sprintf("Case %d is closed and kept. Tell the next part and what broke.", t.c.Number)), nil
}

// done keeps what was really welded.
func (t *turn) done(text string) (reply.Reply, error) {
	if !t.open {
		return t.sentence("No case is open here. Tell the part first, then done and the rod.", "help"), nil
	}
	report := Done{Words: text, Part: t.c.Current + 1, By: t.message.Author, At: t.message.At}
	if len(t.c.Parts) == 0 {
		report.Part = 0
	}
	if text == "" {
		report.Words = "done"
	}
	report.Rods = t.door.engine.Read("got " + text).Observation.Have
	t.c.Done = append(slices.Clone(t.c.Done), report)
	if text == "" {
		return t.sentence(fmt.Sprintf("Case %d: done, kept. With which rod and what heat? Say done 7018, 150 C.", t.c.Number)), nil
	}
	what := "as you wrote it"
	if len(report.Rods) > 0 {
		what = "with " + strings.Join(report.Rods, ", ")
	}
	return t.sentence(fmt.Sprintf("Case %d: done %s, kept. Look for cracks again after 2 or 3 days. Say new for the next job.", t.c.Number, what), "new"), nil
}

// undo puts the facts back as they were before the last message that changed them. What was asked
// stays asked.
func (t *turn) undo() reply.Reply {
	last := len(t.c.Earlier) - 1
	if last < 0 {
		return t.sentence(fmt.Sprintf("There is nothing to undo in case %d.", t.c.Number), "why")
	}
	now, nowCurrent := t.c.Parts, t.c.Current
	earlier := t.c.Earlier[last]
	t.c.Earlier = slices.Clone(t.c.Earlier[:last])
	t.c.Parts, t.c.Current = slices.Clone(earlier.Parts), earlier.Current
	if len(t.c.Parts) == 0 {
		return t.sentence(fmt.Sprintf("UNDONE: case %d holds no facts now. Tell the part and what broke.", t.c.Number))
	}
	n := min(nowCurrent, len(t.c.Parts)-1) + 1
	c := t.context(n)
	c.Lead = "UNDONE"
	if n-1 < len(now) {
		c.Changes = reply.Changes(now[n-1].Observation, t.c.Parts[n-1].Observation, c)
	}
	return t.call(n, c)
}

// pass is "skip" or "can't": a question keeps its stop and is not put again; a test gives way to the
// next. "can't file it" passes over the test that it names.
func (t *turn) pass(n int, about string) reply.Reply {
	p := &t.c.Parts[n-1]
	j := t.judge(*p)
	if j.Question != nil || p.Test == "" {
		if j.Question == nil && j.Decision == "stop" {
			return t.call(n, t.context(n))
		}
		if j.Question == nil {
			return t.sentence("Nothing is open that you could pass over. Say next for the tests.", "next")
		}
		t.markPut(n, j)
		return t.call(n, t.context(n))
	}
	t.remember()
	p = &t.c.Parts[n-1]
	passed := p.Test
	for _, next := range j.NextTests {
		if name, _, _ := strings.Cut(next.Test, "-"); slices.Contains(tokens(about), name) && !slices.Contains(p.Cannot, next.Test) {
			passed = next.Test
		}
	}
	p.Cannot = append(slices.Clone(p.Cannot), passed)
	c := t.context(n)
	c.Lead = "WITHOUT THE " + strings.ToUpper(strings.NewReplacer("-", " ", "_", " ").Replace(passed))
	return t.call(n, c)
}
