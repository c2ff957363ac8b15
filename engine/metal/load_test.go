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
