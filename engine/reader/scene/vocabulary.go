package scene

import (
	"io/fs"
	"regexp"
	"slices"
	"strings"

	"rodcall/engine/data"
)

// meaning is one thing that an ambiguous word can be.
type meaning struct {
	tag     int // index in tags.csv; -1 is "ordinary"
	near    []int32
	notNear []int32
}

// entry is one line of word_tags.csv: an ambiguous word.
type entry struct {
	word     string
	phrase   int32
	meanings []meaning
	rule     string // what holds when nothing decides: ask | tag | ordinary
	question string // the caution that is asked
}

// sense is one line of scene_words.csv: what phrases say of the scene.
type sense struct {
	tags   []int
	asks   []string
	unless []int32
	near   []int32
	covers bool // the words inside are not read as ambiguous words
}

// use is what a phrase stands for; a phrase may serve several.
type use struct {
	entries []int32
	senses  []int32
	parts   []string // the phrase is a name of these parts

	// compoundOf are the entries for which the phrase is an ordinary compound that holds their word
	// ("press wheel" for press): the other ambiguous words inside are part of it.
	compoundOf []int32
	sign       sign
	plain      bool // listed among the signs as a phrase that is none ("no idea")
}

// sign is the part that a phrase plays in a sentence.
type sign uint16

const (
	denies     sign = 1 << iota // "no", "not": what follows is not there
	never                       // "never": only the very next words
	doubts                      // "not sure if", "maybe"
	attaches                    // a loose thing that hangs on a vessel: stand, bracket, door
	originates                  // "off", "from": what follows is where the part came from
	blocks                      // a preposition or verb that ends the reach of a denial
	piece                       // a small thing that a dangerous word before it only describes: washer, cover
	head                        // the last word of a compound, which says what the thing is: arm, frame, hole
	happens                     // what befell a thing, or what is to be done with it: it ends a compound
	corrects                    // "no its", "i mean": what stands before is taken back
	spot                        // a place on a thing: lid, seam
)

var signNames = map[string]sign{"denies": denies, "never": never, "doubts": doubts, "attaches": attaches, "originates": originates, "blocks": blocks, "piece": piece,
	"head": head, "happens": happens, "corrects": corrects, "spot": spot}

// partEntry is one line of part_tags.csv.
type partEntry struct {
	tags  []int
	ask   string
	words []int32 // the words of the name, for telling what a message's word belongs to
}

var (
	wordSchema = data.Schema{File: "word_tags.csv", Key: []string{"word"}, Columns: []data.Column{
		{Name: "word", Required: true, Doc: "an ambiguous word or compound"},
		{Name: "meanings", Required: true, Doc: "tag[near=a|b;not_near=c] / ordinary[...]; a tag is a part tag or key=value"},
		{Name: "default", Kind: data.Word, Required: true, Of: []string{"ask", "tag", "ordinary"}, Doc: "what holds when no near word decides"},
		{Name: "question", Required: true, Doc: "the caution that is asked about"},
		{Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs, Doc: "how firmly the row is held"},
	}}
	partSchema = data.Schema{File: "part_tags.csv", Key: []string{"part"}, Columns: []data.Column{
		{Name: "part", Required: true, Doc: "name of parts.csv"},
		{Name: "tags", Kind: data.List, Doc: "part tags that the whole part certainly has; empty means ordinary"},
		{Name: "ask", Doc: "caution that is asked about it"},
		{Name: "note", Doc: "why"},
		{Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs, Doc: "how firmly the row is held"},
	}}
	senseSchema = data.Schema{File: "scene_words.csv", Key: []string{"sets", "phrases"}, Columns: []data.Column{
		{Name: "sets", Kind: data.List, Required: true, Doc: "key=tag, ask=caution, or nothing (harmless words that look like others)"},
		{Name: "phrases", Kind: data.List, Sep: "|", Required: true, Doc: "ways of saying it; # is any figure, ~ up to three words between"},
		{Name: "unless", Kind: data.List, Sep: "|", Doc: "words that must not stand in the message"},
		{Name: "near", Kind: data.List, Sep: "|", Doc: "words of which one must stand in the message"},
		{Name: "covers", Kind: data.Word, Of: []string{"yes"}, Doc: "yes: words inside are not read as ambiguous words"},
		{Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs, Doc: "how firmly the row is held"},
	}}
	signSchema = data.Schema{File: "scene_signs.csv", Key: []string{"phrase"}, Columns: []data.Column{
		{Name: "phrase", Required: true, Doc: "a phrase that turns what stands beside it"},
		{Name: "sign", Required: true, Doc: "denies | never | doubts | attaches | originates | blocks | piece | head | happens | corrects | spot | plain (no sign, though a part of it is one)"},
		{Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs, Doc: "how firmly the row is held"},
	}}
	variantSchema = data.Schema{File: "scene_variants.csv", Key: []string{"variant"}, Columns: []data.Column{
		{Name: "variant", Required: true, Doc: "how somebody spells it"},
		{Name: "word", Required: true, Doc: "the word of the vocabulary; the same word means: no form of a verb"},
		{Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs, Doc: "how firmly the row is held"},
	}}
	nameSchema = data.Schema{File: "part_names.csv", Columns: []data.Column{
		{Name: "variant", Required: true, Doc: "what a rep calls a part"},
		{Name: "part", Required: true, Doc: "name of parts.csv"},
		{Name: "weight"}, {Name: "mark"}, {Name: "note"},
	}}
	attachSchema = data.Schema{File: "attachment_asks.csv", Key: []string{"tag"}, Columns: []data.Column{
		{Name: "tag", Required: true, Doc: "part tag, or ask=caution for a question about a word that nothing decides"},
		{Name: "ask", Doc: "caution asked when a loose thing of it is named; empty means that the loose thing is ordinary"},
		{Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs, Doc: "how firmly the row is held"},
	}}
)

