package metal

// partIndex finds parts by what people call them.
type partIndex struct {
	at      map[string]int // index in Catalogue.Parts by name
	targets map[string][]target
}

// target is one part that a variant may mean, with its weight beside the others.
type target struct {
	part   int
	weight float64
}
