package data

import "io/fs"

// TagKeys are the keys that a safety tag may belong to, in the order of the tags' indexes.
var TagKeys = []string{"test", "process", "part", "service", "site", "where", "use", "coating", "enclosure",
	"state", "residue", "person", "temp", "confidence"}

// Tag is one closed word of the safety rules. A name belongs to one key and has one meaning.
type Tag struct {
	Key, Name, Meaning string

	Implies []int // indexes of the tags that hold whenever this one does, with what those imply in turn
	Voids   []int // indexes of the tags that this one replaces when it is stated later
	Lifts   bool  // it may lift a stop: said in doubt, it is not read
}

// Tags is tags.csv, the closed vocabulary of scenes, processes, tests and safety parts. Indexes run key
// by key in the order of TagKeys, within a key in the order of the file.
type Tags struct {
	list []Tag
	at   map[string]int
}

var tagSchema = Schema{File: "tags.csv", Key: []string{"tag"}, Columns: []Column{
	{Name: "key", Kind: Word, Required: true, Of: TagKeys, Doc: "the key of the scene or observation"},
	{Name: "tag", Required: true, Doc: "the word; unique over all keys"},
	{Name: "meaning", Required: true, Doc: "the one concept behind the word"},
	{Name: "implies", Kind: List, Doc: "tags that hold whenever this one does (a stick weld is an arc weld)"},
	{Name: "voids", Kind: List, Doc: "tags that this one replaces (open ends replace shut ones)"},
	{Name: "lifts", Kind: Word, Required: true, Of: []string{"yes", "no"}, Doc: "yes: it answers a question so that a stop falls"},
	{Name: "mark", Kind: Word, Required: true, Of: MarkIDs, Doc: "how firmly the row is held"},
}}

// LoadTags reads tags.csv. A tag that implies or voids an unknown tag is a fault, as is a circle of implications.
func LoadTags(files fs.FS, faults *Faults) *Tags {
	t := &Tags{at: map[string]int{}}
	rows := Read(files, tagSchema, faults).Rows
	var ordered []Row
	for _, key := range TagKeys {
		for _, row := range rows {
			if row.Text("key") == key {
				t.at[row.Text("tag")] = len(t.list)
				t.list = append(t.list, Tag{Key: key, Name: row.Text("tag"), Meaning: row.Text("meaning"), Lifts: row.Text("lifts") == "yes"})
				ordered = append(ordered, row)
			}
		}
	}
	for i, row := range ordered {
		t.list[i].Implies = t.indexes(row, "implies")
		t.list[i].Voids = t.indexes(row, "voids")
	}
	for i := range t.list {
		all, ok := t.close(i)
		if !ok {
			ordered[i].Fault("implies", "%q implies itself", t.list[i].Name)
		}
		t.list[i].Implies = all
	}
	return t
}

func (t *Tags) indexes(row Row, column string) []int {
	var out []int
	for _, name := range row.List(column) {
		i := t.Index(name)
		if i < 0 {
			row.Fault(column, "unknown tag %q", name)
			continue
		}
		out = append(out, i)
	}
	return out
}

// close lists everything that a tag implies, directly or through others; ok is false for a circle.
func (t *Tags) close(tag int) (all []int, ok bool) {
	seen := map[int]bool{}
	queue := append([]int(nil), t.list[tag].Implies...)
	for len(queue) > 0 {
		next := queue[0]
		queue = queue[1:]
		if next == tag {
			return all, false
		}
		if seen[next] {
			continue
		}
		seen[next] = true
		all = append(all, next)
		queue = append(queue, t.list[next].Implies...)
	}
	return all, true
}

// Len is the number of tags.
func (t *Tags) Len() int { return len(t.list) }

// Index is the place of a tag, or -1.
func (t *Tags) Index(name string) int {
	if i, ok := t.at[name]; ok {
		return i
	}
	return -1
}

// At is the tag with an index.
func (t *Tags) At(index int) Tag { return t.list[index] }

// Has reports whether a word is a tag of a key.
func (t *Tags) Has(key, name string) bool {
	i := t.Index(name)
	return i >= 0 && t.list[i].Key == key
}

// Of lists the words of a key in the order of the file.
func (t *Tags) Of(key string) []string {
	var out []string
	for _, tag := range t.list {
		if tag.Key == key {
			out = append(out, tag.Name)
		}
	}
	return out
}
