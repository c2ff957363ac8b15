// Package data holds the facts of rodcall as readable tables and the only CSV reader.
//
// Every row names a source (an id of sources.csv, or the source's own words) and a mark that says how
// firmly we hold it. The package decides nothing about metals: it parses, checks, and reports each
// fault with file, row and column.
package data

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"io/fs"
	"sort"
)

//go:embed *.csv
var files embed.FS

// Files is the embedded data folder.
func Files() fs.FS { return files }

// Digest is a short fingerprint of every data file; it goes into each judgment, so that a call can be
// traced to the data that made it.
func Digest(files fs.FS) (string, error) {
	names, err := fs.Glob(files, "*.csv")
	if err != nil {
		return "", err
	}
	sort.Strings(names)
	sum := sha256.New()
	for _, name := range names {
		content, err := fs.ReadFile(files, name)
		if err != nil {
			return "", err
		}
		sum.Write([]byte(name))
		sum.Write(content)
	}
	return hex.EncodeToString(sum.Sum(nil))[:12], nil
}
