package weld

import (
	"regexp"
	"strconv"
	"strings"

	"rodcall/engine/data"
)

// Class is one consumable class of a standard.
type Class struct {
	ID        string
	Standard  string
	Group     string   // one of the filler groups
	Processes []string // as the standard's row lists them
	Carried   int      // how common it is on a truck: 0 rare to 3 always (judgement)

	process   process
	positions position
	ac, dc    bool
	wet       bool    // its standard sets no limit of hydrogen: cellulosic and rutile coverings
	hardHRC   float64 // as welded, 0 when not given in HRC
	special   bool    // a group of products rather than a product (EN 14700)
	handling  float64 // what it loses for how it is run; the rest depends on the job
	Deposit   string  // mass percent of the deposit as the class states it
	hydrogen  string  // what the class promises of diffusible hydrogen, as the table writes it
}

// process is a set of welding processes.
type process uint16

const (
	smaw process = 1 << iota
	gmaw
	gtaw
	saw
	fcaw
	oxyfuel
	brazing
)

// position is a set of welding positions.
type position uint8

const (
	flat position = 1 << iota
	horizontal
	verticalUp
	verticalDown
	overhead
	anyPosition = flat | horizontal | verticalUp | overhead
)

var processWords = map[string]process{"SMAW": smaw, "GMAW": gmaw, "GTAW": gtaw, "SAW": saw, "FCAW": fcaw, "FCAW-G": fcaw,
	"FCAW-S": fcaw, "OAW": oxyfuel, "brazing": brazing, "braze welding": brazing}

func (b *Book) loadClasses(classes []data.Row, faults *data.Faults) {
	for _, row := range classes {
		c := Class{ID: row.Text("class"), Standard: row.Text("standard"), Group: row.Text("group"),
			Processes: row.List("process"), Carried: int(row.Value("carried", 0)), Deposit: row.Text("nominal_deposit_wtpct"), hydrogen: row.Text("hydrogen_designators")}
		for _, p := range c.Processes {
			c.process |= processWords[p]
		}
		c.positions = readPositions(row.Text("positions"))
		c.ac, c.dc = readCurrent(row.Text("current_polarity"))
		c.hardHRC = readHRC(row.Text("hardness_as_welded"))
		c.wet = strings.HasPrefix(row.Text("hydrogen_designators"), "none")
		c.special = c.Standard == "EN 14700"
		b.classAt[c.ID] = len(b.classes)
		if c.Carried > 0 {
			b.carried = append(b.carried, len(b.classes))
		}
		b.classes = append(b.classes, c)
		b.deposits = append(b.deposits, depositOf(&c))
	}
}

// readPositions reads the words of the positions column; a preference ("flat preferred") forbids nothing.
func readPositions(text string) position {
	switch {
	case strings.HasPrefix(text, "all incl. vertical-down"):
		return anyPosition | verticalDown
	case text == "flat":
		return flat
	case strings.HasPrefix(text, "flat/horizontal"), strings.HasPrefix(text, "flat;horizontal"):
		return flat | horizontal
	case text == "capillary joint", text == "per consumable", text == "":
		return anyPosition | verticalDown
	}
	return anyPosition
}

// readCurrent says whether a class runs on alternating and on direct current; a flame needs neither.
func readCurrent(text string) (ac, dc bool) {
	if text == "" || strings.HasPrefix(text, "flame") || text == "per consumable" {
		return true, true
	}
	return strings.Contains(text, "AC"), strings.Contains(text, "DC")
}

var hrcPattern = regexp.MustCompile(`([0-9]+)(?:-[0-9]+)? HRC`)

func readHRC(text string) float64 {
	m := hrcPattern.FindStringSubmatch(text)
	if m == nil {
		return 0
	}
	v, _ := strconv.ParseFloat(m[1], 64)
	return v
}

// Class is the class with an id of classifications.csv; ok is false for an unknown id.
func (b *Book) Class(id string) (Class, bool) {
	i, ok := b.classAt[id]
	if !ok {
		return Class{}, false
	}
	return b.classes[i], true
}

// Classes lists every class in the order of the table.
func (b *Book) Classes() []Class { return append([]Class(nil), b.classes...) }

// Held finds the class that a rep means by what he has at hand: the id itself, or an electrode or wire
// named by its number alone (7018, 312). It gives -1 when nothing fits.
func (b *Book) held(word string) int {
	word = strings.TrimSpace(word)
	for _, prefix := range []string{"", "E", "ER", "R"} {
		if i, ok := b.classAt[prefix+word]; ok {
			return i
		}
	}
	upper := strings.ToUpper(word)
	for i, c := range b.classes {
		if strings.ToUpper(c.ID) == upper || strings.ToUpper(c.ID) == "E"+upper || c.ID == "E"+upper+"L" {
			return i
		}
	}
	return -1
}
