package metal

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestDesignationsFindTheirGradeHoweverTheyAreWritten(t *testing.T) {
	c := load(t)
	for text, want := range map[string]string{
		"4140": "sae-4140", "AISI 4140": "sae-4140", "4140 steel": "sae-4140", "sae 4140 bar": "sae-4140", "A36": "astm-a36",
		"a-36": "astm-a36", "ASTM A 36 plate": "astm-a36", "1045": "sae-1045", "D2": "aisi-d2", "stainless steel 304": "aisi-304", "ductile iron 65-45-12": "astm-a536-65-45-12", "1018 mild steel": "sae-1018", "d2 tool steel": "aisi-d2",
		"304 stainless": "aisi-304", "ss304": "aisi-304", "304ss": "aisi-304", "type 316L": "aisi-316l", "en 42CrMo4": "en-42crmo4",
		"1.7225": "en-42crmo4", "C95400": "uns-c95400", "C954 bronze": "uns-c95400", "660 bronze": "uns-c93200", "SAE 660": "uns-c93200",
		"S355J2": "en-s355j2", "S235JR": "en-s235jr", "6061": "aa-6061", "6061 aluminium": "aa-6061", "A356": "aa-a356.0", "356": "aa-356.0",
		"17-4PH": "uns-s17400", "17-4": "uns-s17400", "65-45-12": "astm-a536-65-45-12", "A48 class 30": "astm-a48-30", "WCB": "astm-a216-wcb",
		"P91": "astm-a335-p91", "CF8M": "astm-cf8m", "AR400": "ar-400", "NM400": "ar-400", "12L14": "sae-12l14", "S31803": "uns-s32205",
		"a 4140 shaft": "sae-4140", "A 572 grade 50": "astm-a572-50", "A514/A517 grade B": "astm-a514-b", "A572 gr 50": "astm-a572-50", "alloy 625": "uns-n06625", "grade 2 titanium": "ti-gr2", "C45": "sae-1045",
		"SCM440": "jis-scm440", "16MnCr5": "en-16mncr5", "astm-a128-b-2": "astm-a128-b-2", "A128 grade B-2": "astm-a128-b-2",
	} {
		_, id, ok := c.FindMetal(text)
		require.Equal(t, want, id, text)
		require.Equal(t, want != "", ok, text)
	}
}

func TestAStandardWithoutItsGradeGivesTheFamilyOnly(t *testing.T) {
	c := load(t)
	for text, want := range map[string]string{
		"A572": "hsla-structural-steel", "A128": "austenitic-manganese-steel", "A514": "quenched-tempered-plate", "A536": "ductile-iron",
		"mild steel": "low-carbon-steel", "Grey cast iron": "gray-iron", "grey-iron": "gray-iron", "gray-iron": "gray-iron",
		"SG iron": "ductile-iron", "chrome moly": "low-alloy-steel", "aluminium": "aluminum", "HSS": "high-speed-steel", "Q&T plate": "quenched-tempered-plate",
	} {
		family, id, ok := c.FindMetal(text)
		require.True(t, ok, text)
		require.Equal(t, want, family, text)
		require.Empty(t, id, text)
	}
}

func TestWordsThatDoNotNameOneMetalAreNotFound(t *testing.T) {
	c := load(t)
	for _, text := range []string{
		"", "   ", "cast iron", "stainless", "steel", "iron", "A148", "4140 aluminum", "6061 steel", "304 bronze", "the", "bar", "grade",
		"hello", "99999", "1 1/2", "steel bar", "7018", "don't know", "\xff\xfe",
	} {
		_, _, ok := c.FindMetal(text)
		require.False(t, ok, text)
	}
}

func TestAClassListsItsFamilies(t *testing.T) {
	c := load(t)
	families, ok := c.FindClass("Cast iron")
	require.True(t, ok)
	require.Equal(t, []string{"gray-iron", "ductile-iron", "malleable-iron", "white-iron"}, families)
	_, ok = c.FindClass("mild steel")
	require.False(t, ok)
}

func TestEveryGradeIsFoundByItsIDAndByItsFirstDesignation(t *testing.T) {
	c := load(t)
	for _, g := range c.Grades {
		family, id, ok := c.FindMetal(g.ID)
		require.True(t, ok, g.ID)
		require.Equal(t, g.Family, family)
		if FamilyIndex(g.ID) < 0 { // wrought-iron is a grade and a family
			require.Equal(t, g.ID, id)
		}
		family, _, ok = c.FindMetal(g.Designations[0])
		require.True(t, ok, g.Designations[0])
		require.Equal(t, g.Family, family, g.Designations[0])
	}
}

func FuzzFindMetal(f *testing.F) {
	c := load(f)
	for _, seed := range []string{"4140", "304 stainless", "A48 class 30", "ss", "-", "é'’%"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		family, id, ok := c.FindMetal(text)
		if ok && FamilyIndex(family) < 0 || !ok && family+id != "" {
			t.Fatalf("%q gave %q %q %v", text, family, id, ok)
		}
	})
}
