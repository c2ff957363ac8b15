package identify

import (
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"rodcall/engine/data"
	"rodcall/engine/measure"
	"rodcall/engine/metal"
)

// patched serves the project's tables with one of them changed.
type patched struct {
	fs.FS
	name    string
	content fstest.MapFS
}

func (p patched) Open(name string) (fs.File, error) {
	if name == p.name {
		return p.content.Open(name)
	}
	return p.FS.Open(name)
}

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
		New(patched{files, file, fstest.MapFS{file: {Data: []byte(strings.Join(lines, "\n"))}}}, cat, scale, &faults, Options{})
		require.ErrorContains(t, faults.Err(), file+":", file)
		require.ErrorContains(t, faults.Err(), "unknown mark", file)
	}
}
