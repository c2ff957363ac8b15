package reader

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/data"
	"rodcall/engine/observation"
)

// sparkRows are the rows of the spark table that describe a whole stream.
func sparkRows(t *testing.T) (out []map[string]string) {
	t.Helper()
	file, err := data.Files().Open("spark.csv")
	require.NoError(t, err)
	r := csv.NewReader(file)
	r.Comment = '#'
	header, err := r.Read()
	require.NoError(t, err)
	for {
		cells, err := r.Read()
		if err == io.EOF {
			return out
		}
		require.NoError(t, err)
		row := map[string]string{}
		for i, name := range header {
			row[name] = cells[i]
		}
		form := row["burst_form"]
		if row["volume"] == "" || row["length_in"] == "" || row["color_near"] == "" || row["color_end"] == "" ||
			row["bursts"] == "" || row["bursts"] == "none" || form == "" || form == "none" || form == "other" {
			continue
		}
		out = append(out, row)
	}
}

func TestPublishedSparkRowsReadFromFourWaysOfTellingThem(t *testing.T) {
	r := newReader(t)
	rows := sparkRows(t)
	require.Greater(t, len(rows), 30)
	for _, row := range rows {
		length, err := strconv.ParseFloat(row["length_in"], 64)
		require.NoError(t, err)
		want := observation.Spark{Volume: row["volume"], LengthIn: &length, ColorNear: row["color_near"], ColorEnd: row["color_end"],
			Bursts: row["bursts"], BurstForm: row["burst_form"]}
		say := func(name string) string { return strings.ReplaceAll(row[name], "-", " ") }
		v, l, near, end, bursts, form := say("volume"), row["length_in"], say("color_near"), say("color_end"), say("bursts"), say("burst_form")
		for i, text := range []string{
			fmt.Sprintf("spark volume %s, about %s in long, %s near the wheel, %s at the end, %s bursts, %s", v, l, near, end, bursts, form),
			fmt.Sprintf("%s stream of sparks %s inches long, %s close to the wheel and %s at the tips, %s spurts %s", v, l, near, end, bursts, form),
			fmt.Sprintf("sparks: %s, %s\" long, %s to %s, %s bursts, %s", v, l, near, end, bursts, form),
			fmt.Sprintf("spark stream %s %s inches long %s at the wheel %s at the end with %s %s bursts", v, l, near, end, bursts, form),
		} {
			out := r.Read(text)
			require.NotNil(t, out.Observation.Spark, text)
			require.Equal(t, asJSON(t, want), asJSON(t, *out.Observation.Spark), "%d: %s", i, text)
			require.Empty(t, out.Unread, text)
		}
	}
}
