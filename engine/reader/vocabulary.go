package reader

import (
	"embed"
	"io/fs"
	"slices"
	"strconv"
	"strings"

	"rodcall/engine/data"
	"rodcall/engine/metal"
	"rodcall/engine/observation"
	"rodcall/engine/reader/token"
)

//go:embed vocabulary/*.csv
var embedded embed.FS

// dataFiles is a folder of vocabulary tables.
type dataFiles = fs.FS

var vocabularyFiles = func() fs.FS {
	sub, err := fs.Sub(embedded, "vocabulary")
	if err != nil {
		panic(err) // the embed directive names this folder
	}
	return sub
}()

// tables are the files of the vocabulary; which one holds a row has no meaning.
var tables = []string{"spark.csv", "tests.csv", "metals.csv", "jobs.csv", "figures.csv", "speech.csv", "process_words.csv", "have_words.csv", "things.csv"}

func phraseSchema(file string) data.Schema {
	return data.Schema{File: file, Columns: []data.Column{
		{Name: "phrase", Kind: data.Text, Required: true, Doc: "the words; plurals, hyphens and case are folded"},
		{Name: "key", Kind: data.Text, Doc: "key of the contract, a topic, or what the kind says"},
		{Name: "value", Kind: data.Text, Doc: "the contract's word, family id, class or factor"},
		{Name: "kind", Kind: data.Word, Required: true, Of: kindNames[:], Doc: "what the row does"},
		{Name: "near", Kind: data.List, Sep: "|", Doc: "topics or words of which one must stand near; field:KEY is the value of a structured key; nothing: the phrase is all of its clause"},
		{Name: "not_near", Kind: data.List, Sep: "|", Doc: "words that void the row"},
		{Name: "negated", Kind: data.Text, Doc: "value under a negation; - understood, says nothing; empty: stays unread"},
		{Name: "weak", Kind: data.Text, Doc: "value under slightly, hardly"},
		{Name: "example", Kind: data.Text, Doc: "a message in which the row gives its value"},
		{Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs, Doc: "how firmly the meaning is held"},
		{Name: "note", Kind: data.Text, Doc: "remarks"},
	}}
}

