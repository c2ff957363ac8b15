package scene

import "slices"

// The strengths with which a near word decides a meaning. The head of a compound comes last in English:
// a tank stand is a stand. So the word behind decides before the word in front, and both before one that
// only stands somewhere in the message.
const (
	somewhere = 1
	inFront   = 3
	behind    = 4
)

// readParts applies part_tags.csv. Parts named by the same words are candidates: they give what all of
// them share, and the questions of each. A bare ambiguous word is no whole part, nor is a piece of a
// longer phrase that says what the thing is.
func (m *message) readParts(parts []Part) {
	for _, part := range parts {
		entry, ok := m.reader.parts[part.Name]
		if !ok {
			continue
		}
		place, placed := m.place(part)
		if placed && (m.bare(place) || m.around(place, m.tells)) {
			continue
		}
		m.named = append(m.named, namedPart{entry: entry, place: place, placed: placed})
	}
	for i := range m.named {
		m.holdPart(&m.named[i])
	}
}

func (m *message) holdPart(part *namedPart) {
	described := part.placed && m.describes(part.place)
	for _, tag := range part.entry.tags {
		if ask, ok := m.reader.attached[tag]; ok && described {
			m.ask(ask)
			continue
		}
		doubtful := slices.ContainsFunc(m.named, func(other namedPart) bool {
			return other.place == part.place && other.placed == part.placed && !slices.Contains(other.entry.tags, tag)
		})
		if !doubtful {
			m.values = append(m.values, value{tag: tag})
		}
	}
	if part.entry.ask != "" && !(described && m.reader.settled[part.entry.ask]) {
		m.asks = append(m.asks, part.entry.ask)
	}
}

// compoundReach is how many words may stand between a word and the head of its compound: "tail pulley take
// up frame".
const compoundReach = 2

// describes reports whether a phrase only describes the head of its compound: in "hay rake tine bar" it is
// the bar that broke. An article, a preposition, a figure, or what befell the thing ends a compound.
func (m *message) describes(f match) bool {
	for at := f.to; at <= f.to+compoundReach && int(at) < len(m.words); at++ {
		w := &m.words[at]
		if w.clause != m.words[f.from].clause || w.article != none || w.figure {
			return false
		}
		if m.signAt(at, head|piece|attaches) {
			return true
		}
		if m.signAt(at, happens|blocks|denies|originates) {
			return false
		}
	}
	return false
}

// namedPart is a part that a message names, and where.
type namedPart struct {
	entry  partEntry
	place  match
	placed bool
}

// place finds the words of a part's name: the longest of its known names within the stretch that was
// told, else the stretch itself. What stands before a name belongs to the message, not to the part.
func (m *message) place(part Part) (best match, ok bool) {
	within, told := m.between(part.Start, part.End)
	for _, f := range m.matches {
		if told && (f.from < within.from || f.to > within.to) {
			continue
		}
		if f.to-f.from > best.to-best.from && slices.Contains(m.reader.uses[f.phrase].parts, part.Name) {
			best, ok = match{from: f.from, to: f.to}, true
		}
	}
	if !ok {
		return within, told
	}
	return best, ok
}

// between are the words within a stretch of bytes.
func (m *message) between(start, end int) (f match, ok bool) {
	for i := range m.words {
		t := &m.tokens[m.words[i].token]
		if t.Start < start || t.End > end {
			continue
		}
		if !ok {
			f.from = int32(i)
		}
		f.to, ok = int32(i)+1, true
	}
	return f, ok
}

// tells holds for a longer phrase that says by itself what the thing is: in "square tube frame" the tube
// is not the whole part.
func (m *message) tells(f match) bool { return m.covers(f) && m.speaks(f) }

// bare reports whether a part's name in the message is nothing but one ambiguous word.
func (m *message) bare(place match) bool {
	return slices.ContainsFunc(m.starting(place.from, place.from+1), func(f match) bool { return f.to == place.to && m.ambiguous(f) })
}

// inPart is the named part whose name holds a word, or nil.
func (m *message) inPart(f match) *namedPart {
	for i := range m.named {
		part := &m.named[i]
		if part.placed && part.place.from <= f.from && f.to <= part.place.to || !part.placed && m.spelt(f, part.entry.words) {
			return part
		}
	}
	return nil
}

// spelt reports whether every word of a match is among those of a name.
func (m *message) spelt(f match, name []int32) bool {
	for i := f.from; i < f.to; i++ {
		if !slices.Contains(name, m.words[i].id) {
			return false
		}
	}
	return true
}

