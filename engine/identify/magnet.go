package identify

import (
	"slices"

	"rodcall/engine/data"
	"rodcall/engine/observation"
)

var magnetSchema = data.Schema{File: "magnet_states.csv", Key: []string{"catalogued", "said"}, Columns: []data.Column{
	{Name: "catalogued", Kind: data.Word, Of: observation.MagnetWords, Required: true},
	{Name: "said", Kind: data.Word, Of: observation.MagnetWords, Required: true},
	{Name: "percent", Kind: data.Number, Min: 0, Max: 100, Required: true},
	{Name: "source", Required: true}, {Name: "mark", Required: true},
}}

// loadMagnet joins two sources of what a magnet shows: the grade's own catalogued state, and the
// family's spread over its conditions (cold-worked austenitic, cast ferrite, the worked manganese face).
// The family's spread counts by how well it agrees with the catalogued state, so that an austenitic
// nickel iron among the gray irons keeps its own state.
func (m *Model) loadMagnet(in input) wordTest {
	words := observation.MagnetWords
	var state [3][3]float64
	for _, row := range in.read(magnetSchema) {
		state[slices.Index(words, row.Text("catalogued"))][slices.Index(words, row.Text("said"))] = row.Value("percent", 0) / 100
	}
	family := familyShares(in, "magnet", words)
	truth := make([][]float64, m.n)
	for g, grade := range m.cat.Grades {
		own := slices.Index(words, grade.Magnetic)
		spread := family[m.family[g]]
		trust := 0.7 * min(1, spread[own]/0.4)
		truth[g] = make([]float64, len(words))
		for w := range words {
			truth[g][w] = trust*spread[w] + (1-trust)*state[own][w]
		}
	}
	by := func(word string) observer {
		if word == "slight" {
			return m.observers["magnet-slight"]
		}
		return m.observers["magnet"]
	}
	return m.observe("magnet", words, truth, slipMatrix(words, true, nil), by)
}
