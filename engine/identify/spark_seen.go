package identify

import (
	"slices"

	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

// spreadPlaces links the spread of a stream to its volume: sources do not describe it, so a narrow
// stream is read as a thin one and a wide one as a full one (own estimate).
var spreadPlaces = map[string]string{"narrow": "small", "medium": "moderate", "wide": "large"}

// see translates an observed spark for the model.
func (m *Model) see(o *observation.Spark) sparkSeen {
	seen := sparkSeen{against: [3]int{-1, -1, -1}}
	said := [features]string{o.Volume, o.Length, o.ColorNear, o.ColorEnd, o.Bursts, o.BurstForm}
	if said[volume] == "" {
		said[volume] = spreadPlaces[o.Spread]
	}
	for f, word := range said {
		seen.word[f] = slices.Index(sparkWords[f], word)
		seen.said = seen.said || seen.word[f] >= 0
	}
	if o.LengthIn != nil && seen.word[length] < 0 {
		seen.readInches(*o.LengthIn)
	}
	if o.Against != nil {
		m.seeAgainst(o.Against, &seen)
		seen.said = seen.said || seen.compared
	}
	return seen
}

func (seen *sparkSeen) readInches(inches float64) {
	seen.said = true
	if inches <= 0 {
		seen.word[length] = 0
		return
	}
	seen.inches = inches
}

// seeAgainst notes a comparison; the known piece is taken as the usual metal of its family, and as
// low-carbon steel when the message names none (what lies on a bench is mostly that).
func (m *Model) seeAgainst(a *observation.Against, seen *sparkSeen) {
	family := metal.FamilyIndex(a.Piece)
	if family < 0 {
		family = metal.FamilyIndex("low-carbon-steel")
	}
	for k := range seen.piece {
		for g, f := range m.family {
			if f == family {
				seen.piece[k] += m.within[g] * m.spark.mean[g][k]
			}
		}
	}
	for k, word := range [3]string{a.Volume, a.Length, a.Bursts} {
		seen.against[k] = slices.Index(observation.AgainstWords, word)
		seen.compared = seen.compared || seen.against[k] >= 0
	}
}
