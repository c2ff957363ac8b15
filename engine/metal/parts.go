package metal

import (
	"strings"

	"rodcall/engine/data"
)

// partIndex finds parts by what people call them.
type partIndex struct {
	at       map[string]int // index in Catalogue.Parts by name
	trie     *trie
	variants []variant
	typos    *typos
	kinds    map[string]string   // part_words.csv: word → kind
	contexts map[int32][]voiding // by variant
	clues    []map[string]bool   // by part: every word of its name and of its variants
	heads    []map[string]bool   // by part: the last word of each of them, which says what the thing is
}

// variant is one name that people use, with the parts that it may mean.
type variant struct {
	name  string
	words int
	// phraseOnly keeps the name out of running text.
	phraseOnly bool
	targets    []target
	matches    []PartMatch // the targets as a whole match: P sums to 1
}

// target is one part that a variant may mean, with its share beside the others.
type target struct {
	part   int
	weight float64
}

// voiding voids a match: words directly before or after it, or near it.
type voiding struct {
	side  string
	words [][]byte
}

var partWordSchema = data.Schema{File: "part_words.csv", Key: []string{"word"}, Columns: []data.Column{
	{Name: "word", Required: true, Doc: "a word near the name of a part, lower case"},
	{Name: "kind", Kind: data.Word, Required: true, Of: []string{condition, preposition, "ordinary", following}, Doc: "what it tells"},
	{Name: "mark", Required: true, Doc: "how firmly that is held"},
}}

// Kinds of words near the name of a part; part_words.csv says what they mean.
const (
	condition   = "condition"
	preposition = "preposition"
	following   = "following"
)

var partContextSchema = data.Schema{File: "part_context.csv", Key: []string{"variant", "side", "words"}, Columns: []data.Column{
	{Name: "variant", Required: true, Doc: "name of part_names.csv that is an everyday word too"},
	{Name: "side", Kind: data.Word, Required: true, Of: []string{"before", "after", "near"}, Doc: "where the words stand"},
	{Name: "words", Required: true, Doc: "words that show that no part is meant"},
	{Name: "mark", Required: true, Doc: "how firmly that is held"},
}}

// ownNames lists what the name of parts.csv itself is good for: as it stands, without a remark in
// parentheses, and with the words behind a comma in front ("valve body, large" is a large valve body).
func ownNames(name string) []string {
	plain := strings.TrimSpace(parentheses.ReplaceAllString(name, ""))
	out := []string{name, plain}
	if head, rest, ok := strings.Cut(plain, ","); ok && !strings.Contains(rest, ",") {
		out = append(out, rest+" "+head)
	}
	return out
}

// addOwnNames enters the names of parts.csv where part_names.csv does not say what they mean. One of a single
// word ("file", "bell") is left out of running text, where it has everyday senses.
func (c *Catalogue) addOwnNames() {
	listed := len(c.parts.variants)
	for i, part := range c.Parts {
		for _, name := range ownNames(part.Name) {
			v := c.parts.find(foldPart(name))
			if v >= 0 && int(v) < listed {
				continue
			}
			c.parts.addVariant(name, target{part: i, weight: 1}, true)
			own := &c.parts.variants[c.parts.find(foldPart(name))]
			own.phraseOnly = own.words == 1
		}
	}
}

// foldPart is a name as the trie holds it.
func foldPart(name string) string {
	toks, _ := tokens(name, nil, nil)
	var key []byte
	for _, tok := range toks {
		key = append(key, tok.folded...)
	}
	return string(key)
}

// addVariant enters one name; the words of a misspelt one are no model for others.
func (p *partIndex) addVariant(name string, t target, wellSpelt bool) {
	toks, _ := tokens(name, nil, nil)
	var key []byte
	for _, tok := range toks {
		key = append(key, tok.folded...)
		p.typos.learn(string(tok.folded), wellSpelt)
		p.clues[t.part][string(tok.folded)] = true
	}
	p.heads[t.part][string(toks[len(toks)-1].folded)] = true
	i := p.trie.add(key, int32(len(p.variants)))
	if int(i) == len(p.variants) {
		p.variants = append(p.variants, variant{name: name, words: len(toks)})
	}
	v := &p.variants[i]
	for _, known := range v.targets {
		if known.part == t.part {
			return
		}
	}
	v.targets = append(v.targets, t)
}

// finishParts works out the shares of each variant and the clue words of each part.
func (c *Catalogue) finishParts() {
	c.addOwnNames()
	p := &c.parts
	for i := range p.variants {
		v := &p.variants[i]
		total := 0.0
		for _, t := range v.targets {
			total += t.weight
		}
		for _, t := range v.targets {
			v.matches = append(v.matches, PartMatch{Part: &c.Parts[t.part], P: t.weight / total})
		}
	}
	for i, part := range c.Parts {
		toks, _ := tokens(part.Name+" "+part.Industry, nil, nil)
		for _, tok := range toks {
			p.clues[i][string(tok.folded)] = true
		}
	}
}

func (l *loader) partWords() {
	p := &l.c.parts
	p.kinds = map[string]string{}
	for _, row := range data.Read(l.files, partWordSchema, l.faults).Rows {
		l.marks.Check(row, "mark")
		word, kind := row.Text("word"), row.Text("kind")
		p.kinds[word] = kind
		p.typos.ordinary[word] = true
	}
	p.contexts = map[int32][]voiding{}
	for _, row := range data.Read(l.files, partContextSchema, l.faults).Rows {
		l.marks.Check(row, "mark")
		i := p.find(foldPart(row.Text("variant")))
		if i < 0 {
			row.Fault("variant", "%q is no variant of part_names.csv", row.Text("variant"))
			continue
		}
		toks, _ := tokens(row.Text("words"), nil, nil)
		context := voiding{side: row.Text("side")}
		for _, tok := range toks {
			context.words = append(context.words, tok.folded)
		}
		p.contexts[i] = append(p.contexts[i], context)
	}
}

// find is the variant with a folded name, or -1.
func (p *partIndex) find(folded string) int32 {
	node := p.trie.walk(top, []byte(folded))
	if node <= top {
		return -1
	}
	return p.trie.nodes[node].variant
}
