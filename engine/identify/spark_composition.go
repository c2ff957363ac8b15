package identify

import (
	"math"

	"rodcall/engine/data"
	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

var sparkCarbonSchema = data.Schema{File: "spark_carbon.csv", Key: []string{"carbon_pct"}, Columns: []data.Column{
	{Name: "carbon_pct", Kind: data.Number, Min: 0, Max: 7, Required: true},
	{Name: "volume", Kind: data.Number, Min: 0, Max: 6, Required: true},
	{Name: "length_ratio", Kind: data.Number, Min: 0.01, Max: 2, Required: true},
	{Name: "color_near", Kind: data.Number, Min: 0, Max: 6, Required: true},
	{Name: "color_end", Kind: data.Number, Min: 0, Max: 6, Required: true},
	{Name: "bursts", Kind: data.Number, Min: 0, Max: 4, Required: true},
	{Name: "forked_pct", Kind: data.Number, Min: 0, Max: 100, Required: true},
	{Name: "fine_pct", Kind: data.Number, Min: 0, Max: 100, Required: true},
	{Name: "source", Required: true}, {Name: "mark", Required: true},
}}

// The columns of a computed stream: five places on the lists (length as a ratio) and the form's shares.
const (
	cVolume = iota
	cLength
	cNear
	cEnd
	cBursts
	cForked
	cFine
	cSpear
	cBuds
	columns
)

type carbonPoint struct {
	carbon float64
	value  [columns]float64
}

func loadSparkCarbon(in input) []carbonPoint {
	names := []string{"volume", "length_ratio", "color_near", "color_end", "bursts", "forked_pct", "fine_pct"}
	var out []carbonPoint
	for _, row := range in.read(sparkCarbonSchema) {
		p := carbonPoint{carbon: row.Value("carbon_pct", 0)}
		for i, name := range names {
			p.value[i] = row.Value(name, 0)
		}
		if len(out) > 0 && out[len(out)-1].carbon >= p.carbon {
			row.Fault("carbon_pct", "rows must rise")
		}
		out = append(out, p)
	}
	return out
}

var sparkEffectSchema = data.Schema{File: "spark_effects.csv", Columns: []data.Column{
	{Name: "element", Kind: data.Word, Of: observation.Elements, Required: true},
	{Name: "from_pct", Kind: data.Number, Min: 0, Max: 100, Required: true},
	{Name: "full_pct", Kind: data.Number, Min: 0, Max: 100, Required: true},
	{Name: "feature", Kind: data.Word, Of: []string{"volume", "length", "color_near", "color_end", "bursts", "spear", "buds"}, Required: true},
	{Name: "shift", Kind: data.Number, Min: -100, Max: 100, Required: true},
	{Name: "source", Required: true}, {Name: "mark", Required: true},
}}

type effect struct {
	element    string
	from, full float64
	column     int
	shift      float64
}

func loadSparkEffects(in input) []effect {
	column := map[string]int{"volume": cVolume, "length": cLength, "color_near": cNear, "color_end": cEnd, "bursts": cBursts,
		"spear": cSpear, "buds": cBuds}
	var out []effect
	for _, row := range in.read(sparkEffectSchema) {
		e := effect{row.Text("element"), row.Value("from_pct", 0), row.Value("full_pct", 0), column[row.Text("feature")], row.Value("shift", 0)}
		if e.from >= e.full {
			row.Fault("full_pct", "must be above from_pct")
		}
		out = append(out, e)
	}
	return out
}

// predict computes the stream of an iron-base grade from the middle of its limits: the carbon curve,
// then each alloying element's shift.
func predict(curve []carbonPoint, effects []effect, grade *metal.Grade) [columns]float64 {
	v := interpolate(curve, middle(grade, "C"))
	for _, e := range effects {
		share := min(1, max(0, (middle(grade, e.element)-e.from)/(e.full-e.from)))
		if e.column == cLength {
			v[cLength] *= math.Exp(e.shift * share)
			continue
		}
		v[e.column] += e.shift * share
	}
	for _, c := range []int{cVolume, cNear, cEnd} {
		v[c] = min(6, max(0.6, v[c]))
	}
	v[cBursts] = min(4, max(0, v[cBursts]))
	return v
}

func interpolate(curve []carbonPoint, carbon float64) [columns]float64 {
	if len(curve) == 0 {
		return [columns]float64{}
	}
	last := curve[len(curve)-1]
	for i, p := range curve {
		if carbon <= p.carbon {
			if i == 0 {
				return p.value
			}
			before := curve[i-1]
			t := (carbon - before.carbon) / (p.carbon - before.carbon)
			var out [columns]float64
			for c := range out {
				out[c] = before.value[c] + t*(p.value[c]-before.value[c])
			}
			return out
		}
	}
	return last.value
}

// computed turns a predicted stream into an appearance; the forms share what bursts there are.
func (s *sparkModel) computed(v [columns]float64) *appearance {
	a := &appearance{ratio: v[cLength]}
	for _, pair := range [][2]int{{volume, cVolume}, {colorNear, cNear}, {colorEnd, cEnd}, {bursts, cBursts}} {
		a.stream[pair[0]] = s.place(pair[0], v[pair[1]])
	}
	a.stream[length] = lengthWords(v[cLength], s.zero)
	forms := make([]float64, len(sparkForms))
	burstFree := max(0, 1-v[cBursts])
	special := min(0.8, (v[cSpear]+v[cBuds])/100)
	for i, pct := range []float64{1: v[cForked], 2: v[cFine], 5: 6} {
		forms[i] = pct/100*(1-special) + 0.01
	}
	forms[3], forms[4] = v[cSpear]/100+0.02, v[cBuds]/100+0.01
	for i := range forms {
		forms[i] *= 1 - burstFree
	}
	forms[0] = burstFree + 0.02
	a.stream[form] = normal(forms)
	return a
}
