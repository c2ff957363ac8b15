package identify

import (
	"math"
	"slices"

	"rodcall/engine/data"
	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

// wordTest is a test whose answer is a word. rows[w][g] is the chance that the observer says word w of
// grade g when he did look, damped; back[w] is how often the word is said over all metals.
type wordTest struct {
	key     string
	said    []string
	rows    [][]float64
	back    []float64
	lapse   []float64   // by word
	plain   [][]float64 // rows with the lapse inside and undamped: what the outlook of the test needs; sums to 1 over words
	damping float64
}

func (t *wordTest) index(word string) int { return slices.Index(t.said, word) }

var familyTestSchema = data.Schema{File: "family_tests.csv", Key: []string{"family", "test", "condition", "word"}, Columns: []data.Column{
	{Name: "family", Kind: data.Word, Of: metal.Families, Required: true},
	{Name: "test", Kind: data.Word, Of: []string{"magnet", "rust", "sound", "weight", "chip", "color", "fracture", "surface", "torch"}, Required: true},
	{Name: "condition", Required: true},
	{Name: "condition_share_pct", Kind: data.Number, Min: 0, Max: 100, Required: true},
	{Name: "word", Required: true},
	{Name: "percent", Kind: data.Number, Min: 0, Max: 100, Required: true},
	{Name: "source"}, {Name: "mark", Required: true}, {Name: "remarks"},
}}

// vocabulary of the word tests, from the contract.
var wordVocabulary = []struct {
	key     string
	words   []string
	ordered bool
}{
	{"magnet", observation.MagnetWords, true},
	{"rust", observation.RustWords, false},
	{"surface", observation.SurfaceWords, false},
	{"color", observation.ColorWords, false},
	{"fracture", observation.FractureWords, false},
	{"weight", observation.WeightWords, true},
	{"sound", observation.SoundWords, true},
	{"torch", observation.TorchWords, false},
	{"chip", observation.ChipWords, false},
}

// familyShares reads family_tests.csv for one test: family → word → share, the conditions mixed by how
// often they are met, and held looser where the mark is weak.
func familyShares(in input, test string, words []string) [][]float64 {
	out := make([][]float64, len(metal.Families))
	weak := make([]float64, len(metal.Families))
	for i := range out {
		out[i] = make([]float64, len(words))
	}
	for _, row := range in.familyTests.Rows {
		if row.Text("test") != test {
			continue
		}
		f, w := metal.FamilyIndex(row.Text("family")), slices.Index(words, row.Text("word"))
		if w < 0 || f < 0 {
			row.Fault("word", "unknown word %q of test %s", row.Text("word"), test)
			continue
		}
		mark, ok := in.marks.Of(row.Text("mark"))
		if !ok {
			row.Fault("mark", "unknown mark %q", row.Text("mark"))
		}
		out[f][w] += row.Value("percent", 0) / 100 * row.Value("condition_share_pct", 0) / 100
		weak[f] = max(weak[f], mark.Looseness)
	}
	for f := range out {
		if sum := sumOf(out[f]); math.Abs(sum-1) > 0.02 {
			in.faults.Add(familyTestSchema.File, 0, "percent", "%s, test %s: the words sum to %.3f, not 1", metal.Families[f], test, sum)
		}
	}
	return loosen(out, weak)
}

// loosen mixes each family's shares with the mean of all, by how weakly the row is held.
func loosen(shares [][]float64, weak []float64) [][]float64 {
	mean := make([]float64, len(shares[0]))
	for _, row := range shares {
		for w, p := range row {
			mean[w] += p / float64(len(shares))
		}
	}
	for f, row := range shares {
		sum := sumOf(row)
		for w := range row {
			row[w] = (1-weak[f])*row[w]/sum + weak[f]*mean[w]
		}
	}
	return shares
}

func (m *Model) loadWords(in input) []wordTest {
	neighbours := loadNeighbours(in)
	var out []wordTest
	for _, v := range wordVocabulary {
		if v.key == "magnet" || v.key == "chip" {
			continue
		}
		shares := familyShares(in, v.key, v.words)
		truth := make([][]float64, m.n)
		for g := range truth {
			truth[g] = shares[m.family[g]]
		}
		slips := slipMatrix(v.words, v.ordered, neighbours[v.key])
		out = append(out, m.observe(v.key, v.words, truth, slips, func(string) observer { return m.observers[v.key] }))
	}
	return out
}

// observe turns what the metal shows into what the observer says.
func (m *Model) observe(key string, words []string, truth, slips [][]float64, by func(word string) observer) wordTest {
	t := wordTest{key: key, said: words, damping: m.observers[key].damping}
	said := make([][]float64, len(words))
	for w := range words {
		said[w] = make([]float64, m.n)
	}
	for g := range m.n {
		for v, p := range truth[g] {
			slip := by(words[v]).slip
			said[v][g] += p * (1 - slip)
			for w, share := range slips[v] {
				said[w][g] += p * slip * share
			}
		}
	}
	for w := range words {
		back := m.average(said[w])
		lapse := by(words[w]).lapse
		row, plain := make([]float64, m.n), make([]float64, m.n)
		for g := range row {
			row[g] = math.Pow(said[w][g], t.damping)
			plain[g] = (1-m.observers[key].lapse)*said[w][g] + m.observers[key].lapse*back
		}
		t.rows, t.plain = append(t.rows, row), append(t.plain, plain)
		t.back, t.lapse = append(t.back, math.Pow(back, t.damping)), append(t.lapse, lapse)
	}
	return t
}

var neighbourSchema = data.Schema{File: "word_neighbours.csv", Key: []string{"test", "word"}, Columns: []data.Column{
	{Name: "test", Required: true}, {Name: "word", Required: true}, {Name: "neighbours", Kind: data.Words, Required: true},
	{Name: "source", Required: true}, {Name: "mark", Required: true},
}}

func loadNeighbours(in input) map[string]map[string][]string {
	out := map[string]map[string][]string{}
	for _, row := range in.read(neighbourSchema) {
		test := row.Text("test")
		if out[test] == nil {
			out[test] = map[string][]string{}
		}
		out[test][row.Text("word")] = row.List("neighbours")
	}
	for _, v := range wordVocabulary {
		for word, near := range out[v.key] {
			for _, other := range append(near, word) {
				if !slices.Contains(v.words, other) {
					in.faults.Add(neighbourSchema.File, 0, "neighbours", "%s: unknown word %q", v.key, other)
				}
			}
		}
	}
	return out
}

// slipMatrix[v][w] is the chance that a slip away from word v says w.
func slipMatrix(words []string, ordered bool, near map[string][]string) [][]float64 {
	out := make([][]float64, len(words))
	for v, word := range words {
		out[v] = make([]float64, len(words))
		var targets []int
		for _, other := range near[word] {
			if i := slices.Index(words, other); i >= 0 {
				targets = append(targets, i)
			}
		}
		if ordered {
			targets = nil
			for _, w := range []int{v - 1, v + 1} {
				if w >= 0 && w < len(words) {
					targets = append(targets, w)
				}
			}
		}
		if len(targets) == 0 {
			targets = []int{v}
		}
		for _, w := range targets {
			out[v][w] += 1 / float64(len(targets))
		}
	}
	return out
}

func sumOf(row []float64) float64 {
	sum := 0.0
	for _, p := range row {
		sum += p
	}
	return sum
}
