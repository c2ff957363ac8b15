package observation

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// Entry is one key of the contract with its value in words; a spark and a size have one entry a part.
type Entry struct {
	Key, Value string
	words      bool // free words: the value is always quoted
}

// Entries are what an observation holds, in the order of the contract.
func (o *Observation) Entries() []Entry {
	var e entries
	e.add("magnet", o.Magnet)
	e.spark("spark", o.Spark)
	e.spark("spark_skin", o.SparkSkin)
	e.add("file", o.File)
	e.hardness(o.Hardness)
	e.add("chip", o.Chip)
	e.add("rust", o.Rust)
	e.number("density_g_cm3", o.DensityGCM3)
	e.add("weight", o.Weight)
	e.add("sound", o.Sound)
	e.list("fracture", o.Fracture)
	e.list("color", o.Color)
	e.list("torch", o.Torch)
	e.list("surface", o.Surface)
	e.free("part", o.Part)
	e.free("marks", strings.Join(o.Marks, ", "))
	e.list("service", o.Service)
	e.number("service_temp_c", o.ServiceTempC)
	e.chem(o.Chem)
	e.add("chem_method", o.ChemMethod)
	e.claims(o.Claim)
	e.list("excluded", o.Excluded)
	e.add("job", o.Job)
	e.add("joined_to", o.JoinedTo)
	e.size(o.Size)
	e.list("limits", o.Limits)
	e.list("have", o.Have)
	e.cost(o.Cost)
	if o.Scene != nil {
		for _, l := range o.Scene.Lists() {
			e.list("scene."+l.Key, *l.Words)
		}
	}
	e.list("process", o.Process)
	e.list("test", o.Test)
	return e
}

type entries []Entry

func (e *entries) add(key, value string) {
	if value != "" {
		*e = append(*e, Entry{Key: key, Value: value})
	}
}

func (e *entries) free(key, value string) {
	if value != "" {
		*e = append(*e, Entry{Key: key, Value: value, words: true})
	}
}

func (e *entries) list(key string, words []string) { e.add(key, strings.Join(words, ", ")) }

func (e *entries) number(key string, v *float64) {
	if v != nil {
		e.add(key, plain(*v))
	}
}

// plain writes a figure without an exponent and without a long tail.
func plain(v float64) string {
	return strconv.FormatFloat(math.Round(v*1e6)/1e6, 'f', -1, 64)
}

func (e *entries) spark(name string, s *Spark) {
	if s == nil {
		return
	}
	e.add(name+".volume", s.Volume)
	e.number(name+".length_in", s.LengthIn)
	e.add(name+".length", s.Length)
	e.add(name+".color_near", s.ColorNear)
	e.add(name+".color_end", s.ColorEnd)
	e.add(name+".bursts", s.Bursts)
	e.add(name+".burst_form", s.BurstForm)
	e.add(name+".spread", s.Spread)
	if a := s.Against; a != nil {
		var parts []string
		for _, part := range [][2]string{{"length", a.Length}, {"volume", a.Volume}, {"bursts", a.Bursts}} {
			if part[1] != "" {
				parts = append(parts, part[0]+" "+part[1]+" than "+a.Piece)
			}
		}
		e.add(name+".against", strings.Join(parts, ", "))
	}
}

func (e *entries) hardness(list []Hardness) {
	var parts []string
	for _, h := range list {
		parts = append(parts, plain(h.Value)+" "+h.Scale)
	}
	e.list("hardness", parts)
}

func (e *entries) chem(chem map[string]float64) {
	var parts []string
	for _, element := range Elements {
		if v, ok := chem[element]; ok {
			parts = append(parts, element+" "+plain(v))
		}
	}
	e.list("chem", parts)
}

func (e *entries) claims(list []Claim) {
	var parts []string
	for _, c := range list {
		parts = append(parts, c.Metal+" by "+c.By)
	}
	e.list("claim", parts)
}

