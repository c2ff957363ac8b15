package identify

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"rodcall/engine/data"
	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

var sparkSchema = data.Schema{File: "spark.csv", Key: []string{"source", "metal", "family"}, Columns: []data.Column{
	{Name: "source", Required: true}, {Name: "metal", Required: true, Doc: "as the source names it"},
	{Name: "family", Kind: data.Word, Of: metal.Families, Required: true},
	{Name: "applies", Doc: "which grades of the family, by composition"},
	{Name: "tradition", Required: true, Doc: "copies of one table count once"},
	{Name: "volume", Kind: data.Word, Of: observation.VolumeWords},
	{Name: "length_in", Kind: data.Number, Min: 0, Max: 150},
	{Name: "length_word", Kind: data.Word, Of: observation.LengthWords},
	{Name: "color_near", Kind: data.Word, Of: observation.SparkColors},
	{Name: "color_end", Kind: data.Word, Of: observation.SparkColors},
	{Name: "bursts", Kind: data.Word, Of: observation.BurstWords},
	{Name: "burst_form", Kind: data.Word, Of: sparkForms},
	{Name: "form_word"}, {Name: "place", Kind: data.Word, Of: []string{"skin"}},
	{Name: "use", Kind: data.Word, Of: []string{"coded", "text-only"}, Required: true},
	{Name: "mark", Required: true}, {Name: "remarks"},
}}

// described is one row of spark.csv, compiled.
type described struct {
	family    int
	applies   []bound
	tradition string
	trust     float64
	stream    stream
	ratio     float64 // -1 when the source gives no length
}

// bound is one condition on a grade's composition: the middle of its limits against a figure.
type bound struct {
	element string
	above   bool
	pct     float64
}

func (m *Model) loadSpark(in input) sparkModel {
	s := sparkModel{zero: m.constants.need(in, "spark_zero"), ratioSigma: m.constants.need(in, "spark_ratio_sigma"),
		lengthSigma: m.constants.need(in, "spark_length_sigma")}
	s.step = [features]float64{volume: m.constants.need(in, "spark_step_volume"), colorNear: m.constants.need(in, "spark_step_colour"),
		colorEnd: m.constants.need(in, "spark_step_colour"), bursts: m.constants.need(in, "spark_step_bursts")}
	rows := s.loadRows(in)
	curve, effects := loadSparkCarbon(in), loadSparkEffects(in)
	share := m.constants.need(in, "spark_composition")
	s.grades = make([]gradeSpark, m.n)
	for g := range m.cat.Grades {
		if grade := &m.cat.Grades[g]; grade.Balance == "Fe" {
			s.grades[g].computed = s.computed(predict(curve, effects, grade))
		}
	}
	s.share(m, rows, share)
	s.mean = make([][3]float64, m.n)
	for g := range s.grades {
		s.each(g, func(a *appearance, weight float64) {
			s.mean[g][0] += weight * expected(a.stream[volume])
			s.mean[g][1] += weight * math.Log(max(a.ratio, 0.05))
			s.mean[g][2] += weight * expected(a.stream[bursts])
		})
	}
	s.fillOutcomes(m)
	return s
}

func (s *sparkModel) loadRows(in input) []described {
	var out []described
	for _, row := range in.read(sparkSchema) {
		if row.Text("use") != "coded" || slices.Contains(in.without, row.Text("source")) {
			continue
		}
		mark, ok := in.marks.Of(row.Text("mark"))
		if !ok {
			row.Fault("mark", "unknown mark %q", row.Text("mark"))
		}
		d := described{family: metal.FamilyIndex(row.Text("family")), tradition: row.Text("tradition"), ratio: -1,
			trust: 1 - 4*mark.Looseness, applies: parseBounds(row)}
		s.readStream(row, &d)
		out = append(out, d)
	}
	return out
}

func (s *sparkModel) readStream(row data.Row, d *described) {
	words := [features]string{volume: row.Text("volume"), colorNear: row.Text("color_near"), colorEnd: row.Text("color_end"), bursts: row.Text("bursts")}
	for f, word := range words {
		if word != "" && f != length {
			d.stream[f] = s.place(f, float64(slices.Index(sparkWords[f], word)))
		}
	}
	if inches, ok := row.Number("length_in"); ok {
		d.ratio = inches / 70 // CL: 70 in for machine steel on the same wheel
	} else if word := row.Text("length_word"); word != "" {
		d.ratio = lengthPlace[slices.Index(observation.LengthWords, word)]
	}
	if d.ratio >= 0 {
		d.stream[length] = lengthWords(d.ratio, s.zero)
	}
	if word := row.Text("burst_form"); word != "" {
		d.stream[form] = formOf(slices.Index(sparkForms, word))
	}
}

func (s *sparkModel) place(feature int, at float64) []float64 {
	switch feature {
	case bursts:
		return burstsAround(at, s.step[bursts])
	case volume:
		return around(at, s.step[volume], s.zero, len(sparkWords[volume]), true)
	default:
		return around(at, s.step[feature], 0, len(sparkWords[feature]), false)
	}
}

