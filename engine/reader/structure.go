package reader

import (
	"strings"

	"rodcall/engine/reader/token"
)

// fieldSpan is the value of a structured key: tokens [from, to).
type fieldSpan struct {
	key      key
	name     string
	first    int // token of the name
	from, to int
	quoted   bool
}

// fieldNames are the structured keys as people write them, beside the contract's own names.
var fieldNames = map[string]key{
	"magnetic": keyMagnet, "mag": keyMagnet, "sparks": keySpark, "volume": keyVolume, "bursts": keyBursts, "density": keyDensity,
	"fracture_face": keyFracture, "colour": keyMetalColor, "mark": keyMarks, "marking": keyMarks, "markings": keyMarks, "t": keyThickness,
	"thickness": keyThickness, "thickness_mm": keyThickness, "thick": keyThickness, "diameter": keyDiameter,
	"diameter_mm": keyDiameter, "dia": keyDiameter, "length": keyPartLength, "length_mm": keyPartLength, "depth": keyDepth,
	"depth_mm": keyDepth, "width": keyWidth, "width_mm": keyWidth, "chemistry": keyChem, "analysis": keyChem,
	"metal": keyClaim, "material": keyClaim, "rods": keyHave, "tests": keyTest, "spark_length": keyLength,
	"spark_volume": keyVolume, "spark_bursts": keyBursts, "spark_colour": keyColor, "spark_color": keyColor, "spark.colour": keyColor,
}

// skinPrefix begins the names of the outer skin's spark.
const skinPrefix = "spark_skin."

// fieldNamed is the key of a structured field's name, folded.
func fieldNamed(name string) (key, bool) {
	if k, ok := fieldNames[name]; ok {
		return k, true
	}
	if strings.HasPrefix(name, "scene.") {
		return keyScene, true
	}
	if part, ok := strings.CutPrefix(name, skinPrefix); ok {
		return keyNamed("spark." + part)
	}
	return keyNamed(name)
}

// structured finds the fields of the structured form, key:value or key="value", and notes for each token of
// a value to which key it belongs.
func (s *state) structured() {
	for i := 0; i < len(s.tokens); i++ {
		t := &s.tokens[i]
		if t.Kind != token.Mark || t.Text != ":" && t.Text != "=" || i == 0 || !t.Has(token.Glued) {
			continue
		}
		name, first := s.fieldName(i)
		k, ok := fieldNamed(name)
		if !ok || s.insidePhrase(first) {
			continue
		}
		if (k == keyPartLength || k == keyMetalColor) && s.afterSpark(first) {
			k = keySpark // "spark color: red; length: 25 in" goes on with the spark
		}
		f := fieldSpan{key: k, name: name, first: first}
		f.from, f.to, f.quoted = s.fieldValue(i + 1)
		s.mark(first, f.from, markUsed)
		for j := first; j < f.from; j++ {
			s.field[j] = keyName
		}
		for j := f.from; j < f.to; j++ {
			s.field[j] = k
		}
		if k == keyScene {
			s.mark(f.from, f.to, markUsed)
		}
		s.fields = append(s.fields, f)
	}
}

// afterSpark reports whether the word before a field's name, or the field before it, speaks of the spark.
func (s *state) afterSpark(first int) bool {
	if first > 0 && (s.tokens[first-1].Text == "spark" || s.tokens[first-1].Text == "sparks") {
		return true
	}
	if len(s.fields) == 0 {
		return false
	}
	last := s.fields[len(s.fields)-1]
	return keys[last.key].topic.suits(topicSpark) && first-last.to <= 2
}

// insidePhrase reports whether the name is the end of a phrase: "file test: skates" is no field.
func (s *state) insidePhrase(first int) bool {
	if first == 0 || s.field[first-1] != keyNone || !s.tokens[first].Has(token.Glued) && s.tokens[first-1].Kind != token.Word {
		return false
	}
	end, _ := s.lexicon.longestMatch(s.words, first-1)
	return end > first
}

// fieldTopics turns the names of the fields into names of their topics: they are no words of the message.
func (s *state) fieldTopics() {
	for n := range s.fields {
		f := &s.fields[n]
		for j := f.first; j < f.from; j++ {
			if it := s.itemOn(j); it != nil {
				it.negator, it.kind, it.node, it.part = -1, kindChatter, 0, -1
				it.topic = keys[f.key].topic
			}
		}
	}
}

// fieldName reads the name that touches a colon, with its dots and underlines.
func (s *state) fieldName(colon int) (name string, first int) {
	first = colon
	for first > 0 {
		t := &s.tokens[first-1]
		joined := t.Kind == token.Word || t.Kind == token.Number || t.Kind == token.Mark && (t.Text == "." || t.Text == "_")
		if !joined || colon-first == fieldNameTokens {
			break
		}
		first--
		if !t.Has(token.Glued) {
			break
		}
	}
	if first == colon {
		return "", first
	}
	return lower(s.text[s.tokens[first].Start:s.tokens[colon].Start]), first
}

const fieldNameTokens = 7

func lower(text string) string {
	for i := 0; i < len(text); i++ {
		if c := text[i]; c >= 'A' && c <= 'Z' {
			b := []byte(text)
			for j := range b {
				if b[j] >= 'A' && b[j] <= 'Z' {
					b[j] += 'a' - 'A'
				}
			}
			return string(b)
		}
	}
	return text
}

// fieldValue is the extent of a value: what stands in quotes, else up to the next field, line or sentence.
func (s *state) fieldValue(i int) (from, to int, quoted bool) {
	if i < len(s.tokens) && s.tokens[i].Text == `"` {
		for j := i + 1; j < len(s.tokens); j++ {
			if s.tokens[j].Text == `"` {
				return i + 1, j, true
			}
		}
		return i + 1, len(s.tokens), true
	}
	for j := i; j < len(s.tokens); j++ {
		t := &s.tokens[j]
		switch {
		case t.Text == ";" || t.Text == "\n", t.Break == token.Sentence:
			return i, j, false
		case j+1 < len(s.tokens) && t.Kind == token.Word && s.startsField(j):
			return i, j, false
		}
	}
	return i, len(s.tokens), false
}

// startsField reports whether a structured name begins at token j.
func (s *state) startsField(j int) bool {
	for n := 1; n <= fieldNameTokens && j+n < len(s.tokens); n++ {
		t := &s.tokens[j+n]
		if !t.Has(token.Glued) || t.Kind == token.Unit {
			return false
		}
		if t.Text == ":" || t.Text == "=" {
			name, first := s.fieldName(j + n)
			_, ok := fieldNamed(name)
			return ok && first == j
		}
	}
	return false
}
