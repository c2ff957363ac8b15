package reply

import (
	"embed"
	"strings"
	"sync"

	"rodcall/engine"
	"rodcall/engine/data"
	"rodcall/engine/metal"
)

//go:embed *.csv
var files embed.FS

var marks = []string{"seen", "partly-seen", "memory", "common-practice", "computed", "judgement"}

var doubtSchema = data.Schema{
	File: "doubt_words.csv",
	Key:  []string{"word"},
	Columns: []data.Column{
		{Name: "word", Kind: data.Text, Required: true, Doc: "the word for doubt"},
		{Name: "from_pct", Kind: data.Number, Min: 0, Max: 100, Doc: "chance of the leading family from which the word holds, percent; empty: fit is not good"},
		{Name: "below_pct", Kind: data.Number, Min: 0, Max: 101, Doc: "chance below which it holds, percent"},
		{Name: "sentence", Kind: data.Text, Required: true, Doc: "what the reply says of the metal; {1} leading family, {2} the next"},
		{Name: "does", Kind: data.Text, Required: true, Doc: "what else the reply does"},
		{Name: "source", Kind: data.Text, Required: true, Doc: "where the bounds come from"},
		{Name: "mark", Kind: data.Word, Required: true, Of: marks, Doc: "how firmly the row is held"},
	},
}

var coldSchema = data.Schema{
	File: "cold_metals.csv",
	Key:  []string{"family"},
	Columns: []data.Column{
		{Name: "family", Kind: data.Word, Required: true, Of: metal.Families, Doc: "family id"},
		{Name: "preheat_max_c", Kind: data.Number, Required: true, Min: 0, Max: 200, Doc: "highest preheat in degrees C that still counts as cold"},
		{Name: "why", Kind: data.Text, Required: true, Doc: "what heat does to it"},
		{Name: "source", Kind: data.Text, Required: true, Doc: "where the fact comes from"},
		{Name: "mark", Kind: data.Word, Required: true, Of: marks, Doc: "how firmly the row is held"},
	},
}

// doubt is one row of doubt_words.csv; from and below are probabilities.
type doubt struct {
	word        string
	from, below float64
	sentence    string
	names       int // how many families the sentence names
}

type tables struct {
	doubts   []doubt // by chance, highest first
	disagree doubt
	cold     map[string]float64 // family → highest preheat in degrees C that still counts as cold
}

// words holds the package's tables; a fault in them is a programmer's mistake and stops the first use.
var words = sync.OnceValue(func() tables {
	faults := &data.Faults{}
	t := loadTables(faults)
	if err := faults.Err(); err != nil {
		panic(err)
	}
	return t
})

func loadTables(faults *data.Faults) tables {
	t := tables{cold: map[string]float64{}}
	next := 1.01
	for _, row := range data.Read(files, doubtSchema, faults).Rows {
		d := doubt{word: row.Text("word"), sentence: row.Text("sentence")}
		d.names = strings.Count(d.sentence, "{")
		from, bounded := row.Number("from_pct")
		if !bounded {
			t.disagree = d
			continue
		}
		d.from, d.below = from/100, row.Value("below_pct", 0)/100
		if d.below != next {
			row.Fault("below_pct", "leaves a gap or overlaps the row above")
		}
		next = d.from
		t.doubts = append(t.doubts, d)
	}
	if next != 0 || t.disagree.word == "" {
		faults.Add(doubtSchema.File, 0, "from_pct", "the rows must cover 0 to 100 percent and facts that disagree")
	}
	for _, row := range data.Read(files, coldSchema, faults).Rows {
		t.cold[row.Text("family")] = row.Value("preheat_max_c", 0)
	}
	return t
}

// doubtOf finds the word for how sure the judgment is of its leading family.
func doubtOf(j engine.Judgment) doubt {
	t := words()
	if j.Fit != "" && j.Fit != "good" {
		return t.disagree
	}
	lead := 0.0
	if len(j.Families) > 0 {
		lead = j.Families[0].P
	}
	for _, d := range t.doubts {
		if lead >= d.from {
			return d
		}
	}
	return t.doubts[len(t.doubts)-1]
}

// DoubtWord is the word for how sure the judgment is of its metal, as in the first line of its reply.
func DoubtWord(j engine.Judgment) string { return doubtOf(j).word }

// metalSentence says what the metal is, with the word for doubt.
func metalSentence(j engine.Judgment, c Context) string {
	d := doubtOf(j)
	text := d.sentence
	if d.names > 0 {
		_, short := c.name(j.Families[0].ID)
		text = strings.ReplaceAll(text, "{1}", short)
	}
	if d.names < 2 {
		return text
	}
	if len(j.Families) < 2 || j.Families[1].P < 0.005 || j.Unlisted > j.Families[1].P {
		return strings.ReplaceAll(text, "{2}", "a metal that I do not list")
	}
	_, short := c.name(j.Families[1].ID)
	return strings.ReplaceAll(text, "{2}", short)
}
