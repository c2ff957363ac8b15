package safety

// setWords is the width of a tagSet in machine words; the vocabulary may hold 64 times as many tags.
const setWords = 8

// tagSet is a set of tags by their index in tags.csv.
type tagSet [setWords]uint64

func (s *tagSet) add(tag int) { s[tag>>6] |= 1 << (tag & 63) }

func (s *tagSet) remove(tag int) { s[tag>>6] &^= 1 << (tag & 63) }

func (s *tagSet) has(tag int) bool { return s[tag>>6]&(1<<(tag&63)) != 0 }

func (s *tagSet) join(other *tagSet) {
	for i := range s {
		s[i] |= other[i]
	}
}

func (s *tagSet) common(other *tagSet) bool {
	for i := range s {
		if s[i]&other[i] != 0 {
			return true
		}
	}
	return false
}

func (s *tagSet) empty() bool { return *s == tagSet{} }

// patch is the part of a tagSet that lies in one machine word; a term's values lie in one or a few.
type patch struct {
	word int
	mask uint64
}

func (s *tagSet) patches() []patch {
	var out []patch
	for i, mask := range s {
		if mask != 0 {
			out = append(out, patch{i, mask})
		}
	}
	return out
}

func (s *tagSet) meets(patches []patch) bool {
	for _, p := range patches {
		if s[p.word]&p.mask != 0 {
			return true
		}
	}
	return false
}
