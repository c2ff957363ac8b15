package formula

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/data"
	"rodcall/engine/measure"
	"rodcall/engine/metal"
)

// weldedSteels are the families that the preheat methods are meant for.
var weldedSteels = []string{"low-carbon-steel", "medium-carbon-steel", "hsla-structural-steel", "low-alloy-steel", "quenched-tempered-plate", "cast-steel"}

// The three ways to a preheat are compared over the catalogue, so that a slip in one of them shows as a gap to the
// others; the figures are printed. They answer different questions: method A has only the points of a
// table that proves the milder one, AWS has no heat input. So the test asks that what A preheats B preheats too,
// and that B and AWS lie on the whole no further apart than a step of their tables.
func TestTheWaysToAPreheatAgreeInDirectionOverTheCatalogue(t *testing.T) {
	s := load(t)
	var faults data.Faults
	cat := metal.Load(data.Files(), &faults)
	require.NoError(t, faults.Err())
	all, families := &waysReport{}, map[string]*waysReport{}
	for i := range cat.Grades {
		g := &cat.Grades[i]
		if !slices.Contains(weldedSteels, g.Family) {
			continue
		}
		if families[g.Family] == nil {
			families[g.Family] = &waysReport{}
		}
		least, greatest := LimitsOf(g.Composition)
		x := Between(least, greatest, 0.7)
		for _, thickness := range []measure.MM{12, 25, 50} {
			for _, hydrogen := range []float64{4, 8, 15} {
				all.add(s, x, thickness, hydrogen)
				families[g.Family].add(s, x, thickness, hydrogen)
			}
		}
	}
	for _, family := range weldedSteels {
		families[family].log(t, family)
	}
	all.log(t, "all")
	require.Greater(t, all.inRange, 200)
	require.LessOrEqual(t, all.onlyA*20, all.both+all.onlyA, "where the points of method A ask for preheat, method B does too")
	require.LessOrEqual(t, all.aAlone*20, all.aAndAWS+all.aAlone, "and so does AWS")
	_, rms := moments(all.gaps)
	require.Less(t, rms, 60.0, "method B and AWS lie too far apart")
}

// waysReport is how the ways to a preheat compare over some joints.
type waysReport struct {
	joints, inRange             int
	gaps                        []float64 // method B less AWS, C
	both, onlyA, onlyB, neither int       // method A asks for preheat, method B does
	aAndAWS, aAlone             int       // method A asks for preheat, AWS does too or alone
}

func (r *waysReport) add(s *Set, x Values, thickness measure.MM, hydrogen float64) {
	r.joints++
	equivalent := CET.Eval(x)
	if !CET.InRange(x) || equivalent < 0.2 || equivalent > 0.5 {
		return
	}
	r.inRange++
	b := MethodB(equivalent, thickness, hydrogen, 1.5)
	aws, _, none, _ := s.HydrogenControl(pcm(x), hydrogen, "medium", thickness)
	r.gaps = append(r.gaps, float64(b-aws))
	a := s.MethodA(ceIIW(x), 2*thickness, 1.5, hydrogen)
	switch asks := b > 20; {
	case a.Needed == Open:
	case a.Needed == Yes && asks:
		r.both++
	case a.Needed == Yes:
		r.onlyA++
	case asks:
		r.onlyB++
	default:
		r.neither++
	}
	if a.Needed == Yes {
		if aws > 20 && !none {
			r.aAndAWS++
		} else {
			r.aAlone++
		}
	}
}

func (r *waysReport) log(t *testing.T, name string) {
	if r.inRange == 0 {
		t.Logf("%s: none of %d joints in the range of method B", name, r.joints)
		return
	}
	slices.Sort(r.gaps)
	mean, rms := moments(r.gaps)
	at := func(share float64) float64 { return r.gaps[int(share*float64(len(r.gaps)-1))] }
	t.Logf("%s: %d of %d joints in the range of method B. B less AWS (medium restraint), °C: mean %+.0f, rms %.0f, 10 %% %+.0f, median %+.0f, 90 %% %+.0f, worst %+.0f and %+.0f. "+
		"A answers %d: preheat by A and B %d, B alone %d, A alone %d, neither %d; where A asks AWS asks too %d, not %d",
		name, r.inRange, r.joints, mean, rms, at(0.1), at(0.5), at(0.9), r.gaps[0], r.gaps[len(r.gaps)-1],
		r.both+r.onlyA+r.onlyB+r.neither, r.both, r.onlyB, r.onlyA, r.neither, r.aAndAWS, r.aAlone)
}

func moments(list []float64) (mean, rms float64) {
	for _, v := range list {
		mean += v / float64(len(list))
		rms += v * v / float64(len(list))
	}
	return mean, math.Sqrt(rms)
}
