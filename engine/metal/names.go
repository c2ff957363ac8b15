package metal

import (
	"regexp"
	"slices"
	"strings"

	"rodcall/engine/data"
)

var metalNameSchema = data.Schema{File: "metal_names.csv", Key: []string{"name"}, Columns: []data.Column{
	{Name: "name", Required: true, Doc: "what people say, lower case"},
	{Name: "means", Kind: data.List, Required: true, Doc: "one family id, one grade id, or several families (a class)"},
	{Name: "mark", Required: true, Doc: "how firmly that is held"},
}}

var metalWordSchema = data.Schema{File: "metal_words.csv", Key: []string{"word"}, Columns: []data.Column{
	{Name: "word", Required: true, Doc: "a word that stands beside a designation"},
	{Name: "kind", Kind: data.Word, Required: true, Of: []string{filler, "form", "metal"}, Doc: "what it says of the metal"},
	{Name: "groups", Kind: data.Words, Of: Groups, Doc: "metal: the groups of families that it agrees with"},
	{Name: "mark", Required: true, Doc: "how firmly that is held"},
}}

// filler is the kind of word that is dropped from designations and from what people say alike: "ASTM", "grade".
const filler = "filler"

// besideWord is a row of metal_words.csv.
type besideWord struct {
	kind   string
	groups []string
}

// rank says how well a key stands for a grade; the best rank that a key has decides.
type rank int

const (
	own       rank = iota // its own designation
	near                  // a designation that is only roughly equal
	start                 // the beginning of its own designation: the standard without the grade
	startNear             // the beginning of a near one
	ranks                 // how many there are
)

// metalRef lists the grades (indices of Catalogue.Grades) that a key may mean, by rank.
type metalRef [ranks][]int

// spokenName is what a name of metal_names.csv means: a grade with its family, or one or several families.
type spokenName struct {
	grade    string
	families []string
}

func (l *loader) metalNames() {
	c := l.c
	c.beside = map[string]besideWord{}
	for _, row := range data.Read(l.files, metalWordSchema, l.faults).Rows {
		l.marks.Check(row, "mark")
		c.beside[row.Text("word")] = besideWord{kind: row.Text("kind"), groups: row.List("groups")}
		if (row.Text("kind") == "metal") != (row.Text("groups") != "") {
			row.Fault("groups", "a metal word has groups, another has none")
		}
	}
	c.spoken = map[string]spokenName{}
	for _, row := range data.Read(l.files, metalNameSchema, l.faults).Rows {
		l.marks.Check(row, "mark")
		key, name := fold(c.withoutFillers(words(row.Text("name")))), l.spokenName(row)
		if first, ok := c.spoken[key]; ok && !slices.Equal(first.families, name.families) {
			row.Fault("name", "%q reads like another name but means something else", row.Text("name"))
		}
		c.spoken[key] = name
	}
	c.designations = make(map[string]*metalRef, 8*len(c.Grades))
	for i := range c.Grades {
		c.indexGrade(i)
	}
}

func (l *loader) spokenName(row data.Row) spokenName {
	means := row.List("means")
	if len(means) == 1 {
		if g, ok := l.c.Grade(means[0]); ok {
			return spokenName{grade: g.ID, families: []string{g.Family}}
		}
	}
	for _, id := range means {
		if FamilyIndex(id) < 0 {
			row.Fault("means", "%q is neither a family nor a grade", id)
		}
	}
	return spokenName{families: means}
}

var parentheses = regexp.MustCompile(`\([^)]*\)`)

// indexGrade enters everything that stands for a grade by itself: its id, its designations, the codes in
// them, and their beginnings.
func (c *Catalogue) indexGrade(i int) {
	g := &c.Grades[i]
	c.index(fold(c.withoutFillers(words(strings.ReplaceAll(g.ID, "-", " ")))), own, i)
	for _, designation := range g.Designations {
		full, part := own, start
		if isNear(designation) {
			full, part = near, startNear
		}
		designation = strings.TrimPrefix(parentheses.ReplaceAllString(designation, ""), "near ")
		for _, alternative := range alternatives(designation) {
			c.indexDesignation(alternative, full, part, i)
		}
	}
}

