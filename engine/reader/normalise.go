package reader

import (
	"slices"
	"strings"

	"rodcall/engine/observation"
)

// Normalise maps the free words of an observation that came as values (fracture, color, torch, surface, part,
// marks) by the vocabulary. Words that it cannot map are taken out and returned, each with its key; in part
// and marks they stay, and are returned too.
func (r *Reader) Normalise(o observation.Observation) (observation.Observation, []string) {
	var unread []string
	for _, list := range []struct {
		key   key
		words *[]string
	}{{keyFracture, &o.Fracture}, {keyMetalColor, &o.Color}, {keyTorch, &o.Torch}, {keySurface, &o.Surface}} {
		*list.words, unread = r.mapWords(list.key, *list.words, unread)
	}
	if o.Part != "" {
		out := r.Result(quoted(keyPart, o.Part))
		if out.Observation.Part != "" {
			o.Part = out.Observation.Part
		}
		unread = append(unread, out.Unread...)
	}
	o.Marks, unread = r.mapMarks(o.Marks, unread)
	return o, unread
}

func quoted(k key, words string) string {
	return keys[k].name + `:"` + strings.ReplaceAll(words, `"`, "''") + `"`
}

func (r *Reader) mapWords(k key, words, unread []string) (mapped, left []string) {
	for _, phrase := range words {
		if slices.Contains(closedLists[k], phrase) {
			mapped = append(mapped, phrase)
			continue
		}
		out := r.Result(quoted(k, phrase))
		read := *listOf(k, &out.Observation)
		for _, word := range read {
			if !slices.Contains(mapped, word) {
				mapped = append(mapped, word)
			}
		}
		if len(read) == 0 {
			unread = append(unread, keys[k].name+`: "`+phrase+`"`)
			continue
		}
		unread = append(unread, out.Unread...)
	}
	return mapped, unread
}

func (r *Reader) mapMarks(marks, unread []string) (mapped, left []string) {
	for _, phrase := range marks {
		out := r.Result(quoted(keyMarks, phrase))
		read := out.Observation.Marks
		if len(read) == 0 {
			read = []string{phrase}
		}
		for _, word := range read {
			if !slices.Contains(mapped, word) {
				mapped = append(mapped, word)
			}
		}
		unread = append(unread, out.Unread...)
	}
	return mapped, unread
}
