package metal

import (
	"math"

	"rodcall/engine/data"
)

var mixSchema = data.Schema{File: "industry_mix.csv", Key: []string{"setting", "family"}, Columns: []data.Column{
	{Name: "setting", Required: true, Doc: "where a team works"},
	{Name: "default_weight_pct", Kind: data.Number, Required: true, Min: 0.001, Max: 100, Doc: "weight of the setting when the team says nothing"},
	{Name: "family", Kind: data.Word, Required: true, Of: Families, Doc: "family id of the contract"},
	{Name: "share_pct", Kind: data.Number, Required: true, Min: 0.0001, Max: 100, Doc: "share of the family among the broken metal there; never zero"},
	{Name: "mark", Required: true, Doc: "how firmly the share is held"},
	{Name: "basis", Required: true, Doc: "how the share was judged"},
}}

var industrySchema = data.Schema{File: "industries.csv", Key: []string{"industry"}, Columns: []data.Column{
	{Name: "industry", Required: true, Doc: "industry of parts.csv"},
	{Name: "setting", Required: true, Doc: "setting of industry_mix.csv"},
	{Name: "why", Required: true, Doc: "why it belongs there"},
	{Name: "mark", Required: true, Doc: "how firmly that is held"},
}}

// mixTolerance is how far the default weights times the mixes may miss the share of a family, in percent:
// both are printed rounded.
const mixTolerance = 0.06

func (l *loader) mixes() {
	c := l.c
	c.Mix = map[string][]float64{}
	c.defaultWeight = map[string]float64{}
	for _, row := range data.Read(l.files, mixSchema, l.faults).Rows {
		l.marks.Check(row, "mark")
		setting, family := row.Text("setting"), FamilyIndex(row.Text("family"))
		if c.Mix[setting] == nil {
			c.Mix[setting] = make([]float64, len(Families))
			c.defaultWeight[setting] = row.Value("default_weight_pct", 0)
		}
		if w := row.Value("default_weight_pct", 0); w != c.defaultWeight[setting] {
			row.Fault("default_weight_pct", "%g differs from %g in the first row of %s", w, c.defaultWeight[setting], setting)
		}
		if family >= 0 {
			c.Mix[setting][family] = row.Value("share_pct", 0)
		}
	}
	c.Settings = sortedKeys(c.Mix)
	weights := 0.0
	for _, setting := range c.Settings {
		weights += c.defaultWeight[setting]
		if total := sum(c.Mix[setting]); math.Abs(total-100) > shareTolerance {
			l.faults.Add(mixSchema.File, 0, "share_pct", "the shares of %s sum to %g, not 100", setting, total)
		}
		normalise(c.Mix[setting])
		for i, share := range c.Mix[setting] {
			if share == 0 {
				l.faults.Add(mixSchema.File, 0, "family", "%s has no share of %s", setting, Families[i])
			}
		}
	}
	if math.Abs(weights-100) > shareTolerance {
		l.faults.Add(mixSchema.File, 0, "default_weight_pct", "the weights of the settings sum to %g, not 100", weights)
	}
	l.checkFrequency()
}

// checkFrequency: the general shares of families.csv are the mixes at their default weights.
func (l *loader) checkFrequency() {
	for i, p := range l.c.Prior(nil) {
		if want := l.c.Frequency[Families[i]]; math.Abs(p-want)*100 > mixTolerance {
			l.faults.Add(familySchema.File, 0, "share_pct", "%s has %.2f, the mixes give %.2f", Families[i], want*100, p*100)
		}
	}
}

// MixPrior is the share of each family (order of Families) in one setting; nil for an unknown setting.
func (c *Catalogue) MixPrior(setting string) []float64 {
	mix, ok := c.Mix[setting]
	if !ok {
		return nil
	}
	return append([]float64(nil), mix...)
}

// Prior is the share of each family (order of Families; sums to 1) for a team that works in the settings
// of mix with the given weights, which need not sum to anything. Unknown settings and weights that are
// not above zero count nothing; when nothing counts, the default weights hold.
func (c *Catalogue) Prior(mix map[string]float64) []float64 {
	prior := make([]float64, len(Families))
	c.addMixes(prior, mix)
	if sum(prior) == 0 {
		c.addMixes(prior, c.defaultWeight)
	}
	normalise(prior)
	return prior
}

func (c *Catalogue) addMixes(prior []float64, weights map[string]float64) {
	largest := 0.0
	for _, setting := range c.Settings {
		if w := weights[setting]; counts(w) && w > largest {
			largest = w
		}
	}
	for _, setting := range c.Settings {
		w := weights[setting]
		if !counts(w) {
			continue
		}
		for i, share := range c.Mix[setting] {
			prior[i] += w / largest * share
		}
	}
}

func counts(weight float64) bool { return weight > 0 && !math.IsInf(weight, 0) }

func sum(values []float64) float64 {
	total := 0.0
	for _, v := range values {
		total += v
	}
	return total
}

func normalise(values []float64) {
	total := sum(values)
	if total == 0 {
		return
	}
	for i := range values {
		values[i] /= total
	}
}
