package metal

// Catalogue is everything the engine knows of metals and parts; immutable after loading.
type Catalogue struct {
	Grades    []Grade              // sorted by family in the order of Families, then by id
	Parts     []Part               // sorted by name
	Frequency map[string]float64   // share of each family as base metal met by a repair team; sums to 1
	Mix       map[string][]float64 // setting → share of each family (order of Families); each sums to 1
	Settings  []string             // the settings of Mix, sorted

	names         []familyName // by index of Families
	gradeAt       map[string]int
	defaultWeight map[string]float64 // setting → weight when the team says nothing
	designations  map[string]*metalRef
	spoken        map[string]spokenName
	beside        map[string]besideWord
	parts         partIndex
}

type familyName struct{ name, short, group string }

// Grade is the grade with an id.
func (c *Catalogue) Grade(id string) (*Grade, bool) {
	i, ok := c.gradeAt[id]
	if !ok {
		return nil, false
	}
	return &c.Grades[i], true
}

// FamilyName is what people call a family, and a short form of at most 20 characters for a line on a
// phone. An unknown id comes back as it is.
func (c *Catalogue) FamilyName(id string) (name, short string) {
	i := FamilyIndex(id)
	if i < 0 || i >= len(c.names) {
		return id, id
	}
	return c.names[i].name, c.names[i].short
}

// FamilyGroup is the kind of metal (one of Groups) of a family; "" for an unknown id.
func (c *Catalogue) FamilyGroup(id string) string {
	i := FamilyIndex(id)
	if i < 0 || i >= len(c.names) {
		return ""
	}
	return c.names[i].group
}

// Part is the part with a name of parts.csv.
func (c *Catalogue) Part(name string) (*Part, bool) {
	i, ok := c.parts.at[name]
	if !ok {
		return nil, false
	}
	return &c.Parts[i], true
}