func (r *Reader) readVariants(files fs.FS, faults *data.Faults) {
	for _, row := range data.Read(files, variantSchema, faults).Rows {
		to := row.Text("word")
		r.lexicon.variants[row.Text("variant")] = to
		if to != row.Text("variant") {
			if again, ok := r.lexicon.variants[to]; ok && again != to {
				row.Fault("word", "%q is itself a variant of %q", to, again)
			}
		}
	}
}

func (r *Reader) enter(phrase string, row data.Row, column string) int32 {
	ids := r.lexicon.phrase(phrase)
	if len(ids) == 0 {
		row.Fault(column, "%q holds no word", phrase)
		return none
	}
	at := r.trie.enter(ids)
	for int(at) >= len(r.uses) {
		r.uses = append(r.uses, use{})
		r.phrases = append(r.phrases, ids)
	}
	return at
}

func (r *Reader) enterAll(phrases []string, row data.Row, column string) []int32 {
	var out []int32
	for _, phrase := range phrases {
		out = append(out, r.enter(phrase, row, column))
	}
	return out
}

func (r *Reader) readSigns(files fs.FS, faults *data.Faults) {
	for _, row := range data.Read(files, signSchema, faults).Rows {
		at := r.enter(row.Text("phrase"), row, "phrase")
		if at == none {
			continue
		}
		for _, name := range strings.Fields(row.Text("sign")) {
			bit, ok := signNames[name]
			if !ok && name != "plain" {
				row.Fault("sign", "unknown sign %q", name)
			}
			r.uses[at].plain = r.uses[at].plain || name == "plain"
			r.uses[at].sign |= bit
		}
	}
}

func (r *Reader) readSenses(files fs.FS, faults *data.Faults) {
	for _, row := range data.Read(files, senseSchema, faults).Rows {
		s := sense{covers: row.Text("covers") == "yes"}
		for _, set := range row.List("sets") {
			key, value, _ := strings.Cut(set, "=")
			switch {
			case set == "nothing":
				s.covers = true
			case key == "ask":
				s.asks = append(s.asks, value)
				r.checkQuestion(value, row, "sets")
			case r.tags.Has(key, value):
				s.tags = append(s.tags, r.tags.Index(value))
			default:
				row.Fault("sets", "%q is no tag; tags.csv lists them", set)
			}
		}
		s.unless = r.enterAll(row.List("unless"), row, "unless")
		s.near = r.enterAll(row.List("near"), row, "near")
		for _, phrase := range r.enterAll(row.List("phrases"), row, "phrases") {
			if phrase != none {
				r.uses[phrase].senses = append(r.uses[phrase].senses, int32(len(r.senses)))
			}
		}
		r.senses = append(r.senses, s)
	}
}

// checkQuestion records a fault for a caution that cannot be asked about.
func (r *Reader) checkQuestion(id string, row data.Row, column string) {
	if asks, ok := r.questions[id]; !ok {
		row.Fault(column, "unknown caution %q", id)
	} else if !asks {
		row.Fault(column, "the caution %q has no question", id)
	}
}

var meaningShape = regexp.MustCompile(`^([^\[\]]+?)(?:\[([^\[\]]*)\])?$`)

func (r *Reader) readWords(files fs.FS, faults *data.Faults) {
	for _, row := range data.Read(files, wordSchema, faults).Rows {
		e := entry{word: row.Text("word"), rule: row.Text("default"), question: row.Text("question")}
		e.phrase = r.enter(e.word, row, "word")
		if e.phrase == none {
			continue
		}
		if e.rule == "ask" {
			r.checkQuestion(e.question, row, "question")
		}
		for _, text := range strings.Split(row.Text("meanings"), " / ") {
			if m, ok := r.readMeaning(text, row); ok {
				e.meanings = append(e.meanings, m)
			}
		}
		if e.rule == "tag" && (len(e.meanings) == 0 || e.meanings[0].tag < 0) {
			row.Fault("default", "tag, but the first meaning is ordinary")
		}
		r.uses[e.phrase].entries = append(r.uses[e.phrase].entries, int32(len(r.entries)))
		r.entries = append(r.entries, e)
	}
}

