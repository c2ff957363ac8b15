package observation

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"rodcall/engine/data"
	"rodcall/engine/metal"
)

// Vocabulary holds the closed words that come from data: the tags of the scene, and what names a grade or a
// consumable class. A part that is missing is not checked.
type Vocabulary struct {
	Tags    *data.Tags
	IsGrade func(id string) bool
	IsClass func(name string) bool
}

// Parse reads an observation as the contract writes it, checking every key and closed word but those of the
// scene; see Vocabulary.Parse.
func Parse(raw json.RawMessage) (Observation, error) { return Vocabulary{}.Parse(raw) }

// Parse reads an observation as the contract writes it. Every unknown key, unknown word and impossible figure
// is named in one error, with the nearest known words. A single word stands for a list of one.
func (v Vocabulary) Parse(raw json.RawMessage) (Observation, error) {
	p := parser{Vocabulary: v}
	var o Observation
	p.object("observation", raw, observationFields(&p, &o))
	if len(p.faults) > 0 {
		return Observation{}, errors.New(strings.Join(p.faults, "; "))
	}
	return o, nil
}

// parser collects what is wrong, so that one run reports everything.
type parser struct {
	Vocabulary
	faults []string
}

func (p *parser) fault(key, format string, args ...any) {
	p.faults = append(p.faults, key+": "+fmt.Sprintf(format, args...))
}

// field reads the value of one key.
type field struct {
	name string
	read func(key string, raw json.RawMessage)
}

// object reads the keys of a JSON object; a key that no field reads is named with the nearest ones.
func (p *parser) object(name string, raw json.RawMessage, fields []field) {
	var values map[string]json.RawMessage
	if err := json.Unmarshal(raw, &values); err != nil || values == nil {
		p.fault(name, "should be an object")
		return
	}
	var names []string
	for _, f := range fields {
		names = append(names, f.name)
		value, ok := values[f.name]
		if !ok {
			continue
		}
		delete(values, f.name)
		if bytes.Equal(value, []byte("null")) {
			continue
		}
		key := f.name
		if name != "observation" {
			key = name + "." + key
		}
		f.read(key, value)
	}
	var unknown []string
	for key := range values {
		unknown = append(unknown, key)
	}
	slices.Sort(unknown)
	for _, key := range unknown {
		p.fault(name, "unknown key %q; did you mean %s?", key, strings.Join(Nearest(key, names), ", "))
	}
}

func observationFields(p *parser, o *Observation) []field {
	return []field{
		{"magnet", p.word(&o.Magnet, MagnetWords)},
		{"spark", p.spark(&o.Spark)},
		{"spark_skin", p.spark(&o.SparkSkin)},
		{"file", p.word(&o.File, FileWords)},
		{"hardness", p.hardness(&o.Hardness)},
		{"chip", p.word(&o.Chip, ChipWords)},
		{"rust", p.word(&o.Rust, RustWords)},
		{"density_g_cm3", p.number(&o.DensityGCM3, 0.5, 25)},
		{"weight", p.word(&o.Weight, WeightWords)},
		{"sound", p.word(&o.Sound, SoundWords)},
		{"fracture", p.words(&o.Fracture, nil)},
		{"color", p.words(&o.Color, nil)},
		{"torch", p.words(&o.Torch, nil)},
		{"surface", p.words(&o.Surface, nil)},
		{"part", p.word(&o.Part, nil)},
		{"marks", p.words(&o.Marks, nil)},
		{"service", p.words(&o.Service, ServiceWords)},
		{"service_temp_c", p.number(&o.ServiceTempC, -273, 3000)},
		{"chem", p.chem(&o.Chem)},
		{"chem_method", p.word(&o.ChemMethod, ChemMethods)},
		{"claim", p.claims(&o.Claim)},
		{"excluded", p.words(&o.Excluded, metal.Families)},
		{"job", p.word(&o.Job, Jobs)},
		{"joined_to", p.word(&o.JoinedTo, metal.Families)},
		{"size", p.size(&o.Size)},
		{"limits", p.words(&o.Limits, LimitWords)},
		{"have", p.classes(&o.Have)},
		{"cost", p.cost(&o.Cost)},
		{"scene", p.scene(&o.Scene)},
		{"process", p.words(&o.Process, ProcessWords)},
		{"test", p.words(&o.Test, TestWords)},
	}
}

// check reports an unknown word of a closed list.
func (p *parser) check(key, word string, known []string) bool {
	if known == nil || slices.Contains(known, word) {
		return true
	}
	p.fault(key, "unknown word %q; did you mean %s?", word, strings.Join(Nearest(word, known), ", "))
	return false
}

