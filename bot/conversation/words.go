package conversation

import (
	"embed"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode"

	"rodcall/bot/reply"
	"rodcall/engine/data"
)

//go:embed words.csv outcome_words.csv ask_words.csv
var files embed.FS

// What may follow a word.
const (
	takesNothing = "nothing"
	takesPart    = "part"
	takesText    = "text"
)

var wordSchema = data.Schema{
	File: "words.csv",
	Key:  []string{"word"},
	Columns: []data.Column{
		{Name: "word", Kind: data.Text, Required: true, Doc: "the word"},
		{Name: "aliases", Kind: data.List, Doc: "other spellings of it"},
		{Name: "takes", Kind: data.Word, Required: true, Of: []string{takesNothing, takesPart, takesText}, Doc: "what may follow it"},
		{Name: "does", Kind: data.Text, Doc: "what it does, as help says it; empty: not listed"},
		{Name: "mark", Kind: data.Word, Required: true, Of: []string{"judgement"}, Doc: "how firmly the row is held"},
	},
}

var outcomeSchema = data.Schema{
	File: "outcome_words.csv",
	Key:  []string{"test", "said"},
	Columns: []data.Column{
		{Name: "test", Kind: data.Text, Required: true, Doc: "observation key that the test answers"},
		{Name: "said", Kind: data.Text, Required: true, Doc: "the answer, whole and in lower case"},
		{Name: "reads", Kind: data.Text, Required: true, Doc: "what is read instead"},
		{Name: "mark", Kind: data.Word, Required: true, Of: []string{"judgement"}, Doc: "how firmly the row is held"},
	},
}

// vocabulary is words.csv and outcome_words.csv.
type vocabulary struct {
	takes map[string]string // word → what may follow it
	means map[string]string // spelling → word
	list  []string          // spellings, sorted
	help  []reply.Line      // what help lists
	reads map[string]string // test and answer, parted by a tab → what is read instead
}

// vocabularyOnce holds the table; a fault in it is a programmer's mistake and stops the first use.
var vocabularyOnce = sync.OnceValue(func() vocabulary {
	faults := &data.Faults{}
	v := loadVocabulary(faults)
	if err := faults.Err(); err != nil {
		panic(err)
	}
	return v
})

func loadVocabulary(faults *data.Faults) vocabulary {
	v := vocabulary{takes: map[string]string{}, means: map[string]string{}, reads: map[string]string{}}
	for _, row := range data.Read(files, wordSchema, faults).Rows {
		word := row.Text("word")
		v.takes[word] = row.Text("takes")
		if does := row.Text("does"); does != "" {
			v.help = append(v.help, reply.Line{Word: word, Does: does})
		}
		for _, spelling := range append(row.List("aliases"), word) {
			if other, taken := v.means[spelling]; taken {
				row.Fault("aliases", "%q stands already for %s", spelling, other)
			}
			v.means[spelling] = word
			v.list = append(v.list, spelling)
		}
	}
	for _, row := range data.Read(files, outcomeSchema, faults).Rows {
		v.reads[row.Text("test")+"\t"+row.Text("said")] = row.Text("reads")
	}
	slices.Sort(v.list)
	return v
}

// command is a message that is a word of words.csv.
type command struct {
	word string
	part int    // number of the part that it names; 0 when none
	text string // what follows, for words that take text
	as   string // the spelling used, with the mark behind it
}

var (
	partBehind  = regexp.MustCompile(`^(.*?)[ ,]+(?:part ?|#)?([1-9])$`)
	partBefore  = regexp.MustCompile(`^(?:part ?|#)?([1-9])[ :.)-]+(.*)$`)
	spaces      = regexp.MustCompile(`\s+`)
	apostrophes = strings.NewReplacer("\u2018", "'", "\u2019", "'", "\u02bc", "'", "`", "'", "\u00b4", "'")
)

// plain is a text in lower case with plain apostrophes, single spaces and no marks at its ends, other
// than a question mark.
func plain(text string) string {
	text = strings.ToLower(apostrophes.Replace(text))
	text = strings.TrimSpace(spaces.ReplaceAllString(text, " "))
	return strings.TrimFunc(text, func(r rune) bool {
		return r != '?' && r != '#' && r != '\'' && (unicode.IsPunct(r) || unicode.IsSpace(r))
	})
}

// command finds the word that a message is. Only a whole message is a word; those that take text may be
// followed by it, and what counts as such is for the caller to judge (says is asked).
func (v vocabulary) command(text string) (c command, ok bool) {
	said := plain(text)
	if word, known := v.means[said]; known {
		return command{word: word}, true
	}
	for _, form := range []struct {
		pattern    *regexp.Regexp
		word, part int
	}{{partBehind, 1, 2}, {partBefore, 2, 1}} {
		m := form.pattern.FindStringSubmatch(said)
		if m == nil {
			continue
		}
		word, known := v.means[plain(m[form.word])]
		if known && (v.takes[word] == takesPart || word == "can't") {
			n, _ := strconv.Atoi(m[form.part])
			return command{word: word, part: n}, true
		}
	}
	return v.commandWithText(text)
}

// commandWithText finds "done with 7018" and "new: sprocket cracked"; the text keeps its own writing.
func (v vocabulary) commandWithText(text string) (c command, ok bool) {
	text = strings.TrimSpace(apostrophes.Replace(text))
	for _, spelling := range slices.Backward(v.list) { // longer spellings of the same beginning come first
		word := v.means[spelling]
		if v.takes[word] != takesText || len(text) <= len(spelling) || !strings.EqualFold(text[:len(spelling)], spelling) {
			continue
		}
		rest := text[len(spelling):]
		if strings.ContainsAny(rest[:1], " :,.;-\n\t!") {
			return command{word: word, text: strings.TrimLeft(rest, " :,.;-\n\t!"), as: spelling + rest[:1]}, true
		}
	}
	return command{}, false
}

// meant lists at most two words of words.csv that a short message may be a misspelling of.
func (v vocabulary) meant(text string) []string {
	said := plain(text)
	if said == "" || len(said) > 16 {
		return nil
	}
	var out []string
	for limit := 1; limit <= 2; limit++ {
		for _, spelling := range v.list {
			word := v.means[spelling]
			if len(spelling) < 3*limit || len(said) < 3 || slices.Contains(out, word) {
				continue
			}
			if editDistance(said, spelling) <= limit {
				out = append(out, word)
			}
		}
		if len(out) > 0 {
			break
		}
	}
	return out[:min(2, len(out))]
}

// editDistance counts the letters to add, drop, change or swap with the neighbour.
func editDistance(a, b string) int {
	x, y := []rune(a), []rune(b)
	rows := make([][]int, len(x)+1)
	for i := range rows {
		rows[i] = make([]int, len(y)+1)
		rows[i][0] = i
	}
	for k := range y {
		rows[0][k+1] = k + 1
	}
	for i := range x {
		for k := range y {
			change := rows[i][k]
			if x[i] != y[k] {
				change++
			}
			best := min(rows[i][k+1]+1, rows[i+1][k]+1, change)
			if i > 0 && k > 0 && x[i] == y[k-1] && x[i-1] == y[k] {
				best = min(best, rows[i-1][k-1]+1)
			}
			rows[i+1][k+1] = best
		}
	}
	return rows[len(x)][len(y)]
}
