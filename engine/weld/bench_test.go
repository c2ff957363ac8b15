package weld

import (
	"testing"

	"rodcall/engine/observation"
)

// doubt is a posterior over a few families as a usual message leaves it, spread over their grades as the
// catalogue meets them.
func doubt(b *Book, families map[string]float64) []float64 {
	p := make([]float64, len(b.catalogue.Grades))
	total := map[string]float64{}
	for _, g := range b.catalogue.Grades {
		total[g.Family] += g.MetWeight
	}
	for i, g := range b.catalogue.Grades {
		if share, ok := families[g.Family]; ok {
			p[i] = share * g.MetWeight / total[g.Family]
		}
	}
	return p
}

func usualQuestion(b *Book) Question {
	return Question{Observation: &observation.Observation{Job: "crack"}, Grades: doubt(b, map[string]float64{
		"medium-carbon-steel": 0.55, "low-alloy-steel": 0.25, "low-carbon-steel": 0.1, "cast-steel": 0.06, "high-carbon-steel": 0.03, "tool-steel": 0.01})}
}

func broadQuestion(b *Book) Question {
	p := make([]float64, len(b.catalogue.Grades))
	for i := range p {
		p[i] = 1 / float64(len(p))
	}
	return Question{Observation: &observation.Observation{Job: "hardface", Service: []string{"abrasion", "impact"}}, Grades: p}
}

func BenchmarkPlanOfAUsualDoubt(b *testing.B) { benchPlan(b, usualQuestion) }

func BenchmarkPlanOverEveryGrade(b *testing.B) { benchPlan(b, broadQuestion) }

func benchPlan(b *testing.B, ask func(*Book) Question) {
	book := load(b)
	q := ask(book)
	b.ReportAllocs()
	for b.Loop() {
		book.Plan(q)
	}
}

func BenchmarkStakesOfAUsualDoubt(b *testing.B) { benchStakes(b, usualQuestion) }

func BenchmarkStakesOverEveryGrade(b *testing.B) { benchStakes(b, broadQuestion) }

func benchStakes(b *testing.B, ask func(*Book) Question) {
	book := load(b)
	q := ask(book)
	b.ReportAllocs()
	for b.Loop() {
		book.Stakes(q)
	}
}

// A joint that no table pairs: the deposit of each filler is worked out on each metal that it may be.
func BenchmarkPlanOfAnUnknownJoint(b *testing.B) {
	benchPlan(b, func(book *Book) Question {
		q := usualQuestion(book)
		q.Observation = &observation.Observation{Job: "join", JoinedTo: "ferritic-stainless"}
		return q
	})
}