var spellingSchema = data.Schema{File: "spelling.csv", Key: []string{"word"}, Columns: []data.Column{
	{Name: "word", Kind: data.Text, Required: true, Doc: "a spelling"},
	{Name: "same_as", Kind: data.Text, Required: true, Doc: "the spelling that the tables use; itself: the word is no plural"},
	{Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
}}

// plainSchema lists the ordinary words that lie one letter from a word of the tables.
var plainSchema = data.Schema{File: "plain_words.csv", Key: []string{"word"}, Columns: []data.Column{
	{Name: "word", Kind: data.Text, Required: true, Doc: "an ordinary word; never read as a typing error"},
	{Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
}}

// usualPhrases is about how many phrases the vocabulary holds: room that need not be made again and again.
const usualPhrases = 12 << 10

func newLexicon(files dataFiles, cat *metal.Catalogue, faults *data.Faults) *lexicon {
	l := &lexicon{forms: make(map[string]word, usualPhrases/2), same: map[string]string{}, steps: make(map[uint64]int32, usualPhrases),
		at: make([][]int32, roots, usualPhrases), entries: make([]entry, 0, usualPhrases),
		names: []string{""}, plain: map[string]bool{}, filler: []bool{false}, inside: []bool{false}, stop: []bool{false}}
	for _, row := range data.Read(files, spellingSchema, faults).Rows {
		l.same[row.Text("word")] = row.Text("same_as")
	}
	for _, row := range data.Read(files, plainSchema, faults).Rows {
		l.plain[row.Text("word")] = true
	}
	for _, file := range tables {
		for _, row := range data.Read(files, phraseSchema(file), faults).Rows {
			l.addRow(row)
		}
	}
	l.closedWords()
	l.tags = data.LoadTags(data.Files(), faults)
	l.metalNames(cat, faults)
	l.classes(faults)
	l.designations(cat)
	return l
}

func (l *lexicon) addRow(row data.Row) {
	e := entry{phrase: row.Text("phrase"), value: row.Text("value"), negated: row.Text("negated"), weak: row.Text("weak")}
	e.kind = kind(slices.Index(kindNames[:], row.Text("kind")))
	e.near, e.notNear = l.companies(row.List("near")), l.companies(row.List("not_near"))
	name := row.Text("key")
	switch e.kind {
	case kindWord, kindDamage, kindSymptom:
		switch e.kind {
		case kindDamage:
			e.role = damage
		case kindSymptom:
			e.role = symptom
		}
		e.kind = kindWord
		k, ok := keyNamed(name)
		if !ok {
			row.Fault("key", "unknown key %q", name)
		}
		e.key, e.topic = k, keys[k].topic
		if k == keyTest {
			e.topic = testTopic(e.value)
		}
		l.checkWord(row, e)
	case kindTopic:
		t, ok := topicNamed(name)
		if !ok {
			row.Fault("key", "unknown topic %q", name)
		}
		e.topic = t
		if e.value != "" || e.negated != "" || e.weak != "" {
			e.key = topicKey(t)
		}
	case kindMeasure, kindSection:
		k, ok := keyNamed(name)
		if !ok {
			row.Fault("key", "unknown key %q", name)
		}
		e.key, e.topic = k, topicOther
	case kindUnit, kindNumeral:
		f, err := strconv.ParseFloat(e.value, 64)
		if err != nil {
			row.Fault("value", "%q is no factor", e.value)
		}
		e.factor = f
		e.value = name // the dimension of a unit, the unit that a numeral implies
	case kindMetal:
		e.topic = topicOther
		l.checkFamilies(row, e)
	case kindFiller:
		w := l.word(e.phrase)
		l.filler[w], l.stop[w] = true, true
		l.inside[w] = e.value == "inside"
		return
	case kindComparer, kindPlace, kindElement, kindTurn:
		e.role = name
		if e.kind == kindPlace && strings.Contains(e.phrase, "wheel") {
			e.topic = topicSpark // only sparks are seen near the wheel
		}
	}
	if e.kind == kindChatter && len(token.Scan(e.phrase, nil)) == 1 {
		l.stop[l.word(e.phrase)] = true
	}
	l.add(e)
}

// testTopic is what a test that is named speaks of: "tried a file on it, slides off".
func testTopic(test string) topic {
	switch name, _, _ := strings.Cut(test, "-"); name {
	case "xrf", "libs":
		return topicChem
	default:
		if t, ok := topicNamed(name); ok {
			return t
		}
	}
	return topicOther
}

// Roles of a job word that says what is broken, or only what the damage does: "leaking".
const (
	damage  = "damage"
	symptom = "symptom"
)

// topicKey is the key that a negated topic fills: "no sparks" is a volume, "no bursts" a number of bursts.
func topicKey(t topic) key {
	switch t {
	case topicMagnet:
		return keyMagnet
	case topicSpark:
		return keyVolume
	case topicBurst:
		return keyBursts
	case topicRust:
		return keyRust
	}
	return keyNone
}

func (l *lexicon) companies(names []string) []company {
	var out []company
	for _, name := range names {
		if field, ok := strings.CutPrefix(name, "field:"); ok {
			k, _ := keyNamed(field)
			out = append(out, company{field: k})
			continue
		}
		if t, ok := topicNamed(name); ok {
			out = append(out, company{topic: t})
			continue
		}
		if name == "nothing" {
			out = append(out, company{alone: true})
			continue
		}
		out = append(out, company{word: l.word(name)})
	}
	return out
}

// closedLists are the contract's words by key: in a structured field each of them is read as it is written.
var closedLists = map[key][]string{
	keyMagnet: observation.MagnetWords, keyVolume: observation.VolumeWords, keyLength: observation.LengthWords,
	keyColor: observation.SparkColors, keyBursts: observation.BurstWords, keyBurstForm: observation.BurstForms,
	keySpread: observation.SpreadWords, keyFile: observation.FileWords, keyChip: observation.ChipWords,
	keyRust: observation.RustWords, keyWeight: observation.WeightWords, keySound: observation.SoundWords,
	keyFracture: observation.FractureWords, keyMetalColor: observation.ColorWords, keyTorch: observation.TorchWords,
	keySurface: observation.SurfaceWords, keyJob: observation.Jobs, keyLimits: observation.LimitWords,
	keyService: observation.ServiceWords, keyChemMethod: observation.ChemMethods,
	keyProcess: observation.ProcessWords, keyTest: observation.TestWords,
}

func (l *lexicon) closedWords() {
	for k := key(1); k < keyCount; k++ {
		for _, w := range closedLists[k] {
			l.add(entry{phrase: w, kind: kindWord, key: k, value: w, topic: keys[k].topic, near: []company{{field: k}}})
		}
	}
	for _, family := range metal.Families {
		l.add(entry{phrase: family, kind: kindMetal, value: family, negated: family, topic: topicOther, id: true})
	}
}

// checkWord makes sure that a row can only give words of the contract.
func (l *lexicon) checkWord(row data.Row, e entry) {
	closed, ok := closedLists[e.key]
	if !ok {
		return
	}
	for column, value := range map[string]string{"value": e.value, "negated": e.negated, "weak": e.weak} {
		if value != "" && value != "-" && !slices.Contains(closed, value) {
			row.Fault(column, "%q is no word of %s", value, keys[e.key].name)
		}
	}
}

func (l *lexicon) checkFamilies(row data.Row, e entry) {
	for _, id := range strings.Fields(e.negated) {
		if metal.FamilyIndex(id) < 0 {
			row.Fault("negated", "unknown family %q", id)
		}
	}
	if e.value != "" && metal.FamilyIndex(e.value) < 0 {
		row.Fault("value", "unknown family %q", e.value)
	}
}

var metalNameSchema = data.Schema{File: "metal_names.csv", Key: []string{"name"}, Columns: []data.Column{
	{Name: "name", Required: true, Doc: "what people say, lower case"},
	{Name: "means", Kind: data.List, Required: true, Doc: "one family id, one grade id, or several families (a class)"},
	{Name: "mark", Required: true, Doc: "how firmly that is held"},
}}

// mostFamilies is how many families a class may hold and still claim something: "steel" says too little.
const mostFamilies = 5

// metalNames adds what people call a metal. A class of families claims its first, which is the usual one,
// and excludes all of them.
func (l *lexicon) metalNames(cat *metal.Catalogue, faults *data.Faults) {
	for _, row := range data.Read(data.Files(), metalNameSchema, faults).Rows {
		means := row.List("means")
		e := entry{phrase: row.Text("name"), kind: kindMetal, value: means[0], negated: strings.Join(means, " "), topic: topicOther}
		if len(means) > mostFamilies {
			e.value = ""
		}
		if g, ok := cat.Grade(means[0]); ok {
			e.negated = g.Family
		}
		l.add(e)
	}
}

// designations adds the standards' names of the grades: "AISI/SAE 4140" is known as 4140, "C45" as C45. A
// short figure alone is no name.
func (l *lexicon) designations(cat *metal.Catalogue) {
	if cat == nil {
		return
	}
	owner := map[string]string{}
	family := map[string]string{}
	var order []string
	for i := range cat.Grades {
		g := &cat.Grades[i]
		l.add(entry{phrase: g.ID, kind: kindMetal, value: g.ID, negated: g.Family, topic: topicOther, id: true})
		for _, d := range g.Designations {
			for _, name := range designationNames(d) {
				if _, taken := owner[name]; taken {
					if owner[name] != g.ID {
						owner[name] = "" // two grades of one name: no grade is meant for sure
						if family[name] != g.Family {
							family[name] = ""
						}
					}
					continue
				}
				owner[name], family[name] = g.ID, g.Family
				order = append(order, name)
			}
		}
	}
	for _, name := range order {
		value := owner[name]
		if value == "" {
			value = family[name]
		}
		if value != "" {
			l.add(entry{phrase: name, kind: kindMetal, value: value, negated: family[name], topic: topicOther})
		}
	}
}

// issuers are the words before a designation that people leave out.
var issuers = []string{"aisi/sae ", "aisi ", "sae ", "astm ", "uns ", "en ", "din ", "jis ", "gb ", "bs ", "type ", "aa "}

// designationNames are the ways in which one designation is written. A name that is near only, or that is
// no more than a short word or figure, gives none.
func designationNames(designation string) []string {
	text := strings.ToLower(strings.TrimSpace(designation))
	if strings.Contains(text, "(near)") {
		return nil
	}
	text, _, _ = strings.Cut(text, "(")
	text = strings.TrimSpace(text)
	out := []string{text}
	if last := text[strings.LastIndexByte(text, ' ')+1:]; len(last) < len(text) && ownCode(last) {
		out = append(out, last)
	}
	for _, issuer := range issuers {
		if rest, ok := strings.CutPrefix(text, issuer); ok && tellsItself(rest) {
			out = append(out, rest)
		}
	}
	if len(out) == 1 && !tellsItself(text) {
		return nil
	}
	return out
}

// ownCode reports whether the last word of a designation is a code that stands for it alone: CF8M, WC6, CA15.
func ownCode(word string) bool {
	const shortest = 3
	return len(strings.ReplaceAll(word, "-", "")) >= shortest && word[0] >= 'a' && strings.ContainsAny(word, "0123456789") && !strings.ContainsAny(word, "/.")
}

// tellsItself reports whether a designation without its issuer is not taken for something else: figures
// have three digits or more, others hold both letters and digits.
func tellsItself(name string) bool {
	digits, letters := 0, 0
	for i := 0; i < len(name); i++ {
		switch c := name[i]; {
		case c >= '0' && c <= '9':
			digits++
		case c >= 'a' && c <= 'z':
			letters++
		}
	}
	return digits >= 3 && letters == 0 || digits >= 1 && letters >= 1 || letters >= 4
}
