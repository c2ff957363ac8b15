package metal

// trie holds the folded variants of part names, byte by byte: letters and digits without what separates
// the words, so that "blow bar", "blow-bar" and "blowbar" are one. Children are a linked list; a name has
// few at each place.
type trie struct {
	nodes []trieNode
	roots [256]int32
}

type trieNode struct {
	child, next int32 // index of a node, 0 for none
	variant     int32 // index of the variant that ends here, -1 for none
	ch          byte
}

func newTrie() *trie { return &trie{nodes: []trieNode{{variant: -1}}} }

// top is the place before the first byte; dead is the place of nothing.
const (
	top  int32 = 0
	dead int32 = -1
)

// step goes on by one byte.
func (t *trie) step(node int32, ch byte) int32 {
	if node == top {
		if next := t.roots[ch]; next != 0 {
			return next
		}
		return dead
	}
	for next := t.nodes[node].child; next != 0; next = t.nodes[next].next {
		if t.nodes[next].ch == ch {
			return next
		}
	}
	return dead
}

// walk goes on by a word.
func (t *trie) walk(node int32, word []byte) int32 {
	for _, ch := range word {
		if node = t.step(node, ch); node == dead {
			return dead
		}
	}
	return node
}

// add enters a folded name and is the variant that stands there already, or the new one.
func (t *trie) add(key []byte, variant int32) int32 {
	node := top
	for _, ch := range key {
		next := t.step(node, ch)
		if next == dead {
			next = int32(len(t.nodes))
			t.nodes = append(t.nodes, trieNode{ch: ch, variant: -1})
			if node == top {
				t.roots[ch] = next
			} else {
				t.nodes[next].next, t.nodes[node].child = t.nodes[node].child, next
			}
		}
		node = next
	}
	if t.nodes[node].variant < 0 {
		t.nodes[node].variant = variant
	}
	return t.nodes[node].variant
}