func (r *Reader) readMeaning(text string, row data.Row) (meaning, bool) {
	parts := meaningShape.FindStringSubmatch(strings.TrimSpace(text))
	if parts == nil {
		row.Fault("meanings", "cannot read %q; write tag[near=a|b;not_near=c]", text)
		return meaning{}, false
	}
	m := meaning{tag: -1}
	if parts[1] != "ordinary" {
		key, value, ok := strings.Cut(parts[1], "=")
		if !ok {
			key, value = "part", parts[1]
		}
		if !r.tags.Has(key, value) {
			row.Fault("meanings", "%s=%s is no tag; tags.csv lists them", key, value)
			return meaning{}, false
		}
		m.tag = r.tags.Index(value)
	}
	for _, condition := range strings.Split(parts[2], ";") {
		name, words, _ := strings.Cut(condition, "=")
		switch name {
		case "":
		case "near":
			m.near = r.enterAll(strings.Split(words, "|"), row, "meanings")
		case "not_near":
			m.notNear = r.enterAll(strings.Split(words, "|"), row, "meanings")
		default:
			row.Fault("meanings", "unknown condition %q; known: near not_near", name)
		}
	}
	return m, true
}

func (r *Reader) readParts(files fs.FS, faults *data.Faults) {
	for _, row := range data.Read(files, partSchema, faults).Rows {
		p := partEntry{ask: row.Text("ask"), words: r.lexicon.phrase(row.Text("part"))}
		for _, tag := range row.List("tags") {
			if !r.tags.Has("part", tag) {
				row.Fault("tags", "%q is no part tag; tags.csv lists them", tag)
				continue
			}
			p.tags = append(p.tags, r.tags.Index(tag))
		}
		if p.ask != "" {
			r.checkQuestion(p.ask, row, "ask")
		}
		r.parts[row.Text("part")] = p
		r.partNames = append(r.partNames, row.Text("part"))
	}
}

// findCompounds marks the ordinary phrases that hold their own word and others: "jacking bolt" is an
// ordinary jack word, and its bolt is no bolt of its own. A phrase of which another word is dangerous
// beside the first ("bottle jack") is none.
func (r *Reader) findCompounds() {
	dangerous := map[[2]int32]bool{} // word and near word
	for i := range r.entries {
		own := r.phrases[r.entries[i].phrase]
		for _, m := range r.entries[i].meanings {
			for _, near := range m.near {
				if ids := r.phrases[near]; m.tag >= 0 && len(ids) == 1 && len(own) == 1 {
					dangerous[[2]int32{own[0], ids[0]}] = true
				}
			}
		}
	}
	for i := range r.entries {
		own := r.phrases[r.entries[i].phrase]
		for _, m := range r.entries[i].meanings {
			for _, near := range m.near {
				ids := r.phrases[near]
				if m.tag < 0 && len(ids) > len(own) && len(own) == 1 && slices.Contains(ids, own[0]) && !anyDangerous(ids, own[0], dangerous) {
					r.uses[near].compoundOf = append(r.uses[near].compoundOf, int32(i))
				}
			}
		}
	}
}

func anyDangerous(ids []int32, own int32, dangerous map[[2]int32]bool) bool {
	return slices.ContainsFunc(ids, func(id int32) bool { return dangerous[[2]int32{id, own}] })
}

// readNames learns where the name of a part may stand in a message. The reader of parts checks the table.
func (r *Reader) readNames(files fs.FS, faults *data.Faults) {
	for _, row := range data.Read(files, nameSchema, faults).Rows {
		if at := r.enter(row.Text("variant"), row, "variant"); at != none {
			r.uses[at].parts = append(r.uses[at].parts, row.Text("part"))
		}
	}
	for _, name := range r.partNames {
		if ids := r.lexicon.phrase(name); len(ids) > 0 {
			at := r.enter(name, data.Row{}, "part")
			r.uses[at].parts = append(r.uses[at].parts, name)
		}
	}
}

func (r *Reader) readAttachments(files fs.FS, faults *data.Faults) {
	for _, row := range data.Read(files, attachSchema, faults).Rows {
		if caution, ok := strings.CutPrefix(row.Text("tag"), "ask="); ok {
			r.checkQuestion(caution, row, "tag")
			r.settled[caution] = true
			continue
		}
		if !r.tags.Has("part", row.Text("tag")) {
			row.Fault("tag", "%q is no part tag; tags.csv lists them", row.Text("tag"))
			continue
		}
		if ask := row.Text("ask"); ask != "" {
			r.checkQuestion(ask, row, "ask")
		}
		r.attached[r.tags.Index(row.Text("tag"))] = row.Text("ask")
	}
}

// readQuestions learns which cautions exist and which of them can be asked about.
func (r *Reader) readQuestions(files fs.FS, faults *data.Faults) {
	schema := data.Schema{File: "cautions.csv"}
	for _, name := range []string{"id", "title", "trigger", "severity", "stop_kind", "caution", "reason", "authority", "figures",
		"applicability", "sources", "question", "answers", "threshold_pct", "routine", "repeats"} {
		schema.Columns = append(schema.Columns, data.Column{Name: name})
	}
	for _, row := range data.Read(files, schema, faults).Rows {
		r.questions[row.Text("id")] = row.Text("question") != ""
	}
}
