package metal

import (
	"slices"
	"strings"

	"rodcall/engine/data"
)

var partSchema = data.Schema{File: "parts.csv", Key: []string{"part"}, Columns: []data.Column{
	{Name: "part", Required: true, Doc: "name of the part"},
	{Name: "industry", Required: true, Doc: "industry of industries.csv"},
	{Name: "mix", Required: true, Doc: "setting of industry_mix.csv"},
	{Name: "family_shares", Kind: data.List, Required: true, Doc: "percent by family, sums to 100; always judgement"},
	{Name: "grades", Doc: "typical grades, in the source's words"},
	{Name: "traps", Doc: "clues, and what it is mistaken for"},
	{Name: "source", Required: true, Doc: "the document of a fact in the row"},
	{Name: "mark", Required: true, Doc: "how firmly that fact is held; the shares are judgement"},
}}

var partNameSchema = data.Schema{File: "part_names.csv", Key: []string{"variant", "part"}, Columns: []data.Column{
	{Name: "variant", Required: true, Doc: "what a rep calls the part, lower case, singular"},
	{Name: "part", Required: true, Doc: "name of parts.csv"},
	{Name: "weight", Kind: data.Number, Min: 0.01, Max: 100, Doc: "share among the parts that the name may mean; empty = 1"},
	{Name: "mark", Required: true, Doc: "how firmly the name is held"},
	{Name: "note", Doc: "what else the name may mean"},
}}

func (l *loader) parts() {
	setting, used := l.industries()
	c := l.c
	for _, row := range data.Read(l.files, partSchema, l.faults).Rows {
		l.marks.Check(row, "mark")
		p := Part{
			Name: row.Text("part"), Industry: row.Text("industry"), Mix: row.Text("mix"), Shares: shares(row, "family_shares"),
			Grades: row.Text("grades"), Traps: row.Text("traps"), Source: row.Text("source"), Mark: row.Text("mark"),
		}
		switch want, ok := setting[p.Industry]; {
		case !ok:
			row.Fault("industry", "unknown industry %q; industries.csv lists them", p.Industry)
		case want != p.Mix:
			row.Fault("mix", "%q, but industries.csv puts %s under %q", p.Mix, p.Industry, want)
		}
		used[p.Industry] = true
		c.Parts = append(c.Parts, p)
	}
	slices.SortStableFunc(c.Parts, func(a, b Part) int { return strings.Compare(a.Name, b.Name) })
	for _, industry := range sortedKeys(setting) {
		if !used[industry] {
			l.faults.Add(industrySchema.File, 0, "industry", "no part of industry %q", industry)
		}
	}
	c.parts.at = make(map[string]int, len(c.Parts))
	for i, p := range c.Parts {
		c.parts.at[p.Name] = i
	}
}

func (l *loader) industries() (setting map[string]string, used map[string]bool) {
	setting = map[string]string{}
	for _, row := range data.Read(l.files, industrySchema, l.faults).Rows {
		l.marks.Check(row, "mark")
		setting[row.Text("industry")] = row.Text("setting")
		if _, ok := l.c.Mix[row.Text("setting")]; !ok {
			row.Fault("setting", "unknown setting %q; industry_mix.csv lists them", row.Text("setting"))
		}
	}
	return setting, map[string]bool{}
}

// partNames reads the variants and checks that each names a part, that each part has one, and that an
// ambiguous one says so.
func (l *loader) partNames() {
	c := l.c
	c.parts.trie, c.parts.typos = newTrie(), newTypos()
	c.parts.clues, c.parts.heads = make([]map[string]bool, len(c.Parts)), make([]map[string]bool, len(c.Parts))
	for i := range c.parts.clues {
		c.parts.clues[i], c.parts.heads[i] = map[string]bool{}, map[string]bool{}
	}
	named := make([]bool, len(c.Parts))
	type seen struct {
		row   data.Row
		rows  int
		noted bool
	}
	ambiguous := map[string]seen{}
	for _, row := range data.Read(l.files, partNameSchema, l.faults).Rows {
		l.marks.Check(row, "mark")
		variant := row.Text("variant")
		i, ok := c.parts.at[row.Text("part")]
		if !ok {
			row.Fault("part", "%q is no part of parts.csv", row.Text("part"))
			continue
		}
		named[i] = true
		s := ambiguous[variant]
		s = seen{row: row, rows: s.rows + 1, noted: (s.rows == 0 || s.noted) && row.Text("note") != ""}
		ambiguous[variant] = s
		if s.rows > 1 && !s.noted {
			row.Fault("note", "%q may mean several parts; every row of it needs a note", variant)
		}
		c.parts.addVariant(variant, target{part: i, weight: row.Value("weight", 1)}, row.Text("mark") != "common misspelling")
	}
	for i, ok := range named {
		if !ok {
			l.faults.Add(partNameSchema.File, 0, "part", "no variant names %q", c.Parts[i].Name)
		}
	}
	c.finishParts()
}
