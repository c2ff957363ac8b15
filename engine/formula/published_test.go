package formula

import (
	"bufio"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/data"
)

func load(t require.TestingT) *Set {
	var faults data.Faults
	s := Load(data.Files(), &faults)
	require.NoError(t, faults.Err())
	return s
}

// published is one row of formulas.jsonl.
type published struct {
	Formula   string         `json:"formula"`
	Kind      string         `json:"kind"` // published, measured, table-lookup, computed-check
	Inputs    map[string]any `json:"inputs"`
	Expected  any            `json:"expected"`
	Tolerance float64        `json:"tolerance"`
	Unit      string         `json:"unit"`
	Source    string         `json:"source"`
}

func publishedRows(t require.TestingT) []published {
	file, err := os.Open("../../testdata/published/formulas.jsonl")
	require.NoError(t, err)
	defer file.Close()
	var rows []published
	for lines := bufio.NewScanner(file); lines.Scan(); {
		var row published
		require.NoError(t, json.Unmarshal(lines.Bytes(), &row), lines.Text())
		rows = append(rows, row)
	}
	require.NotEmpty(t, rows)
	return rows
}

// miss is how far a result lies from what a row expects; infinite when it is of another kind.
func miss(got, want any) float64 {
	switch w := want.(type) {
	case float64:
		if g, ok := got.(float64); ok {
			return math.Abs(g - w)
		}
	case string:
		if got == any(w) {
			return 0
		}
	case map[string]any:
		g, ok := got.(map[string]float64)
		if !ok || len(g) != len(w) {
			return math.Inf(1)
		}
		worst := 0.0
		for symbol, v := range w {
			worst = max(worst, miss(g[symbol], v))
		}
		return worst
	}
	return math.Inf(1)
}

// Measured rows are judged as a set: the source states their tolerance as the 90th percentile of the error, so that
// few misses belong to it. Too many are those that chance would bring in less than one set of twenty.
func tooManyMisses(rows, within int) bool {
	atMost, term := 0.0, math.Pow(0.1, float64(rows)) // chance of no hit, then of one more each
	for hits := 0; hits <= within; hits++ {
		atMost += term
		term *= float64(rows-hits) / float64(hits+1) * 0.9 / 0.1
	}
	return atMost < 0.05
}

func TestMissesBeyondChanceAreSeen(t *testing.T) {
	require.False(t, tooManyMisses(16, 14))
	require.False(t, tooManyMisses(16, 12))
	require.True(t, tooManyMisses(16, 11))
}

func TestEveryPublishedRowComesOutWithinItsTolerance(t *testing.T) {
	s := load(t)
	measured, measuredIn := 0, 0
	for i, row := range publishedRows(t) {
		name := fmt.Sprintf("row %d, %s, source: %s", i+1, row.Formula, row.Source)
		got, err := s.Compute(row.Formula, row.Inputs)
		require.NoError(t, err, name)
		if row.Unit != "" {
			require.Equal(t, row.Unit, got.Unit, name)
		}
		within := miss(got.Value, row.Expected) <= row.Tolerance+1e-9
		if row.Kind == "measured" {
			measured++
			if within {
				measuredIn++
			}
			continue
		}
		require.True(t, within, "%s: %v, not %v ± %g", name, got.Value, row.Expected, row.Tolerance)
	}
	require.False(t, tooManyMisses(measured, measuredIn), "%d of %d within the tolerance", measuredIn, measured)
	t.Logf("measured martensite start: %d of %d within the tolerance", measuredIn, measured)
}

// What speaks for a formula is told from the rows, and the data must say the same.
func TestFormulasWithAnIndependentValueAreCountedApart(t *testing.T) {
	s := load(t)
	rows := map[string]map[string]int{}
	for _, id := range s.IDs() {
		rows[id] = map[string]int{}
	}
	kinds := map[string]int{}
	for _, row := range publishedRows(t) {
		require.Contains(t, rows, row.Formula)
		rows[row.Formula][row.Kind]++
		kinds[row.Kind]++
	}
	told := map[string]int{}
	for _, id := range s.IDs() {
		evidence := "none-found"
		for kind, of := range map[string]string{"published": "published", "measured": "measured", "table-lookup": "table"} {
			if rows[id][kind] > 0 {
				evidence = of
			}
		}
		require.NotEmpty(t, rows[id], "%s has no row at all", id)
		require.Equal(t, evidence, s.Evidence(id), "formula_checks.csv says otherwise of %s", id)
		told[evidence]++
		if evidence == "none-found" {
			t.Logf("only our own arithmetic: %s (%d rows)", id, rows[id]["computed-check"])
		}
	}
	t.Logf("%d formulas: %d rest on a published value, %d on measured values, %d on a printed table; %d only on our own arithmetic",
		len(s.IDs()), told["published"], told["measured"], told["table"], told["none-found"])
	t.Logf("%d rows published, %d measured, %d of a table; apart from these %d rows that repeat our own arithmetic",
		kinds["published"], kinds["measured"], kinds["table-lookup"], kinds["computed-check"])
}
