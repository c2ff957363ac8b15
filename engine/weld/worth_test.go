package weld

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rodcall/engine/observation"
)

// parted splits a doubt in two as a test would: what speaks for one side of it speaks against the other.
func parted(t *rapid.T, whole []float64) (share float64, one, other []float64) {
	one, other = make([]float64, len(whole)), make([]float64, len(whole))
	tilt := map[int]float64{}
	for i, p := range whole {
		if p == 0 {
			continue
		}
		if _, ok := tilt[i%7]; !ok {
			tilt[i%7] = rapid.Float64Range(0.02, 0.98).Draw(t, "tilt")
		}
		one[i], other[i] = p*tilt[i%7], p*(1-tilt[i%7])
		share += one[i]
	}
	for i := range whole {
		one[i] /= share
		other[i] /= 1 - share
	}
	return share, one, other
}

// bestOf is what the best class of the whole catalogue that is not barred is worth in expectation, or testing first,
// or waiting, where that is worth more.
func (b *Book) bestOf(o observation.Observation, grades []float64) float64 {
	s := b.situationOf(Question{Observation: &o, Grades: grades}, &Scratch{})
	best, known := waitUtility, make([]float64, len(s.bases))
	for j := range known {
		known[j] = waitUtility
	}
	for _, r := range s.roles {
		if r.order != 1 {
			continue
		}
		for class := range b.classes {
			if c := b.rate(class, r.role, s); c.barredBy < 0 {
				best = max(best, c.expected)
			}
			for j, m := range s.bases {
				out := b.fares(m.base, r.role, class, s)
				known[j] = max(known[j], float64(out.utility+out.fitting-out.harm())-b.handling(class, s)-b.lossToDuty(class, r.role, s))
			}
		}
	}
	first := -costOfTest
	for j, m := range s.bases {
		first += m.p * known[j]
	}
	return max(best, first)
}

func TestRemovingSomeDoubtNeverLeavesLessToChooseFrom(t *testing.T) {
	b := load(t)
	rapid.Check(t, func(rt *rapid.T) {
		o := observation.Observation{Job: rapid.SampledFrom(observation.Jobs).Draw(rt, "job")}
		whole := doubt(b, drawDoubt(rt))
		share, one, other := parted(rt, whole)
		after := share*b.bestOf(o, one) + (1-share)*b.bestOf(o, other)
		// Metals below a fifth of a percent are left out of a choice; what they may weigh is the slack.
		require.GreaterOrEqual(rt, after+0.01, b.bestOf(o, whole))
	})
}

func TestTestingFirstIsWorthAtLeastTheBestBlindActionLessTheTest(t *testing.T) {
	b := load(t)
	rapid.Check(t, func(rt *rapid.T) {
		o := observation.Observation{Job: rapid.SampledFrom(observation.Jobs).Draw(rt, "job")}
		whole := doubt(b, drawDoubt(rt))
		stakes := b.Stakes(Question{Observation: &o, Grades: whole})
		share, one, other := parted(rt, whole)
		before := stakes.Worth(whole)
		require.GreaterOrEqual(rt, before.TestFirst+costOfTest+1e-5, before.Now)
		require.LessOrEqual(rt, before.TestFirst, 1.0)
		// Of the same actions, what a test leaves to choose is never worth less.
		require.GreaterOrEqual(rt, share*stakes.Worth(one).Now+(1-share)*stakes.Worth(other).Now+0.005, before.Now)
	})
}

func TestTestFirstIsWorthMoreThanWeldingBlindBetweenMetalsThatWantOppositeTreatment(t *testing.T) {
	b := load(t)
	q := ask(b, observation.Observation{Job: "crack"}, map[string]float64{"austenitic-manganese-steel": 0.5, "medium-carbon-steel": 0.5})
	w := b.Stakes(q).Worth(q.Grades)
	require.Greater(t, w.TestFirst, w.Now+0.05)
	q = ask(b, observation.Observation{Job: "crack"}, map[string]float64{"low-carbon-steel": 1})
	w = b.Stakes(q).Worth(q.Grades)
	require.Greater(t, w.Now, w.TestFirst, "nothing is left to find out")
}
