package engine

import (
	"encoding/json"
	"testing"

	"rodcall/engine/identify"
	"rodcall/engine/observation"
	"rodcall/engine/weld"
)

// BenchmarkJudgeMessage is one line of a batch: text in, full JSON out.
func BenchmarkJudgeMessage(b *testing.B) {
	e := mustEngine(b)
	cases := publishedCases(b, "messages.jsonl")
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		r := e.Read(cases[i%len(cases)].Text)
		if _, err := json.Marshal(e.Judge(r.Observation)); err != nil {
			b.Fatal(err)
		}
		i++
	}
}

// BenchmarkReadMessage is one message of a rep, about forty words.
func BenchmarkReadMessage(b *testing.B) {
	e := mustEngine(b)
	text := "sprocket off the log deck, two teeth gone, about 3/4 in thick, magnet pulls hard, sparks long and yellow with a fair few " +
		"bursts, file bites ok, got 7018 and 312 in the truck, customer says it is 4140, welder on the bench here"
	b.ReportAllocs()
	for b.Loop() {
		e.Read(text)
	}
}

func BenchmarkStart(b *testing.B) {
	for b.Loop() {
		if _, err := New(Settings{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkParts times what a judgment is made of, over the same messages.
func BenchmarkParts(b *testing.B) {
	e := mustEngine(b)
	var list []observation.Observation
	for _, c := range publishedCases(b, "messages.jsonl") {
		list = append(list, e.Read(c.Text).Observation)
	}
	s, w := e.identify.NewScratch(), &weld.Scratch{}
	b.Run("identify", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			o := list[i%len(list)]
			e.identify.Identify(&o, e.cat.MatchPart(o.Part), s)
		}
	})
	b.Run("match", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			e.cat.MatchPart(list[i%len(list)].Part)
		}
	})
	b.Run("next", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			o := list[i%len(list)]
			r := e.identify.Identify(&o, e.cat.MatchPart(o.Part), s)
			stakes := e.book.Ready(weld.Question{Observation: &o, Grades: r.Grades}, w).Stakes()
			e.identify.NextTests(&r, &o, identify.Wanted{Stakes: stakesOf(stakes)}, s)
		}
	})
	b.Run("stakes", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			o := list[i%len(list)]
			r := e.identify.Identify(&o, e.cat.MatchPart(o.Part), s)
			e.book.Ready(weld.Question{Observation: &o, Grades: r.Grades}, w).Stakes()
		}
	})
	b.Run("plan", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			o := list[i%len(list)]
			r := e.identify.Identify(&o, e.cat.MatchPart(o.Part), s)
			e.book.Ready(weld.Question{Observation: &o, Grades: r.Grades}, w).Plan()
		}
	})
	b.Run("judge", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			e.Judge(list[i%len(list)])
		}
	})
}
