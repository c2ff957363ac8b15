package metal

// Catalogue is everything the engine knows of metals and parts; immutable after loading.
type Catalogue struct {
	Grades    []Grade              // sorted by family in the order of Families, then by id
	Parts     []Part               // sorted by name
	Frequency map[string]float64   // share of each family as base metal met by a repair team; sums to 1
	Mix       map[string][]float64 // setting → share of each family (order of Families); each sums to 1
}
