package metal

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/data"
)

func load(t testing.TB) *Catalogue {
	var faults data.Faults
	c := Load(data.Files(), &faults)
	require.NoError(t, faults.Err())
	return c
}

func TestCatalogueOfTheProjectLoadsWithoutFault(t *testing.T) {
	c := load(t)
	require.GreaterOrEqual(t, len(c.Grades), 512)
	require.GreaterOrEqual(t, len(c.Parts), 299)
}

func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		load(b)
	}
}

// Sorted tables give small diffs; the keys are the first column of the catalogue's tables.
func TestTablesOfTheCatalogueAreSortedByKey(t *testing.T) {
	for _, schema := range []data.Schema{gradeSchema, commonSchema, familySchema, mixSchema, industrySchema, partSchema,
		partNameSchema, partContextSchema, metalNameSchema, metalWordSchema} {
		var faults data.Faults
		before := ""
		for _, row := range data.Read(data.Files(), schema, &faults).Rows {
			key := ""
			for _, column := range schema.Key {
				key += row.Text(column) + "\x00"
			}
			require.Less(t, before, key, "%s:%d", schema.File, row.Line)
			before = key
		}
		require.NoError(t, faults.Err())
	}
}

func TestTwinsByNumberTogetherWeighAboutAsMuchAsOneGrade(t *testing.T) {
	c := load(t)
	for _, twins := range [][]string{{"sae-4140", "en-42crmo4", "jis-scm440", "sae-4142"}, {"sae-4340", "en-34crnimo6", "jis-sncm439"}} {
		total := 0.0
		for _, id := range twins {
			g, ok := c.Grade(id)
			require.True(t, ok, id)
			total += g.MetWeight
		}
		require.LessOrEqual(t, total, 3.5, twins)
	}
}
