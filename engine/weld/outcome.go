package weld

import (
	"io/fs"
	"rodcall/engine/filler"
	"strings"

	"rodcall/engine/data"
	"rodcall/engine/metal"
)

// Kind says how a class fares on a metal, worst first.
type Kind uint8

const (
	Never      Kind = iota // wrong whatever the procedure
	Poor                   // avoid: poor, or sound only under a condition that is not met
	NotAdvised             // no row speaks for it
	Tolerant               // sound even if the metal is not quite what we think
	Supplied               // sound together with what the procedure brings
	Sound                  // sound
)

var kindNames = []string{"never", "poor", "not advised", "tolerant", "sound with the procedure", "sound"}

// String is the outcome in words.
func (k Kind) String() string { return kindNames[k] }

// suits holds for an outcome that a specialist would sign.
func (k Kind) suits() bool { return k >= Tolerant }

// The figures by which outcomes are weighed: 1 is a sound repair, 0 a part lost or someone hurt. All are
// judgement; their order matters more than their size.
const (
	utilityTolerant   = 0.84  // sound, but dearer or weaker than the matching class
	utilityNotAdvised = 0.50  // nobody vouches for it
	utilityShut       = 0.30  // fusion that the metal takes badly, whatever the class
	rankStep          = 0.02  // each place down in the table's own order
	namedStep         = 0.015 // each stated condition that a row speaks of: it was written for this job
	costPreheat       = 0.03
	costPreheatHurry  = 0.12 // in an emergency
	costPWHT          = 0.10
	costH4            = 0.02
	costButter        = 0.04
	costChoice        = 0.05    // the rep must accept something: lower strength, a limit of service
	costNoPreheat     = 0.06    // a repair without the preheat that others get
	costNoPWHT        = 0.14    // and without the heat treatment
	costLightDuty     = 0.30    // a patch that carries nothing is hardly a repair
	harmOfNever       = 1.0     // aversion: each chance of a never counts once more against a class
	harmOfCracks      = 0.4     // and each chance of a crack this much more
	crackUtility      = 0.25    // a poor outcome at or below this utility counts as a crack
	neverShare        = 0.02    // a class that is never for a family this likely is not recommended
	neverOfFamily     = 1.0 / 3 // of a family that it is never for: less is a subgroup, which wrong_if names
)

// consequenceWords is the closed list of what a bad choice does; the bit of a word is its place here.
var consequenceWords = []string{"cracks", "hydrogen-cracks", "hot-cracks", "liquid-metal-cracks", "brittle-zone", "porosity",
	"corrosion", "weak", "wear", "embrittles-in-service", "poor-conductivity", "no-bond", "needless-cost", "toxic-fume"}

const consequenceCount = 14

// familyCount is the number of metal.Families; a test holds them together.
const familyCount = 40

// consequence is one row of consequences.csv.
type consequence struct {
	utility float32
	phrase  string
}

