package formula

import (
	"io/fs"
	"slices"

	"rodcall/engine/data"
)

// The lines of the Schaeffler diagram that the data hold.
const (
	austeniteLine  = "austenite"  // martensite is present below it
	martensiteLine = "martensite" // no austenite below it
	ferriteLine    = "ferrite"    // ferrite alone below it
)

var schaefflerLines = []string{austeniteLine, martensiteLine, ferriteLine}

// point is one read point of a line with the uncertainty of its nickel equivalent, in units of the axes.
type point struct{ cr, ni, uncertainty float64 }

// diagram is the Schaeffler diagram as straight lines between points.
type diagram map[string][]point

var pointSchema = data.Schema{File: "constitution_points.csv", Key: []string{"diagram", "line", "Creq"}, Columns: []data.Column{
	{Name: "diagram", Kind: data.Word, Required: true, Of: []string{"schaeffler"}, Doc: "the diagram"},
	{Name: "line", Kind: data.Word, Required: true, Of: schaefflerLines, Doc: "the line"},
	{Name: "Creq", Kind: data.Number, Required: true, Min: 0, Max: 40, Doc: "chromium equivalent, wt%"},
	{Name: "Nieq", Kind: data.Number, Required: true, Min: 0, Max: 32, Doc: "nickel equivalent, wt%"},
	{Name: "uncertainty", Kind: data.Number, Required: true, Min: 0.1, Max: 5, Doc: "how far the line may lie off, units of the axes"},
	{Name: "source", Required: true, Doc: "where the point was read"},
	{Name: "mark", Required: true, Doc: "how firmly the point is held"},
}}

func loadDiagram(files fs.FS, marks data.Marks, faults *data.Faults) diagram {
	d := diagram{}
	for _, row := range data.Read(files, pointSchema, faults).Rows {
		marks.Check(row, "mark")
		line, p := row.Text("line"), point{row.Value("Creq", 0), row.Value("Nieq", 0), row.Value("uncertainty", 0)}
		if points := d[line]; len(points) > 0 && p.cr <= points[len(points)-1].cr {
			row.Fault("Creq", "the points of %s must rise in Creq", line)
		}
		d[line] = append(d[line], p)
	}
	for _, line := range schaefflerLines {
		if len(d[line]) < 2 {
			faults.Add(pointSchema.File, 0, "line", "%s has fewer than two points", line)
		}
	}
	return d
}

// at is the nickel equivalent of a line at a chromium equivalent, and its uncertainty; ok is false where the line
// does not reach.
func (d diagram) at(line string, cr float64) (ni, uncertainty float64, ok bool) {
	points := d[line]
	for i := 1; i < len(points); i++ {
		if a, b := points[i-1], points[i]; cr >= a.cr && cr <= b.cr {
			return a.ni + (cr-a.cr)/(b.cr-a.cr)*(b.ni-a.ni), max(a.uncertainty, b.uncertainty), true
		}
	}
	return 0, 0, false
}

// Presence says whether a phase is there.
type Presence int

// The degrees of presence.
const (
	Absent   Presence = iota
	Doubtful          // within the uncertainty of the line
	Present
)

// Phases is the constitution of a weld metal by the Schaeffler diagram.
type Phases struct {
	Martensite, Austenite, Ferrite Presence
	FerritePct                     float64 // by Seferian's fit; holds to about 30 %
	InRange                        bool    // inside the lines that are known
}

// seferianFerrite is the ferrite of Seferian's fit of the Schaeffler lines, %: 3 (Creq - 0.93 Nieq - 6.7); its
// uncertainty is 0.7 units of the axes (memory).
func seferianFerrite(cr, ni float64) float64 { return 3 * (cr - 0.93*ni - 6.7) }

const (
	seferianUncertainty = 3 * 0.7
	seferianEnd         = 30
	diagramEnd          = 32 // end of the nickel axis
)

// Constitution is what the Schaeffler diagram expects of weld metal with these equivalents, each phase with the
// doubt of its line. Martensite and austenite lines are approximate readings (±1.5, beyond the last point ±2.5).
func (s *Set) Constitution(cr, ni float64) Phases {
	p := Phases{Austenite: Present, FerritePct: max(0, seferianFerrite(cr, ni))}
	p.InRange = cr >= 0 && ni >= 0 && ni <= diagramEnd && p.FerritePct <= seferianEnd
	p.Ferrite = above(seferianFerrite(cr, ni), 0, seferianUncertainty)
	if line, uncertainty, ok := s.diagram.at(austeniteLine, cr); ok {
		p.Martensite = above(line, ni, uncertainty)
	}
	if line, uncertainty, ok := s.diagram.at(martensiteLine, cr); ok {
		p.Austenite = above(ni, line, uncertainty)
	}
	if line, uncertainty, ok := s.diagram.at(ferriteLine, cr); ok {
		if below := above(line, ni, uncertainty); below != Absent {
			p.Austenite, p.Martensite = min(p.Austenite, Present-below), min(p.Martensite, Present-below)
		}
		if ni < line {
			p.FerritePct = 100
		}
	}
	return p
}

// above says whether a lies above b by more than the uncertainty.
func above(a, b, uncertainty float64) Presence {
	switch {
	case a > b+uncertainty:
		return Present
	case a >= b-uncertainty:
		return Doubtful
	default:
		return Absent
	}
}

// String names the phases, a doubtful one with a question mark: "A + F?".
func (p Phases) String() string {
	var parts []string
	for _, phase := range []struct {
		name string
		is   Presence
	}{{"A", p.Austenite}, {"M", p.Martensite}, {"F", p.Ferrite}} {
		switch phase.is {
		case Present:
			parts = append(parts, phase.name)
		case Doubtful:
			parts = append(parts, phase.name+"?")
		case Absent:
		}
	}
	return list(slices.Clip(parts), " + ")
}
