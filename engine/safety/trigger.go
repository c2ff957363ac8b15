package safety

import (
	"fmt"
	"slices"
	"strings"

	"rodcall/engine/data"
	"rodcall/engine/metal"
)

// held says how firmly a trigger holds. An open one rests on something that the message left out.
type held int

const (
	misses held = iota
	asked       // an ambiguous word raised the row
	open
	certain
)

// unknownFamily is the bit of "family=unknown" beside those of metal.Families.
const unknownFamily = 63

// openKeys are the keys in which "?" may stand: the message said nothing about it.
var openKeys = []string{"where", "use", "enclosure"}

// term is "key=v1|v2": it holds when the job has one of the values, openly when it has none of the
// values that could decide and the term allows that.
type term struct {
	key      string
	values   []patch
	unsaid   bool    // "?" is among the values
	deciding []patch // values of which one decides the term: its own and those that they void
}

// alternative is terms that must all hold; families is the family term as bits, 0 when there is none.
type alternative struct {
	terms    []term
	families uint64
	forbids  tagSet // tests that this alternative keeps from being proposed (stop rows)
}

// trigger is alternatives of which one must hold.
type trigger []alternative

// parseTrigger compiles the trigger language: "AND" joins terms, "OR" separates alternatives.
func parseTrigger(text string, tags *data.Tags) (trigger, error) {
	var out trigger
	for _, part := range strings.Split(text, " OR ") {
		var alt alternative
		seen := map[string]bool{}
		for _, piece := range strings.Split(part, " AND ") {
			key, values, ok := strings.Cut(strings.TrimSpace(piece), "=")
			if !ok || values == "" {
				return nil, fmt.Errorf("cannot read the term %q; write key=value|value", piece)
			}
			if seen[key] {
				return nil, fmt.Errorf("key %q stands twice in one alternative", key)
			}
			seen[key] = true
			if err := alt.add(key, strings.Split(values, "|"), tags); err != nil {
				return nil, err
			}
		}
		out = append(out, alt)
	}
	return out, nil
}

func (a *alternative) add(key string, values []string, tags *data.Tags) error {
	if key == "family" {
		return a.addFamilies(values)
	}
	if !slices.Contains(data.TagKeys, key) {
		return fmt.Errorf("unknown key %q; known: family %s", key, strings.Join(data.TagKeys, " "))
	}
	t := term{key: key}
	var own tagSet
	for _, value := range values {
		if value == "?" {
			if !slices.Contains(openKeys, key) {
				return fmt.Errorf("? cannot stand in key %q; only in %s", key, strings.Join(openKeys, " "))
			}
			t.unsaid = true
			continue
		}
		if !tags.Has(key, value) {
			return fmt.Errorf("%s=%s is no tag; tags.csv lists them", key, value)
		}
		own.add(tags.Index(value))
	}
	t.values = own.patches()
	if t.unsaid {
		t.deciding = deciding(key, own, tags)
	}
	a.terms = append(a.terms, t)
	return nil
}

func (a *alternative) addFamilies(values []string) error {
	for _, value := range values {
		i := metal.FamilyIndex(value)
		switch {
		case value == "any":
			return nil // every job has a family: the term always holds
		case value == "unknown":
			i = unknownFamily
		case i < 0:
			return fmt.Errorf("unknown family %q", value)
		}
		a.families |= 1 << i
	}
	return nil
}

// deciding are the tags of which one settles a term with "?": the values named, what they void and what
// voids them. A bare "?" is settled by every tag of the key that voids another. So "in a van" does not
// answer whether a roller is shut, and "on the road" does not answer whether a bolt is used again.
func deciding(key string, own tagSet, tags *data.Tags) []patch {
	out := own
	bare := own.empty()
	for i := range tags.Len() {
		tag := tags.At(i)
		if tag.Key != key {
			continue
		}
		for _, v := range tag.Voids {
			if bare || own.has(i) || own.has(v) {
				out.add(i)
				out.add(v)
			}
		}
	}
	return out.patches()
}

// holds evaluates a term on the tags of a job.
func (t *term) holds(tags *tagSet) held {
	if tags.meets(t.values) {
		return certain
	}
	if t.unsaid && !tags.meets(t.deciding) {
		return open
	}
	return misses
}

// holds evaluates an alternative; families are those that count for the row, skip names a key that is
// taken as given.
func (a *alternative) holds(tags *tagSet, families uint64, skip string) held {
	if a.families != 0 && a.families&families == 0 {
		return misses
	}
	out := certain
	for i := range a.terms {
		if a.terms[i].key == skip {
			continue
		}
		switch a.terms[i].holds(tags) {
		case misses:
			return misses
		case open, asked:
			out = open
		case certain:
		}
	}
	return out
}

// acts reports whether the process and test terms alone hold: what a question about the part needs.
func (a *alternative) acts(tags *tagSet) bool {
	for i := range a.terms {
		t := &a.terms[i]
		if (t.key == "process" || t.key == "test") && t.holds(tags) != certain {
			return false
		}
	}
	return true
}

// holds is the firmest that any alternative gives.
func (t trigger) holds(tags *tagSet, families uint64) held {
	best := misses
	for i := range t {
		if h := t[i].holds(tags, families, ""); h > best {
			best = h
		}
	}
	return best
}
