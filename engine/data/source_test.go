package data

import (
	"bytes"
	"encoding/csv"
	"io/fs"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
)

func TestEverySpellingOfAMarkMeansOneLooseness(t *testing.T) {
	var faults Faults
	marks := LoadMarks(Files(), &faults)
	require.NoError(t, faults.Err())
	for spelling, want := range map[string]Mark{
		"yes": {"seen", 0}, "part": {"partly-seen", 0.03}, "memory": {"memory", 0.08}, "common practice": {"common-practice", 0.08},
		"word seen, share judgement": {"partly-seen", 0.03}, "judgement": {"judgement", 0.15},
	} {
		got, ok := marks.Of(spelling)
		require.True(t, ok, spelling)
		require.Equal(t, want, got, spelling)
	}
	_, ok := marks.Of("hearsay")
	require.False(t, ok)
}

func TestEverySourceThatATableCitesIsRegisteredAndUsed(t *testing.T) {
	var faults Faults
	sources := LoadSources(Files(), LoadMarks(Files(), &faults), &faults)
	require.NoError(t, faults.Err())
	CheckSources(Files(), sources, &faults)
	require.NoError(t, faults.Err())
}

func tiny(files map[string]string) fs.FS {
	out := fstest.MapFS{}
	for name, text := range files {
		out[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return out
}

func TestAnUnknownAndAnUnusedSourceAreFaults(t *testing.T) {
	var faults Faults
	files := tiny(map[string]string{
		"sources.csv": "id,kind,tradition,title,locator,seen,erratum\nS01,standard,a,one,,seen,\nN-X,manual,b,two,,memory,\n",
		"facts.csv":   "fact,source,steel_source,note\nx,seen: S01 and S77,S690QL of P91,S55\n",
		"marks.csv": "spelling,mark,looseness,note\nseen,seen,0,\npartly-seen,partly-seen,0.1,\ncomputed,computed,0.1,\nmemory,memory,0.2,\n" +
			"common-practice,common-practice,0.2,\njudgement,judgement,0.3,\n",
	})
	sources := LoadSources(files, LoadMarks(files, &faults), &faults)
	require.NoError(t, faults.Err())
	CheckSources(files, sources, &faults)
	require.Len(t, faults.List(), 2)
	require.Equal(t, `facts.csv:2 source: source "S77" is not in sources.csv`, faults.List()[0].String())
	require.Equal(t, `sources.csv:0 id: no table cites source "N-X"`, faults.List()[1].String())
}

func TestAMarkWithTwoLoosenessesIsAFault(t *testing.T) {
	var faults Faults
	LoadMarks(tiny(map[string]string{"marks.csv": "spelling,mark,looseness,note\nseen,seen,0,\nyes,seen,0.1,\n"}), &faults)
	require.ErrorContains(t, faults.Err(), "0.1 differs from 0")
	require.ErrorContains(t, faults.Err(), `no spelling means "memory"`)
}

// Every mark is spelled as marks.csv lists it. A table of words may cite no document, but then it may not
// claim that one was read.
func TestEveryMarkIsKnownAndATableWithoutSourcesHoldsOnlyWeakOnes(t *testing.T) {
	var faults Faults
	marks := LoadMarks(Files(), &faults)
	require.NoError(t, faults.Err())
	weak := []string{"memory", "common-practice", "common practice", "shop abbreviation", "common misspelling", "judgement"}
	registers := []string{"sources.csv", "safety_sources.csv", "marks.csv"} // they are the documents and the marks
	tables := 0
	for _, root := range []string{".", "../reader/vocabulary"} {
		files := os.DirFS(root)
		names, err := fs.Glob(files, "*.csv")
		require.NoError(t, err)
		for _, name := range names {
			text, err := fs.ReadFile(files, name)
			require.NoError(t, err)
			r := csv.NewReader(bytes.NewReader(text))
			r.Comment = '#'
			rows, err := r.ReadAll()
			require.NoError(t, err, name)
			for i, row := range rows[1:] {
				for c, column := range rows[0] {
					if (column == "mark" || strings.HasSuffix(column, "_mark")) && row[c] != "" {
						_, ok := marks.Of(row[c])
						require.True(t, ok, "%s row %d: unknown mark %q", name, i+1, row[c])
					}
				}
			}
			mark := slices.Index(rows[0], "mark")
			cites := slices.ContainsFunc(rows[0], func(c string) bool { return strings.Contains(c, "source") || c == "evidence" })
			if mark < 0 || cites || slices.Contains(registers, name) {
				continue
			}
			tables++
			for i, row := range rows[1:] {
				require.Contains(t, weak, row[mark], "%s row %d", name, i+1)
			}
		}
	}
	require.Positive(t, tables)
}
