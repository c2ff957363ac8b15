package identify

import (
	"math"
	"slices"

	"rodcall/engine/data"
	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

// binEdges part the hidden hardness (HB; beyond the Brinell range the number is read as Vickers).
var binEdges = []float64{3, 12, 25, 50, 75, 100, 125, 150, 175, 200, 225, 250, 275, 300, 350, 400, 450, 500, 550, 600, 650, 750, 900, 1200, 2000}

// hardnessModel ties file, chisel and hardness tester to one hidden hardness.
type hardnessModel struct {
	grades                                   [][]float64   // grade × bin: how hard a piece of this grade is
	bins                                     []float64     // middle of each bin
	file                                     [][]float64   // word × bin, slips inside
	cannot                                   []float64     // bin → chance that a chisel cannot raise a chip
	chip                                     [][]float64   // family × word: the chip where the chisel bites
	chipRows                                 [][][]float64 // word × family × bin: what is said of the chip, slips inside
	slips                                    [][]float64   // of the chip words
	sigma                                    float64       // relative spread of a tester
	backFile                                 []float64     // how often each file word is said over all metals
	backChip                                 []float64
	backHard                                 []float64     // bin → share over all metals
	plainFile, plainHard                     [][]float64   // outcome × bin, lapse inside: for the outlook
	plainChip                                [][][]float64 // family × outcome × bin
	outrightChip, outrightFile, outrightHard [][]float64   // outcome × grade, when nothing is told of the hardness
}

var conditionSchema = data.Schema{File: "hardness_conditions.csv", Key: []string{"family", "condition"}, Columns: []data.Column{
	{Name: "family", Kind: data.Word, Of: metal.Families, Required: true}, {Name: "condition", Required: true},
	{Name: "share_pct", Kind: data.Number, Min: 0, Max: 100, Required: true},
	{Name: "low_hb", Kind: data.Number, Min: 3, Max: 2000, Required: true},
	{Name: "high_hb", Kind: data.Number, Min: 3, Max: 2000, Required: true},
	{Name: "hidden", Kind: data.Word, Of: []string{"yes", "no"}, Required: true},
	{Name: "source", Required: true}, {Name: "mark", Required: true},
}}

var hardnessTestSchema = data.Schema{File: "hardness_tests.csv", Key: []string{"test", "band_low_hb", "word"}, Columns: []data.Column{
	{Name: "test", Kind: data.Word, Of: []string{"file", "chip"}, Required: true},
	{Name: "band_low_hb", Kind: data.Number, Min: 0, Max: 2000, Required: true},
	{Name: "band_high_hb", Kind: data.Number, Min: 1, Max: 2000, Required: true},
	{Name: "word", Required: true}, {Name: "percent", Kind: data.Number, Min: 0, Max: 100, Required: true},
	{Name: "source"}, {Name: "mark", Required: true}, {Name: "remarks"},
}}

func (m *Model) loadHardness(in input) hardnessModel {
	h := hardnessModel{sigma: m.constants.need(in, "hardness_sigma_"+in.observer)}
	for i := range len(binEdges) - 1 {
		h.bins = append(h.bins, math.Sqrt(binEdges[i]*binEdges[i+1]))
	}
	h.grades = make([][]float64, m.n)
	family := loadConditions(in)
	own := m.constants.need(in, "grade_own_condition")
	for g := range m.cat.Grades {
		h.grades[g] = mixConditions(family[m.family[g]], m.ownHardness(in, g), own)
	}
	h.loadTests(m, in)
	h.chip = familyShares(in, "chip", observation.ChipWords)
	h.slips = slipMatrix(observation.ChipWords, false, loadNeighbours(in)["chip"])
	h.fillChip(m.observers["chip"].slip)
	h.fillBack(m)
	h.fillPlain(m)
	h.fillOutright(m)
	return h
}

// span is the share of each bin of a hardness range: even over it, with edges of 8 % of its ends since
// ranges are the usual ones, not limits.
func span(low, high float64) []float64 {
	out := make([]float64, len(binEdges)-1)
	steps := 40
	low, high = low*0.92, high*1.08
	for i := range steps {
		x := low + (high-low)*(float64(i)+0.5)/float64(steps)
		for b := range out {
			if x >= binEdges[b] && x < binEdges[b+1] {
				out[b] += 1 / float64(steps)
			}
		}
	}
	return out
}

func loadConditions(in input) [][]float64 {
	out := make([][]float64, len(metal.Families))
	for f := range out {
		out[f] = make([]float64, len(binEdges)-1)
	}
	share := make([]float64, len(out))
	for _, row := range in.read(conditionSchema) {
		f := metal.FamilyIndex(row.Text("family"))
		share[f] += row.Value("share_pct", 0)
		for b, p := range span(row.Value("low_hb", 0), row.Value("high_hb", 0)) {
			out[f][b] += p * row.Value("share_pct", 0) / 100
		}
	}
	for f, s := range share {
		if s != 100 {
			in.faults.Add(conditionSchema.File, 0, "share_pct", "%s: shares sum to %g, not 100", metal.Families[f], s)
		}
	}
	return out
}

// ownHardness is the catalogued range of a grade in bins; nil when the catalogue has none.
func (m *Model) ownHardness(in input, g int) []float64 {
	grade := &m.cat.Grades[g]
	low, okLow := hidden(in.scale, grade.HardnessLow, grade.HardnessScale)
	high, okHigh := hidden(in.scale, grade.HardnessHigh, grade.HardnessScale)
	if !okLow || !okHigh || low > high {
		return nil
	}
	return span(low, high)
}

// mixConditions joins the catalogued condition with the family's others and a thin tail for the parts
// that somebody hardened, softened or welded.
func mixConditions(family, own []float64, weight float64) []float64 {
	out := make([]float64, len(family))
	if own == nil {
		weight = 0
	}
	for b := range out {
		out[b] = (1-weight)*family[b] + 0.02/float64(len(out))
		if own != nil {
			out[b] += weight * own[b]
		}
	}
	// neighbouring bins: ranges are the usual ones, pieces lie a little beside them
	smooth := make([]float64, len(out))
	for b := range out {
		smooth[b] = 0.8 * out[b]
		if b > 0 {
			smooth[b] += 0.1 * out[b-1]
		}
		if b+1 < len(out) {
			smooth[b] += 0.1 * out[b+1]
		}
	}
	return normal(smooth)
}

func (h *hardnessModel) loadTests(m *Model, in input) {
	words := observation.FileWords
	raw := make([][]float64, len(words))
	for w := range raw {
		raw[w] = make([]float64, len(h.bins))
	}
	h.cannot = make([]float64, len(h.bins))
	for _, row := range in.read(hardnessTestSchema) {
		for b, hb := range h.bins {
			if hb < row.Value("band_low_hb", 0) || hb >= row.Value("band_high_hb", 0) {
				continue
			}
			switch word := row.Text("word"); {
			case row.Text("test") == "chip" && word == "cannot-chip":
				h.cannot[b] = row.Value("percent", 0) / 100
			case row.Text("test") == "file":
				w := slices.Index(words, word)
				if w < 0 {
					row.Fault("word", "unknown word %q", word)
					continue
				}
				raw[w][b] = row.Value("percent", 0) / 100
			}
		}
	}
	slip := m.observers["file"].slip
	slips := slipMatrix(words, true, nil)
	h.file = make([][]float64, len(words))
	for w := range words {
		h.file[w] = make([]float64, len(h.bins))
	}
	for v := range words {
		for b, p := range raw[v] {
			h.file[v][b] += p * (1 - slip)
			for w, share := range slips[v] {
				h.file[w][b] += p * slip * share
			}
		}
	}
}

func (h *hardnessModel) fillBack(m *Model) {
	h.backHard = make([]float64, len(h.bins))
	h.backFile = make([]float64, len(observation.FileWords))
	h.backChip = make([]float64, len(observation.ChipWords))
	for g, p := range m.base {
		for b, q := range h.grades[g] {
			h.backHard[b] += p * q
			for w := range h.backChip {
				h.backChip[w] += p * q * h.chipRows[w][m.family[g]][b]
			}
		}
	}
	for w := range h.backFile {
		for b, q := range h.backHard {
			h.backFile[w] += q * h.file[w][b]
		}
	}
}

func (h *hardnessModel) fillChip(slip float64) {
	h.chipRows = make([][][]float64, len(observation.ChipWords))
	for w := range h.chipRows {
		h.chipRows[w] = table(len(h.chip), len(h.bins))
		for f, row := range h.chipRows[w] {
			for b := range row {
				row[b] = h.chipSaid(w, b, f, slip)
			}
		}
	}
}

// chipSaid is the chance that chip word w is said of a piece in bin b of a family.
func (h *hardnessModel) chipSaid(w, b, family int, slip float64) float64 {
	said := (1 - slip) * h.chipTrue(w, b, family)
	for v := range h.slips {
		if share := h.slips[v][w]; share > 0 {
			said += slip * share * h.chipTrue(v, b, family)
		}
	}
	return said
}

func (h *hardnessModel) chipTrue(w, b, family int) float64 {
	p := (1 - h.cannot[b]) * h.chip[family][w]
	if observation.ChipWords[w] == "cannot-chip" {
		p += h.cannot[b]
	}
	return p
}

// reading writes the density of a tester's reading (HB) for each bin, per unit of ln(HB); the bin's own
// width is part of the spread.
func (h *hardnessModel) reading(hb, sigma float64, out []float64) {
	for b, middle := range h.bins {
		width := math.Log(binEdges[b+1]/binEdges[b]) / 3.46
		s := math.Sqrt(sigma*sigma + width*width)
		d := math.Log(hb/middle) / s
		out[b] = math.Exp(-d*d/2) / (s * 2.5066)
	}
}
