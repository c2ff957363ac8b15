package conversation

import (
	"regexp"
	"strconv"
	"strings"

	"rodcall/bot/reply"
	"rodcall/engine"
	"rodcall/engine/measure"
	"rodcall/engine/observation"
)

// Weldability answers questions of figures. An engine that has it answers them; without it they are read as facts.
type Weldability interface {
	// Hardness converts to another scale by the tables that hold for a family; "" is steel.
	Hardness(value float64, from, to measure.Scale, family string) (measure.Converted, error)
	// DepositOn is a filler's constitution on a grade at a share of base metal from 0 to 1.
	DepositOn(filler, grade string, share float64) (engine.Deposit, error)
	// Preheating is every way to the preheat of a part; to be shown only where a judgment gives a heat.
	Preheating(o observation.Observation, joint engine.Joint) engine.Preheating
}

// Forms of a question of figures; only a whole message is one.
var (
	preheatAsked  = regexp.MustCompile(`^(?:(?:and )?what(?:'s| is)?(?: the)? |and )?(?:preheat|how hot|heat)(?: temperature| temp)?,? (?:(?:at|for|on|in|with|if|it is|it's|do i need|of|a) )*([0-9.][^?]*?)\??$`)
	hardnessAsked = regexp.MustCompile(`^(?:what(?:'s| is) |convert |hardness(?: of)? |how hard is )*([0-9]+(?:\.[0-9]+)?) ?(hrc|rc|hb|hbw|bhn|brinell|hv|vickers|hrb|hra)(?: hardness)? ?(?:in|to|as|into|=) ?(?:how many )?(hrc|rc|hb|hbw|bhn|brinell|hv|vickers|hrb|hra)\??$`)
	dilutionAsked = regexp.MustCompile(`^(?:what about |how about |and |what is |what does )?([a-z]{0,3}[0-9]{3,4}[a-z]{0,4}(?:-[0-9]+)?) on (?:this|it|that|that one)(?: part| one)?,? (?:at|with) ([0-9]{1,2}(?:\.[0-9]+)?) ?(?:%|percent|per cent)(?: dilution)?\??$`)
	metricSize    = regexp.MustCompile(`[0-9] ?(?:mm|cm|m)\b`)
)

var scaleWords = map[string]measure.Scale{"hrc": measure.HRC, "rc": measure.HRC, "hb": measure.HB, "hbw": measure.HB, "bhn": measure.HB,
	"brinell": measure.HB, "hv": measure.HV, "vickers": measure.HV, "hrb": measure.HRB, "hra": measure.HRA}

// asks answers a question of figures with the metal of the case, which it does not change; ok is false when the
// message is none.
func (t *turn) asks(text string) (r reply.Reply, ok bool) {
	said := strings.ToLower(strings.Join(strings.Fields(apostrophes.Replace(text)), " "))
	if m := preheatAsked.FindStringSubmatch(said); m != nil {
		return t.asksPreheat(m[1])
	}
	can, ok := t.door.engine.(Weldability)
	if !ok {
		return r, false
	}
	if m := hardnessAsked.FindStringSubmatch(said); m != nil {
		return t.asksHardness(can, m), true
	}
	if m := dilutionAsked.FindStringSubmatch(said); m != nil {
		return t.asksDilution(can, m)
	}
	return r, false
}

// asksPreheat judges the part as if it had the thickness asked about.
func (t *turn) asksPreheat(size string) (r reply.Reply, ok bool) {
	if !strings.Contains(size, "thick") {
		size += " thick"
	}
	read := t.door.engine.Read(size).Observation
	if read.Size == nil || read.Size.ThicknessMM == nil || read.Part != "" || read.Job != "" || hasTest(read) {
		return r, false
	}
	p := t.current()
	if p == nil {
		return t.sentence("No part is told here, so I cannot say the heat. Tell the part and what broke.", "help"), true
	}
	n := t.c.Current + 1
	asked := *p
	asked.Observation = t.door.engine.Merge(asked.Observation, read)
	c := t.context(n)
	c.Inch = !metricSize.MatchString(size)
	t.out.Word, t.out.Part = "preheat", n
	j := t.judge(asked)
	lines := reply.PreheatAt(j, *read.Size.ThicknessMM, c)
	if can, ok := t.door.engine.(Weldability); ok && j.PreheatC != nil {
		lines = append(lines, reply.Ways(can.Preheating(j.Observation, engine.Joint{}), c)...)
	}
	return t.page(lines, c), true
}

func (t *turn) asksHardness(can Weldability, m []string) reply.Reply {
	value, _ := strconv.ParseFloat(m[1], 64)
	family := ""
	if p := t.current(); p != nil {
		if j := t.judge(*p); len(j.Families) > 0 {
			family = j.Families[0].ID
		}
	}
	from, to := scaleWords[m[2]], scaleWords[m[3]]
	is, err := can.Hardness(value, from, to, family)
	t.out.Word = "hardness"
	if err != nil {
		return t.sentence(strings.ToUpper(err.Error()[:1]) + err.Error()[1:] + ".")
	}
	return t.page(reply.HardnessOn(value, from, to, is), t.plainContext())
}

func (t *turn) asksDilution(can Weldability, m []string) (r reply.Reply, ok bool) {
	p := t.current()
	if p == nil {
		return t.sentence("No part is told here to lay it on. Tell the part and what broke.", "help"), true
	}
	j := t.judge(*p)
	if len(j.Grades) == 0 || j.Decision == "stop" {
		return t.sentence("No rod from me on this one now. Say again for the call.", "again"), true
	}
	percent, _ := strconv.ParseFloat(m[2], 64)
	d, err := can.DepositOn(strings.ToUpper(m[1]), j.Grades[0].ID, percent/100)
	t.out.Word, t.out.Part = "dilution", t.c.Current+1
	if err != nil {
		return t.sentence(strings.ToUpper(err.Error()[:1]) + err.Error()[1:] + "."), true
	}
	return t.page(reply.DepositOn(d, j.Grades[0], percent/100, t.context(t.c.Current+1)), t.context(t.c.Current+1)), true
}
