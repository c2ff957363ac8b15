package weld

import (
	"io/fs"
	"slices"

	"rodcall/engine/data"
	"rodcall/engine/metal"
)

var processKinds = []string{"process", "action"}

// processValues are the closed lists of matching_process.csv: processes, then actions.
var processValues = []string{"fusion", "structural-weld", "arc", "arc-on-alloy", "unshielded-arc", "oxyfuel-fusion", "GTAW", "braze",
	"solder", "lead-burning", "re-pour", "cold-method",
	"replace", "refer-out", "identify-first", "mechanical-join", "transition-insert", "attach-backing", "plug-weld",
	"own-filler-only", "preheat", "preheat-over-65", "preheat-over-150", "preheat-over-200", "low-interpass", "high-heat-input", "h4-only",
	"fast-narrow-beads", "high-penetration", "weld-in-soft-condition", "shield-back-side", "remove-coating",
	"remove-hardened-skin", "remove-sulphur-lead", "fume-extraction", "wet-cleaning", "grind-dry"}

var processSchema = data.Schema{File: "matching_process.csv", Key: []string{"base_a", "base_b", "subgroup", "kind", "value"}, Columns: []data.Column{
	{Name: "base_a", Required: true}, {Name: "base_b"}, {Name: "subgroup"},
	{Name: "kind", Kind: data.Word, Required: true, Of: processKinds},
	{Name: "value", Kind: data.Word, Required: true, Of: processValues},
	{Name: "verdict", Kind: data.Word, Required: true, Of: []string{"recommended", "avoid", "never"}},
	{Name: "why", Required: true},
	{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
}}

// shutting is what matching_process.csv forbids on a base or a pair, with the text that says why; 0 means
// not forbidden.
type shutting struct {
	fusion, structural, braze, oxyfuel, cold int32
	fusionPoor                               int32 // fusion is avoided rather than forbidden
	own                                      int32 // only classes with a good row
}

// action is one thing that must be done, or not, on a base besides choosing a class.
type action struct {
	value   string
	verdict string
	why     string
}

func (b *Book) loadProcess(files fs.FS, faults *data.Faults) {
	b.shut = make([]shutting, len(b.bases))
	b.actions = make([][]action, len(b.bases))
	for _, row := range data.Read(files, processSchema, faults).Rows {
		if slices.Contains(unknownBases, row.Text("base_a")) {
			continue
		}
		a, other := metal.FamilyIndex(row.Text("base_a")), -1
		if a < 0 {
			row.Fault("base_a", "unknown family %q", row.Text("base_a"))
			continue
		}
		if row.Text("base_b") != "" {
			if other = metal.FamilyIndex(row.Text("base_b")); other < 0 {
				row.Fault("base_b", "unknown family %q", row.Text("base_b"))
				continue
			}
		}
		b.placeProcess(row, a, other)
	}
}

func (b *Book) placeProcess(row data.Row, a, other int) {
	act := action{row.Text("value"), row.Text("verdict"), row.Text("why")}
	if other >= 0 {
		p := b.pairOf(a, other)
		// A pair row of a subgroup speaks of a part in its service (rail in track); the choice knows only
		// the families of a pair, and the stop rules come first there.
		if row.Text("subgroup") == "" {
			p.shut.apply(act, b.text(act.why))
			p.actions = append(p.actions, act)
		}
		return
	}
	subgroup := row.Text("subgroup")
	if !knownSubgroup(row.Text("base_a"), subgroup) {
		row.Fault("subgroup", "unknown subgroup %q", subgroup)
	}
	for i, base := range b.bases {
		if base.Family == a && (subgroup == "" || base.Subgroup == subgroup) {
			b.shut[i].apply(act, b.text(act.why))
			b.actions[i] = append(b.actions[i], act)
		}
	}
}

func (s *shutting) apply(act action, why int32) {
	never := act.verdict == "never"
	switch act.value {
	case "fusion", "arc":
		if never {
			s.fusion = why
		} else if act.verdict == "avoid" {
			s.fusionPoor = why
		}
	case "structural-weld":
		if never {
			s.structural = why
		}
	case "braze":
		if never {
			s.braze = why
		}
	case "oxyfuel-fusion":
		if never {
			s.oxyfuel = why
		}
	case "cold-method":
		if never {
			s.cold = why
		}
	case "own-filler-only":
		s.own = why
	}
}

// closes says why a shut process rules a class out in a role; 0 when it does not. cold means that no
// preheat can be given.
func (s *shutting) closes(role Role, p process, cold bool) int32 {
	if role == Braze {
		return s.braze
	}
	switch {
	case s.fusion != 0:
		return s.fusion
	case cold && s.cold != 0:
		return s.cold
	case s.oxyfuel != 0 && p&^oxyfuel == 0:
		return s.oxyfuel
	}
	return 0
}