// word reads one word; a list of one is taken too. A nil list is open.
func (p *parser) word(into *string, known []string) func(string, json.RawMessage) {
	return func(key string, raw json.RawMessage) {
		var list []string
		p.words(&list, known)(key, raw)
		switch len(list) {
		case 0:
		case 1:
			*into = list[0]
		default:
			p.fault(key, "takes one word, not %d", len(list))
		}
	}
}

// words reads a list of words, or one word.
func (p *parser) words(into *[]string, known []string) func(string, json.RawMessage) {
	return func(key string, raw json.RawMessage) {
		var list []string
		if json.Unmarshal(raw, &list) != nil {
			var one string
			if json.Unmarshal(raw, &one) != nil {
				p.fault(key, "should be a word or a list of words")
				return
			}
			list = []string{one}
		}
		for _, word := range list {
			word = strings.TrimSpace(word)
			if word == "" {
				p.fault(key, "holds an empty word")
				continue
			}
			if p.check(key, word, known) && !slices.Contains(*into, word) {
				*into = append(*into, word)
			}
		}
	}
}

// number reads a figure between two limits.
func (p *parser) number(into **float64, low, high float64) func(string, json.RawMessage) {
	return func(key string, raw json.RawMessage) {
		v, ok := p.figure(key, raw, low, high)
		if ok {
			*into = &v
		}
	}
}

func (p *parser) figure(key string, raw json.RawMessage, low, high float64) (float64, bool) {
	var v float64
	if err := json.Unmarshal(raw, &v); err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		p.fault(key, "should be a number, not %s", clip(raw))
		return 0, false
	}
	if v < low || v > high {
		p.fault(key, "%g is outside %g to %g", v, low, high)
		return 0, false
	}
	return v, true
}

// clip shows the beginning of a value in an error.
func clip(raw json.RawMessage) string {
	const most = 40
	if len(raw) > most {
		return string(raw[:most]) + "…"
	}
	return string(raw)
}

func (p *parser) spark(into **Spark) func(string, json.RawMessage) {
	return func(key string, raw json.RawMessage) {
		s := &Spark{}
		p.object(key, raw, []field{
			{"volume", p.word(&s.Volume, VolumeWords)},
			{"length_in", p.number(&s.LengthIn, 0, 240)},
			{"length", p.word(&s.Length, LengthWords)},
			{"color_near", p.word(&s.ColorNear, SparkColors)},
			{"color_end", p.word(&s.ColorEnd, SparkColors)},
			{"bursts", p.word(&s.Bursts, BurstWords)},
			{"burst_form", p.word(&s.BurstForm, BurstForms)},
			{"spread", p.word(&s.Spread, SpreadWords)},
			{"against", func(key string, raw json.RawMessage) {
				a := &Against{}
				p.object(key, raw, []field{
					{"piece", p.word(&a.Piece, metal.Families)},
					{"length", p.word(&a.Length, AgainstWords)},
					{"volume", p.word(&a.Volume, AgainstWords)},
					{"bursts", p.word(&a.Bursts, AgainstWords)},
				})
				s.Against = a
			}},
		})
		*into = s
	}
}

// ScaleLimits are the figures that a hardness scale can show. HRC ends where the conversion table of steel
// does (ASTM E140 table 1); the other ends are the working ends of the scales (common practice).
var ScaleLimits = map[string][2]float64{
	"HB": {1, 750}, "HRC": {1, 68}, "HRB": {1, 120}, "HRA": {1, 95}, "HV": {1, 3000}, "HLD": {100, 960},
}

// onScale takes a reading that its scale can show; of another one it says where the scale ends and which
// scale was likely meant.
func (p *parser) onScale(key string, h Hardness, limits [2]float64) bool {
	switch {
	case h.Value > limits[1]:
		p.fault(key, "%g %s is above the scale's end (%g)%s", h.Value, h.Scale, limits[1], likelyScale(h))
	case h.Value < limits[0]:
		p.fault(key, "%g %s is below the scale's beginning (%g)", h.Value, h.Scale, limits[0])
	default:
		return true
	}
	return false
}

// likelyScale is the question after a figure that is too high for its scale: the next scale that can show it.
func likelyScale(h Hardness) string {
	for _, scale := range []string{"HRB", "HB", "HV"} {
		if limits := ScaleLimits[scale]; scale != h.Scale && h.Value >= limits[0] && h.Value <= limits[1] {
			return "; did you mean " + scale + "?"
		}
	}
	return ""
}

