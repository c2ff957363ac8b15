package observation

import (
	"maps"
	"slices"
)

// Merge is what is known after a further message: the later one wins key by key, in a spark and a size part
// by part, in an analysis element by element. Neither argument is changed.
//
// Readings of one hardness scale are replaced by later ones of that scale. What several messages add up to
// (rods at hand, tests, what the metal is not, service) is united; of a claim the same speaker's later word
// counts; a limit replaces its contrary.
func Merge(earlier, later Observation) Observation {
	out := earlier
	word(&out.Magnet, later.Magnet)
	out.Spark = mergeSpark(earlier.Spark, later.Spark)
	out.SparkSkin = mergeSpark(earlier.SparkSkin, later.SparkSkin)
	word(&out.File, later.File)
	out.Hardness = mergeHardness(earlier.Hardness, later.Hardness)
	word(&out.Chip, later.Chip)
	word(&out.Rust, later.Rust)
	figure(&out.DensityGCM3, later.DensityGCM3)
	word(&out.Weight, later.Weight)
	word(&out.Sound, later.Sound)
	replace(&out.Fracture, later.Fracture)
	replace(&out.Color, later.Color)
	replace(&out.Torch, later.Torch)
	replace(&out.Surface, later.Surface)
	word(&out.Part, later.Part)
	replace(&out.Marks, later.Marks)
	out.Service = unite(earlier.Service, later.Service)
	figure(&out.ServiceTempC, later.ServiceTempC)
	out.Chem = mergeChem(earlier.Chem, later.Chem)
	word(&out.ChemMethod, later.ChemMethod)
	out.Claim = mergeClaims(earlier.Claim, later)
	out.Excluded = mergeExcluded(earlier.Excluded, later)
	word(&out.Job, later.Job)
	word(&out.JoinedTo, later.JoinedTo)
	out.Size = mergeSize(earlier.Size, later.Size)
	out.Limits = mergeLimits(earlier.Limits, later.Limits)
	out.Have = unite(earlier.Have, later.Have)
	out.Cost = mergeCost(earlier.Cost, later.Cost)
	out.Scene = mergeScene(earlier.Scene, later.Scene)
	out.Process = unite(earlier.Process, later.Process)
	out.Test = unite(earlier.Test, later.Test)
	return out
}

func word(into *string, later string) {
	if later != "" {
		*into = later
	}
}

func figure(into **float64, later *float64) {
	if later != nil {
		*into = later
	}
}

func replace(into *[]string, later []string) {
	if len(later) > 0 {
		*into = later
	}
}

// unite keeps the earlier words and adds the later ones that are new.
func unite(earlier, later []string) []string {
	if len(later) == 0 {
		return earlier
	}
	out := slices.Clone(earlier)
	for _, w := range later {
		if !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}

func mergeSpark(earlier, later *Spark) *Spark {
	if earlier == nil || later == nil {
		if later != nil {
			return later
		}
		return earlier
	}
	out := *earlier
	word(&out.Volume, later.Volume)
	figure(&out.LengthIn, later.LengthIn)
	word(&out.Length, later.Length)
	word(&out.ColorNear, later.ColorNear)
	word(&out.ColorEnd, later.ColorEnd)
	word(&out.Bursts, later.Bursts)
	word(&out.BurstForm, later.BurstForm)
	word(&out.Spread, later.Spread)
	switch {
	case later.Against == nil:
	case out.Against == nil || out.Against.Piece != later.Against.Piece:
		out.Against = later.Against // another piece is another comparison
	default:
		against := *out.Against
		word(&against.Length, later.Against.Length)
		word(&against.Volume, later.Against.Volume)
		word(&against.Bursts, later.Against.Bursts)
		out.Against = &against
	}
	return &out
}

func mergeHardness(earlier, later []Hardness) []Hardness {
	if len(later) == 0 {
		return earlier
	}
	var out []Hardness
	for _, h := range earlier {
		if !slices.ContainsFunc(later, func(l Hardness) bool { return l.Scale == h.Scale }) {
			out = append(out, h)
		}
	}
	return append(out, later...)
}

func mergeChem(earlier, later map[string]float64) map[string]float64 {
	if len(later) == 0 {
		return earlier
	}
	out := map[string]float64{}
	maps.Copy(out, earlier)
	maps.Copy(out, later)
	return out
}

// mergeClaims keeps one claim a speaker, the later; "not X" takes the rep's own claim of X back.
func mergeClaims(earlier []Claim, later Observation) []Claim {
	if len(later.Claim) == 0 && len(later.Excluded) == 0 {
		return earlier
	}
	var out []Claim
	for _, c := range earlier {
		again := slices.ContainsFunc(later.Claim, func(l Claim) bool { return l.By == c.By })
		if !again && !slices.Contains(later.Excluded, c.Metal) {
			out = append(out, c)
		}
	}
	return append(out, later.Claim...)
}

// mergeExcluded unites what the metal is not; a later claim of a family takes it back.
func mergeExcluded(earlier []string, later Observation) []string {
	var kept []string
	for _, family := range earlier {
		if !slices.ContainsFunc(later.Claim, func(c Claim) bool { return c.Metal == family }) {
			kept = append(kept, family)
		}
	}
	return unite(kept, later.Excluded)
}

func mergeSize(earlier, later *Size) *Size {
	if earlier == nil || later == nil {
		if later != nil {
			return later
		}
		return earlier
	}
	out := *earlier
	figure(&out.ThicknessMM, later.ThicknessMM)
	figure(&out.LengthMM, later.LengthMM)
	figure(&out.DepthMM, later.DepthMM)
	figure(&out.WidthMM, later.WidthMM)
	figure(&out.DiameterMM, later.DiameterMM)
	return &out
}

// mergeCost replaces figure by figure; figures in another currency start anew.
func mergeCost(earlier, later *Cost) *Cost {
	if earlier == nil || later == nil {
		if later != nil {
			return later
		}
		return earlier
	}
	if earlier.Currency != "" && later.Currency != "" && earlier.Currency != later.Currency {
		return later
	}
	out := *earlier
	word(&out.Currency, later.Currency)
	theirs := later.figures()
	for i, f := range out.figures() {
		figure(f.value, *theirs[i].value)
	}
	return &out
}

// contrary limits replace each other.
var contrary = [][]string{{"no-preheat", "preheat-ok"}, {"ac-only", "dc"}, {"flat", "horizontal", "vertical-up", "vertical-down", "overhead"}}

func mergeLimits(earlier, later []string) []string {
	if len(later) == 0 {
		return earlier
	}
	var kept []string
	for _, old := range earlier {
		if !slices.ContainsFunc(contrary, func(group []string) bool {
			return slices.Contains(group, old) && slices.ContainsFunc(later, func(l string) bool { return slices.Contains(group, l) })
		}) {
			kept = append(kept, old)
		}
	}
	return unite(kept, later)
}

// mergeScene unites key by key; of where the job is done the later word counts.
func mergeScene(earlier, later *Scene) *Scene {
	if earlier == nil || later == nil {
		if later != nil {
			return later
		}
		return earlier
	}
	out := *earlier
	was, now := out.Lists(), later.Lists()
	for i := range was {
		if was[i].Key == "where" {
			replace(was[i].Words, *now[i].Words)
			continue
		}
		*was[i].Words = unite(*was[i].Words, *now[i].Words)
	}
	return &out
}
