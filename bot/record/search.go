package record

import (
	"context"
	"strings"
	"time"
	"unicode"
)

// Bounds of what is indexed: of the words said in one case, and of one word.
const (
	maxSaidBytes = 256 << 10
	maxWordRunes = 64
)

// prefixRunes is the length from which a searched word also finds longer ones that begin with it.
const prefixRunes = 3

// Found is one case that a search met.
type Found struct {
	Case    int64       `json:"case"`
	Author  string      `json:"author"`
	Opened  time.Time   `json:"opened"`
	Changed time.Time   `json:"changed"`
	Closed  bool        `json:"closed"`
	Title   string      `json:"title"` // the first message, as written
	Parts   []FoundPart `json:"parts"`
}

// FoundPart is one part of a case with the call as it stands.
type FoundPart struct {
	Part     int     `json:"part"`
	Name     string  `json:"name"`
	Family   string  `json:"family"` // the likeliest family, "" when nothing was judged
	P        float64 `json:"p"`
	Decision string  `json:"decision"`
	Rods     string  `json:"rods"` // consumable classes, parted by blanks
}

// Find lists cases that hold all the words, best first and among equals the newest first. When no case
// holds all of them it lists those that hold some. Words of three letters or more also find their longer
// forms; signs in the text mean nothing.
func (s *Store) Find(ctx context.Context, text string, limit int) ([]Found, error) {
	words := tokens(text)
	if len(words) == 0 {
		return []Found{}, nil
	}
	numbers, err := s.matching(ctx, s.dialect.all(words), limit)
	if err == nil && len(numbers) == 0 && len(words) > 1 {
		numbers, err = s.matching(ctx, s.dialect.any(words), limit)
	}
	if err != nil {
		return nil, s.fault("searching", err)
	}
	found := make([]Found, 0, len(numbers))
	for _, number := range numbers {
		one, err := s.found(ctx, number)
		if err != nil {
			return nil, s.fault("searching", err)
		}
		found = append(found, one)
	}
	return found, nil
}

func (s *Store) matching(ctx context.Context, query string, limit int) ([]int64, error) {
	rows, err := s.read.QueryContext(ctx, s.sql(s.dialect.search), query, limit)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var numbers []int64
	for rows.Next() {
		var number int64
		if err := rows.Scan(&number); err != nil {
			return nil, err
		}
		numbers = append(numbers, number)
	}
	return numbers, rows.Err()
}

func (s *Store) found(ctx context.Context, number int64) (Found, error) {
	f := Found{Case: number, Parts: []FoundPart{}}
	err := s.read.QueryRowContext(ctx, s.sql(`SELECT author, opened, changed, closed, title FROM repair_case WHERE number = ?`), number).
		Scan(&f.Author, &f.Opened, &f.Changed, &f.Closed, &f.Title)
	if err != nil {
		return f, err
	}
	f.Opened, f.Changed = utc(f.Opened), utc(f.Changed)
	rows, err := s.read.QueryContext(ctx, s.sql(`SELECT part, name, family, p, decision, rods FROM case_part
		WHERE case_number = ? ORDER BY part`), number)
	if err != nil {
		return f, err
	}
	defer rows.Close()
	for rows.Next() {
		var p FoundPart
		if err := rows.Scan(&p.Part, &p.Name, &p.Family, &p.P, &p.Decision, &p.Rods); err != nil {
			return f, err
		}
		f.Parts = append(f.Parts, p)
	}
	return f, rows.Err()
}

// tokens parts text into lower-case words of letters and digits. Both databases index and search what it
// gives, so that they find the same cases.
func tokens(text string) []string {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	})
	for i, word := range words {
		if runes := []rune(word); len(runes) > maxWordRunes {
			words[i] = string(runes[:maxWordRunes])
		}
	}
	return words
}

// ftsQuery words a search for SQLite; every word is quoted, so none is taken for an operator.
func ftsQuery(words []string, join string) string {
	quoted := make([]string, len(words))
	for i, word := range words {
		quoted[i] = `"` + strings.ReplaceAll(word, `"`, `""`) + `"`
		if len([]rune(word)) >= prefixRunes {
			quoted[i] += "*"
		}
	}
	return strings.Join(quoted, join)
}

// tsQuery words a search for PostgreSQL; every word is quoted, so none is taken for an operator.
func tsQuery(words []string, join string) string {
	quoted := make([]string, len(words))
	for i, word := range words {
		quoted[i] = `'` + strings.ReplaceAll(word, `'`, `''`) + `'`
		if len([]rune(word)) >= prefixRunes {
			quoted[i] += ":*"
		}
	}
	return strings.Join(quoted, join)
}
