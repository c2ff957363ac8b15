package main

import (
	"encoding/json"
	"io"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine"
)

// benchmarkMessages are messages as reps write them, short and long.
var benchmarkMessages = []string{
	"jaw liner off the crusher cracked, no magnet, file skates, short dull red spark",
	"pump housing cracked at the orchard, magnet pulls, short red sparks, file bites, grey break",
	"sprocket, two teeth gone, mag yes, long yellow sparks with forked bursts, file bites hard, on the bench",
	"stainless? slight pull only, shaft 40 mm, 28 HRC, need to build it up, got 312 and 308L",
	"XRF: Cr 17.2 Ni 4.1 Cu 3.4 Mn .6, magnetic, harbour pump shaft, crack 30 mm long",
	"trailer frame cracked at the spring hanger",
}

// benchmarkLines runs a batch command over b.N lines, on as many cores as the run is given.
func benchmarkLines(b *testing.B, lines func(*engine.Engine) answer) {
	e, err := engine.New(engine.Settings{})
	require.NoError(b, err)
	var in string
	for i, text := range benchmarkMessages {
		line, err := json.Marshal(map[string]any{"id": i, "text": text})
		require.NoError(b, err)
		in += string(line) + "\n"
	}
	b.ReportAllocs()
	b.ResetTimer()
	_, err = batch(&endless{line: in, left: b.N/len(benchmarkMessages) + 1}, io.Discard, lines(e))
	require.NoError(b, err)
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "lines/s")
}

// The goal is 20000 lines a second on two cores.
func BenchmarkReadLines(b *testing.B) { benchmarkLines(b, readLine) }

// The goal is 8000 lines a second on two cores, full JSON out.
func BenchmarkJudgeLines(b *testing.B) { benchmarkLines(b, judgeLine) }
