package metal

// Range is what a standard allows of one element, in wt%. HasLow and HasHigh tell a bound of zero from
// a bound that the standard does not set.
type Range struct {
	Low, High       float64
	HasLow, HasHigh bool
}

// Grade is one row of grades.csv.
type Grade struct {
	ID           string
	Designations []string
	Family       string // family id
	Form         string // wrought | cast | sintered
	Condition    string // the condition usually met in the field
	Balance      string // the element that makes up the rest

	Composition map[string]Range // by element symbol; an element not named is not specified, which is not zero
	// CompositionMark says how firmly the limits are held.
	CompositionMark string

	HardnessScale             string // HB, HRB, HRC or HRA; the range is the usual one in Condition
	HardnessLow, HardnessHigh float64
	HardnessMark              string
	Magnetic                  string // none | slight | strong, at room temperature, in the usual condition
	DensityGCM3               float64
	MetWeight                 float64 // how often it is met beside the other grades of its family; 1 is ordinary (judgement)
	Notes                     string
	CompositionSource         string
	HardnessSource            string
}

// Base is the metal that the grade is an alloy of: the element whose minimum is half or more, else the
// element that makes up the rest (a brass leaves zinc as the rest and is an alloy of copper).
func (g Grade) Base() string {
	for _, element := range Elements {
		if r := g.Composition[element]; r.HasLow && r.Low >= 50 {
			return element
		}
	}
	return g.Balance
}

// Part is one row of parts.csv: what a common part is made of.
type Part struct {
	Name     string
	Industry string  // industry of parts.csv
	Mix      string  // setting of the industry mix that it belongs to
	Shares   []Share // by family id; sums to 1; always judgement
	Grades   string  // typical grades, in the source's words
	Traps    string
	Source   string
	Mark     string
}

// PartMatch is one part that a name may mean, with the chance that it does. The chances of a match sum
// to at most 1; what is missing is the doubt of the match itself.
type PartMatch struct {
	Part *Part
	P    float64
}