func (p *parser) hardness(into *[]Hardness) func(string, json.RawMessage) {
	return func(key string, raw json.RawMessage) {
		for _, one := range list(raw) {
			var h Hardness
			var value json.RawMessage
			p.object(key, one, []field{
				{"value", func(_ string, raw json.RawMessage) { value = raw }},
				{"scale", p.word(&h.Scale, HardnessScales)},
			})
			limits, ok := ScaleLimits[h.Scale]
			if !ok {
				p.fault(key, "needs a scale: %s", strings.Join(HardnessScales, ", "))
				continue
			}
			if value == nil {
				p.fault(key, "needs a value")
				continue
			}
			if h.Value, ok = p.figure(key+" "+h.Scale, value, math.Inf(-1), math.Inf(1)); ok && p.onScale(key, h, limits) {
				*into = append(*into, h)
			}
		}
	}
}

// list takes a JSON list apart; anything else is a list of one.
func list(raw json.RawMessage) []json.RawMessage {
	var many []json.RawMessage
	if json.Unmarshal(raw, &many) == nil {
		return many
	}
	return []json.RawMessage{raw}
}

func (p *parser) chem(into *map[string]float64) func(string, json.RawMessage) {
	return func(key string, raw json.RawMessage) {
		out := map[string]float64{}
		sum := 0.0
		var fields []field
		for _, element := range Elements {
			fields = append(fields, field{element, func(key string, raw json.RawMessage) {
				if v, ok := p.figure(key, raw, 0, 100); ok {
					out[element] = v
					sum += v
				}
			}})
		}
		p.object(key, raw, fields)
		if sum > 101 {
			p.fault(key, "sums to %.4g %%", sum)
		}
		if len(out) > 0 {
			*into = out
		}
	}
}

func (p *parser) claims(into *[]Claim) func(string, json.RawMessage) {
	return func(key string, raw json.RawMessage) {
		for _, one := range list(raw) {
			c := Claim{By: "rep"}
			if json.Unmarshal(one, &c.Metal) != nil {
				p.object(key, one, []field{{"metal", p.word(&c.Metal, nil)}, {"by", p.word(&c.By, ClaimBy)}})
			}
			if p.metal(key, c.Metal) {
				*into = append(*into, c)
			}
		}
	}
}

// metal reports an id that is neither a family nor, where the grades are known, a grade.
func (p *parser) metal(key, id string) bool {
	if id == "" {
		p.fault(key, "needs a metal: a family or grade id")
		return false
	}
	if metal.FamilyIndex(id) >= 0 || p.IsGrade == nil || p.IsGrade(id) {
		return true
	}
	p.fault(key, "unknown family or grade %q; did you mean %s?", id, strings.Join(Nearest(id, metal.Families), ", "))
	return false
}

func (p *parser) classes(into *[]string) func(string, json.RawMessage) {
	return func(key string, raw json.RawMessage) {
		p.words(into, nil)(key, raw)
		for _, class := range *into {
			if p.IsClass != nil && !p.IsClass(class) {
				p.fault(key, "unknown consumable class %q", class)
			}
		}
	}
}

func (p *parser) size(into **Size) func(string, json.RawMessage) {
	return func(key string, raw json.RawMessage) {
		const least, most = 0.001, 100000 // mm
		s := &Size{}
		p.object(key, raw, []field{
			{"thickness_mm", p.number(&s.ThicknessMM, least, most)}, {"length_mm", p.number(&s.LengthMM, least, most)},
			{"depth_mm", p.number(&s.DepthMM, least, most)}, {"width_mm", p.number(&s.WidthMM, least, most)},
			{"diameter_mm", p.number(&s.DiameterMM, least, most)},
		})
		*into = s
	}
}

func (p *parser) cost(into **Cost) func(string, json.RawMessage) {
	return func(key string, raw json.RawMessage) {
		c := &Cost{}
		fields := []field{{"currency", p.word(&c.Currency, Currencies)}}
		for _, f := range c.figures() {
			fields = append(fields, field{f.key, p.number(f.value, 0, MostCost)})
		}
		p.object(key, raw, fields)
		*into = c
	}
}

func (p *parser) scene(into **Scene) func(string, json.RawMessage) {
	return func(key string, raw json.RawMessage) {
		s := &Scene{}
		var fields []field
		for _, l := range s.Lists() {
			var known []string
			if p.Tags != nil && l.Key != "ask" {
				known = p.Tags.Of(l.Key)
			}
			fields = append(fields, field{l.Key, p.words(l.Words, known)})
		}
		p.object(key, raw, fields)
		*into = s
	}
}

// SceneList is one key of a scene with its words.
type SceneList struct {
	Key   string
	Words *[]string
}

// Lists are the keys of a scene in the order of the contract.
func (s *Scene) Lists() []SceneList {
	return []SceneList{{"site", &s.Site}, {"where", &s.Where}, {"use", &s.Use}, {"coating", &s.Coating}, {"enclosure", &s.Enclosure},
		{"residue", &s.Residue}, {"state", &s.State}, {"person", &s.Person}, {"temp", &s.Temp}, {"part", &s.Part}, {"ask", &s.Ask}}
}
