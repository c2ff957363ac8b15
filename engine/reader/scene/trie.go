package scene

import (
	"slices"
	"strings"

	"rodcall/engine/reader/token"
)

// trie holds every phrase of the vocabulary, word by word.
type trie struct {
	next map[uint64]int32 // node and word id → node
	root []int32          // word id → node, for the first word of a phrase
	ends []int32          // per node: the phrase that ends there, or none
	size int32            // number of phrases
}

func newTrie() trie {
	return trie{next: make(map[uint64]int32, usualPhrases), ends: append(make([]int32, 0, 2*usualPhrases), none)}
}

func edge(node, id int32) uint64 { return uint64(node)<<32 | uint64(uint32(id)) }

// enter adds a phrase and returns its number; the same phrase twice has one number.
func (t *trie) enter(ids []int32) int32 {
	node := int32(0)
	for _, id := range ids {
		to, ok := t.next[edge(node, id)]
		if !ok {
			to = int32(len(t.ends))
			t.ends = append(t.ends, none)
			t.next[edge(node, id)] = to
		}
		node = to
	}
	if t.ends[node] == none {
		t.ends[node] = t.size
		t.size++
	}
	return t.ends[node]
}

// settle prepares the first step of every walk; nothing is entered afterwards.
func (t *trie) settle(ids int) {
	t.root = make([]int32, ids)
	for id := range t.root {
		t.root[id] = none
		if to, ok := t.next[edge(0, int32(id))]; ok {
			t.root[id] = to
		}
	}
}

// follow is the node behind an edge.
func (t *trie) follow(node, id int32) (int32, bool) {
	if node == 0 {
		return t.root[id], t.root[id] != none
	}
	to, ok := t.next[edge(node, id)]
	return to, ok
}

// match is a phrase at words [from,to) of a message.
type match struct {
	phrase   int32
	from, to int32
	stemmed  bool // a verb form was taken for its verb
}

// find appends every phrase that begins at a word. The walk is bounded by the longest phrase.
func (t *trie) find(words []word, from int32, out []match) []match {
	return t.walk(words, 0, from, match{from: from}, out)
}

func (t *trie) walk(words []word, node, at int32, m match, out []match) []match {
	if end := t.ends[node]; end != none && node != 0 {
		m.phrase, m.to = end, at
		out = append(out, m)
	}
	if node != 0 {
		if skip, ok := t.follow(node, gap); ok {
			for n := int32(0); n <= maxGap && at+n < int32(len(words)) && words[at+n].clause == words[m.from].clause; n++ {
				out = t.step(words, skip, at+n, m, out)
			}
		}
	}
	if at < int32(len(words)) && words[at].article != none && words[at].clause == words[m.from].clause {
		if to, ok := t.follow(node, words[at].article); ok {
			out = t.walk(words, to, at, m, out)
		}
	}
	return t.step(words, node, at, m, out)
}

// step follows the edges that the word at a place opens.
func (t *trie) step(words []word, node, at int32, m match, out []match) []match {
	if at >= int32(len(words)) || words[at].clause != words[m.from].clause {
		return out
	}
	w := &words[at]
	if w.id != none {
		if to, ok := t.follow(node, w.id); ok {
			out = t.walk(words, to, at+1, m, out)
		}
	}
	if w.figure {
		if to, ok := t.follow(node, number); ok {
			out = t.walk(words, to, at+1, m, out)
		}
	}
	if w.stem != none && w.stem != w.id {
		if to, ok := t.follow(node, w.stem); ok {
			m.stemmed = true
			out = t.walk(words, to, at+1, m, out)
		}
	}
	return out
}

// phrase turns the text of a phrase into word ids: "#" is any figure, "~" a few words between. Articles
// are left out unless the phrase is one word without them or ends in one.
func (l *lexicon) phrase(text string) []int32 {
	k := &l.scratch
	all, telling, tokens := k.all[:0], k.telling[:0], k.tokens[:0]
	trailing := false
	for piece := range strings.FieldsSeq(text) {
		if piece == "#" || piece == "~" {
			all, telling = append(all, l.ids[piece]), append(telling, l.ids[piece])
			continue
		}
		tokens = token.Scan(piece, tokens[:0])
		for i := range tokens {
			t := &tokens[i]
			if t.Kind == token.Mark || t.Kind == token.Other {
				continue
			}
			trailing = isArticle(t.Text)
			id := l.enter(t.Text)
			all = append(all, id)
			if !trailing {
				telling = append(telling, id)
			}
		}
	}
	k.all, k.telling, k.tokens = all, telling, tokens
	if trailing || len(telling) < 2 {
		return slices.Clone(all)
	}
	return slices.Clone(telling)
}
