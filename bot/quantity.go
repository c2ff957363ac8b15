package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"rodcall/engine"
)

// quantityAnswer is what quantity prints for one line: the id, then every quantity by its key.
type quantityAnswer struct {
	id     json.RawMessage
	values map[string]any
}

// MarshalJSON puts the id first; the other keys follow by the alphabet.
func (a quantityAnswer) MarshalJSON() ([]byte, error) {
	var out bytes.Buffer
	out.WriteString(`{"id":`)
	if len(a.id) == 0 {
		out.WriteString("null")
	}
	out.Write(a.id)
	out.WriteByte(',')
	at := out.Len()
	encoder := json.NewEncoder(&out)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(a.values); err != nil {
		return nil, err
	}
	text := out.Bytes()
	return append(text[:at], text[at+1:]...), nil // the object goes on behind the id
}

func (p *program) quantityCommand() *cobra.Command {
	return p.batchCommand("quantity", "Estimate weld metal, consumables, time, gas, preheat and cost, JSON Lines in and out",
		`quantity answers each line {"id","inputs"} with {"id", …every quantity that the inputs allow}, in metric and
US units. Numbers are named with their unit (leg_mm or leg_in, length_m, deposit_kg, amps), words are joint,
process, class, shape, fuel. What was supposed stands under "assumed".`,
		"  echo '{\"id\":1,\"inputs\":{\"joint\":\"fillet\",\"leg_mm\":8,\"length_m\":2,\"class\":\"E7018\"}}' | rodcall quantity", quantityLine)
}

// quantityLine estimates one line.
func quantityLine(e *engine.Engine) answer {
	return func(r request) (any, error) {
		if !present(r.Inputs) {
			return nil, errors.New(`the line has no inputs; give {"id","inputs"}`)
		}
		var inputs map[string]any
		err := json.Unmarshal(r.Inputs, &inputs)
		var mismatch *json.UnmarshalTypeError
		if errors.As(err, &mismatch) && mismatch.Field != "" {
			return nil, fmt.Errorf("inputs: %s must be a finite number", mismatch.Field)
		}
		if err != nil {
			return nil, errors.New(`inputs must be an object such as {"joint":"fillet","leg_mm":8,"length_m":2}`)
		}
		values, err := e.Quantity(inputs)
		if err != nil {
			return nil, err
		}
		return quantityAnswer{r.ID, values}, nil
	}
}
