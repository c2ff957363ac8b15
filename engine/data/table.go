package data

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Kind says how a cell is read.
type Kind int

const (
	Text   Kind = iota // any text
	Number             // a decimal number, checked against Min and Max
	Word               // one of Words
	Words              // several of Words, parted by Sep
	List               // free texts, parted by Sep
)

// Column describes one column of a table; it is the only place where that column is described.
type Column struct {
	Name     string
	Kind     Kind
	Required bool     // an empty cell is a fault
	Optional bool     // the whole column may be missing; its cells are then empty
	Min, Max float64  // Number: the range that a cell may hold; both zero means unchecked
	Of       []string // Word and Words: the closed list; nil means open
	Sep      string   // List and Words: what parts the entries; empty means ";"
	Doc      string   // what the column says, with its unit
}

// Schema describes one CSV file: its name, the columns that make a row unique, and every column.
type Schema struct {
	File    string
	Key     []string
	Columns []Column
}

// Fault is one thing wrong in a data file, with the place where it stands.
type Fault struct {
	File   string
	Line   int
	Column string
	Why    string
}

// String is the fault on one line: file, line, column and what is wrong.
func (f Fault) String() string {
	return fmt.Sprintf("%s:%d %s: %s", f.File, f.Line, f.Column, f.Why)
}

// Faults collects what is wrong over all files, so that one run reports everything.
type Faults struct{ list []Fault }

// Add records one fault.
func (f *Faults) Add(file string, line int, column, format string, args ...any) {
	f.list = append(f.list, Fault{file, line, column, fmt.Sprintf(format, args...)})
}

// List returns the faults in the order in which they were found.
func (f *Faults) List() []Fault { return f.list }

// Err is nil when nothing is wrong, else one error that lists every fault on a line of its own.
func (f *Faults) Err() error {
	if len(f.list) == 0 {
		return nil
	}
	lines := make([]string, len(f.list))
	for i, fault := range f.list {
		lines[i] = fault.String()
	}
	return fmt.Errorf("%d faults in the data:\n%s", len(lines), strings.Join(lines, "\n"))
}

// Table is a checked CSV file.
type Table struct {
	Schema Schema
	Rows   []Row
	header []string
	faults *Faults
}

// Row is one line of a Table; Line is its line number in the file, the header being line 1 unless comments precede it.
type Row struct {
	Line  int
	cells []string
	table *Table
}

// usualRow is about how many bytes a row takes.
const usualRow = 80

// Read parses and checks one file. Lines that start with "#" are comments. Everything wrong goes into
// faults; the table holds the rows that could be read, so that checking goes on.
func Read(files fs.FS, schema Schema, faults *Faults) *Table {
	t := &Table{Schema: schema, faults: faults}
	file, err := files.Open(schema.File)
	if err != nil {
		faults.Add(schema.File, 0, "file", "%v", err)
		return t
	}
	defer file.Close()
	if info, err := file.Stat(); err == nil {
		t.Rows = make([]Row, 0, info.Size()/usualRow+8)
	}
	t.read(file)
	return t
}

// ReadText is Read on the text of a file that is none of ours, such as one that a team keeps in its own
// spreadsheet: a byte order mark before the header is passed over.
func ReadText(text []byte, schema Schema, faults *Faults) *Table {
	t := &Table{Schema: schema, faults: faults}
	t.read(bytes.NewReader(bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))))
	return t
}

func (t *Table) read(file io.Reader) {
	schema, faults := t.Schema, t.faults
	r := csv.NewReader(file)
	r.Comment = '#'
	header, err := r.Read()
	if err != nil {
		if errors.Is(err, io.EOF) {
			err = errors.New("the file is empty")
		}
		faults.Add(schema.File, 1, "header", "%v", err)
		return
	}
	t.readHeader(header)
	for {
		cells, err := r.Read()
		if cells == nil {
			if err != nil && !errors.Is(err, io.EOF) {
				faults.Add(schema.File, 0, "row", "%v", err)
			}
			t.checkKeys()
			return
		}
		line, _ := r.FieldPos(0)
		if err != nil {
			faults.Add(schema.File, line, "row", "%v", err)
			continue
		}
		for i, cell := range cells {
			cells[i] = strings.TrimSpace(cell)
		}
		row := Row{Line: line, cells: cells, table: t}
		row.check()
		t.Rows = append(t.Rows, row)
	}
}

