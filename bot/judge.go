package main

import (
	"encoding/json"
	"errors"

	"github.com/spf13/cobra"

	"rodcall/engine"
	"rodcall/engine/observation"
)

func (p *program) judgeCommand() *cobra.Command {
	return p.batchCommand("judge", "Judge observations or messages, JSON Lines in and out",
		`judge answers each line {"id","text"} or {"id","observation":{…}} with one judgment: the odds of the
metal, the next tests, the decision, rod, heat, steps and cautions. When a line has both, the
observation wins over the text, key by key.`,
		"  echo '{\"id\":1,\"text\":\"jaw liner cracked, no magnet\"}' | rodcall judge", judgeLine)
}

// judgeLine judges one line.
func judgeLine(e *engine.Engine) answer {
	return func(r request) (any, error) {
		o, unread, err := observed(e, r)
		if err != nil {
			return nil, err
		}
		j := e.Judge(o)
		j.ID, j.Unread = r.ID, unread
		fillLists(&j)
		return &j, nil
	}
}

// observed is what a line reports: the reading of its text, under the observation that it holds.
func observed(e *engine.Engine, r request) (o observation.Observation, unread []string, err error) {
	given := present(r.Observation)
	if r.Text == nil && !given {
		return o, nil, errors.New(`the line has neither text nor observation; give {"id","text"} or {"id","observation"}`)
	}
	if r.Text != nil {
		reading := e.Read(*r.Text)
		o, unread = reading.Observation, reading.Unread
	}
	if !given {
		return o, unread, nil
	}
	told, err := e.Parse(r.Observation)
	if err != nil {
		return o, nil, err
	}
	told, unmapped := e.Complete(told)
	return e.Merge(withoutTold(o, told), told), append(unread, unmapped...), nil
}

// withoutTold is o without the lists that told has too: in a conversation lists add up, but here what was
// told wins key by key.
func withoutTold(o, told observation.Observation) observation.Observation {
	yield(&o.Hardness, told.Hardness)
	yield(&o.Service, told.Service)
	yield(&o.Claim, told.Claim)
	yield(&o.Excluded, told.Excluded)
	yield(&o.Limits, told.Limits)
	yield(&o.Have, told.Have)
	yield(&o.Process, told.Process)
	yield(&o.Test, told.Test)
	if o.Scene != nil && told.Scene != nil {
		s := *o.Scene
		yield(&s.Site, told.Scene.Site)
		yield(&s.Where, told.Scene.Where)
		yield(&s.Use, told.Scene.Use)
		yield(&s.Coating, told.Scene.Coating)
		yield(&s.Enclosure, told.Scene.Enclosure)
		yield(&s.Residue, told.Scene.Residue)
		yield(&s.State, told.Scene.State)
		yield(&s.Person, told.Scene.Person)
		yield(&s.Temp, told.Scene.Temp)
		yield(&s.Part, told.Scene.Part)
		yield(&s.Ask, told.Scene.Ask)
		o.Scene = &s
	}
	return o
}

func yield[T any](list *[]T, told []T) {
	if told != nil {
		*list = nil
	}
}

func present(value json.RawMessage) bool { return len(value) > 0 && string(value) != "null" }

// fillLists makes every empty list of a judgment print as [], so that a reader of the output never meets
// a null where a list belongs.
func fillLists(j *engine.Judgment) {
	orEmpty(&j.Unread)
	orEmpty(&j.Families)
	orEmpty(&j.Grades)
	orEmpty(&j.Evidence)
	orEmpty(&j.NextTests)
	orEmpty(&j.StopReasons)
	orEmpty(&j.Consumables)
	orEmpty(&j.Avoid)
	orEmpty(&j.Procedure)
	orEmpty(&j.Cautions)
	for i := range j.Evidence {
		if j.Evidence[i].Bits == nil {
			j.Evidence[i].Bits = map[string]float64{}
		}
	}
	for i := range j.NextTests {
		orEmpty(&j.NextTests[i].Needs)
		orEmpty(&j.NextTests[i].Separates)
	}
	for i := range j.Consumables {
		orEmpty(&j.Consumables[i].WrongIf)
	}
	if j.Question != nil {
		orEmpty(&j.Question.Answers)
	}
}

func orEmpty[T any](list *[]T) {
	if *list == nil {
		*list = []T{}
	}
}
