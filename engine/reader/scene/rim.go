package scene

import "math"

// fastRim is the rim speed from which a rotor is fast, in metres a second (memory: cast iron rims burst
// from about twice that).
const fastRim = 30.0

// surelySlowRPM and surelyFastRPM decide without a diameter: below the first even a rim of 3.8 m stays
// under fastRim, above the second a rim of 0.2 m exceeds it.
const (
	surelySlowRPM = 150
	surelyFastRPM = 3000
)

// RimSpeed is the speed of a rim in metres a second:
//
//	v = π · d · n / 60
//
// with the diameter d in metres and n in turns a minute.
func RimSpeed(diameterMM, rpm float64) float64 { return math.Pi * diameterMM / 1000 * rpm / 60 }

func (r *Reader) prepareRim() {
	for _, name := range []string{"rpm", "r/min", "revs"} {
		if id := r.lexicon.enter(name); id != none {
			r.rpm = append(r.rpm, id)
		}
	}
	r.sizeUnits = map[int32]float64{}
	for name, mm := range map[string]float64{"mm": 1, "cm": 10, "m": 1000, "in": 25.4, "inch": 25.4, "foot": 304.8, "ft": 304.8} {
		r.sizeUnits[r.lexicon.enter(name)] = mm
	}
	r.rim = [2]int{r.tags.Index("slow"), r.tags.Index("fast")}
}

// readRim tells a slow rotor from a fast one when the message gives its turns, and its largest size for
// the diameter.
func (m *message) readRim() {
	rpm, at := m.turns()
	if at < 0 {
		return
	}
	size := m.largest()
	fast := rpm >= surelyFastRPM || size > 0 && RimSpeed(size, rpm) >= fastRim
	slow := rpm <= surelySlowRPM || size > 0 && RimSpeed(size, rpm) < fastRim
	switch {
	case fast:
		m.values = append(m.values, value{m.reader.rim[1], at, at + 2})
	case slow:
		m.values = append(m.values, value{m.reader.rim[0], at, at + 2})
	}
}

// turns is the highest figure before "rpm", and its place; -1 when there is none.
func (m *message) turns() (rpm float64, at int32) {
	at = -1
	for i := 0; i+1 < len(m.words); i++ {
		if !m.words[i].figure {
			continue
		}
		for _, unit := range m.reader.rpm {
			if m.words[i+1].id == unit && m.tokens[m.words[i].token].High > rpm {
				rpm, at = m.tokens[m.words[i].token].High, int32(i)
			}
		}
	}
	return rpm, at
}

// largest is the largest length in the message, in millimetres; 0 when there is none.
func (m *message) largest() float64 {
	size := 0.0
	for i := 0; i+1 < len(m.words); i++ {
		if mm, ok := m.reader.sizeUnits[m.words[i+1].id]; ok && m.words[i].figure {
			size = max(size, m.tokens[m.words[i].token].High*mm)
		}
	}
	return size
}