func parseBounds(row data.Row) []bound {
	var out []bound
	for _, term := range strings.Fields(row.Text("applies")) {
		at := strings.IndexAny(term, "<>")
		if at < 1 || !strings.HasPrefix(term[at+1:], "=") || !slices.Contains(observation.Elements, term[:at]) {
			row.Fault("applies", "%q is not like Cr>=10", term)
			continue
		}
		pct, err := strconv.ParseFloat(term[at+2:], 64)
		if err != nil {
			row.Fault("applies", "%q is not a number", term[at+2:])
		}
		out = append(out, bound{term[:at], term[at] == '>', pct})
	}
	return out
}

func (d *described) suits(grade *metal.Grade) bool {
	for _, b := range d.applies {
		if pct := middle(grade, b.element); b.above && pct < b.pct || !b.above && pct > b.pct {
			return false
		}
	}
	return true
}

// share gives every grade the appearances that sources describe of it. Grades of a family that the same
// rows speak of share them; what a source leaves open is filled from the others and from their compositions.
func (s *sparkModel) share(m *Model, rows []described, computedShare float64) {
	made := map[string][]weighted{}
	for g := range m.cat.Grades {
		key, own := fmt.Sprint(m.family[g]), []described(nil)
		for i, d := range rows {
			if d.family == m.family[g] && d.suits(&m.cat.Grades[g]) {
				own, key = append(own, d), fmt.Sprint(key, ",", i)
			}
		}
		if _, ok := made[key]; !ok {
			made[key] = s.describe(own, s.grades[g].computed)
		}
		s.grades[g].described = made[key]
		s.balance(&s.grades[g], len(own), computedShare)
	}
}

// balance sets the weight of the computed stream: its share, or all of it when nothing is described.
func (s *sparkModel) balance(g *gradeSpark, described int, share float64) {
	switch {
	case g.computed == nil:
		return
	case described == 0:
		g.described, g.weight = nil, 1
		return
	}
	scaled := make([]weighted, len(g.described))
	for i, d := range g.described {
		scaled[i] = weighted{d.shared, d.weight * (1 - share)}
	}
	g.described, g.weight = scaled, share
}

// describe makes shared appearances of rows, each tradition counted once, weights summing to 1. A metal
// that no source describes gives no spark (SAFE, FR-ENS: non-sparking metals).
func (s *sparkModel) describe(own []described, computed *appearance) []weighted {
	tradition := map[string]float64{}
	for _, d := range own {
		tradition[d.tradition]++
	}
	fallback, ratio := s.fallback(own, computed)
	if len(own) == 0 {
		s.shared = append(s.shared, appearance{stream: fallback})
		return []weighted{{len(s.shared) - 1, 1}}
	}
	var out []weighted
	total := 0.0
	for _, d := range own {
		a := appearance{stream: d.stream, ratio: d.ratio}
		for f := range a.stream {
			if a.stream[f] == nil {
				a.stream[f] = fallback[f]
			}
		}
		if a.ratio < 0 {
			a.ratio = ratio
		}
		weight := d.trust / tradition[d.tradition]
		total += weight
		s.shared = append(s.shared, a)
		out = append(out, weighted{len(s.shared) - 1, weight})
	}
	for i := range out {
		out[i].weight /= total
	}
	return out
}

// fallback is the mean of what is described, feature by feature, beside the computed stream.
func (s *sparkModel) fallback(own []described, computed *appearance) (stream, float64) {
	var out stream
	for f := range out {
		out[f] = make([]float64, len(sparkWords[f]))
		for _, d := range own {
			for w, p := range d.stream[f] {
				out[f][w] += p * d.trust
			}
		}
		if computed != nil {
			for w, p := range computed.stream[f] {
				out[f][w] += p
			}
		}
		if sumOf(out[f]) == 0 {
			copy(out[f], s.silent(f))
		}
		normal(out[f])
	}
	ratio, lengths := 0.0, 0.0
	for _, d := range own {
		if d.ratio >= 0 {
			ratio, lengths = ratio+d.ratio, lengths+1
		}
	}
	if computed != nil {
		ratio, lengths = ratio+computed.ratio, lengths+1
	}
	return out, ratio / max(lengths, 1)
}

// silent is the stream of a metal that does not spark.
func (s *sparkModel) silent(feature int) []float64 {
	switch feature {
	case volume, bursts:
		return s.place(feature, 0)
	case length:
		return lengthWords(0, s.zero)
	case form:
		return formOf(0)
	default:
		out := make([]float64, len(sparkWords[feature]))
		for w := range out {
			out[w] = 1
		}
		return normal(out)
	}
}

func expected(row []float64) float64 {
	sum := 0.0
	for w, p := range row {
		sum += float64(w) * p
	}
	return sum
}
