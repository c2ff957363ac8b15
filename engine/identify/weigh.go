package identify

import (
	"math"

	"rodcall/engine/metal"
)

// Evidence is what one fact does beside all the others: bits of log-odds for each leading family,
//
//	bits(f) = log2( odds(f | all facts) / odds(f | all but this one) )
type Evidence struct {
	Key, Value string
	Bits       []Bits
}

// Bits belong to one family.
type Bits struct {
	Family string
	Bits   float64
}

// leading families are explained: the four likeliest, with at least half a percent.
const (
	leadingCount = 4
	leadingFloor = 0.005
)

// explain reads the bits of every fact, and the chance that it was misread, off the arrays that made the
// posterior.
func (m *Model) explain(s *Scratch, families []float64) []Evidence {
	lead := leading(families)
	var with [leadingCount]float64
	total := m.productWith(s, false, nil, lead, with[:])
	out := make([]Evidence, 0, 16)
	for i := range s.used {
		g := &s.groups[i]
		for j, l := range g.combined {
			s.inverse[j] = 1 / l
		}
		for k := range g.members {
			rest := m.withoutMember(g, k, s)
			m.misread(g, k, rest, s)
			out = append(out, m.bitsOf(s, rest, &g.members[k], lead, with[:], total))
		}
	}
	return out
}

// withoutMember is the group's likelihood without one of its members; nil when nothing is left of it.
func (m *Model) withoutMember(g *group, k int, s *Scratch) []float64 {
	switch {
	case len(g.members) == 1:
		return nil
	case g.members[0].row == nil:
		m.hardness.meet(m, g, s, k, s.row)
	default:
		g.mix(k, s.row)
	}
	return s.row
}

// leading are the places of the likeliest families, most likely first.
func leading(families []float64) []int {
	var out []int
	for range leadingCount {
		best := -1
		for f, p := range families {
			if p >= leadingFloor && !contains(out, f) && (best < 0 || p > families[best]) {
				best = f
			}
		}
		if best < 0 {
			break
		}
		out = append(out, best)
	}
	return out
}

func contains(list []int, x int) bool {
	for _, y := range list {
		if x == y {
			return true
		}
	}
	return false
}

// productWith sums the unnormalised posterior by leading family; drop takes out the group whose inverse
// likelihood stands in the scratch, and replace (nil = nothing) is put in its place.
func (m *Model) productWith(s *Scratch, drop bool, replace []float64, lead []int, out []float64) float64 {
	families := s.outlook.family
	for f := range families {
		sum := 0.0
		for g := m.first[f]; g < m.first[f+1]; g++ {
			l := s.product[g]
			if drop {
				l *= s.inverse[g]
			}
			if replace != nil {
				l *= replace[g]
			}
			sum += l
		}
		families[f] = sum
	}
	for k, f := range lead {
		out[k] = families[f]
	}
	return sumOf(families)
}

func (m *Model) bitsOf(s *Scratch, replace []float64, x *member, lead []int, with []float64, total float64) Evidence {
	var without [leadingCount]float64
	rest := m.productWith(s, true, replace, lead, without[:])
	x.agrees = total / rest / x.back
	e := Evidence{Key: x.key, Value: x.value, Bits: make([]Bits, 0, len(lead))}
	for k, f := range lead {
		bits := math.Log2(odds(with[k], total) / odds(without[k], rest))
		e.Bits = append(e.Bits, Bits{metal.Families[f], math.Round(bits*100) / 100})
	}
	return e
}

// odds of a part of a total, kept off nought and infinity by the model's own floor of one in 1e12.
func odds(part, total float64) float64 {
	return (part + 1e-12*total) / (total - part + 1e-12*total)
}

// The thresholds of the fit (judgement): how likely it must be that a report was misread, how much rarer a
// report is in the light of the others than over all metals, or that the metal is none of the list.
const (
	poorMisread, strainedMisread   = 0.55, 0.30
	poorAgrees, strainedAgrees     = 0.13, 0.42
	poorUnlisted, strainedUnlisted = 0.35, 0.12
)

// fit says how well the facts agree, and which one to repeat: the one that was most likely misread.
//
//	agrees(k) = P(report k | all other reports) / P(report k over all metals)
func (m *Model) fit(s *Scratch, unlisted float64) (fit, repeat string) {
	worst, least, claimed := 0.0, 1.0, false
	for i := range s.used {
		g := &s.groups[i]
		if g.hearsay() {
			agrees := m.agreesWithReadings(g, s)
			least, claimed = min(least, agrees), claimed || g.members[0].key == "claim" && agrees >= 1-1e-9
		}
	}
	for i := range s.used {
		for _, x := range s.groups[i].members {
			if x.misread > worst {
				worst, repeat = x.misread, x.key
			}
			if said := s.groups[i].hearsay() || x.key == "part" && claimed; !said {
				least = min(least, x.agrees)
			}
		}
	}
	switch {
	case worst >= poorMisread || least <= poorAgrees || unlisted >= poorUnlisted:
		return "poor", repeat
	case worst >= strainedMisread || least <= strainedAgrees || unlisted >= strainedUnlisted:
		return "strained", repeat
	default:
		return "good", ""
	}
}

// hearsay holds for what is said of a piece, as against what is read off it.
func (g *group) hearsay() bool { return g.members[0].key == "claim" || g.members[0].key == "excluded" }

// agreesWithReadings is how much likelier what somebody says is in the light of what was read off the piece than
// over all metals; 1 when nothing was read. The part is left out: that a shaft is seldom of the metal that
// somebody names is no disagreement of facts.
func (m *Model) agreesWithReadings(said *group, s *Scratch) float64 {
	copy(s.row, m.base)
	for i := range s.used {
		if g := &s.groups[i]; !g.hearsay() && g.members[0].key != "part" {
			multiply(s.row, g.combined)
		}
	}
	return dot(s.row, said.combined) / sumOf(s.row) * sumOf(m.base) / dot(m.base, said.combined)
}

// misread notes the chance that a fact tells nothing,
//
//	misread(k) = Σ over grades of p(grade) · lapse · background / likelihood(k | grade)
//
// Facts that share one lapse share the chance; of the hidden hardness each has its own. What people say
// (claims, "not X") is not a reading, and cannot be repeated.
func (m *Model) misread(g *group, k int, rest []float64, s *Scratch) {
	x := &g.members[k]
	x.misread = 0
	if x.lapse == 0 || x.key == "claim" || x.key == "excluded" {
		return
	}
	lapse, slip := g.lapse, g.slip
	if x.row == nil {
		lapse, slip = x.lapse, x.back
	} else {
		rest = nil
	}
	sum, nothing := 0.0, lapse*slip
	for i, p := range s.p {
		chance := nothing * s.inverse[i]
		if rest != nil {
			chance *= rest[i]
		}
		sum += p * min(1, chance)
	}
	x.misread = sum
}
