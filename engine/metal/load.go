package metal

import (
	"io/fs"
	"math"
	"slices"
	"strconv"
	"strings"

	"rodcall/engine/data"
)

// shareTolerance is how far a column of percents, rounded to two places over forty families, may miss 100.
const shareTolerance = 0.25

var familySchema = data.Schema{File: "families.csv", Key: []string{"id"}, Columns: []data.Column{
	{Name: "id", Kind: data.Word, Required: true, Of: Families, Doc: "family id of the contract"},
	{Name: "name", Required: true, Doc: "name for people"},
	{Name: "short", Required: true, Doc: "name of at most 20 characters, for a line on a phone"},
	{Name: "group", Kind: data.Word, Required: true, Of: Groups, Doc: "kind of metal"},
	{Name: "share_pct", Kind: data.Number, Required: true, Min: 0.001, Max: 100, Doc: "share as base metal met by a repair team"},
	{Name: "low_pct", Kind: data.Number, Required: true, Min: 0, Max: 100, Doc: "low end of the share"},
	{Name: "high_pct", Kind: data.Number, Required: true, Min: 0, Max: 100, Doc: "high end of the share"},
	{Name: "basis", Required: true, Doc: "how the share was judged"},
	{Name: "source", Required: true, Doc: "what the share leans on"},
	{Name: "mark", Required: true, Doc: "how firmly the share is held"},
}}

// loader carries what every table of the catalogue needs while it is read.
type loader struct {
	files  fs.FS
	faults *data.Faults
	marks  data.Marks
	c      *Catalogue
}

// Load reads and checks the catalogue. Everything wrong goes into faults; the catalogue is fit for use
// only when faults stays empty.
func Load(files fs.FS, faults *data.Faults) *Catalogue {
	l := &loader{files: files, faults: faults, marks: data.LoadMarks(files, faults), c: &Catalogue{}}
	l.families()
	l.grades()
	l.mixes()
	l.parts()
	l.partNames()
	l.partWords()
	l.metalNames()
	return l.c
}

func (l *loader) families() {
	c := l.c
	c.Frequency = map[string]float64{}
	c.names = make([]familyName, len(Families))
	table := data.Read(l.files, familySchema, l.faults)
	total := 0.0
	for _, row := range table.Rows {
		l.marks.Check(row, "mark")
		i := FamilyIndex(row.Text("id"))
		if i < 0 {
			continue
		}
		c.names[i] = familyName{name: row.Text("name"), short: row.Text("short"), group: row.Text("group")}
		if n := len([]rune(row.Text("short"))); n > 20 {
			row.Fault("short", "%d characters, 20 fit on the line", n)
		}
		share, low, high := row.Value("share_pct", 0), row.Value("low_pct", 0), row.Value("high_pct", 0)
		if low > share || share > high {
			row.Fault("share_pct", "%g is outside %g-%g", share, low, high)
		}
		c.Frequency[row.Text("id")] = share
		total += share
	}
	for _, id := range Families {
		if _, ok := c.Frequency[id]; !ok {
			l.faults.Add(familySchema.File, 0, "id", "family %q has no row", id)
		}
	}
	if math.Abs(total-100) > shareTolerance {
		l.faults.Add(familySchema.File, 0, "share_pct", "the shares sum to %g, not 100", total)
	}
	if total > 0 {
		for _, id := range Families {
			c.Frequency[id] /= total
		}
	}
}

// shares reads "family 92; family 6": percents that sum to 100, turned into probabilities.
func shares(row data.Row, column string) []Share {
	var out []Share
	total := 0.0
	for _, entry := range row.List(column) {
		id, percent, ok := strings.Cut(entry, " ")
		p, err := strconv.ParseFloat(strings.TrimSpace(percent), 64)
		switch {
		case !ok || err != nil || p <= 0:
			row.Fault(column, "%q is not a family and a percent above zero", entry)
			continue
		case FamilyIndex(id) < 0:
			row.Fault(column, "unknown family %q", id)
			continue
		case slices.ContainsFunc(out, func(s Share) bool { return s.ID == id }):
			row.Fault(column, "family %q stands twice", id)
			continue
		}
		out = append(out, Share{ID: id, P: p})
		total += p
	}
	if math.Abs(total-100) > 1e-6 {
		row.Fault(column, "the shares sum to %g, not 100", total)
	}
	for i := range out {
		out[i].P /= total
	}
	return out
}
