package identify

import (
	"io/fs"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/data"
	"rodcall/engine/data/datatest"
	"rodcall/engine/measure"
	"rodcall/engine/metal"
)

func TestAnUnknownMarkInATableOfTheModelIsAFaultAtStart(t *testing.T) {
	var none data.Faults
	files := data.Files()
	cat, scale := metal.Load(files, &none), measure.LoadHardness(files, &none)
	for _, file := range []string{"spark_effects.csv", "tests.csv", "observers.csv", "chem_methods.csv", "model.csv"} {
		text, err := fs.ReadFile(files, file)
		require.NoError(t, err)
		lines := strings.Split(strings.TrimSpace(string(text)), "\n")
		last := len(lines) - 1
		changed := false
		for _, mark := range []string{"judgement", "common-practice", "seen", "memory"} {
			if i := strings.LastIndex(lines[last], ","+mark); i >= 0 && !changed {
				lines[last], changed = lines[last][:i]+",hunch"+lines[last][i+1+len(mark):], true
			}
		}
		require.True(t, changed, "%s: %s", file, lines[last])
		var faults data.Faults
		New(datatest.With(file, strings.Join(lines, "\n")), cat, scale, &faults, Options{})
		require.ErrorContains(t, faults.Err(), file+":", file)
		require.ErrorContains(t, faults.Err(), "unknown mark", file)
	}
}
