package identify

import (
	"math"

	"rodcall/engine/observation"
)

// The spark features that a stream is described by. Each is an ordered word list, but for the form.
const (
	volume = iota
	length
	colorNear
	colorEnd
	bursts
	form
	features
)

// sparkForms are the forms of the bursts; a stream without bursts has the form "none".
var sparkForms = append([]string{"none"}, observation.BurstForms...)

var sparkWords = [features][]string{observation.VolumeWords, observation.LengthWords, observation.SparkColors,
	observation.SparkColors, observation.BurstWords, sparkForms}

// stream is one appearance that a metal's sparks can have: for each feature the chance of every word;
// nil where the source does not say.
type stream [features][]float64

// appearance is a stream and its length against a 0.2 % C bar (0 = no stream).
type appearance struct {
	stream stream
	ratio  float64
}

// weighted is one of the shared appearances with its weight on a grade.
type weighted struct {
	shared int
	weight float64
}

// gradeSpark is what one grade's sparks can look like: appearances that sources describe, shared with
// other grades, and the one computed from its composition. The weights sum to 1.
type gradeSpark struct {
	described []weighted
	computed  *appearance // nil off iron
	weight    float64     // of computed
}

// sparkModel holds the appearances, every feature filled.
type sparkModel struct {
	shared []appearance
	grades []gradeSpark
	mean   [][3]float64 // grade → mean place of volume, ln of length, bursts: what a comparison sees
	step   [features]float64
	zero   float64

	outcomes [][]float64 // summed-up stream × grade: for the outlook

	ratioSigma, lengthSigma float64
}

// each visits the appearances of a grade with their weights.
func (s *sparkModel) each(grade int, visit func(a *appearance, weight float64)) {
	g := &s.grades[grade]
	for _, d := range g.described {
		visit(&s.shared[d.shared], d.weight)
	}
	if g.computed != nil {
		visit(g.computed, g.weight)
	}
}

// lengthPlace are the middles of the words none, short, medium, long as length ratios (own estimate).
var lengthPlace = []float64{0, 0.40, 0.70, 1.0}

// around spreads a place on an ordered word list over its words: a bell of the given step, with "none"
// a category of its own when the list has one.
func around(place, step, zero float64, words int, hasNone bool) []float64 {
	out := make([]float64, words)
	if hasNone && place < 0.5 {
		out[0] = 1 - zero
		for w := 1; w < words; w++ {
			out[w] = zero * math.Pow(0.4, float64(w-1))
		}
		return normal(out)
	}
	for w := range out {
		d := (float64(w) - place) / step
		out[w] = math.Exp(-d*d/2) + 0.004
	}
	if hasNone {
		out[0] = zero * math.Exp(-place/2)
	}
	return normal(out)
}

// burstsAround is around for the bursts, where none and few are neighbours: sources call the same stream
// burst-free and nearly so.
func burstsAround(place, step float64) []float64 {
	return around(place, step, 0, len(observation.BurstWords), false)
}

// lengthWords spreads a length ratio over none, short, medium, long.
func lengthWords(ratio, zero float64) []float64 {
	out := make([]float64, len(lengthPlace))
	if ratio <= 0 {
		out[0], out[1], out[2], out[3] = 1-zero, zero*0.7, zero*0.2, zero*0.1
		return out
	}
	out[0] = zero * math.Exp(-ratio*3)
	for w := 1; w < len(out); w++ {
		d := math.Log(ratio/lengthPlace[w]) / 0.40
		out[w] = math.Exp(-d*d/2) + 0.03
	}
	return normal(out)
}

// formOf spreads one burst form over all: sources and observers name forms loosely.
func formOf(index int) []float64 {
	out := make([]float64, len(sparkForms))
	for w := range out {
		out[w] = 0.07
	}
	out[index] = 0.65
	return normal(out)
}

func normal(row []float64) []float64 {
	sum := sumOf(row)
	for i := range row {
		row[i] /= sum
	}
	return row
}

// weigh writes the likelihood of a described stream on every grade: the weighted mixture of its
// appearances, the features of one appearance multiplied, times the comparison with a known piece.
// values is working memory, one for each shared appearance.
func (s *sparkModel) weigh(seen *sparkSeen, values, out []float64) {
	for k := range s.shared {
		values[k] = s.one(&s.shared[k], seen)
	}
	for g := range out {
		grade := &s.grades[g]
		sum := 0.0
		for _, d := range grade.described {
			sum += d.weight * values[d.shared]
		}
		if grade.computed != nil {
			sum += grade.weight * s.one(grade.computed, seen)
		}
		out[g] = sum
	}
	if seen.compared {
		for g := range out {
			out[g] *= s.compare(g, seen)
		}
	}
}

func (s *sparkModel) one(a *appearance, seen *sparkSeen) float64 {
	l := 1.0
	for f, w := range seen.word {
		if w >= 0 {
			l *= a.stream[f][w]
		}
	}
	if seen.inches > 0 {
		l *= s.inches(a.ratio, seen.inches)
	}
	return l
}

// inches is the density of a raw stream length. Wheel, speed and pressure are not told, so it says
// little: a bell of the model's sigma in ln(length) around the ratio times the classic bench figure of
// 70 in for low-carbon steel (CL), which a hand grinder reaches by three quarters (own estimate).
func (s *sparkModel) inches(ratio, inches float64) float64 {
	if ratio <= 0 {
		return s.zero * 0.1
	}
	d := math.Log(inches/(0.75*70*ratio)) / s.lengthSigma
	return math.Exp(-d*d/2) / (s.lengthSigma * 2.5066)
}

// compare is the chance of "less, same, more than the known piece", which needs no wheel.
func (s *sparkModel) compare(grade int, seen *sparkSeen) float64 {
	l := 1.0
	for k, answer := range seen.against {
		if answer < 0 {
			continue
		}
		d := s.mean[grade][k] - seen.piece[k]
		if k == 1 {
			d *= 3 // natural logs of the length to places on the list
		}
		less := 1 / (1 + math.Exp((d+0.5)/s.ratioSigma*1.7))
		more := 1 / (1 + math.Exp((0.5-d)/s.ratioSigma*1.7))
		l *= [3]float64{less, max(1-less-more, 0.02), more}[answer]
	}
	return l
}

// sparkSeen is an observed spark as indices; -1 where nothing was said.
type sparkSeen struct {
	word     [features]int
	inches   float64
	against  [3]int // volume, length, bursts: less, same, more
	piece    [3]float64
	said     bool
	compared bool
}