// readEntries decides every ambiguous word of the message.
func (m *message) readEntries() {
	done := make([]bool, len(m.reader.entries))
	for _, f := range m.matches {
		for _, e := range m.reader.uses[f.phrase].entries {
			if f.stemmed || done[e] {
				continue
			}
			done[e] = true
			if places := m.occurrences(e); len(places) > 0 {
				m.decide(&m.reader.entries[e], places)
			}
		}
	}
}

// occurrences lists where a word stands on its own: not denied, not inside a longer ambiguous word, not
// in a phrase that leaves no ambiguity or in an ordinary compound of another word.
func (m *message) occurrences(e int32) []match {
	var out []match
	compound := func(l match) bool {
		of := m.reader.uses[l.phrase].compoundOf
		return len(of) > 0 && !slices.Contains(of, e)
	}
	for _, i := range m.withPhrase(m.reader.entries[e].phrase) {
		f := m.matches[i]
		if f.stemmed || m.coveredAll(f) || m.around(f, m.ambiguous) || m.around(f, compound) || m.denied(f) {
			continue
		}
		out = append(out, f)
	}
	return out
}

// ambiguous holds for a match that is an ambiguous word itself.
func (m *message) ambiguous(f match) bool {
	return !f.stemmed && len(m.reader.uses[f.phrase].entries) > 0
}

// withPhrase are the indexes of the matches of a phrase, in the order of the message.
func (m *message) withPhrase(phrase int32) []int32 {
	if m.byName == nil {
		m.byName = make([]int32, len(m.matches))
		for i := range m.byName {
			m.byName[i] = int32(i)
		}
		slices.SortStableFunc(m.byName, func(a, b int32) int { return int(m.matches[a].phrase - m.matches[b].phrase) })
	}
	at, ok := slices.BinarySearchFunc(m.byName, phrase, func(i, phrase int32) int { return int(m.matches[i].phrase - phrase) })
	if !ok {
		return nil
	}
	to := at
	for to < len(m.byName) && m.matches[m.byName[to]].phrase == phrase {
		to++
	}
	return m.byName[at:to]
}

func (m *message) coveredAll(f match) bool {
	for i := f.from; i < f.to; i++ {
		if !m.covered[i] {
			return false
		}
	}
	return true
}

// verdict is which meanings the near words of an ambiguous word support, and how strongly.
type verdict struct {
	strength int
	meanings []int
}

func (v *verdict) support(meaning, strength int) {
	if strength < v.strength {
		return
	}
	if strength > v.strength {
		v.strength, v.meanings = strength, v.meanings[:0]
	}
	if !slices.Contains(v.meanings, meaning) {
		v.meanings = append(v.meanings, meaning)
	}
}

// decide finds what a word means from all of its places, and applies it.
func (m *message) decide(e *entry, places []match) {
	var v verdict
	var buf [4]int
	v.meanings = buf[:0]
	for i := range e.meanings {
		if m.saysAny(e.meanings[i].notNear) {
			continue
		}
		for _, phrase := range e.meanings[i].near {
			if m.says(phrase) {
				m.weigh(&v, i, phrase, e.phrase, places)
			}
		}
	}
	for _, f := range places {
		for i := f.from; i < f.to; i++ {
			m.used[i] = true
		}
	}
	if len(v.meanings) > 0 {
		m.settle(e, v, places[0])
		return
	}
	if !m.onlyDescribes(e, places) {
		m.fallBack(e, places[0])
	}
}

// onlyDescribes reports whether an undecided word that can be ordinary stands before a small ordinary
// thing at every place: a bolt washer is no bolt. What hangs on a vessel is heated with it and stays a
// question.
func (m *message) onlyDescribes(e *entry, places []match) bool {
	vessel := func(n meaning) bool { _, ok := m.reader.attached[max(n.tag, 0)]; return n.tag >= 0 && ok }
	ordinary := func(n meaning) bool { return n.tag < 0 }
	all := func(holds func(match) bool) bool {
		return !slices.ContainsFunc(places, func(f match) bool { return !holds(f) })
	}
	if e.rule == "ask" && m.reader.settled[e.question] && all(m.describes) {
		return true
	}
	if e.rule != "ask" || slices.ContainsFunc(e.meanings, vessel) || !slices.ContainsFunc(e.meanings, ordinary) {
		return false
	}
	return all(func(f match) bool { return m.signAt(f.to, piece) })
}

