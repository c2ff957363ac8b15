package engine

import (
	"encoding/json"
	"testing"
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
