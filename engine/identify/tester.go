package identify

import (
	"math"
	"slices"

	"rodcall/engine/measure"
	"rodcall/engine/observation"
)

// hiddenScratch is the working memory for what is said of one hidden hardness: for each of file, hardness
// and chip the chance of the report by bin, lapse inside.
type hiddenScratch struct {
	file, hard, joint, said []float64
	chipWord                int
	chipLapse               float64
}

func newHiddenScratch(bins int) hiddenScratch {
	return hiddenScratch{file: make([]float64, bins), hard: make([]float64, bins), joint: make([]float64, bins), said: make([]float64, bins)}
}

// addTester adds file, hardness readings and chip as one group: three witnesses of the same hidden hardness.
func (m *Model) addTester(o *observation.Observation, s *Scratch) {
	g := s.next(m.n)
	h := &m.hardness
	if w := slices.Index(observation.FileWords, o.File); w >= 0 {
		by := m.observers["file"]
		for b := range s.hidden.file {
			s.hidden.file[b] = (1-by.lapse)*math.Pow(h.file[w][b], by.damping) + by.lapse*math.Pow(h.backFile[w], by.damping)
		}
		back := math.Pow(h.backFile[w], by.damping)
		g.members = append(g.members, member{key: "file", value: o.File, back: back, outside: back, lapse: by.lapse})
	}
	if hb, readings, text := m.meanHardness(o); readings > 0 {
		by := m.observers["hardness"]
		h.reading(hb, h.sigma/math.Sqrt(min(float64(readings), 3)), s.hidden.hard)
		back := dot(h.backHard, s.hidden.hard)
		for b := range s.hidden.hard {
			s.hidden.hard[b] = (1-by.lapse)*s.hidden.hard[b] + by.lapse*back
		}
		g.members = append(g.members, member{key: "hardness", value: text, back: back, outside: 0.25, lapse: by.lapse})
	}
	if w := slices.Index(observation.ChipWords, o.Chip); w >= 0 {
		s.hidden.chipWord, s.hidden.chipLapse = w, m.observers["chip"].lapse
		g.members = append(g.members, member{key: "chip", value: o.Chip, back: h.backChip[w], outside: h.backChip[w], lapse: s.hidden.chipLapse})
	}
	if len(g.members) == 0 {
		s.used--
	}
}

// meanHardness is the geometric mean of the readings as HB (Vickers beyond the Brinell range). Readings of
// one tester repeat its error, so at most three count. A reading that no table converts moves nothing.
func (m *Model) meanHardness(o *observation.Observation) (hb float64, readings int, text string) {
	sum := 0.0
	for _, r := range o.Hardness {
		v, ok := hidden(m.scale, r.Value, r.Scale)
		if !ok {
			continue
		}
		if readings > 0 {
			text += ", "
		}
		text += number(r.Value) + " " + r.Scale
		sum += math.Log(v)
		readings++
	}
	if readings == 0 {
		return 0, 0, ""
	}
	return math.Exp(sum / float64(readings)), readings, text
}

// meet writes the likelihood of what is said of the hidden hardness, without one member (-1 = with all):
// the sum over the bins of the grade's chance of the bin times every report's chance there.
func (h *hardnessModel) meet(m *Model, g *group, s *Scratch, skip int, out []float64) {
	joint := s.hidden.joint
	for b := range joint {
		joint[b] = 1
	}
	chip := false
	for k, x := range g.members {
		if k == skip {
			continue
		}
		switch x.key {
		case "file":
			multiply(joint, s.hidden.file)
		case "hardness":
			multiply(joint, s.hidden.hard)
		case "chip":
			chip = true
		}
	}
	if !chip {
		for i, row := range h.grades {
			out[i] = dot(row, joint)
		}
		return
	}
	h.meetChip(m, s, joint, out)
}

func (h *hardnessModel) meetChip(m *Model, s *Scratch, joint, out []float64) {
	said := s.hidden.said
	family := -1
	w, lapse := s.hidden.chipWord, s.hidden.chipLapse
	for i, row := range h.grades {
		if m.family[i] != family {
			family = m.family[i]
			for b, p := range h.chipRows[w][family] {
				said[b] = joint[b] * ((1-lapse)*p + lapse*h.backChip[w])
			}
		}
		out[i] = dot(row, said)
	}
}

func multiply(a, b []float64) {
	for i := range a {
		a[i] *= b[i]
	}
}

// dot is the inner product, summed four ways at once because it is the hottest loop.
func dot(a, b []float64) float64 {
	b = b[:len(a)]
	var s0, s1, s2, s3 float64
	i := 0
	for ; i+4 <= len(a); i += 4 {
		s0 += a[i] * b[i]
		s1 += a[i+1] * b[i+1]
		s2 += a[i+2] * b[i+2]
		s3 += a[i+3] * b[i+3]
	}
	for ; i < len(a); i++ {
		s0 += a[i] * b[i]
	}
	return (s0 + s1) + (s2 + s3)
}

// hidden converts a reading to the scale of the hidden hardness: HB by the steel tables, and the Vickers
// number where the Brinell range ends. The tables are those of steel, so a reading on another metal is a
// comparison, which the spread of a field reading covers. ok is false when no published table holds (HLD,
// or a figure beyond every table): such a reading moves nothing.
func hidden(t *measure.HardnessTables, value float64, scale string) (hb float64, ok bool) {
	if value <= 0 {
		return 0, false
	}
	from := measure.Scale(scale)
	material := measure.Steel
	if from == measure.HRA && value >= 86 { // above the steel table: cemented carbide
		material = measure.Carbide
	}
	switch from {
	case measure.HB:
		return value, true
	case measure.HLD:
		return 0, false
	}
	if hb, err := t.Convert(value, from, measure.HB, material); err == nil {
		return hb.Value, true
	}
	if from == measure.HV {
		return value, true
	}
	hv, err := t.Convert(value, from, measure.HV, material)
	return hv.Value, err == nil
}
