package reply

import (
	"fmt"
	"slices"
	"strings"

	"rodcall/engine/observation"
)

// Fact is one observed value as people say it.
type Fact struct {
	Key   string // key of the contract, with a dot before a part of it ("size.thickness_mm")
	Label string // what a person calls the key
	Value string // in words, in the rep's units
}

// Change is what a message did to one fact: From is "" for a new one, To for one that is gone.
type Change struct {
	Key, Label, From, To string
}

// list collects facts in the order in which they are added, leaving out what was not reported.
type list []Fact

func (l *list) word(key, label, value string) {
	if value != "" {
		*l = append(*l, Fact{key, label, spoken(value)})
	}
}

func (l *list) words(key, label string, values []string) {
	l.word(key, label, strings.Join(values, ", "))
}

func (l *list) figure(key, label string, value *float64, show func(float64) string) {
	if value != nil {
		*l = append(*l, Fact{key, label, show(*value)})
	}
}

// spoken makes a closed word of the contract readable: "very-small" is "very small". Words with figures
// in them (classes, marks) keep their hyphens.
func spoken(word string) string {
	if strings.ContainsAny(word, "0123456789") {
		return word
	}
	return strings.ReplaceAll(word, "-", " ")
}

// Facts lists what an observation reports, in a fixed order.
func Facts(o observation.Observation, c Context) []Fact {
	var l list
	l.word("part", "part", o.Part)
	l.words("marks", "marks", o.Marks)
	l.word("magnet", "magnet", o.Magnet)
	l.spark("spark", "spark", o.Spark, c)
	l.spark("spark_skin", "skin spark", o.SparkSkin, c)
	l.word("file", "file", o.File)
	for i, h := range o.Hardness {
		l.word(fmt.Sprintf("hardness.%d", i), "hardness", fmt.Sprintf("%s %s", trimNumber(h.Value, 1), h.Scale))
	}
	l.word("chip", "chip", o.Chip)
	l.word("rust", "rust", o.Rust)
	l.figure("density_g_cm3", "density", o.DensityGCM3, func(v float64) string { return trimNumber(v, 2) + " g/cm3" })
	l.word("weight", "weight", o.Weight)
	l.word("sound", "sound", o.Sound)
	l.words("fracture", "fracture", o.Fracture)
	l.words("color", "colour", o.Color)
	l.words("torch", "torch", o.Torch)
	l.words("surface", "surface", o.Surface)
	l.chem(o)
	l.claims(o, c)
	for _, family := range o.Excluded {
		_, short := c.name(family)
		l.word("excluded."+family, "not", short)
	}
	l.job(o, c)
	l.scene(o.Scene)
	return l
}

func (l *list) spark(key, label string, s *observation.Spark, c Context) {
	if s == nil {
		return
	}
	l.word(key+".volume", label+" volume", s.Volume)
	l.figure(key+".length_in", label+" length", s.LengthIn, func(v float64) string { return length(v*25.4, c) })
	l.word(key+".length", label+" length", s.Length)
	l.word(key+".color_near", label+" colour at the wheel", s.ColorNear)
	l.word(key+".color_end", label+" colour at the end", s.ColorEnd)
	l.word(key+".bursts", label+" bursts", s.Bursts)
	l.word(key+".burst_form", label+" burst form", s.BurstForm)
	l.word(key+".spread", label+" spread", s.Spread)
	if a := s.Against; a != nil {
		piece := "the known piece"
		if a.Piece != "" {
			piece, _ = c.name(a.Piece)
		}
		beside := " beside " + piece
		l.word(key+".against.length", label+" length"+beside, a.Length)
		l.word(key+".against.volume", label+" volume"+beside, a.Volume)
		l.word(key+".against.bursts", label+" bursts"+beside, a.Bursts)
	}
}

// chem lists the analysis in the order of the contract's elements; others follow in the order of the alphabet.
func (l *list) chem(o observation.Observation) {
	var rest []string
	for element := range o.Chem {
		if !slices.Contains(observation.Elements, element) {
			rest = append(rest, element)
		}
	}
	slices.Sort(rest)
	for _, element := range append(slices.Clone(observation.Elements), rest...) {
		if v, ok := o.Chem[element]; ok {
			l.word("chem."+element, element, trimNumber(v, 3)+" %")
		}
	}
	l.word("chem_method", "analysis by", o.ChemMethod)
}

