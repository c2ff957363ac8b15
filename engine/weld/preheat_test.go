package weld

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rodcall/engine/observation"
)

// crackIn is a crack in plate of a thickness, mm; 0 leaves it untold.
func crackIn(mm float64) *observation.Observation {
	o := &observation.Observation{Job: "crack"}
	if mm > 0 {
		o.Size = &observation.Size{ThicknessMM: &mm}
	}
	return o
}

// drawSteels draws shares over the steels that harden, which all may be heated.
func drawSteels(t *rapid.T) map[string]float64 {
	out := map[string]float64{}
	total := 0.0
	for _, f := range rapid.SliceOfNDistinct(rapid.SampledFrom(hydrogenFamilies), 1, 4, rapid.ID[string]).Draw(t, "steels") {
		out[f] = rapid.Float64Range(0.01, 1).Draw(t, "share")
		total += out[f]
	}
	for f := range out {
		out[f] /= total
	}
	return out
}

func TestThickerPlateNeverLowersThePreheatOfAGrade(t *testing.T) {
	b := load(t)
	rapid.Check(t, func(rt *rapid.T) {
		i := rapid.IntRange(0, len(b.catalogue.Grades)-1).Draw(rt, "grade")
		p := make([]float64, len(b.catalogue.Grades))
		p[i] = 1
		thin := rapid.Float64Range(1, 150).Draw(rt, "thin")
		thick := thin + rapid.Float64Range(0, 150).Draw(rt, "more")
		low := b.Plan(Question{Observation: crackIn(thin), Grades: p}).Heat.Preheat
		high := b.Plan(Question{Observation: crackIn(thick), Grades: p}).Heat.Preheat
		if low != nil && high != nil {
			require.LessOrEqual(rt, low.Min, high.Min, "%s: %g mm %v, %g mm %v", b.catalogue.Grades[i].ID, thin, low, thick, high)
		}
	})
}

func TestThickerPlateNeverLowersThePreheatOfSteelInDoubt(t *testing.T) {
	b := load(t)
	rapid.Check(t, func(rt *rapid.T) {
		p := doubt(b, drawSteels(rt))
		thin := rapid.Float64Range(1, 150).Draw(rt, "thin")
		thick := thin + rapid.Float64Range(0, 150).Draw(rt, "more")
		low := b.Plan(Question{Observation: crackIn(thin), Grades: p}).Heat.Preheat
		high := b.Plan(Question{Observation: crackIn(thick), Grades: p}).Heat.Preheat
		if low != nil && high != nil {
			require.LessOrEqual(rt, low.Min, high.Min, "%g mm %v, %g mm %v", thin, low, thick, high)
		}
	})
}

func TestMoreCarbonNeverLowersThePreheat(t *testing.T) {
	b := load(t)
	rapid.Check(t, func(rt *rapid.T) {
		i := rapid.IntRange(0, len(b.gradeHeats)-1).Draw(rt, "grade")
		g := b.gradeHeats[i]
		group := b.heatGroups[b.heatOf[b.baseOf[i]]]
		m := rapid.SampledFrom(group.methods).Draw(rt, "method")
		s := situation{thickness: rapid.Float64Range(1, 200).Draw(rt, "mm")}
		j := s.jointOf(Conditions{})
		less := makeup{carbon: rapid.Float64Range(0.01, 1).Draw(rt, "carbon"), cet: rapid.Float64Range(0, 0.6).Draw(rt, "rest")}
		less.cet += less.carbon
		more := rapid.Float64Range(0, 0.5).Draw(rt, "more carbon")
		low, _ := g.need(less, &m, &j)
		high, _ := g.need(makeup{less.carbon + more, less.cet + more}, &m, &j)
		require.LessOrEqual(rt, low, high, "%s %+v", g.designation, less)
	})
}

func TestPreheatNeverPassesWhatAMetalTakes(t *testing.T) {
	b := load(t)
	for i, g := range b.catalogue.Grades {
		p := make([]float64, len(b.catalogue.Grades))
		p[i] = 1
		plan := b.Plan(Question{Observation: crackIn(200), Grades: p})
		band := plan.Heat.Preheat
		if band == nil {
			continue
		}
		require.LessOrEqual(t, len(band.Basis), basisLetters, "%s: %s", g.ID, band.Basis)
		most := 0.0
		for _, m := range b.heatGroups[b.heatOf[b.baseOf[i]]].methods {
			most = max(most, m.acceptMax)
		}
		require.LessOrEqual(t, band.Min, most, g.ID)
		if g.Family == "austenitic-manganese-steel" {
			require.LessOrEqual(t, band.Max, 60.0, g.ID)
		}
	}
}

func TestThicknessMovesThePreheatOfAStructuralSteel(t *testing.T) {
	b := load(t)
	p := make([]float64, len(b.catalogue.Grades))
	for i := range b.catalogue.Grades {
		if b.catalogue.Grades[i].ID == "sae-4130" {
			p[i] = 1
		}
	}
	ask := func(mm float64) *Band { return b.Plan(Question{Observation: crackIn(mm), Grades: p}).Heat.Preheat }
	require.Less(t, ask(8).Min, ask(20).Min)
	require.Less(t, ask(20).Min, ask(60).Min)
	require.Contains(t, ask(20).Basis, "method B 20 mm")
}

func TestMethodBAsALineInCETIsTheEquation(t *testing.T) {
	s := situation{thickness: 50}
	j := s.jointOf(Conditions{Hydrogen: 5, HeatInput: 1.5})
	require.InDelta(t, 162.83, j.methodB(0.37), 5, "the printed case, up to the next five")
	require.GreaterOrEqual(t, j.methodB(0.37), 162.83)
}

func TestGradesTogetherAreCoveredByTheStatedShare(t *testing.T) {
	b := load(t)
	rapid.Check(t, func(rt *rapid.T) {
		q := Question{Observation: crackIn(rapid.Float64Range(1, 100).Draw(rt, "mm")), Grades: doubt(b, drawSteels(rt))}
		s := b.situationOf(q, &Scratch{})
		h := b.heatMasses(s)
		low, high, bad := b.settleHeat(h, s.heatMet(false))
		if bad != nil {
			return
		}
		j := s.jointOf(Conditions{})
		all := b.calls(h, s, &j)
		total := 0.0
		for _, c := range all {
			total += c.p
		}
		require.InDelta(rt, 1, total, 0.02)
		band, share, _ := b.cover(h, all, low, high, &j)
		if band.Min < high {
			require.GreaterOrEqual(rt, share, coveredShare-1e-6)
		}
		require.LessOrEqual(rt, len(band.Basis), basisLetters)
	})
}

func BenchmarkPreheatUnderDoubtOverEveryGrade(b *testing.B) {
	book := load(b)
	s := book.situationOf(broadQuestion(book), &Scratch{})
	h := book.heatMasses(s)
	book.favourMethods(h, s.heatMet(false))
	b.ReportAllocs()
	for b.Loop() {
		book.coverHeat(h, 0, 2000, s)
	}
}

func BenchmarkPreheatOfAUsualDoubt(b *testing.B) {
	book := load(b)
	s := book.situationOf(usualQuestion(book), &Scratch{})
	h := book.heatMasses(s)
	book.favourMethods(h, s.heatMet(false))
	b.ReportAllocs()
	for b.Loop() {
		book.coverHeat(h, 0, 2000, s)
	}
}
