package weld

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rodcall/engine/formula"
	"rodcall/engine/observation"
)

// only is the question on one grade that is known for certain.
func only(t require.TestingT, b *Book, id string, o observation.Observation) Question {
	for i := range b.catalogue.Grades {
		if b.catalogue.Grades[i].ID == id {
			p := make([]float64, len(b.catalogue.Grades))
			p[i] = 1
			return Question{Observation: &o, Grades: p}
		}
	}
	require.Fail(t, "no grade "+id)
	return Question{}
}

func TestDilutionNotToldIsTheWidestRangeOfProcessAndUse(t *testing.T) {
	b := load(t)
	for _, row := range []struct {
		job string
		l   Laying
		low float64
		top float64
		use string
	}{
		{"crack", Laying{Fillers: []string{"309L"}}, 0.2, 0.3, "join"},
		{"overlay", Laying{Fillers: []string{"309L"}}, 0.1, 0.25, "overlay"},
		{"crack", Laying{Fillers: []string{"309L"}, Process: "saw"}, 0.15, 0.8, "join"},
		{"crack", Laying{Fillers: []string{"309L"}, Process: "gtaw", Use: "root"}, 1, 1, "root"},
		{"crack", Laying{Fillers: []string{"309L"}, Share: 0.4}, 0.4, 0.4, "join"},
		{"crack", Laying{Fillers: []string{"309L", "308L"}}, 0.1, 0.25, "overlay"}, // a buffer is laid on one side
	} {
		d, err := b.Constitution(only(t, b, "astm-a36", observation.Observation{Job: row.job}), row.l)
		require.NoError(t, err)
		require.InDelta(t, row.low, d.Taken.Low, 1e-12, "%+v", row)
		require.InDelta(t, row.top, d.Taken.High, 1e-12, "%+v", row)
		require.Equal(t, row.use, d.Use)
	}
}

func TestARootFusedWithoutFillerIsTheBaseMetalItself(t *testing.T) {
	b := load(t)
	d, err := b.Constitution(only(t, b, "astm-a36", observation.Observation{}), Laying{Fillers: []string{"309L"}, Process: "gtaw", Use: "root"})
	require.NoError(t, err)
	require.InDelta(t, d.Base.SchaefflerCr, d.Layers[0].High.At.SchaefflerCr, 1e-9)
	require.NotZero(t, d.Layers[0].High.Hazards&Martensite)
}

// Layer n holds D^n of the base (AWS A3.0 style definition of dilution).
func TestEachBufferLayerLeavesItsShareOfTheBase(t *testing.T) {
	b := load(t)
	d, err := b.Constitution(only(t, b, "sae-1045", observation.Observation{}), Laying{Fillers: []string{"309L", "309L", "309L"}, Share: 0.3})
	require.NoError(t, err)
	for i, want := range []float64{0.3, 0.09, 0.027} {
		require.InDelta(t, want, d.Layers[i].BaseLeft[1], 1e-12)
	}
	require.NotZero(t, d.Layers[0].High.Hazards, "0.45 %% C in the first layer")
	require.Zero(t, d.Layers[2].High.Hazards)
	require.Greater(t, d.Layers[2].High.At.SchaefflerCr, d.Layers[0].High.At.SchaefflerCr)
}

func TestADissimilarJointMixesBothSides(t *testing.T) {
	b := load(t)
	alone, err := b.Constitution(only(t, b, "aisi-304", observation.Observation{Job: "join"}), Laying{Fillers: []string{"309L"}, Share: 0.3})
	require.NoError(t, err)
	joined, err := b.Constitution(only(t, b, "aisi-304", observation.Observation{Job: "join", JoinedTo: "low-carbon-steel"}), Laying{Fillers: []string{"309L"}, Share: 0.3})
	require.NoError(t, err)
	require.NotEmpty(t, joined.Other)
	lean, rich := joined.OtherBase.SchaefflerCr, joined.Base.SchaefflerCr
	want := 0.15*lean + 0.15*rich + 0.7*joined.Filler.At.SchaefflerCr
	require.InDelta(t, want, joined.Layers[0].High.At.SchaefflerCr, 1e-9)
	require.Less(t, joined.Layers[0].High.At.SchaefflerCr, alone.Layers[0].High.At.SchaefflerCr)
	_, err = b.Constitution(only(t, b, "aisi-304", observation.Observation{Job: "join", JoinedTo: "gray-iron"}), Laying{Fillers: []string{"309L"}})
	require.ErrorContains(t, err, "nothing of gray cast iron")
}

