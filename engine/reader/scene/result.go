package scene

import (
	"cmp"
	"slices"

	"rodcall/engine/reader/token"
)

// result gathers the values by key, each once, in the order of the message.
func (m *message) result() Found {
	var f Found
	slices.SortStableFunc(m.values, func(a, b value) int { return cmp.Compare(a.from, b.from) })
	m.voidCoats()
	var have [16]uint64
	f.Spans = make([]Span, 0, len(m.values))
	for _, v := range m.values {
		tag := m.reader.tags.At(v.tag)
		if v.to > v.from {
			f.Spans = append(f.Spans, Span{spanKeys[tag.Key], tag.Name, m.tokens[m.words[v.from].token].Start, m.tokens[m.words[v.to-1].token].End})
		}
		if have[v.tag>>6]&(1<<(v.tag&63)) != 0 {
			continue
		}
		have[v.tag>>6] |= 1 << (v.tag & 63)
		list := f.list(tag.Key)
		*list = append(*list, tag.Name)
	}
	for _, id := range m.asks {
		if !slices.Contains(f.Scene.Ask, id) {
			f.Scene.Ask = append(f.Scene.Ask, id)
		}
	}
	f.Words = m.understood()
	return f
}

// spanKeys are the keys under which a reading keeps its words, by key of the tags.
var spanKeys = map[string]string{"process": "process", "test": "test", "service": "service", "site": "scene.site", "where": "scene.where",
	"use": "scene.use", "coating": "scene.coating", "enclosure": "scene.enclosure", "residue": "scene.residue", "state": "scene.state",
	"person": "scene.person", "temp": "scene.temp", "part": "scene.part"}

func (f *Found) list(key string) *[]string {
	switch key {
	case "process":
		return &f.Process
	case "test":
		return &f.Test
	case "service":
		return &f.Service
	case "site":
		return &f.Scene.Site
	case "where":
		return &f.Scene.Where
	case "use":
		return &f.Scene.Use
	case "coating":
		return &f.Scene.Coating
	case "enclosure":
		return &f.Scene.Enclosure
	case "residue":
		return &f.Scene.Residue
	case "state":
		return &f.Scene.State
	case "person":
		return &f.Scene.Person
	case "temp":
		return &f.Scene.Temp
	}
	return &f.Scene.Part
}

// paints are the coats that "paint stripped" takes away; plating and lining are not paint.
var paints = []string{"paint", "old-paint", "lead-paint", "powder-coat", "epoxy", "unknown-coating"}

// voidCoats drops the paint that the message says is stripped.
func (m *message) voidCoats() {
	stripped := m.reader.tags.Index("stripped")
	if !slices.ContainsFunc(m.values, func(v value) bool { return v.tag == stripped }) {
		return
	}
	m.values = slices.DeleteFunc(m.values, func(v value) bool { return slices.Contains(paints, m.reader.tags.At(v.tag).Name) })
}

// understood lists the bytes of the words that were read, neighbours joined.
func (m *message) understood() []token.Span {
	var out []token.Span
	for i, used := range m.used {
		if !used && !m.covered[i] {
			continue
		}
		t := &m.tokens[m.words[i].token]
		if n := len(out); n > 0 && i > 0 && (m.used[i-1] || m.covered[i-1]) {
			out[n-1].End = t.End
			continue
		}
		out = append(out, token.Span{Start: t.Start, End: t.End})
	}
	return out
}
