package main

import (
	"encoding/json"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"rodcall/engine"
)

// computeAnswer is what compute prints for one line.
type computeAnswer struct {
	ID       json.RawMessage `json:"id"`
	Value    any             `json:"value"` // a number, a word, or wt% by element
	Unit     string          `json:"unit"`
	InRange  bool            `json:"in_range"`
	Warnings []string        `json:"warnings"`
	Source   string          `json:"source"`
	Mark     string          `json:"mark"`             // how firmly the equation is held
	Spread   float64         `json:"spread,omitempty"` // about two standard deviations, in the unit
	Evidence string          `json:"evidence"`         // what speaks for the arithmetic besides our own
}

func (p *program) computeCommand() *cobra.Command {
	return p.batchCommand("compute", "Compute formulas of weldability, JSON Lines in and out",
		`compute answers each line {"id","formula","inputs"} with {"id","value","unit","in_range","warnings","source"}:
carbon equivalents, preheat, cooling time, hardness, martensite start, stainless equivalents, dilution and
crack indices. Elements are wt%; other inputs are named with their unit. An element that the formula uses and
the inputs lack counts as zero and is named in the warnings.`,
		"  echo '{\"id\":1,\"formula\":\"cet\",\"inputs\":{\"C\":0.18,\"Mn\":1.2}}' | rodcall compute", computeLine)
}

// computeLine computes one line.
func computeLine(e *engine.Engine) answer {
	return func(r request) (any, error) {
		id, inputs, err := asked(r)
		if err != nil {
			return nil, err
		}
		result, err := e.Compute(id, inputs)
		if err != nil {
			return nil, err
		}
		out := computeAnswer{ID: r.ID, Value: result.Value, Unit: result.Unit, InRange: result.InRange, Warnings: result.Warnings,
			Source: result.Source, Mark: result.Mark, Spread: result.Spread, Evidence: result.Evidence}
		orEmpty(&out.Warnings)
		return &out, nil
	}
}

// asked is the formula and the inputs of a line.
func asked(r request) (id string, inputs map[string]any, err error) {
	if !present(r.Formula) || !present(r.Inputs) {
		return "", nil, errors.New(`the line lacks formula or inputs; give {"id","formula","inputs"}`)
	}
	if err := json.Unmarshal(r.Formula, &id); err != nil {
		return "", nil, errors.New(`formula must be a string such as "cet"`)
	}
	err = json.Unmarshal(r.Inputs, &inputs)
	var mismatch *json.UnmarshalTypeError
	if errors.As(err, &mismatch) && mismatch.Value != "array" && mismatch.Field != "" {
		return "", nil, fmt.Errorf("inputs: %s must be a finite number", mismatch.Field)
	}
	if err != nil {
		return "", nil, errors.New(`inputs must be an object of finite numbers and words such as {"C":0.2,"Mn":0.8}`)
	}
	return id, inputs, nil
}
