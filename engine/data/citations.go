package data

import (
	"encoding/csv"
	"io/fs"
	"path"
	"slices"
	"strings"
)

// otherRegister lists the tables whose source column cites another register than sources.csv, and why.
var otherRegister = map[string]string{
	"safety_sources.csv": "is the register of the safety tables",
	"refer_to.csv":       "cites safety_sources.csv",
	"sources.csv":        "is the register itself",
}

// CheckSources reads the source columns of every CSV of a folder and records a fault for each id that
// sources.csv lacks and for each source that no table cites. A source column is one named source,
// source_id or cross_check, or one that ends in _source. It reads every file once more, so it belongs
// into a test of the data, not into the start of the program.
func CheckSources(files fs.FS, sources *Sources, faults *Faults) {
	names, err := fs.Glob(files, "*.csv")
	if err != nil {
		faults.Add("", 0, "", "%v", err)
		return
	}
	slices.Sort(names)
	cited := map[string]bool{}
	for _, name := range names {
		if otherRegister[path.Base(name)] == "" {
			citeFile(files, name, sources, cited, faults)
		}
	}
	for _, source := range sources.list {
		if !cited[source.ID] {
			faults.Add(sourceSchema.File, 0, "id", "no table cites source %q", source.ID)
		}
	}
}

func citeFile(files fs.FS, name string, sources *Sources, cited map[string]bool, faults *Faults) {
	file, err := files.Open(name)
	if err != nil {
		faults.Add(name, 0, "file", "%v", err)
		return
	}
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment, reader.FieldsPerRecord = '#', -1
	header, err := reader.Read()
	for err == nil {
		var row []string
		if row, err = reader.Read(); err != nil {
			return
		}
		line, _ := reader.FieldPos(0)
		for i, cell := range row {
			if i < len(header) && isSourceColumn(header[i]) {
				cite(cell, sources, cited, func(id string) {
					faults.Add(name, line, header[i], "source %q is not in sources.csv", id)
				})
			}
		}
	}
}

func isSourceColumn(name string) bool {
	return name == "source" || name == "source_id" || name == "cross_check" || strings.HasSuffix(name, "_source")
}

func cite(text string, sources *Sources, cited map[string]bool, unknown func(id string)) {
	known := func(id string) bool { _, ok := sources.at[id]; return ok }
	for _, id := range SourceIDs(text, known) {
		if known(id) {
			cited[id] = true
		} else {
			unknown(id)
		}
	}
}