func (c *Catalogue) indexDesignation(designation string, full, part rank, i int) {
	all := c.withoutFillers(words(designation))
	if len(all) == 0 {
		return
	}
	c.index(fold(all), full, i)
	if strings.ContainsAny(all[0], "0123456789") {
		for n := 1; n < len(all); n++ {
			c.index(fold(all[:n]), part, i)
		}
	}
	for _, word := range all {
		for _, code := range codes(word) {
			c.index(code, full, i)
		}
	}
	if last := lastField(designation); castingClass.MatchString(last) {
		c.index(strings.ToLower(last), full, i)
	}
}

// alternatives spells out "A743/A744/A351 CF8M" and "S32205/S31803": one designation for each word that
// slashes part, as long as each of them is a code of letters and digits or a European material number.
//
// More than maxAlternatives are not spelled out: nobody writes so many.
func alternatives(designation string) []string {
	out := []string{""}
	for _, word := range strings.Fields(designation) {
		choices := strings.Split(word, "/")
		for _, choice := range choices {
			if !slashCode.MatchString(choice) || len(out)*len(choices) > maxAlternatives {
				choices = []string{word}
				break
			}
		}
		var longer []string
		for _, head := range out {
			for _, choice := range choices {
				longer = append(longer, strings.TrimSpace(head+" "+choice))
			}
		}
		out = longer
	}
	return out
}

const maxAlternatives = 8

// maxNameWords is more than the longest name of a metal has.
const maxNameWords = 12

var (
	slashCode    = regexp.MustCompile(`^([A-Za-z]+[0-9]+|[0-9]\.[0-9]{4})$`)
	castingClass = regexp.MustCompile(`^[A-Z]{3}$`) // the valve-casting classes WCB, LCB have no digit
	ownCode      = regexp.MustCompile(`^([a-z]+[0-9][a-z0-9]*|[0-9]+[a-z][a-z0-9]+|[0-9]\.[0-9]{4}|[0-9]+-[0-9]+-[0-9]+)$`)
	copperNumber = regexp.MustCompile(`^c[0-9]{3}00$`)
	castAluminum = regexp.MustCompile(`^a?[0-9]{3}\.0$`)
)

// codes lists the keys that a word of a designation is by itself: a code of letters and digits of three
// signs or more, and the short form that the trade uses (C954 for C95400, A356 for A356.0).
func codes(word string) []string {
	key := fold([]string{word})
	switch {
	case copperNumber.MatchString(key):
		return []string{key, strings.TrimSuffix(key, "00")}
	case castAluminum.MatchString(key):
		return []string{key, strings.TrimSuffix(key, ".0")}
	case len(key) >= 3 && ownCode.MatchString(key):
		return []string{key}
	default:
		return nil
	}
}

func lastField(text string) string {
	fields := strings.Fields(text)
	if len(fields) == 0 {
		return ""
	}
	return fields[len(fields)-1]
}

func (c *Catalogue) index(key string, r rank, grade int) {
	ref := c.designations[key]
	if ref == nil {
		ref = &metalRef{}
		c.designations[key] = ref
	}
	if !slices.Contains(ref[r], grade) {
		ref[r] = append(ref[r], grade)
	}
}

func (c *Catalogue) withoutFillers(all []string) []string {
	var out []string
	for _, word := range all {
		if c.beside[word].kind != filler {
			out = append(out, word)
		}
	}
	return out
}

