package reader

import (
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strings"

	"rodcall/engine/data"
	"rodcall/engine/metal"
)

// OwnFile is the name under which faults of the team's own words are reported.
const OwnFile = "own words"

// ownWords adds the team's own words: a CSV with the columns word, kind (part, grade, family, class), means.
func (l *lexicon) ownWords(own []byte, cat *metal.Catalogue, faults *data.Faults) {
	if len(own) == 0 {
		return
	}
	r := csv.NewReader(strings.NewReader(string(own)))
	r.Comment = '#'
	r.TrimLeadingSpace = true
	r.FieldsPerRecord = -1
	header, err := r.Read()
	if err != nil || len(header) != 3 || strings.ToLower(strings.TrimPrefix(header[0], "\ufeff")) != "word" || header[1] != "kind" || header[2] != "means" {
		faults.Add(OwnFile, 1, "header", "should be word,kind,means")
		return
	}
	seen := map[string]int{}
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return
		}
		line, _ := r.FieldPos(0)
		if err != nil || len(cells) != 3 {
			faults.Add(OwnFile, line, "row", "should hold word,kind,means")
			if err != nil {
				return
			}
			continue
		}
		l.ownWord(cells, line, cat, faults, seen)
	}
}

func (l *lexicon) ownWord(cells []string, line int, cat *metal.Catalogue, faults *data.Faults, seen map[string]int) {
	phrase, kindName, means := strings.TrimSpace(cells[0]), strings.TrimSpace(cells[1]), strings.TrimSpace(cells[2])
	if phrase == "" {
		faults.Add(OwnFile, line, "word", "is empty")
		return
	}
	if first, ok := seen[strings.ToLower(phrase)]; ok {
		faults.Add(OwnFile, line, "word", "%q stands already in line %d", phrase, first)
		return
	}
	seen[strings.ToLower(phrase)] = line
	e := entry{phrase: phrase, value: means, topic: topicOther}
	switch kindName {
	case "part":
		if _, ok := cat.Part(means); !ok {
			faults.Add(OwnFile, line, "means", "no part %q in the catalogue", means)
			return
		}
		e.kind = kindPart
	case "grade":
		g, ok := cat.Grade(means)
		if !ok {
			faults.Add(OwnFile, line, "means", "no grade %q in the catalogue", means)
			return
		}
		e.kind, e.negated = kindMetal, g.Family
	case "family":
		if metal.FamilyIndex(means) < 0 {
			faults.Add(OwnFile, line, "means", "unknown family %q; known: %s", means, strings.Join(metal.Families, " "))
			return
		}
		e.kind, e.negated = kindMetal, means
	case "class":
		if !slices.Contains(classNames(faults), means) {
			faults.Add(OwnFile, line, "means", "unknown consumable class %q", means)
			return
		}
		e.kind, e.key, e.negated, e.topic = kindWord, keyHave, "-", topicNone
	default:
		faults.Add(OwnFile, line, "kind", "unknown kind %q; known: part grade family class", kindName)
		return
	}
	l.add(e)
}

// classNames are the consumable classes of classifications.csv, in its order. What else that file holds is
// checked by its owner.
func classNames(faults *data.Faults) []string {
	file, err := data.Files().Open("classifications.csv")
	if err != nil {
		faults.Add("classifications.csv", 0, "file", "%v", err)
		return nil
	}
	defer file.Close()
	r := csv.NewReader(file)
	r.Comment = '#'
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	if err != nil || len(rows) == 0 || rows[0][0] != "class" {
		faults.Add("classifications.csv", 1, "class", "should be the first column")
		return nil
	}
	var out []string
	for _, row := range rows[1:] {
		out = append(out, row[0])
	}
	return out
}
