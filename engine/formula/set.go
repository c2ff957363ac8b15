package formula

import (
	"fmt"
	"io/fs"
	"slices"

	"rodcall/engine/data"
	"rodcall/engine/measure"
)

// Set is every formula with the tables that some of them read. Immutable after loading.
type Set struct {
	formulas []*Formula
	byID     map[string]*Formula
	ids      []string          // sorted, dilution_mix with them
	evidence map[string]string // what speaks for each formula besides our own arithmetic
	csa      csaTable
	hydrogen *hydrogenControl
	methodA  *methodA
	dilution []dilutionRow
	diagram  diagram
	preheats []PreheatRow
	scale    *measure.HardnessTables
}

// Evidences are what can speak for a formula: an answer that a source prints, measured values, a printed table, or
// nothing that was found.
var Evidences = []string{"published", "measured", "table", "none-found"}

var checkSchema = data.Schema{File: "formula_checks.csv", Key: []string{"formula"}, Columns: []data.Column{
	{Name: "formula", Required: true, Doc: "id of the formula"},
	{Name: "evidence", Kind: data.Word, Required: true, Of: Evidences, Doc: "what speaks for it besides our own arithmetic"},
	{Name: "looked_in", Doc: "none-found: where an independent value was looked for"},
}}

// Load reads the tables and joins the formulas. The set is fit for use only when faults stays empty.
func Load(files fs.FS, faults *data.Faults) *Set {
	marks := data.LoadMarks(files, faults)
	s := &Set{
		byID: map[string]*Formula{}, evidence: map[string]string{},
		csa: loadCSA(files, marks, faults), hydrogen: loadHydrogenControl(files, marks, faults), methodA: loadMethodA(files, marks, faults),
		dilution: loadDilution(files, marks, faults), diagram: loadDiagram(files, marks, faults), preheats: loadPreheatTable(files, marks, faults),
		scale: measure.LoadHardness(files, faults),
	}
	if len(faults.List()) > 0 {
		return s // the formulas of a broken table would not stand
	}
	s.join()
	s.loadChecks(files, faults)
	return s
}

// join lists the formulas, group by group.
func (s *Set) join() {
	factor, canadian, group, preheat, rockwell := s.csaFactor(), s.ceCSA(), s.hydrogenGroup(), s.hydrogenPreheat(), s.hbToHRC()
	s.formulas = []*Formula{
		&CEIIW, &CEAWS, &Pcm, &CET, &CEN, &canadian, &factor, &CEJIS, &CEDueren, &CECastIron, &CECastIronP,
		&PreheatMethodB, &PreheatSeferian, &PreheatItoBessyo, &SusceptibilityIndex, &group, &preheat,
		&HeatInput, &CoolingTime, &PreheatEnergy, &ThermalExpansion, &HardnessYurioka, &HardnessLorenzDueren,
		&MsAndrewsLinear, &MsAndrewsProduct, &MsStevenHaynes, &MsMean, &MsEichelmannHull, &Md30Nohara, &RetainedAustenite,
		&SchaefflerCr, &SchaefflerNi, &DeLongNi, &WRCCr, &WRCNi, &HammarSvenssonCr, &HammarSvenssonNi, &FerriteNumber, &FerriteHull,
		&UCS, &PREN, &JFactor, &XBar, &CopperShortness, &TensileFromBrinell, &rockwell,
	}
	for _, f := range s.formulas {
		s.byID[f.ID] = f
		s.ids = append(s.ids, f.ID)
	}
	s.ids = append(s.ids, dilutionID)
	slices.Sort(s.ids)
}

func (s *Set) loadChecks(files fs.FS, faults *data.Faults) {
	for _, row := range data.Read(files, checkSchema, faults).Rows {
		id, evidence := row.Text("formula"), row.Text("evidence")
		if !slices.Contains(s.ids, id) {
			row.Fault("formula", "unknown formula %q", id)
		}
		if (evidence == "none-found") != (row.Text("looked_in") != "") {
			row.Fault("looked_in", "is filled exactly when nothing was found")
		}
		s.evidence[id] = evidence
	}
	for _, id := range s.ids {
		if s.evidence[id] == "" {
			faults.Add(checkSchema.File, 0, "formula", "%s has no row", id)
		}
	}
}

// IDs are the ids of all formulas, sorted.
func (s *Set) IDs() []string { return slices.Clone(s.ids) }

// Formula is the formula with an id; ok is false for an unknown one and for dilution_mix, whose inputs are
// compositions (see Dilute).
func (s *Set) Formula(id string) (f *Formula, ok bool) {
	f, ok = s.byID[id]
	return f, ok
}

// Evidence is what speaks for a formula besides our own arithmetic: one of Evidences.
func (s *Set) Evidence(id string) string { return s.evidence[id] }

// unknown is the error for an id that no formula has, with the nearest ones.
func (s *Set) unknown(id string) error {
	return fmt.Errorf("unknown formula %q; nearest: %s", clip(id), list(nearest(id, s.ids, longestWord), " "))
}