var consequenceSchema = data.Schema{File: "consequences.csv", Key: []string{"consequence"}, Columns: []data.Column{
	{Name: "consequence", Kind: data.Word, Required: true, Of: consequenceWords},
	{Name: "utility", Kind: data.Number, Required: true, Min: 0.01, Max: 1, Doc: "worth of a repair that ends so, 0-1 (judgement)"},
	{Name: "phrase", Required: true, Doc: "for a rep, in a few words"},
	{Name: "meaning", Required: true},
	{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
}}

func (b *Book) loadConsequences(files fs.FS, faults *data.Faults) {
	table := data.Read(files, consequenceSchema, faults)
	for _, row := range table.Rows {
		for i, w := range consequenceWords {
			if w == row.Text("consequence") {
				b.harmTable[i] = consequence{float32(row.Value("utility", 0)), row.Text("phrase")}
			}
		}
	}
	for i, c := range b.harmTable {
		if c.phrase == "" {
			faults.Add(consequenceSchema.File, 0, "consequence", "%s has no row", consequenceWords[i])
		}
	}
}

// phraseOf puts a set of consequences into words, worst words first in the order of the closed list.
func (b *Book) phraseOf(set uint16) string {
	if text, ok := b.phrases[set]; ok {
		return text
	}
	var words []string
	for i, c := range b.harmTable {
		if set&(1<<i) != 0 {
			words = append(words, c.phrase)
		}
	}
	return strings.Join(words, ", ")
}

// consequences reads a list of consequence words and keeps the phrase of the set, so that it is put
// together once.
func (b *Book) consequences(words []string) (set uint16) {
	for _, w := range words {
		for i, known := range consequenceWords {
			if w == known {
				set |= 1 << i
			}
		}
	}
	b.phrases[set] = b.phraseOf(set)
	return set
}

// worst is the lowest utility among the consequences of a set; what has none is merely not advised.
func (b *Book) worst(set uint16) float32 {
	lowest := float32(utilityNotAdvised)
	for i, c := range b.harmTable {
		if set&(1<<i) != 0 && (c.utility < lowest || set == 1<<i) {
			lowest = c.utility
		}
	}
	return lowest
}

// outcome is how a class fares on a base in a role.
type outcome struct {
	kind        Kind
	rank        uint8
	consequence uint16    // set of consequences, for Never and Poor
	why         int32     // index of a text: the row's reason
	need        condition // what must go with it
	utility     float32   // 0 to 1
	fitting     float32   // what the row's naming of the stated conditions adds when classes are ranked
}

// harm is how much an outcome counts against a class beyond its low utility.
func (o *outcome) harm() float32 {
	switch {
	case o.kind == Never:
		return harmOfNever
	case o.kind == Poor && o.utility <= crackUtility:
		return harmOfCracks
	}
	return 0
}

func (b *Book) badOutcome(never bool, set uint16, why int32) outcome {
	if never {
		return outcome{kind: Never, consequence: set, why: why}
	}
	return outcome{kind: Poor, consequence: set, why: why, utility: b.worst(set)}
}

// cost is what the needed conditions take off the worth of a class.
func cost(need, met condition) float32 {
	c := float32(0)
	if need&preheated != 0 {
		if met&emergency != 0 {
			c += costPreheatHurry
		} else {
			c += costPreheat
		}
	}
	if need&pwhtDone != 0 {
		c += costPWHT
	}
	if need&h4 != 0 {
		c += costH4
	}
	if need&buttered != 0 {
		c += costButter
	}
	if need&(fullStrength|undermatch|notHeatService) != 0 {
		c += costChoice
	}
	if need&lightDuty != 0 {
		c += costLightDuty
	}
	return c
}

var silentSchema = data.Schema{File: "silent_pairs.csv", Key: []string{"group", "family"}, Columns: []data.Column{
	{Name: "group", Kind: data.Word, Required: true, Of: filler.Groups, Doc: "filler group of classifications.csv"},
	{Name: "family", Kind: data.Word, Required: true, Of: metal.Families, Doc: "base metal"},
	{Name: "verdict", Kind: data.Word, Required: true, Of: []string{"avoid", "never"}},
	{Name: "consequence", Kind: data.Words, Required: true, Of: consequenceWords},
	{Name: "why", Required: true},
	{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
}}

// loadSilent fills what holds where the matching tables are silent: by filler group and family, else not
// advised.
func (b *Book) loadSilent(files fs.FS, faults *data.Faults) {
	families := len(metal.Families)
	byGroup := map[[2]string]outcome{}
	for _, row := range data.Read(files, silentSchema, faults).Rows {
		byGroup[[2]string{row.Text("group"), row.Text("family")}] = b.badOutcome(row.Text("verdict") == "never",
			b.consequences(row.List("consequence")), b.text(row.Text("why")))
	}
	notAdvised := outcome{kind: NotAdvised, why: b.text("no proof that it holds"), utility: utilityNotAdvised}
	ofGroup := map[string][]uint16{}
	for _, group := range filler.Groups {
		row := make([]uint16, families)
		for f, family := range metal.Families {
			o, ok := byGroup[[2]string{group, family}]
			if !ok {
				o = notAdvised
			}
			row[f] = b.result(o)
		}
		ofGroup[group] = row
	}
	for c := range b.classes {
		b.silent = append(b.silent, ofGroup[b.classes[c].Group]...)
	}
}

// silence is how a class fares on a base of which no row speaks.
func (b *Book) silence(base, class int) outcome {
	return b.results[b.silent[class*len(metal.Families)+b.bases[base].Family]]
}

// result keeps an outcome once and gives its place.
func (b *Book) result(o outcome) uint16 {
	at, ok := b.resultAt[o]
	if !ok {
		at = uint16(len(b.results))
		b.results, b.resultAt[o] = append(b.results, o), at
	}
	return at
}
