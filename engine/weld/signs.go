package weld

import (
	"slices"

	"rodcall/engine/formula"
)

// Sign is one index of a metal with the limit that makes it matter.
type Sign struct {
	Name, Unit string
	Value      float64
	InRange    bool
	Limit      string // what the figure is held against, with its basis
	Bad        bool   // beyond the limit
	Says       string // what to do; "" when the figure is good
}

// Signs are the indices of what the metal may be, for its likeliest grade by the middle of its limits, and for the
// analysis of the part where there is one.
type Signs struct {
	Grade    string
	P        float64
	Analysed []string // elements that were measured
	Carbon   bool     // the carbon is measured
	List     []Sign
}

// Limits of the equivalents and indices that change advice.
const (
	ceHard     = 0.45 // CE(IIW) from which preheat and low hydrogen are asked (eng-tips FAQ 330-1077, seen)
	crackUCS   = 30   // EN 1011-2 annex E (seen)
	seaPREN    = 32   // sea water (IMOA, seen)
	mostJ      = 180  // parent steel (seen: qci-refractories.com)
	mostX      = 20   // weld metal (same)
	copperTrap = 0.4  // Cu + 10 Sn, wt%, from which surfaces tear when hot (judgement)
)

var stainlessFamilies = []string{"austenitic-stainless", "ferritic-stainless", "martensitic-stainless", "precipitation-hardening-stainless", "duplex-stainless"}

// Signs works out the indices for a question.
func (b *Book) Signs(q Question) (Signs, bool) {
	s := b.situationOf(q, &Scratch{})
	best, ok := likeliestIron(b, s.grades)
	if !ok {
		return Signs{}, false
	}
	x := b.compositionOf(best, &s.analysis)
	stainless := slices.Contains(stainlessFamilies, b.catalogue.Grades[best].Family)
	if !b.gradeHeats[best].computed && !stainless {
		return Signs{}, false // no equivalent of steel says anything of manganese steel or tool steel
	}
	out := Signs{Grade: b.gradeHeats[best].designation, P: s.grades[best], Carbon: s.analysis.whole()}
	for k, seen := range s.analysis.seen {
		if seen {
			out.Analysed = append(out.Analysed, formula.Elements[k])
		}
	}
	sea := q.Observation != nil && slices.Contains(q.Observation.Service, "sea-water")
	out.List = signsOf(x, s, stainless, sea)
	return out, true
}

// signsOf are the indices of one composition: those of steel, or of stainless.
func signsOf(x formula.Values, s *situation, stainless, sea bool) []Sign {
	if stainless {
		return stainlessSigns(x, sea)
	}
	list := []Sign{
		equivalent("CE(IIW)", &formula.CEIIW, x, ceHard), {Name: "CET", Value: formula.CET.Eval(x), InRange: formula.CET.InRange(x), Limit: "method B holds for 0.2-0.5"},
		{Name: "Pcm", Value: formula.Pcm.Eval(x), InRange: formula.Pcm.InRange(x), Limit: "for carbon to 0.18 %"},
	}
	return append(append(list, crackSigns(x, rodMetal(x))...), embrittlement(x, s)...)
}

func equivalent(name string, f *formula.Formula, x formula.Values, limit float64) Sign {
	sign := Sign{Name: name, Value: f.Eval(x), InRange: f.InRange(x), Limit: "over 0.45 wants heat"}
	if sign.Bad = sign.Value > limit; sign.Bad {
		sign.Says = "preheat, dry low-hydrogen rods"
	}
	return sign
}

// usualShare is the base metal in the deposit that crack indices are reckoned at (dilution.csv: stick, joint, its high end).
const usualShare = 0.3

// rodMetal is what a plain basic rod makes of a steel at the usual dilution, wt%.
func rodMetal(base formula.Values) formula.Values {
	rod := formula.Values{formula.C: 0.08, formula.Mn: 1.1, formula.Si: 0.4, formula.S: 0.015, formula.P: 0.015}
	return formula.Dilute(base, rod, usualShare)
}

// crackSigns are the indices of hot cracking of a steel and of the weld metal on it.
func crackSigns(x, weldMetal formula.Values) []Sign {
	ucs := Sign{Name: "UCS", Value: formula.UCS.Eval(weldMetal), InRange: formula.UCS.InRange(weldMetal), Limit: "plain rod, 30 % dilution; over 30 hot-cracks"}
	if ucs.Bad = ucs.Value > crackUCS; ucs.Bad {
		ucs.Says = "hot cracks: low dilution, small convex beads"
	}
	out := []Sign{ucs}
	if ratio, ok := formula.ManganeseToSulphur(x); ok {
		m := Sign{Name: "Mn/S", Value: ratio, InRange: true, Limit: "under 10 grain edges melt"}
		if m.Bad = ratio < formula.LiquationMnS || x[formula.S] > formula.FreeMachiningSulphur; m.Bad {
			m.Says = "sulphur: basic low-hydrogen rod, low current, low dilution"
		}
		out = append(out, m)
	}
	if x[formula.Cu] > 0 || x[formula.Sn] > 0 {
		cu := Sign{Name: "Cu + 10 Sn", Unit: "%", Value: formula.CopperShortness.Eval(x), InRange: formula.CopperShortness.InRange(x), Limit: "over 0.4 hot skin tears (judgement)"}
		if cu.Bad = cu.Value > copperTrap; cu.Bad {
			cu.Says = "copper short: no hot bending or straightening, low heat"
		}
		out = append(out, cu)
	}
	return out
}

// embrittlement is the indices of a chrome-moly steel that works at 350-600 C.
func embrittlement(x formula.Values, s *situation) []Sign {
	hot := s.tempC != nil && *s.tempC >= sigmaLow && *s.tempC <= 600
	if !hot && (x[formula.Cr] < 0.8 || x[formula.Mo] < 0.4) {
		return nil
	}
	j := Sign{Name: "J factor", Value: formula.JFactor.Eval(x), InRange: formula.JFactor.InRange(x), Limit: "low risk to 180, at 350-600 C"}
	bar := Sign{Name: "X bar", Unit: "ppm", Value: formula.XBar.Eval(x), InRange: formula.XBar.InRange(x), Limit: "low risk under 20"}
	if j.Bad = hot && j.Value > mostJ; j.Bad {
		j.Says = "gets brittle in hot service: load it only when warm"
	}
	if bar.Bad = hot && bar.Value >= mostX; bar.Bad {
		bar.Says = "weld metal gets brittle: a rod with X bar under 15"
	}
	return []Sign{j, bar}
}

func stainlessSigns(x formula.Values, sea bool) []Sign {
	pren := Sign{Name: "PREN", Value: formula.PREN.Eval(x), InRange: formula.PREN.InRange(x), Limit: "sea water wants 32 (IMOA)"}
	if sea {
		if pren.Bad = pren.Value < seaPREN; pren.Bad {
			pren.Says = "pits in sea water: a filler with more Mo, not leaner than the base"
		}
	}
	q := formula.EquivalentsOf(x)
	return []Sign{pren, {Name: "Cr eq.", Unit: "%", Value: q.WRCCr, InRange: formula.WRCCr.InRange(x), Limit: "WRC-1992, 17-31"},
		{Name: "Ni eq.", Unit: "%", Value: q.WRCNi, InRange: formula.WRCNi.InRange(x), Limit: "WRC-1992, 9-18"}}
}
