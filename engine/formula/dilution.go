package formula

import (
	"fmt"
	"io/fs"
	"math"
	"slices"

	"rodcall/engine/data"
)

// DilutionUses are the uses that dilution.csv knows: a joint, an overlay, a root fused without filler.
var DilutionUses = []string{"join", "overlay", "root"}

// Dilution is the range of the share of base metal in a deposit, 0 to 1.
type Dilution struct{ Low, High float64 }

type dilutionRow struct {
	process string
	uses    []string
	Dilution
}

var dilutionSchema = data.Schema{File: "dilution.csv", Columns: []data.Column{
	{Name: "process", Required: true, Doc: "welding process; any = every process"},
	{Name: "variant", Required: true, Doc: "the process in the words of the source"},
	{Name: "use", Kind: data.Words, Required: true, Of: DilutionUses, Doc: "what is welded"},
	{Name: "dilution_min_pct", Kind: data.Number, Required: true, Min: 0, Max: 100, Doc: "least share of base metal, %"},
	{Name: "dilution_max_pct", Kind: data.Number, Min: 0, Max: 100, Doc: "greatest share of base metal, %; empty = the source gives the least only"},
	{Name: "note", Doc: "what the source says of the row"},
	{Name: "source", Required: true, Doc: "where the row was read"},
	{Name: "mark", Required: true, Doc: "how firmly the row is held"},
}}

func loadDilution(files fs.FS, marks data.Marks, faults *data.Faults) []dilutionRow {
	var out []dilutionRow
	for _, row := range data.Read(files, dilutionSchema, faults).Rows {
		marks.Check(row, "mark")
		low := row.Value("dilution_min_pct", 0)
		high := row.Value("dilution_max_pct", low)
		if low > high {
			row.Fault("dilution_min_pct", "%g is above the greatest, %g", low, high)
		}
		out = append(out, dilutionRow{row.Text("process"), row.List("use"), Dilution{low / 100, high / 100}})
	}
	return out
}

// DilutionOf is the widest range of the rows of a process (smaw, gmaw, fcaw, gtaw, saw, oxyfuel, braze, plasma,
// electroslag, laser; "" for any) and a use; ok is false when no row has both.
func (s *Set) DilutionOf(process, use string) (d Dilution, ok bool) {
	if d, ok = s.widest(process, use); !ok {
		d, ok = s.widest(anyProcess, use) // a planning value stands in only where the process has no row
	}
	return d, ok
}

// anyProcess is the process of a row that holds for every one.
const anyProcess = "any"

func (s *Set) widest(process, use string) (d Dilution, ok bool) {
	for _, row := range s.dilution {
		if !slices.Contains(row.uses, use) || process != "" && row.process != process {
			continue
		}
		if !ok {
			d, ok = row.Dilution, true
			continue
		}
		d = Dilution{min(d.Low, row.Low), max(d.High, row.High)}
	}
	return d, ok
}

// Dilute is the composition of a deposit of filler on base metal, wt%; share is that of the base metal, 0 to 1.
//
//	deposit = D base + (1 - D) filler
func Dilute(base, filler Values, share float64) Values {
	var out Values
	for k := range elementCount {
		out[k] = share*base[k] + (1-share)*filler[k]
	}
	return out
}

// DiluteJoint is the deposit between two base metals; each share, 0 to 1, is that of one side (stick: 15 % each).
func DiluteJoint(one, other, filler Values, shareOne, shareOther float64) Values {
	var out Values
	for k := range elementCount {
		out[k] = shareOne*one[k] + shareOther*other[k] + (1-shareOne-shareOther)*filler[k]
	}
	return out
}

// Layers is the composition of each layer when fillers are laid one above the other on base metal, all with the
// same share of what lies below: after n layers of one filler the share of the base is D^n.
func Layers(base Values, fillers []Values, share float64) []Values {
	out := make([]Values, len(fillers))
	below := base
	for i, filler := range fillers {
		below = Dilute(below, filler, share)
		out[i] = below
	}
	return out
}

