package weld

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/metal"
)

func TestGradesFallIntoTheSubgroupThatTheTablesName(t *testing.T) {
	b := load(t)
	for grade, want := range map[string]string{
		"sae-4140": "low-alloy-steel C-over-0.35", "sae-8620": "low-alloy-steel C-up-to-0.35", "astm-a387-22": "low-alloy-steel 2.25Cr-Mo",
		"aisi-d2": "tool-steel cold-work", "aisi-h13": "tool-steel hot-work", "astm-a897-2": "ductile-iron austempered",
		"aisi-316l": "austenitic-stainless 316", "uns-c36000": "brass leaded", "uns-c26000": "brass ", "uns-c93200": "bronze leaded",
		"aa-7075": "aluminum 2024-7075", "ti-gr2": "titanium ", "sae-1018": "low-carbon-steel ", "cr-carbide-overlay": "high-chromium-iron overlay-plate",
	} {
		for i := range b.catalogue.Grades {
			if b.catalogue.Grades[i].ID == grade {
				base := b.bases[b.BaseOf(i)]
				require.Equal(t, want, metal.Families[base.Family]+" "+base.Subgroup, grade)
			}
		}
	}
}

func TestEveryGradeHasABaseOfItsOwnFamilyAndAProcedure(t *testing.T) {
	b := load(t)
	for i, g := range b.catalogue.Grades {
		base := b.BaseOf(i)
		require.Equal(t, g.Family, metal.Families[b.bases[base].Family], g.ID)
		require.Equal(t, g.Family, metal.Families[b.heatGroups[b.heatOf[base]].family], g.ID)
	}
}
