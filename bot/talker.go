package main

import (
	"rodcall/bot/conversation"
	"rodcall/engine"
	"rodcall/engine/observation"
	"rodcall/engine/safety"
)

// talker is the engine as the conversation asks it: answers are the conversation's own values there.
type talker struct{ *engine.Engine }

var _ conversation.Engine = talker{}

// Judge weighs the facts of one part, with what was answered to the questions of its cautions.
func (t talker) Judge(o observation.Observation, answers []conversation.Answer) engine.Judgment {
	given := make([]safety.Answer, len(answers))
	for i, a := range answers {
		given[i] = safety.Answer{Caution: a.Caution, Words: a.Said, Label: a.Words, Effect: a.Effect, By: a.By}
	}
	return t.Engine.Judge(o, given...)
}

// Answer finds which answer words mean, and enters what it says into the facts.
func (t talker) Answer(o observation.Observation, caution, words string) (after observation.Observation, label, effect string, ok bool) {
	answer, ok := t.Engine.Answer(caution, words)
	if !ok {
		return o, "", "", false
	}
	return safety.Apply(o, answer), answer.Label, answer.Effect, true
}
