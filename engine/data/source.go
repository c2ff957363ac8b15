package data

import (
	"io/fs"
	"slices"
	"strings"
)

// MarkIDs are the ways in which a fact may be held, firmest first.
var MarkIDs = []string{"seen", "partly-seen", "computed", "memory", "common-practice", "judgement"}

// SourceKinds are the kinds of sources, strongest first.
var SourceKinds = []string{"standard", "handbook", "manual", "paper", "open-data", "trade-sheet", "practice", "judgement"}

// Mark says how firmly a fact is held. Looseness, 0 to 1, is the share of a row's weight that goes to
// the background instead when the row is used: P = (1-looseness)·P + looseness·background.
type Mark struct {
	ID        string
	Looseness float64
}

// Marks maps every spelling of a mark that the tables use to the mark it means.
type Marks struct{ of map[string]Mark }

var markSchema = Schema{File: "marks.csv", Key: []string{"spelling"}, Columns: []Column{
	{Name: "spelling", Required: true, Doc: "how a table writes it"},
	{Name: "mark", Kind: Word, Required: true, Of: MarkIDs, Doc: "what it means"},
	{Name: "looseness", Kind: Number, Required: true, Min: 0, Max: 1, Doc: "share of the weight that goes to the background (judgement)"},
	{Name: "note", Doc: "what the spelling says"},
}}

// LoadMarks reads marks.csv. A mark with two loosenesses, or one that no spelling reaches, is a fault.
func LoadMarks(files fs.FS, faults *Faults) Marks {
	marks := Marks{of: map[string]Mark{}}
	looseness := map[string]float64{}
	for _, row := range Read(files, markSchema, faults).Rows {
		mark := Mark{ID: row.Text("mark"), Looseness: row.Value("looseness", 1)}
		if known, ok := looseness[mark.ID]; ok && known != mark.Looseness {
			row.Fault("looseness", "%g differs from %g in another row of %s", mark.Looseness, known, mark.ID)
		}
		looseness[mark.ID] = mark.Looseness
		marks.of[row.Text("spelling")] = mark
	}
	for _, id := range MarkIDs {
		if _, ok := looseness[id]; !ok {
			faults.Add(markSchema.File, 0, "mark", "no spelling means %q", id)
		}
	}
	return marks
}

// Of is the mark that a spelling means; ok is false for an unknown spelling.
func (m Marks) Of(spelling string) (Mark, bool) {
	mark, ok := m.of[strings.TrimSpace(spelling)]
	return mark, ok
}

// Check records a fault for every named column of a row that holds an unknown spelling of a mark.
func (m Marks) Check(row Row, columns ...string) {
	for _, column := range columns {
		if _, ok := m.Of(row.Text(column)); !ok {
			row.Fault(column, "unknown mark %q; marks.csv lists the spellings", row.Text(column))
		}
	}
}

// Source is one row of sources.csv: a document that facts were taken from.
type Source struct {
	ID        string
	Kind      string // one of SourceKinds
	Tradition string // copies of one table carry one tradition and count once
	Title     string
	Locator   string // where it was found
	Seen      Mark   // how much of it was in front of us
	Erratum   string // a known misprint, and what was taken instead
}

// Sources holds sources.csv by id.
type Sources struct {
	list []Source
	at   map[string]int
}

var sourceSchema = Schema{File: "sources.csv", Key: []string{"id"}, Columns: []Column{
	{Name: "id", Required: true, Doc: "the key that the tables cite"},
	{Name: "kind", Kind: Word, Required: true, Of: SourceKinds, Doc: "what kind of document"},
	{Name: "tradition", Required: true, Doc: "copies of one table share one word and count once"},
	{Name: "title", Required: true, Doc: "what the document is"},
	{Name: "locator", Doc: "where it was found"},
	{Name: "seen", Kind: Word, Required: true, Of: MarkIDs, Doc: "how much of it was read"},
	{Name: "erratum", Doc: "known misprint, and what was taken instead"},
}}

// LoadSources reads sources.csv.
func LoadSources(files fs.FS, marks Marks, faults *Faults) *Sources {
	sources := &Sources{at: map[string]int{}}
	for _, row := range Read(files, sourceSchema, faults).Rows {
		seen, _ := marks.Of(row.Text("seen"))
		sources.at[row.Text("id")] = len(sources.list)
		sources.list = append(sources.list, Source{
			ID: row.Text("id"), Kind: row.Text("kind"), Tradition: row.Text("tradition"), Title: row.Text("title"),
			Locator: row.Text("locator"), Seen: seen, Erratum: row.Text("erratum"),
		})
	}
	return sources
}

// Of is the source with an id.
func (s *Sources) Of(id string) (Source, bool) {
	i, ok := s.at[id]
	if !ok {
		return Source{}, false
	}
	return s.list[i], true
}

// All lists the sources in the order of the file.
func (s *Sources) All() []Source { return slices.Clone(s.list) }

// SourceIDs lists the words of a source text that are ids: those that known holds, and those that are
// spelt like an id whether known or not (S01 to S299, P01 to P19), so that a missing one is noticed.
// Grades such as S355 and P91 are spelt otherwise and stay prose.
func SourceIDs(text string, known func(string) bool) []string {
	var ids []string
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return !isIDRune(r) }) {
		word = strings.Trim(word, "-")
		if known(word) || looksLikeID(word) {
			ids = append(ids, word)
		}
	}
	return ids
}

func isIDRune(r rune) bool {
	return r == '-' || r >= '0' && r <= '9' || r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z'
}

// looksLikeID holds for S01-S299 and P01-P19, with an optional small letter after the digits.
func looksLikeID(word string) bool {
	if len(word) < 3 || word[0] != 'S' && word[0] != 'P' {
		return false
	}
	digits := strings.TrimRight(word[1:], "ab")
	for _, d := range digits {
		if d < '0' || d > '9' {
			return false
		}
	}
	switch {
	case word[0] == 'S':
		return len(digits) == 2 || len(digits) == 3 && digits[0] <= '2'
	default:
		return len(digits) == 2 && digits[0] <= '1'
	}
}