// FindMetal reads the name of a metal: a family or grade id, a designation ("4140", "A36", "en 42CrMo4",
// "C95400", "304 stainless") or a spoken family name ("mild steel"). A designation that leaves the grade
// open but not the family ("A572", "A128") gives the family with an empty gradeID. Words that name several
// families ("cast iron") or none are not found; FindClass knows the former.
func (c *Catalogue) FindMetal(text string) (family, gradeID string, ok bool) {
	id := strings.ToLower(strings.TrimSpace(text))
	if FamilyIndex(id) >= 0 {
		return id, "", true
	}
	if g, ok := c.Grade(id); ok {
		return g.Family, g.ID, true
	}
	for _, alternative := range alternatives(parentheses.ReplaceAllString(text, " ")) {
		all := c.withoutFillers(splitStainless(words(alternative)))
		if family, gradeID, ok = c.findWords(all); !ok && len(all) > 1 && all[0] == "a" {
			family, gradeID, ok = c.findWords(all[1:])
		}
		if ok {
			return family, gradeID, true
		}
	}
	return "", "", false
}

// findWords looks the words up as they stand, then as a designation beside a spoken name ("D2 tool steel"),
// then without the words that stand beside a designation. A metal that is named must agree with what was found.
func (c *Catalogue) findWords(all []string) (family, gradeID string, ok bool) {
	if len(all) > maxNameWords {
		return "", "", false
	}
	if family, gradeID, ok = c.lookup(fold(all)); ok {
		return family, gradeID, true
	}
	if family, gradeID, ok = c.findBeside(all); ok {
		return family, gradeID, true
	}
	var rest []string
	var agree [][]string
	for _, word := range all {
		beside, known := c.beside[word]
		switch {
		case !known:
			rest = append(rest, word)
		case beside.kind == "metal":
			agree = append(agree, beside.groups)
		}
	}
	family, gradeID, ok = c.lookup(fold(rest))
	for _, groups := range agree {
		ok = ok && slices.Contains(groups, c.FamilyGroup(family))
	}
	if !ok {
		return "", "", false
	}
	return family, gradeID, true
}

// findBeside parts the words into a designation and a spoken name that agree, whichever stands first. Where both
// are names, the one that tells the grade decides.
func (c *Catalogue) findBeside(all []string) (family, gradeID string, ok bool) {
	for cut := 1; cut < len(all); cut++ {
		for _, pair := range [][2]string{{fold(all[:cut]), fold(all[cut:])}, {fold(all[cut:]), fold(all[:cut])}} {
			of, grade, found := c.lookup(pair[0])
			name, spoken := c.spoken[pair[1]]
			if !found || !spoken || !slices.Contains(name.families, of) || ok && grade == "" {
				continue
			}
			if family, gradeID, ok = of, grade, true; grade != "" {
				return family, gradeID, true
			}
		}
	}
	return family, gradeID, ok
}

// FindClass reads a word that stands for several families ("cast iron", "stainless", "steel") and lists
// them in the order of metal_names.csv.
func (c *Catalogue) FindClass(text string) (families []string, ok bool) {
	name, ok := c.spoken[fold(c.withoutFillers(words(text)))]
	if !ok || len(name.families) < 2 {
		return nil, false
	}
	return slices.Clone(name.families), true
}

func (c *Catalogue) lookup(key string) (family, gradeID string, ok bool) {
	if key == "" {
		return "", "", false
	}
	if name, ok := c.spoken[key]; ok {
		return name.families[0], name.grade, len(name.families) == 1
	}
	ref := c.designations[key]
	if ref == nil {
		return "", "", false
	}
	for _, grades := range ref {
		if len(grades) == 0 {
			continue
		}
		first := c.Grades[grades[0]]
		for _, g := range grades[1:] {
			if c.Grades[g].Family != first.Family {
				return "", "", false
			}
		}
		if len(grades) > 1 {
			return first.Family, "", true
		}
		return first.Family, first.ID, true
	}
	return "", "", false
}

// splitStainless parts "ss304" and "304ss" into two words, as people write them.
func splitStainless(all []string) []string {
	var out []string
	for _, word := range all {
		switch {
		case len(word) > 4 && strings.HasPrefix(word, "ss") && isDigit(rune(word[2])):
			out = append(out, "ss", word[2:])
		case len(word) > 4 && strings.HasSuffix(word, "ss") && isDigit(rune(word[0])):
			out = append(out, word[:len(word)-2], "ss")
		default:
			out = append(out, word)
		}
	}
	return out
}