// weigh scores one near phrase against every place of the word: how close it stands, then how long it is.
func (m *message) weigh(v *verdict, meaning int, phrase, own int32, places []match) {
	if phrase == own {
		return
	}
	for _, i := range m.withPhrase(phrase) {
		n := m.matches[i]
		if n.to-n.from == 1 && m.denied(n) || m.around(n, m.covers) {
			continue
		}
		v.support(meaning, 8*somewhere)
		at, _ := slices.BinarySearchFunc(places, n.from, func(f match, from int32) int { return int(f.from - from) })
		for _, f := range places[max(0, at-1):min(len(places), at+longest)] {
			if f.from > n.to {
				break
			}
			v.support(meaning, strength(n, f))
		}
	}
}

// covers holds for a match that stands for something else, so that the words inside say nothing of their
// own: the brake of "press brake" says nothing of a drum.
func (m *message) covers(f match) bool { return m.coversSense(f.phrase) }

func (m *message) coversSense(phrase int32) bool {
	return slices.ContainsFunc(m.reader.uses[phrase].senses, func(s int32) bool { return m.reader.senses[s].covers })
}

func strength(near, f match) int {
	length := int(near.to - near.from)
	switch {
	case near.from <= f.from && near.to > f.to, near.from == f.to:
		return 8*behind + length
	case near.from < f.from && near.to >= f.from:
		return 8*inFront + length
	}
	return 8 * somewhere
}

// settle applies the meanings that near words decided. Several dangerous ones all hold; a dangerous one
// beside an ordinary one is asked about.
func (m *message) settle(e *entry, v verdict, f match) {
	ordinary := slices.ContainsFunc(v.meanings, func(i int) bool { return e.meanings[i].tag < 0 })
	if part := m.inPart(f); part != nil {
		if !ordinary && v.strength < 8*inFront && part.placed && part.place.to-part.place.from > 1 {
			return // a name of several words says more than a word somewhere in the message
		}
		m.overrule(&part.entry, e.question, ordinary && len(v.meanings) == 1 && v.strength >= 8*inFront)
	}
	if ordinary && len(v.meanings) > 1 {
		m.ask(e.question)
		return
	}
	if ordinary {
		return
	}
	for _, i := range v.meanings {
		m.hold(e.meanings[i].tag, f)
	}
}

// overrule takes back the question of the named part that a near word has decided, and everything of the
// part when the word beside it makes it an ordinary thing: the tine of a manure fork is no forklift fork.
func (m *message) overrule(part *partEntry, question string, ordinary bool) {
	if ordinary || part.ask == question {
		m.asks = slices.DeleteFunc(m.asks, func(id string) bool { return id == part.ask })
	}
	if ordinary {
		m.values = slices.DeleteFunc(m.values, func(v value) bool { return v.to == 0 && slices.Contains(part.tags, v.tag) })
	}
}

// ask raises a question, when there is a caution and it has one.
func (m *message) ask(caution string) {
	if m.reader.questions[caution] {
		m.asks = append(m.asks, caution)
	}
}

// hold enters a meaning; of a vessel of which only a loose thing is named, it asks instead.
func (m *message) hold(tag int, f match) {
	ask, vessel := m.reader.attached[tag]
	if vessel && (m.loose(f, attaches) || ask == "" && (m.describes(f) || m.loose(f, head|piece|attaches))) {
		m.ask(ask)
		return
	}
	m.values = append(m.values, value{tag, f.from, f.to})
}

// loose reports whether the message speaks of a thing of some kind that hangs on a vessel or machine: "tank
// stand", "door off the boiler", "motor mount on the gang saw".
func (m *message) loose(f match, kind sign) bool {
	if m.signAt(f.to, kind) {
		return true
	}
	between, ok := m.signBefore(f.from, originates, 1)
	if !ok {
		return false
	}
	_, thing := m.signBefore(f.from-between, kind, 2)
	return thing
}

// signAt reports whether a sign begins at a word.
func (m *message) signAt(at int32, kind sign) bool {
	return slices.ContainsFunc(m.starting(at, at+1), func(f match) bool { return m.reader.uses[f.phrase].sign&kind != 0 })
}

// fallBack applies what holds when no near word decides: a meaning without conditions, else the rule of
// the row. A word of the named part needs none: the part has said what it is.
func (m *message) fallBack(e *entry, f match) {
	if m.inPart(f) != nil {
		return
	}
	free := slices.IndexFunc(e.meanings, func(n meaning) bool { return len(n.near) == 0 && !m.saysAny(n.notNear) })
	if free >= 0 && e.meanings[free].tag >= 0 {
		m.hold(e.meanings[free].tag, f)
	}
	switch {
	case e.rule == "ask":
		m.ask(e.question)
	case e.rule == "tag" && free < 0 && !m.saysAny(e.meanings[0].notNear):
		m.hold(e.meanings[0].tag, f)
	}
}