func (l *list) claims(o observation.Observation, c Context) {
	for i, claim := range o.Claim {
		name, _ := c.name(claim.Metal)
		by := claim.By
		if by == "" {
			by = "rep"
		}
		l.word(fmt.Sprintf("claim.%d", i), "said to be", name+" (by "+by+")")
	}
}

func (l *list) job(o observation.Observation, c Context) {
	l.word("job", "job", o.Job)
	if o.JoinedTo != "" {
		name, _ := c.name(o.JoinedTo)
		l.word("joined_to", "joined to", name)
	}
	if s := o.Size; s != nil {
		mm := func(v float64) string { return length(v, c) }
		l.figure("size.thickness_mm", "thick", s.ThicknessMM, mm)
		l.figure("size.length_mm", "long", s.LengthMM, mm)
		l.figure("size.depth_mm", "deep", s.DepthMM, mm)
		l.figure("size.width_mm", "wide", s.WidthMM, mm)
		l.figure("size.diameter_mm", "diameter", s.DiameterMM, mm)
	}
	l.words("service", "service", o.Service)
	l.figure("service_temp_c", "works at", o.ServiceTempC, func(v float64) string { return degrees(v, c) })
	l.words("limits", "limits", o.Limits)
	l.words("have", "at hand", o.Have)
	l.cost(o)
}

// scene lists the surroundings. The safety tags of the part itself (Part, Ask) and the process and test
// words are the program's own book-keeping and are not told.
func (l *list) scene(s *observation.Scene) {
	if s == nil {
		return
	}
	l.words("scene.site", "site", s.Site)
	l.words("scene.where", "where", s.Where)
	l.words("scene.use", "use", s.Use)
	l.words("scene.coating", "coating", s.Coating)
	l.words("scene.enclosure", "enclosure", s.Enclosure)
	l.words("scene.residue", "residue", s.Residue)
	l.words("scene.state", "state", s.State)
	l.words("scene.person", "person", s.Person)
	l.words("scene.temp", "heat", s.Temp)
}

// Changes lists what a message did to the facts: replaced ones first, then those that are gone, then new ones.
func Changes(before, after observation.Observation, c Context) []Change {
	was, is := Facts(before, c), Facts(after, c)
	var replaced, gone, fresh []Change
	for _, old := range was {
		switch at := find(is, old.Key); {
		case at < 0:
			gone = append(gone, Change{old.Key, old.Label, old.Value, ""})
		case is[at].Value != old.Value:
			replaced = append(replaced, Change{old.Key, is[at].Label, old.Value, is[at].Value})
		}
	}
	for _, now := range is {
		if find(was, now.Key) < 0 {
			fresh = append(fresh, Change{now.Key, now.Label, "", now.Value})
		}
	}
	return append(append(replaced, gone...), fresh...)
}

func find(facts []Fact, key string) int {
	return slices.IndexFunc(facts, func(f Fact) bool { return f.Key == key })
}

// changeText tells the first n changes in one sentence, and how many there are besides.
func changeText(changes []Change, n int) string {
	var told []string
	news := false // "New:" stands once, before the first new fact
	for _, ch := range changes[:min(n, len(changes))] {
		switch {
		case ch.To == "":
			told = append(told, "gone: "+ch.Label+" "+ch.From)
		case ch.From != "":
			told = append(told, ch.Label+" "+ch.From+" -> "+ch.To)
		case news:
			told = append(told, ch.Label+" "+ch.To)
		default:
			told, news = append(told, "new: "+ch.Label+" "+ch.To), true
		}
	}
	if more := len(changes) - n; more > 0 {
		told = append(told, fmt.Sprintf("and %d more", more))
	}
	return upperFirst(strings.Join(told, "; "))
}

// changeForms tell the changes in full, then in three, two and one line.
func changeForms(changes []Change) [][]string {
	forms := [][]string{paragraph(changeText(changes, len(changes)))}
	for _, lines := range []int{3, 2, 1} {
		form := clipLines(forms[0], lines)
		for n := len(changes); n > 0; n-- {
			if all := paragraph(changeText(changes, n)); len(all) <= lines {
				form = all
				break
			}
		}
		forms = append(forms, form)
	}
	return forms
}
