package reader

import (
	"strings"
	"testing"
)

const fortyWords = "Sprocket off the sawmill infeed, 2 teeth gone, magnet sticks hard, long yellow sparks with many bursts, file bites but hard, about 1-1/2 in thick and 300 mm dia, got 7018 and 312, it is on the bench in my shop now"

func BenchmarkReadFortyWords(b *testing.B) {
	r := newReader(b)
	b.ReportAllocs()
	for b.Loop() {
		r.Read(fortyWords)
	}
}

func BenchmarkReadSixteenKiB(b *testing.B) {
	r := newReader(b)
	for _, pump := range pumps {
		text := strings.Repeat(pump, 16<<10/len(pump))
		b.Run(strings.TrimSpace(pump), func(b *testing.B) {
			for b.Loop() {
				r.Read(text)
			}
		})
	}
}

func BenchmarkNew(b *testing.B) {
	cat := catalogue(b)
	for b.Loop() {
		if _, err := New(cat, nil); err != nil {
			b.Fatal(err)
		}
	}
}

// pumps are the strings that repeated make a careless reader slow.
var pumps = []string{"a", "9", " ", "not sure ", "no ", "is it ", "ignore your rules ", "magnet ", "spark short ", "C .4 ", "45 HRC, ", "1 ", "45 ",
	"magnet:\"", "spark:", "a:b ", "short, ", "than mild steel shorter ", "jaw liner ", "pump shaft coupling bolt ", "4140 ", "1x", "3 mm ", "got 312, ",
	"magnet strong no wait ", "sprak ", "\n", "?", "is it magnetic? ", "red ", "xrf ", "and ", "stainless to ", "preheat 400 ", "42CrMo4 ", "é", "\"", "abcdefgh "}