func (e *entries) size(s *Size) {
	if s == nil {
		return
	}
	e.number("size.thickness_mm", s.ThicknessMM)
	e.number("size.length_mm", s.LengthMM)
	e.number("size.depth_mm", s.DepthMM)
	e.number("size.width_mm", s.WidthMM)
	e.number("size.diameter_mm", s.DiameterMM)
}

// costFigure is one figure of a Cost under its key.
type costFigure struct {
	key   string
	value **float64
}

// figures are the figures of a cost in the order of the contract.
func (c *Cost) figures() []costFigure {
	return []costFigure{{"replacement", &c.Replacement}, {"replace_h", &c.ReplaceH}, {"downtime_per_h", &c.DowntimeH}, {"labour_per_h", &c.LabourH},
		{"repair_h", &c.RepairH}, {"consumable_per_kg", &c.ConsumableKG}, {"fuel_per_kg", &c.FuelKG}}
}

func (e *entries) cost(c *Cost) {
	if c == nil {
		return
	}
	e.add("cost.currency", c.Currency)
	for _, f := range c.figures() {
		e.number("cost."+f.key, *f.value)
	}
}

// Line is an observation in the structured form, key:value, that the reader reads back.
func Line(o Observation) string {
	var b strings.Builder
	for _, e := range o.Entries() {
		if b.Len() > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(e.Key)
		b.WriteByte(':')
		if e.words || strings.ContainsAny(e.Value, " ,;:.\"()/") {
			b.WriteString(`"` + strings.ReplaceAll(e.Value, `"`, "''") + `"`)
			continue
		}
		b.WriteString(e.Value)
	}
	return b.String()
}

// Change is one key whose value differs between two observations; "" is a value that is missing.
type Change struct{ Key, Was, Now string }

// Changes lists what differs, in the order of the contract.
func Changes(before, after Observation) []Change {
	was, now := before.Entries(), after.Entries()
	var out []Change
	for i, j := 0, 0; i < len(was) || j < len(now); {
		switch {
		case j == len(now) || i < len(was) && comesFirst(was[i].Key, now[j].Key):
			out = append(out, Change{was[i].Key, was[i].Value, ""})
			i++
		case i == len(was) || comesFirst(now[j].Key, was[i].Key):
			out = append(out, Change{now[j].Key, "", now[j].Value})
			j++
		default:
			if was[i].Value != now[j].Value {
				out = append(out, Change{now[j].Key, was[i].Value, now[j].Value})
			}
			i, j = i+1, j+1
		}
	}
	return out
}

// order is the order of the contract's keys, those of parts of a spark, a size and a scene among them.
var order = []string{"magnet", "spark.volume", "spark.length_in", "spark.length", "spark.color_near", "spark.color_end", "spark.bursts",
	"spark.burst_form", "spark.spread", "spark.against", "spark_skin.volume", "spark_skin.length_in", "spark_skin.length",
	"spark_skin.color_near", "spark_skin.color_end", "spark_skin.bursts", "spark_skin.burst_form", "spark_skin.spread", "spark_skin.against",
	"file", "hardness", "chip", "rust", "density_g_cm3", "weight", "sound", "fracture", "color", "torch", "surface", "part", "marks",
	"service", "service_temp_c", "chem", "chem_method", "claim", "excluded", "job", "joined_to", "size.thickness_mm", "size.length_mm",
	"size.depth_mm", "size.width_mm", "size.diameter_mm", "limits", "have",
	"cost.currency", "cost.replacement", "cost.replace_h", "cost.downtime_per_h", "cost.labour_per_h", "cost.repair_h", "cost.consumable_per_kg",
	"cost.fuel_per_kg", "scene.site", "scene.where", "scene.use", "scene.coating",
	"scene.enclosure", "scene.residue", "scene.state", "scene.person", "scene.temp", "scene.part", "scene.ask", "process", "test"}

func comesFirst(a, b string) bool { return slices.Index(order, a) < slices.Index(order, b) }
