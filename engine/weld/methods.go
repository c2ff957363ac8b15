package weld

import (
	"io/fs"
	"slices"

	"rodcall/engine/data"
)

// Method is one accepted way to run the repair of the likeliest metal.
type Method struct {
	Name     string  `json:"method"` // cold | semi-hot | hot | braze
	MinC     float64 `json:"min_c"`
	MaxC     float64 `json:"max_c"`
	Proposed bool    `json:"proposed"`
	Why      string  `json:"why"` // what speaks for it, or what it gives up here
}

// methodReason is what speaks for and against a way.
type methodReason struct{ speaksFor, against string }

var methodWords = []string{"cold", "semi-hot", "hot", "braze"}

var methodSchema = data.Schema{File: "method_reasons.csv", Key: []string{"method"}, Columns: []data.Column{
	{Name: "method", Kind: data.Word, Required: true, Of: methodWords},
	{Name: "for", Required: true}, {Name: "against", Required: true},
	{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
}}

func (b *Book) loadMethodReasons(files fs.FS, faults *data.Faults) {
	b.methodReasons = map[string]methodReason{}
	for _, row := range data.Read(files, methodSchema, faults).Rows {
		b.methodReasons[row.Text("method")] = methodReason{row.Text("for"), row.Text("against")}
	}
	for _, w := range methodWords {
		if _, ok := b.methodReasons[w]; !ok {
			faults.Add(methodSchema.File, 0, "method", "%s has no row", w)
		}
	}
}

// ways are those that the likeliest metal takes, the proposed one first; nil where it takes one only.
func (b *Book) ways(h []heated, s *situation) []Method {
	if len(h) == 0 || h[0].method == nil {
		return nil
	}
	chosen := h[0].method
	g := &b.heatGroups[h[0].group]
	var out []Method
	for i := range g.methods {
		m := &g.methods[i]
		reason, known := b.methodReasons[m.name]
		if !known || slices.ContainsFunc(out, func(o Method) bool { return o.Name == m.name }) {
			continue
		}
		way := Method{Name: m.name, MinC: m.min, MaxC: m.max, Proposed: m == chosen, Why: reason.speaksFor + "; but " + reason.against}
		switch {
		case way.Proposed && s.met&noPreheat != 0 && m.name == "cold":
			way.Why = "no preheat can be given"
		case way.Proposed:
			way.Why = reason.speaksFor
		case s.met&noPreheat != 0 && m.name != "cold":
			way.Why = "no preheat can be given"
		case m.name == "braze" && s.tempC != nil && *s.tempC > heatBrazeC:
			way.Why = "not above 200 C in service"
		}
		out = append(out, way)
	}
	if len(out) < 2 {
		return nil
	}
	slices.SortStableFunc(out, func(x, y Method) int { return yesFirst(x.Proposed, y.Proposed) })
	return out
}
