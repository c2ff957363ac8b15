// Package token cuts a message into words, numbers, units and marks, each with its place in the original
// bytes. It knows how people type figures and quotes; it knows nothing of metals. Any bytes are taken, in
// linear time; bytes that are no text part words like a space does.
package token

// Kind says what a token is.
type Kind uint8

// The kinds of token.
const (
	Word   Kind = iota // letters, folded: lower case, no accents, no apostrophe ("Won’t" is "wont")
	Number             // a figure: Value, and High above Value when a range was written
	Unit               // a unit written as a sign: Text is "inch", "foot", "%" or "deg"
	Mark               // punctuation: Text is one sign, folded ("–" is "-", "”" is `"`); "\n" is the end of a line
	Other              // an emoji or another sign without a meaning here
)

// Break says how strongly a token parts what stands before it from what follows.
type Break uint8

// The strengths of a break, in order.
const (
	None     Break = iota
	Weak           // "and", "then", "so", "plus", "&", "/"
	Clause         // , ; ( ) " - " "but" "though" and emoji
	Sentence       // . ! ? and the end of a line
)

// Flag is a detail of how a token was written.
type Flag uint8

// The flags of a token.
const (
	Glued    Flag = 1 << iota // no space before it ("38mm": mm is glued)
	Hyphened                  // joined to the token before it by a hyphen ("dull-red": red is hyphened)
	Fraction                  // a figure with a fraction stroke: 3/4, 1-1/2, ½
	Decimal                   // a figure with a decimal point or comma
	Comma                     // a figure with a comma: the other reading is Alt
	Minus                     // a figure with a minus sign before it; Value is without the sign
)

// Token is one piece of a message.
type Token struct {
	Start, End int     // place in the original text, in bytes
	Text       string  // folded text; of a figure as written, folded
	Value      float64 // Number: the figure, the lower end of a range
	High       float64 // Number: the upper end of a range, else Value
	Alt        float64 // Number with Comma: the other reading ("1,200" is 1200 or 1.2; "3,4" is 3.4 or a list), else 0
	Kind       Kind
	Break      Break
	Flags      Flag
}

// Arrow is the text of a drawn arrow: "->", "=>", "→".
const Arrow = "->"

// Has reports whether all of the flags are set.
func (t *Token) Has(f Flag) bool { return t.Flags&f == f }

// IsRange reports whether the figure was written as a range.
func (t *Token) IsRange() bool { return t.Kind == Number && t.High > t.Value }

// Span is a stretch of the original text, in bytes.
type Span struct{ Start, End int }

// breaks are the words that part clauses.
func breakOf(word string) Break {
	switch word {
	case "and", "then", "so", "plus", "also", "or":
		return Weak
	case "but", "though", "however", "although", "while", "whereas":
		return Clause
	}
	return None
}