func TestHighFerriteMattersOnlyInHotService(t *testing.T) {
	b := load(t)
	cold, err := b.Constitution(only(t, b, "aisi-304", observation.Observation{Job: "join"}), Laying{Fillers: []string{"312"}, Share: 0.2})
	require.NoError(t, err)
	hot, err := b.Constitution(only(t, b, "aisi-304", observation.Observation{Job: "join", ServiceTempC: new(500.0)}), Laying{Fillers: []string{"312"}, Share: 0.2})
	require.NoError(t, err)
	require.Zero(t, cold.Layers[0].High.Hazards&Sigma)
	require.NotZero(t, hot.Layers[0].High.Hazards&Sigma)
}

func TestWhatTheDiagramDoesNotHoldForIsSaid(t *testing.T) {
	b := load(t)
	d, err := b.Constitution(only(t, b, "sae-1095", observation.Observation{}), Laying{Fillers: []string{"309L"}, Share: 0.5})
	require.NoError(t, err)
	require.NotZero(t, d.Layers[0].High.Hazards&Unread)
	for _, id := range []string{"gray-iron-class-30", "c11000"} {
		q := Question{Grades: doubt(b, map[string]float64{"gray-iron": 1}), Observation: &observation.Observation{}}
		if id == "c11000" {
			q.Grades = doubt(b, map[string]float64{"copper": 1})
		}
		_, err = b.Constitution(q, Laying{Fillers: []string{"309L"}})
		require.ErrorContains(t, err, "likely neither", id)
	}
}

func TestInsideTheWindowNothingThreatensAndItHoldsForTheStatedShare(t *testing.T) {
	b := load(t)
	var stainless []string
	for _, c := range b.classes {
		if x, _, ok := b.DepositOf(c.ID); ok && x[formula.Cr] >= leastStainless {
			stainless = append(stainless, c.ID)
		}
	}
	require.Greater(t, len(stainless), 30)
	open := 0
	rapid.Check(t, func(rt *rapid.T) {
		class := rapid.SampledFrom(stainless).Draw(rt, "class")
		q := Question{Observation: &observation.Observation{Job: "join"}, Grades: doubt(b, drawSteels(rt))}
		d, err := b.Constitution(q, Laying{Fillers: []string{class}})
		require.NoError(rt, err)
		for _, w := range []Window{d.Window, d.WindowOfMost} {
			require.True(rt, w.From >= 0 && w.From <= w.To && w.To <= 1)
		}
		if !d.Window.Open {
			return
		}
		open++
		share := rapid.Float64Range(d.Window.From, d.Window.To).Draw(rt, "share")
		share = float64(int(share*windowSteps)) / windowSteps
		if share < d.Window.From {
			return
		}
		inside, err := b.Constitution(q, Laying{Fillers: []string{class}, Share: max(share, 1e-9)})
		require.NoError(rt, err)
		require.Zero(rt, inside.Layers[0].High.Hazards, "%s at %g of %+v: %v", class, share, d.Window, inside.Layers[0].High.Hazards.Words())
	})
	require.Positive(t, open)
}

func BenchmarkConstitutionUnderDoubt(b *testing.B) {
	book := load(b)
	q := usualQuestion(book)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := book.Constitution(q, Laying{Fillers: []string{"309L"}}); err != nil {
			b.Fatal(err)
		}
	}
}
