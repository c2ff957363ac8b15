package conversation

import (
	"regexp"
	"strings"

	"rodcall/bot/reply"
)

// estimateAsked is the word with figures behind it: "estimate new one $900, 3 days away".
var estimateAsked = regexp.MustCompile(`(?i)^(?:estimate|costs?|price|worth it|repair or replace|fix or replace)\b[ :,;.?-]*`)

// tellsCost takes a message that tells nothing but figures of cost: they are kept, and the estimate is the
// answer. ok is false for every other message.
func (t *turn) tellsCost(text string) (r reply.Reply, ok bool) {
	asked := estimateAsked.FindString(text)
	read := t.door.engine.Read(text).Observation
	if read.Cost == nil {
		read = t.door.engine.Read(text[len(asked):]).Observation
	}
	if read.Cost == nil && currencies(text) > 1 {
		return t.sentence("Those figures are in two currencies. Give all of them in one.", "estimate"), true
	}
	if read.Cost == nil {
		if asked == "" || !strings.ContainsAny(text, "0123456789") || len(read.Entries()) > 0 {
			return r, false
		}
		return t.sentence("I read no figure of cost in that. Say it like: estimate new one $900, 3 days away, labour $60 an hour.", "estimate"), true
	}
	for _, e := range read.Entries() {
		if asked == "" && !strings.HasPrefix(e.Key, "cost.") {
			return r, false
		}
	}
	if t.current() == nil {
		return t.sentence("No part is told here to price. Tell the part and what broke, then the costs.", "help"), true
	}
	t.remember()
	n := t.c.Current + 1
	t.add(n, heard{reading: t.door.engine.Read(text)})
	t.out.Word = "estimate"
	return t.detail(n, "estimate"), true
}

// currencies counts the different signs of money in a message.
func currencies(text string) (n int) {
	for _, sign := range []string{"$", "€", "£"} {
		if strings.Contains(text, sign) {
			n++
		}
	}
	return n
}
