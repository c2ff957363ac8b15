package token_test

import (
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"rodcall/engine/reader/token"
)

// show prints tokens briefly: words as they are, figures with their value, signs in brackets.
func show(text string) string {
	var out []string
	for _, t := range token.Scan(text, nil) {
		switch t.Kind {
		case token.Word:
			out = append(out, t.Text)
		case token.Number:
			switch {
			case t.IsRange():
				out = append(out, fmt.Sprintf("#%.4g..%.4g", t.Value, t.High))
			case t.Alt != 0:
				out = append(out, fmt.Sprintf("#%.6g|%.4g", t.Value, t.Alt))
			default:
				out = append(out, fmt.Sprintf("#%.6g", t.Value))
			}
		case token.Unit:
			out = append(out, "<"+t.Text+">")
		case token.Mark:
			out = append(out, "["+strings.ReplaceAll(t.Text, "\n", "nl")+"]")
		case token.Other:
			out = append(out, "[?]")
		}
	}
	return strings.Join(out, " ")
}

func TestFiguresAsPeopleTypeThem(t *testing.T) {
	for text, want := range map[string]string{
		`3/4" plate`:              `#0.75 <inch> plate`,
		`1-1/2 in`:                `#1.5 in`,
		`1 1/2 thick`:             `#1.5 thick`,
		`1½" bar`:                 `#1.5 <inch> bar`,
		`½ in`:                    `#0.5 in`,
		`0,5 mm`:                  `#0.5 mm`,
		`1,200 mm`:                `#1200|1.2 mm`,
		`1,200,000`:               `#1.2e+06`,
		`12,500.5 kg`:             `#12500.5 kg`,
		`38mm`:                    `#38 mm`,
		`210-230 HB`:              `#210..230 hb`,
		`12 – 14 manganese`:       `#12..14 manganese`,
		`17-4 PH`:                 `#17 #4 ph`,
		`16-8-2`:                  `#16 #8 #2`,
		`5' 6"`:                   `#5 <foot> #6 <inch>`,
		`2''`:                     `#2 <inch>`,
		`200×100 x 20`:            `#200 x #100 x #20`,
		`C .42 Mn .8 Cr 1.0`:      `c #0.42 mn #0.8 cr #1`,
		`C.42`:                    `c #0.42`,
		`cracked.42 HRC`:          `cracked [.] #42 hrc`,
		`150°C`:                   `#150 <deg> c`,
		`18 % Cr`:                 `#18 <%> cr`,
		`45HRC`:                   `#45 hrc`,
		`Ø50`:                     `diameter #50`,
		`7018,312,55 nickel`:      `#7018 [,] #312 [,] #55 nickel`,
		`45,46,44 HRC`:            `#45 [,] #46 [,] #44 hrc`,
		`3.4.2023`:                `#3 [.] #4 [.] #2023`,
		`-20 C`:                   `#20 c`,
		`part:"3/4" plate"`:       `part [:] ["] #0.75 <inch> plate ["]`,
		`hardness:"45 HRC"`:       `hardness [:] ["] #45 hrc ["]`,
		`thickness:"19" file:"a"`: `thickness [:] ["] #19 ["] file [:] ["] a ["]`,
		`ER70S-6`:                 `er #70 s #6`,
		`45/46/44`:                `#45 [/] #46 [/] #44`,
		`.4.2`:                    `[.] #4 [.] #2`,
		`1/2-3/4 in`:              `#0.5..0.75 in`,
		`2m`:                      `#2 m`,
	} {
		require.Equal(t, want, show(text), text)
	}
}

func TestWordsAreFoldedAndMarksPartClauses(t *testing.T) {
	for text, want := range map[string]string{
		"Won’t STICK":       "wont stick",
		"dull-red":          "dull red",
		"it's, but":         "its [,] but",
		"spark – none":      "spark [-] none",
		"Größe Ärmel łódź":  "grosse armel lodz",
		"magnet 👍 ok":       "magnet [?] ok",
		"магнит Нет":        "магнит нет",
		"“quoted”":          `["] quoted ["]`,
		"ＦＩＬＥ":              "file",
		"a\x00b\xff\xfec":   "a b c",
		"w/ 7018":           "w [/] #7018",
		"cafe\u0301":        "cafe",
		"chrome-moly -- ok": "chrome moly [-] ok",
	} {
		require.Equal(t, want, show(text), text)
	}
}

func TestBreaksGrowFromAndToTheFullStop(t *testing.T) {
	want := map[string]token.Break{"and": token.Weak, "but": token.Clause, ",": token.Clause, ".": token.Sentence, "\n": token.Sentence, "file": token.None}
	for _, tok := range token.Scan("file and file, file but file.\nfile", nil) {
		require.Equal(t, want[tok.Text], tok.Break, tok.Text)
	}
}

func TestLengthOfWorkGrowsWithLengthOfTextOnly(t *testing.T) {
	for _, pump := range pumps {
		text := strings.Repeat(pump, 16<<10/len(pump))
		require.LessOrEqual(t, len(token.Scan(text, nil)), len(text))
	}
}

var pumps = []string{"1,111", "1-", "1/2", `"1`, `1"`, "'", "1'", "-", "½", "a'", "é", "\u0301", "9", ".1", "1.", "１", "👍", "\xff", "1 1/2", "1-2-", "a-"}

func FuzzScan(f *testing.F) {
	for _, pump := range pumps {
		f.Add(pump + pump + pump)
	}
	f.Add(`magnet:none spark:"short, dull red" 3/4" Won’t 1,200,000 ½ Ø50`)
	f.Fuzz(func(t *testing.T, text string) {
		end := 0
		for _, tok := range token.Scan(text, nil) {
			if tok.Start < end || tok.End <= tok.Start || tok.End > len(text) {
				t.Fatalf("token %+v overlaps or leaves the text %q", tok, text)
			}
			end = tok.End
			if tok.High < tok.Value || !utf8.ValidString(tok.Text) {
				t.Fatalf("bad token %+v in %q", tok, text)
			}
		}
	})
}

func BenchmarkScanFortyWords(b *testing.B) {
	text := "Sprocket off the sawmill infeed, 2 teeth gone, magnet sticks hard, long yellow sparks with many bursts, file bites but HARD, about 1-1/2 in thick and 300 mm dia, got 7018 and 312, on the bench in my shop now"
	var buf []token.Token
	b.ReportAllocs()
	for b.Loop() {
		buf = token.Scan(text, buf[:0])
	}
}

func BenchmarkScanSixteenKiB(b *testing.B) {
	for _, pump := range pumps {
		text := strings.Repeat(pump, 16<<10/len(pump))
		b.Run(pump, func(b *testing.B) {
			var buf []token.Token
			for b.Loop() {
				buf = token.Scan(text, buf[:0])
			}
		})
	}
}
