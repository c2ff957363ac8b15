package scene_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/data"
	"rodcall/engine/reader/scene"
	"rodcall/engine/reader/token"
)

func reader(t testing.TB) *scene.Reader {
	t.Helper()
	var faults data.Faults
	r := scene.New(data.Files(), &faults)
	require.NoError(t, faults.Err())
	return r
}

const fortyWords = "sawmill sprocket two teeth gone, on the bench in my shop, magnet pulls hard, long yellow sparks with some bursts, " +
	"file bites hard, old paint on the hub, want to build it up with 7018 and hardface after, no cracks seen, oil on it"

func BenchmarkReadOfFortyWords(b *testing.B) {
	r := reader(b)
	tokens := token.Scan(fortyWords, nil)
	b.ReportAllocs()
	for b.Loop() {
		r.ReadTokens(tokens, nil)
	}
}

func BenchmarkReadOfSixteenKilobytes(b *testing.B) {
	r := reader(b)
	tokens := token.Scan(strings.Repeat(fortyWords+" ", 16384/len(fortyWords)), nil)
	b.ReportAllocs()
	for b.Loop() {
		r.ReadTokens(tokens, nil)
	}
}