func (t *Table) readHeader(header []string) {
	t.header = header
	for _, name := range header {
		if !slices.ContainsFunc(t.Schema.Columns, func(c Column) bool { return c.Name == name }) {
			t.faults.Add(t.Schema.File, 1, name, "unknown column")
		}
	}
	for _, c := range t.Schema.Columns {
		if !c.Optional && !slices.Contains(header, c.Name) {
			t.faults.Add(t.Schema.File, 1, c.Name, "column is missing")
		}
	}
}

func (t *Table) checkKeys() {
	if len(t.Schema.Key) == 0 {
		return
	}
	seen := make(map[string]int, len(t.Rows))
	for _, row := range t.Rows {
		key := row.Text(t.Schema.Key[0])
		for _, k := range t.Schema.Key[1:] {
			key += " | " + row.Text(k)
		}
		if first, ok := seen[key]; ok {
			row.Fault(t.Schema.Key[0], "%q stands already in line %d", key, first)
			continue
		}
		seen[key] = row.Line
	}
}

func (r Row) check() {
	for _, c := range r.table.Schema.Columns {
		cell := r.Text(c.Name)
		if cell == "" {
			if c.Required {
				r.Fault(c.Name, "is empty")
			}
			continue
		}
		switch c.Kind {
		case Number:
			r.checkNumber(c, cell)
		case Word:
			r.checkWord(c, cell)
		case Words:
			for _, word := range r.List(c.Name) {
				r.checkWord(c, word)
			}
		case Text, List:
		}
	}
}

func (r Row) checkNumber(c Column, cell string) {
	v, err := strconv.ParseFloat(cell, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		r.Fault(c.Name, "%q is not a number", cell)
		return
	}
	if (c.Min != 0 || c.Max != 0) && (v < c.Min || v > c.Max) {
		r.Fault(c.Name, "%s is outside %g-%g", cell, c.Min, c.Max)
	}
}

func (r Row) checkWord(c Column, word string) {
	if c.Of != nil && !slices.Contains(c.Of, word) {
		r.Fault(c.Name, "unknown word %q; known: %s", word, strings.Join(c.Of, " "))
	}
}

// Fault records something wrong in a column of this row.
func (r Row) Fault(column, format string, args ...any) {
	r.table.faults.Add(r.table.Schema.File, r.Line, column, format, args...)
}

// Text is the cell of a column, trimmed; "" when the source does not say.
func (r Row) Text(column string) string {
	for i, name := range r.table.header { // a handful: comparing is faster than hashing
		if name == column && i < len(r.cells) {
			return r.cells[i]
		}
	}
	return ""
}

// Number is the value of a cell; ok is false when the source does not say (never zero instead).
func (r Row) Number(column string) (v float64, ok bool) {
	cell := r.Text(column)
	if cell == "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(cell, 64)
	return v, err == nil
}

// Value is Number with a stated value for an empty cell.
func (r Row) Value(column string, empty float64) float64 {
	if v, ok := r.Number(column); ok {
		return v
	}
	return empty
}

// List parts a cell at the column's separator; an empty cell is an empty list.
func (r Row) List(column string) []string {
	sep := ";"
	for _, c := range r.table.Schema.Columns {
		if c.Name == column && c.Sep != "" {
			sep = c.Sep
		}
	}
	cell := r.Text(column)
	if cell == "" {
		return nil
	}
	out := make([]string, 0, strings.Count(cell, sep)+1)
	for part := range strings.SplitSeq(cell, sep) {
		if part = strings.TrimSpace(part); part != "" {
			out = append(out, part)
		}
	}
	return out
}
