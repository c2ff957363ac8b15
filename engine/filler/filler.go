// Package filler holds the table of consumable classes: what is chosen from, and what is reckoned with. It knows
// which words the table may hold and nothing of what a class is good for.
package filler

import (
	"io/fs"

	"rodcall/engine/data"
)

// Groups are what a class may be made of.
var Groups = []string{"steel", "low-alloy", "stainless", "nickel", "nickel-iron", "cast-rod", "copper", "braze",
	"aluminium", "magnesium", "titanium", "hard", "tungsten"}

// Schema describes classifications.csv, a class a row.
var Schema = data.Schema{File: "classifications.csv", Key: []string{"class"}, Columns: []data.Column{
	{Name: "class", Required: true, Doc: "id of the class; a name in brackets tells twins apart"},
	{Name: "group", Kind: data.Word, Required: true, Of: Groups, Doc: "what it is made of"},
	{Name: "carried", Kind: data.Number, Min: 0, Max: 3, Doc: "how common on a truck, 0-3 (judgement)"},
	{Name: "standard", Required: true, Doc: "standard that defines it"},
	{Name: "process", Kind: data.Words, Required: true, Of: []string{"SMAW", "GMAW", "GTAW", "SAW", "FCAW", "FCAW-G", "FCAW-S", "OAW",
		"brazing", "braze welding"}, Doc: "welding processes"},
	{Name: "form", Required: true, Doc: "covered electrode, wire, rod, tube, strip"},
	{Name: "nominal_deposit_wtpct", Doc: "mass percent of the deposit or of the rod"},
	{Name: "hardness_as_welded", Doc: "as written, dilution free"},
	{Name: "hardness_work_hardened", Doc: "as written"},
	{Name: "strength_min", Doc: "MPa minimum"},
	{Name: "elongation_min", Doc: "percent"},
	{Name: "hydrogen_designators", Doc: "mL of diffusible hydrogen in 100 g"},
	{Name: "current_polarity", Doc: "DCEP electrode positive, DCEN negative"},
	{Name: "positions", Doc: "welding positions"},
	{Name: "diameters_amps", Doc: "diameter in mm, then amperes"},
	{Name: "base_families", Kind: data.List, Doc: "family ids"},
	{Name: "service", Doc: "what for"},
	{Name: "limits", Doc: "what against"},
	{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
}}

// Read reads and checks the classes. Everything wrong goes into faults.
func Read(files fs.FS, faults *data.Faults) []data.Row { return data.Read(files, Schema, faults).Rows }
