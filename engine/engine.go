// Package engine is the public face of the computing half of rodcall: text to observation, observation
// to judgment. It is built once, checked while it is built, and immutable afterwards; it opens no file,
// asks no clock and draws no random number, so the same bytes in give the same bytes out.
package engine

import "rodcall/engine/observation"

// Settings are the choices of a team that change a judgment.
type Settings struct {
	Country  string             // us | eu | uk | ca | au: whose authorities refer_to names
	Observer string             // field | bench: whose lapse rates hold
	Mix      map[string]float64 // weight of each industry setting in the prior; empty means the default mix
	Tools    []string           // equipment at hand (words of tests.csv "needs"); nil means the ordinary truck kit
	Words    []byte             // the team's own words, a CSV (word,kind,means); nil means none
}

// Reader turns text into an observation, Judge an observation into a judgment. Both are safe for
// concurrent use.
type Reader interface {
	Read(text string) observation.Reading
}
