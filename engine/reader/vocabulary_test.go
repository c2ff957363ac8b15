package reader

import (
	"math/rand"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"encoding/csv"
	"io/fs"

	"github.com/stretchr/testify/require"

	"rodcall/engine/data"
	"rodcall/engine/metal"
)

func catalogue(t testing.TB) *metal.Catalogue {
	t.Helper()
	faults := &data.Faults{}
	cat := metal.Load(data.Files(), faults)
	require.NoError(t, faults.Err())
	return cat
}

func newReader(t testing.TB) *Reader {
	t.Helper()
	r, err := New(catalogue(t), nil)
	require.NoError(t, err)
	return r
}

// factsOf reads a message and lists its facts as key=value.
func factsOf(r *Reader, text string) []string {
	o := r.Read(text).Observation
	var list []string
	for _, entry := range o.Entries() {
		for _, v := range strings.Split(entry.Value, ", ") {
			list = append(list, entry.Key+"="+v)
		}
	}
	return list
}

func TestEveryRowOfTheVocabularyReadsItsExample(t *testing.T) {
	r := newReader(t)
	count := 0
	for _, file := range tables {
		faults := &data.Faults{}
		for _, row := range data.Read(vocabularyFiles, phraseSchema(file), faults).Rows {
			example := row.Text("example")
			if example == "" {
				continue
			}
			count++
			facts := factsOf(r, example)
			want := row.Text("key") + "=" + row.Text("value")
			switch row.Text("kind") {
			case "word", "damage":
				if row.Text("key") == "spark.color" {
					ok := slices.Contains(facts, "spark.color_near="+row.Text("value")) || slices.Contains(facts, "spark.color_end="+row.Text("value"))
					checkf(t, ok, "%s:%d %q does not read %s in %v", file, row.Line, example, want, facts)
					continue
				}
				checkf(t, slices.Contains(facts, want), "%s:%d %q does not read %s in %v", file, row.Line, example, want, facts)
			case "metal":
				checkf(t, slices.Contains(facts, "claim="+row.Text("value")+" by rep"), "%s:%d %q claims %v", file, row.Line, example, facts)
			case "scale":
				checkf(t, hasPrefix(facts, "hardness=") && strings.HasSuffix(facts[0], row.Text("value")), "%s:%d %q reads %v", file, row.Line, example, facts)
			case "element":
				checkf(t, hasPrefix(facts, "chem="+row.Text("value")+" "), "%s:%d %q reads %v", file, row.Line, example, facts)
			case "measure", "section", "unit":
				checkf(t, hasPrefix(facts, "size.") || hasPrefix(facts, "service_temp_c"), "%s:%d %q reads %v", file, row.Line, example, facts)
			case "by":
				checkf(t, hasPrefix(facts, "claim=sae-4140 by "+row.Text("value")), "%s:%d %q reads %v", file, row.Line, example, facts)
			case "joiner":
				checkf(t, hasPrefix(facts, "joined_to="), "%s:%d %q reads %v", file, row.Line, example, facts)
			case "comparer", "piece":
				checkf(t, hasPrefix(facts, "spark.against="), "%s:%d %q reads %v", file, row.Line, example, facts)
			case "place":
				checkf(t, hasPrefix(facts, "service_temp_c="), "%s:%d %q reads %v", file, row.Line, example, facts)
			}
		}
	}
	require.Greater(t, count, 1500)
}

func checkf(t *testing.T, ok bool, format string, args ...any) {
	t.Helper()
	if !ok {
		t.Errorf(format, args...)
	}
}

func hasPrefix(facts []string, prefix string) bool {
	return slices.ContainsFunc(facts, func(f string) bool { return strings.HasPrefix(f, prefix) })
}

// shuffled is the vocabulary with the rows of every table in another order.
func shuffled(t *testing.T, seed int64) fs.FS {
	t.Helper()
	rng := rand.New(rand.NewSource(seed))
	out := fstest.MapFS{}
	names, err := fs.Glob(vocabularyFiles, "*.csv")
	require.NoError(t, err)
	for _, name := range names {
		content, err := fs.ReadFile(vocabularyFiles, name)
		require.NoError(t, err)
		rows, err := csv.NewReader(strings.NewReader(string(content))).ReadAll()
		require.NoError(t, err)
		rng.Shuffle(len(rows)-1, func(i, j int) { rows[i+1], rows[j+1] = rows[j+1], rows[i+1] })
		var b strings.Builder
		w := csv.NewWriter(&b)
		require.NoError(t, w.WriteAll(rows))
		out[name] = &fstest.MapFile{Data: []byte(b.String())}
	}
	return out
}