// Window is the shares of base metal, out of steps+1 even ones from 0 to 1, at which a deposit stays sound: the
// run that begins at the smallest. ok is false when even the undiluted filler is not.
func Window(base, filler Values, steps int, sound func(Values) bool) (most float64, ok bool) {
	if steps < 1 || !sound(filler) {
		return 0, false
	}
	for i := 1; i <= steps; i++ {
		share := float64(i) / float64(steps)
		if !sound(Dilute(base, filler, share)) {
			return float64(i-1) / float64(steps), true
		}
	}
	return 1, true
}

// dilutionID is the one formula whose inputs and result are compositions.
const dilutionID = "dilution_mix"

const dilutionSource = "AWS A3.0 style definition of dilution in the weldcor.ca glossary"

// mix answers dilution_mix: base and filler by element, D the share of the base.
func (s *Set) mix(inputs map[string]any) (Result, error) {
	out := Result{Unit: "wt%", InRange: true, Source: dilutionSource, Mark: "seen", Evidence: s.evidence[dilutionID]}
	share, err := numberInput(inputs, "D")
	if err != nil {
		return Result{}, err
	}
	if !(share >= 0 && share <= 1) {
		return Result{}, fmt.Errorf("the share D is that of the base metal, 0 to 1 (30 %% is 0.3), not %s", number(share))
	}
	base, err := compositionInput(inputs, "base")
	if err != nil {
		return Result{}, err
	}
	filler, err := compositionInput(inputs, "filler")
	if err != nil {
		return Result{}, err
	}
	mixed := map[string]float64{}
	for _, part := range []struct {
		name  string
		of    composition
		other composition
	}{{"base", base, filler}, {"filler", filler, base}} {
		var missing []string
		for _, symbol := range part.other.symbols {
			mixed[symbol] = settled(share*base.at[symbol] + (1-share)*filler.at[symbol])
			if _, ok := part.of.at[symbol]; !ok {
				missing = append(missing, symbol)
			}
		}
		if missing != nil {
			out.Warnings = append(out.Warnings, "not given for the "+part.name+" and counted as zero: "+list(missing))
		}
	}
	out.Value = mixed
	return out, nil
}

// composition is an analysis as it was given: symbols sorted, so that what follows from it has one order.
type composition struct {
	symbols []string
	at      map[string]float64
}

func compositionInput(inputs map[string]any, name string) (composition, error) {
	given, ok := inputs[name].(map[string]any)
	if !ok {
		return composition{}, fmt.Errorf(`%s must be a composition such as {"C":0.2,"Mn":0.8}`, name)
	}
	out := composition{at: map[string]float64{}}
	for symbol := range given {
		out.symbols = append(out.symbols, symbol)
	}
	slices.Sort(out.symbols)
	total := 0.0
	kept := out.symbols[:0]
	for _, symbol := range out.symbols {
		if !isSymbol(symbol) {
			return composition{}, fmt.Errorf("%s: %q is no element symbol", name, clip(symbol))
		}
		if given[symbol] == nil {
			continue
		}
		v, err := asNumber(given[symbol], name+": "+symbol)
		if err != nil {
			return composition{}, err
		}
		if !(v >= 0) {
			return composition{}, fmt.Errorf("%s: %s must be 0 wt%% or more, not %s", name, symbol, number(v))
		}
		kept = append(kept, symbol)
		out.at[symbol] = v
		total += v
	}
	out.symbols = kept
	if total > 100+totalRounding {
		return composition{}, fmt.Errorf("%s: the elements sum to %s wt%%, more than 100", name, number(math.Round(total*100)/100))
	}
	return out, nil
}

// isSymbol holds for a capital letter, alone or with a small one.
func isSymbol(s string) bool {
	switch len(s) {
	case 1:
		return s[0] >= 'A' && s[0] <= 'Z'
	case 2:
		return s[0] >= 'A' && s[0] <= 'Z' && s[1] >= 'a' && s[1] <= 'z'
	}
	return false
}
