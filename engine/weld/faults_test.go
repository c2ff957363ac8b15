package weld

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/data"
	"rodcall/engine/data/datatest"
	"rodcall/engine/formula"
	"rodcall/engine/metal"
)

func TestFaultsInTheWeldingTablesAreNamedByFileAndRow(t *testing.T) {
	var none data.Faults
	catalogue := metal.Load(data.Files(), &none)
	for _, c := range []struct{ name, file, old, new, says string }{
		{"unknown class", "matching_rows.csv", "join,E7018,1", "join,E7081,1", `"E7081" is not in classifications.csv`},
		{"unknown verdict", "matching_rows.csv", ",recommended,", ",perhaps,", "unknown word"},
		{"unknown condition", "matching_rows.csv", "heavy", "weighty", "unknown word"},
		{"unknown family", "matching_rows.csv", "low-carbon-steel,,,join", "low-carbon,,,join", `unknown family "low-carbon"`},
		{"rank of a bad row", "matching_rows.csv", "join,E7018,1", "join,E7018,", "belongs to recommended and tolerant rows"},
		{"unknown grade", "grade_subgroups.csv", "aisi-d2", "aisi-d22", `unknown grade "aisi-d22"`},
		{"unknown subgroup", "grade_subgroups.csv", ",cold-work,", ",cold-working,", "is no subgroup of"},
		{"unknown role", "job_roles.csv", "crack,join", "crack,joining", "unknown word"},
		{"band outside its range", "procedures.csv", "low-carbon-steel,,,,10,50,0,250", "low-carbon-steel,,,,10,50,20,250", "does not lie in the accepted range"},
		{"unknown action", "matching_process.csv", "remove-coating", "strip-coating", "unknown word"},
		{"missing consequence", "consequences.csv", "toxic-fume,", "toxic-vapour,", "unknown word"},
		{"unknown mark", "silent_pairs.csv", ",judgement", ",hunch", "unknown word"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var faults data.Faults
			files := datatest.Patch(t, c.file, c.old, c.new)
			Load(files, catalogue, formula.Load(files, &none), &faults)
			require.ErrorContains(t, faults.Err(), c.says)
			require.ErrorContains(t, faults.Err(), c.file)
		})
	}
}
