package identify

import (
	"rodcall/engine/data"
	"rodcall/engine/metal"
)

// observer is how far one kind of report can be trusted (one row of observers.csv, for one observer).
type observer struct {
	lapse   float64 // chance that the report tells nothing
	slip    float64 // chance that a neighbouring word was said
	damping float64 // exponent on the likelihood of the group, since words of one look repeat each other
}

var observerSchema = data.Schema{File: "observers.csv", Key: []string{"key"}, Columns: []data.Column{
	{Name: "key", Required: true, Doc: "observation key, or key with a qualifier"},
	{Name: "group", Required: true, Doc: "what shares one lapse"},
	{Name: "lapse_bench", Kind: data.Number, Min: 0, Max: 1, Required: true},
	{Name: "lapse_field", Kind: data.Number, Min: 0, Max: 1, Required: true},
	{Name: "slip_bench", Kind: data.Number, Min: 0, Max: 1, Required: true},
	{Name: "slip_field", Kind: data.Number, Min: 0, Max: 1, Required: true},
	{Name: "damping", Kind: data.Number, Min: 0.1, Max: 1, Required: true},
	{Name: "why"}, {Name: "source", Required: true}, {Name: "mark", Required: true},
}}

// observers are the rows of observers.csv for the chosen observer.
type observers map[string]observer

func loadObservers(in input) observers {
	table := in.table(observerSchema)
	out := observers{}
	for _, row := range table.Rows {
		o := observer{damping: row.Value("damping", 1)}
		o.lapse = row.Value("lapse_"+in.observer, 0)
		o.slip = row.Value("slip_"+in.observer, 0)
		out[row.Text("key")] = o
	}
	for _, key := range []string{"magnet", "magnet-slight", "rust", "surface", "color", "fracture", "weight", "density_g_cm3",
		"sound", "torch", "file", "chip", "hardness", "spark", "spark.volume", "spark.color", "spark.bursts", "spark.form",
		"spark_skin", "part", "marks", "excluded", "chem", "chem-xrf", "chem-libs", "chem-lab", "chem-certificate", "claim-rep", "claim-owner",
		"claim-stamp", "claim-certificate", "claim-specialist", "claim-looks"} {
		if _, ok := out[key]; !ok {
			in.faults.Add(observerSchema.File, 0, "key", "no row for %q", key)
		}
	}
	return out
}

var looksSchema = data.Schema{File: "claim_looks.csv", Key: []string{"family"}, Columns: []data.Column{
	{Name: "family", Kind: data.Word, Of: metal.Families, Required: true}, {Name: "why", Required: true},
	{Name: "source", Required: true}, {Name: "mark", Required: true},
}}

// loadLooks lists the families that one can name by their looks.
func loadLooks(in input) map[string]bool {
	out := map[string]bool{}
	for _, row := range in.read(looksSchema) {
		out[row.Text("family")] = true
	}
	return out
}

// constants are the rows of model.csv.
type constants map[string]float64

var constantSchema = data.Schema{File: "model.csv", Key: []string{"name"}, Columns: []data.Column{
	{Name: "name", Required: true}, {Name: "value", Kind: data.Number, Min: 0, Max: 100, Required: true},
	{Name: "why", Required: true}, {Name: "source", Required: true}, {Name: "mark", Required: true},
}}

func loadConstants(in input) constants {
	out := constants{}
	for _, row := range in.read(constantSchema) {
		out[row.Text("name")] = row.Value("value", 0)
	}
	return out
}

// need is the value of a constant; a missing one is a fault of the data, found at load.
func (c constants) need(in input, name string) float64 {
	v, ok := c[name]
	if !ok {
		in.faults.Add(constantSchema.File, 0, "name", "no row for %q", name)
	}
	return v
}
