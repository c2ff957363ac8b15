package reader

import (
	"math"
	"slices"
	"strings"

	"rodcall/engine/observation"
	"rodcall/engine/reader/token"
)

// assemble turns the facts into one observation: a correction voids the earlier value of its key, two other
// values leave the key unread, and everything keeps the words that it came from.
func (s *state) assemble() Result {
	out := Result{Reading: observation.Reading{Spans: map[string]string{}}}
	s.partFact(&out)
	s.sceneFields(&out)
	s.colors()
	s.agree()
	for i := range s.facts {
		if !s.facts[i].void {
			s.store(&s.facts[i], &out)
		}
	}
	if len(out.Observation.Chem) == 0 {
		out.Observation.ChemMethod = ""
		delete(out.Spans, keys[keyChemMethod].name)
	}
	s.unread(&out)
	out.Notes = s.notes
	return out
}

// sceneFields reads the structured keys of the scene, whose words are tags.
func (s *state) sceneFields(out *Result) {
	for n := range s.fields {
		f := &s.fields[n]
		if f.key != keyScene {
			continue
		}
		if out.Observation.Scene == nil {
			out.Observation.Scene = &observation.Scene{}
		}
		from := f.from
		for i := f.from; i <= f.to; i++ {
			if i < f.to && s.tokens[i].Text != "," {
				continue
			}
			if i > from {
				s.sceneWord(f, from, i, out)
			}
			from = i + 1
		}
	}
}

func (s *state) sceneWord(f *fieldSpan, from, to int, out *Result) {
	word, name := lower(s.original(from, to)), strings.TrimPrefix(f.name, "scene.")
	for _, l := range out.Observation.Scene.Lists() {
		if l.Key == name && (name == "ask" || s.lexicon.tags.Has(name, word)) {
			if !slices.Contains(*l.Words, word) {
				*l.Words = append(*l.Words, word)
			}
			return
		}
	}
	s.leave(from, to, f.name)
}

// colors settles the colours of the stream that no place was told of: "red then yellow" is near and end,
// one colour alone is that near the wheel, the colour of bursts that at the end.
func (s *state) colors() {
	for i := range s.facts {
		f := &s.facts[i]
		if f.key != keyColor {
			continue
		}
		switch next := s.nextColor(i); {
		case next != nil && s.turns(f.end, next.start):
			f.key, next.key = keyColorNear, keyColorEnd
		case next != nil && next.key == keyColorNear, s.ofBursts(f), s.turns(max(0, f.start-3), f.start) && s.sameClause(f.start, f.start-1):
			f.key = keyColorEnd
		default:
			f.key = keyColorNear
			if s.settled(f, keyColorNear) && !s.settled(f, keyColorEnd) {
				f.key = keyColorEnd
			}
		}
	}
}

// settled reports whether another colour of the same stream with another value holds a key already.
func (s *state) settled(f *fact, k key) bool {
	for i := range s.facts {
		if g := &s.facts[i]; g != f && g.key == k && g.skin == f.skin && g.value != f.value && s.placed(g) {
			return true
		}
	}
	return false
}

// placed reports whether a colour was told with its place.
func (s *state) placed(f *fact) bool {
	it := s.itemOn(f.start)
	return it != nil && s.place(it) != ""
}

func (s *state) nextColor(i int) *fact {
	for j := i + 1; j < len(s.facts); j++ {
		if k := s.facts[j].key; k == keyColor || k == keyColorNear || k == keyColorEnd {
			if s.facts[j].skin == s.facts[i].skin && s.facts[j].start-s.facts[i].end <= reach {
				return &s.facts[j]
			}
			return nil
		}
	}
	return nil
}

// turns reports whether words between two colours say that the first becomes the second.
func (s *state) turns(i, j int) bool {
	for ; i < j; i++ {
		if s.has(s.itemOn(i), kindTurn) != nil || s.tokens[i].Text == token.Arrow {
			return true
		}
	}
	return false
}

// ofBursts reports whether a colour stands right before the bursts.
func (s *state) ofBursts(f *fact) bool {
	it := s.itemOn(f.end)
	return it != nil && s.sameClause(f.start, f.end) && it.topic == topicBurst && s.has(it, kindTopic) != nil
}

// agree voids what was corrected, and lists keys with two values as unread.
func (s *state) agree() {
	for i := range s.facts {
		f := &s.facts[i]
		switch {
		case f.void:
		case f.key == keyHardness || f.key == keyClaim:
			s.correctList(i)
		case !keys[f.key].list:
			s.agreeWith(i)
		}
	}
}

// correctList voids a reading or claim that the next one of its key corrects: "45 HRC, I mean 45 HRB".
func (s *state) correctList(i int) {
	f := &s.facts[i]
	for j := i + 1; j < len(s.facts); j++ {
		if g := &s.facts[j]; g.key == f.key && g.start >= f.end {
			f.void = s.correctedBetween(f.end, g.start)
			return
		}
	}
}

func (s *state) agreeWith(i int) {
	f := &s.facts[i]
	clash := false
	last := i
	for j := i + 1; j < len(s.facts); j++ {
		g := &s.facts[j]
		if g.void || g.key != f.key || g.skin != f.skin || f.key == keyAgainst && feature(f) != feature(g) {
			continue
		}
		switch {
		case s.facts[last].same(g):
			g.void = true
		case s.correctedBetween(s.facts[last].end, g.start):
			s.facts[last].void = true
			if clash {
				s.voidUpTo(i, j)
				clash = false
			}
			last = j
		case s.outranks(g, &s.facts[last]):
			s.facts[last].void = true
			last = j
		case s.outranks(&s.facts[last], g):
			g.void = true
		default:
			clash = true
			last = j
		}
	}
	if clash {
		s.clash(i, last)
	}
}

// voidUpTo voids every value of a key before the one that corrects them.
func (s *state) voidUpTo(i, j int) {
	for n := i; n < j; n++ {
		if g := &s.facts[n]; g.key == s.facts[j].key && g.skin == s.facts[j].skin {
			g.void = true
		}
	}
}

// clash lists all values of a key as unread.
func (s *state) clash(i, last int) {
	k, skin := s.facts[i].key, s.facts[i].skin
	for n := i; n <= last; n++ {
		g := &s.facts[n]
		if g.key == k && g.skin == skin && !g.void {
			g.void = true
			s.left = append(s.left, unreadSpan{g.from, g.to, ""})
		}
	}
}

func feature(f *fact) string {
	name, _, _ := strings.Cut(f.by, "/")
	return name
}

// same reports whether two facts of a key say the same; lengths agree within their rounding.
func (f *fact) same(g *fact) bool {
	if f.value != g.value || f.by != g.by {
		return false
	}
	return math.Abs(f.number-g.number) <= 0.01*math.Max(math.Abs(f.number), math.Abs(g.number))
}

// outranks reports whether one value of a key goes before another: of a job what is wanted before what is
// broken; of a file "easily" and "hardly" before the plain bite that they describe; of a chip the saw edge
// before the smooth strip that has it.
func (s *state) outranks(f, g *fact) bool {
	switch f.key {
	case keyJob:
		return s.rank(f) > s.rank(g)
	case keyChip:
		return f.value == "continuous-saw-edge" && g.value == "continuous-smooth" && s.sameSentence(f.start, g.start)
	case keyFile:
		return g.value == "bites" && (f.value == "bites-easily" || f.value == "hard-to-bite") && s.sameClause(f.start, g.start)
	}
	return false
}

// rank orders the words of a job: 2 is wanted, 1 is broken, 0 is what the damage does.
func (s *state) rank(f *fact) int {
	const wanted = 2
	it := s.itemOn(f.start)
	if it == nil {
		return wanted
	}
	for _, e := range s.entriesOf(it) {
		if entry := &s.lexicon.entries[e]; entry.key == keyJob && entry.value == f.value {
			switch entry.role {
			case damage:
				return 1
			case symptom:
				return 0
			}
		}
	}
	return wanted
}

// correctedBetween reports whether a correction ("no wait", "sorry") stands between two tokens.
func (s *state) correctedBetween(i, j int) bool {
	for ; i < j; i++ {
		it := s.itemOn(i)
		if e := s.has(it, kindCorrector); e != nil && (e.value != "alone" || s.aloneInClause(it)) {
			return true
		}
	}
	return false
}

// aloneInClause reports whether a word is all of its clause: "strong, no, slight".
func (s *state) aloneInClause(it *item) bool {
	c := s.clauses[s.clause[it.start]]
	return it.start == c.start && (it.end == c.end || s.tokens[it.end].Break >= token.Weak)
}

// store puts a fact into the observation and its words into the spans.
func (s *state) store(f *fact, out *Result) {
	o := &out.Observation
	number := f.number
	switch f.key {
	case keyMagnet:
		o.Magnet = f.value
	case keyFile:
		o.File = f.value
	case keyChip:
		o.Chip = f.value
	case keyRust:
		o.Rust = f.value
	case keyWeight:
		o.Weight = f.value
	case keySound:
		o.Sound = f.value
	case keyJob:
		o.Job = f.value
	case keyJoinedTo:
		o.JoinedTo = f.value
	case keyChemMethod:
		o.ChemMethod = f.value
	case keyHardness:
		o.Hardness = append(o.Hardness, observation.Hardness{Value: number, Scale: f.value})
	case keyDensity:
		o.DensityGCM3 = &number
	case keyServiceTemp:
		o.ServiceTempC = &number
	case keyChem:
		if o.Chem == nil {
			o.Chem = map[string]float64{}
		}
		o.Chem[f.value] = number
	case keyClaim:
		o.Claim = addClaim(o.Claim, observation.Claim{Metal: f.value, By: f.by})
	case keyThickness, keyPartLength, keyDepth, keyWidth, keyDiameter:
		storeSize(o, f.key, round(number))
	default:
		s.storeMore(f, o)
	}
	s.span(f, out)
}

func (s *state) storeMore(f *fact, o *observation.Observation) {
	if list := listOf(f.key, o); list != nil {
		if !slices.Contains(*list, f.value) {
			*list = append(*list, f.value)
		}
		return
	}
	if keys[f.key].topic == topicSpark || keys[f.key].topic == topicBurst {
		spark := &o.Spark
		if f.skin {
			spark = &o.SparkSkin
		}
		if *spark == nil {
			*spark = &observation.Spark{}
		}
		storeSpark(*spark, f)
	}
}

// listOf is the list of words that a key fills, nil for other keys.
func listOf(k key, o *observation.Observation) *[]string {
	switch k {
	case keyFracture:
		return &o.Fracture
	case keyMetalColor:
		return &o.Color
	case keyTorch:
		return &o.Torch
	case keySurface:
		return &o.Surface
	case keyMarks:
		return &o.Marks
	case keyService:
		return &o.Service
	case keyExcluded:
		return &o.Excluded
	case keyLimits:
		return &o.Limits
	case keyHave:
		return &o.Have
	case keyProcess:
		return &o.Process
	case keyTest:
		return &o.Test
	}
	return nil
}

func storeSpark(spark *observation.Spark, f *fact) {
	switch f.key {
	case keyVolume:
		spark.Volume = f.value
	case keyLength:
		spark.Length = f.value
	case keyLengthIn:
		number := round(f.number)
		spark.LengthIn = &number
	case keyColorNear:
		spark.ColorNear = f.value
	case keyColorEnd:
		spark.ColorEnd = f.value
	case keyBursts:
		spark.Bursts = f.value
	case keyBurstForm:
		spark.BurstForm = f.value
	case keySpread:
		spark.Spread = f.value
	case keyAgainst:
		name, piece, _ := strings.Cut(f.by, "/")
		if spark.Against == nil {
			spark.Against = &observation.Against{Piece: piece}
		}
		storeAgainst(spark.Against, name, f.value)
	}
}

func storeAgainst(against *observation.Against, name, value string) {
	switch name {
	case "length":
		against.Length = value
	case "volume":
		against.Volume = value
	case "bursts":
		against.Bursts = value
	case "":
		against.Length, against.Volume, against.Bursts = value, value, value
	}
}

func storeSize(o *observation.Observation, k key, v float64) {
	if o.Size == nil {
		o.Size = &observation.Size{}
	}
	switch k {
	case keyThickness:
		o.Size.ThicknessMM = &v
	case keyPartLength:
		o.Size.LengthMM = &v
	case keyDepth:
		o.Size.DepthMM = &v
	case keyWidth:
		o.Size.WidthMM = &v
	case keyDiameter:
		o.Size.DiameterMM = &v
	}
}

// round keeps what a tape shows: a thousandth.
func round(v float64) float64 { return math.Round(v*1000) / 1000 }

// addClaim keeps one claim a metal and person.
func addClaim(list []observation.Claim, c observation.Claim) []observation.Claim {
	if slices.Contains(list, c) {
		return list
	}
	return append(list, c)
}

// longestSpan bounds the words kept for one key, in bytes.
const longestSpan = 2000

// span notes the words of a fact under its key; several stretches are joined by a comma.
func (s *state) span(f *fact, out *Result) {
	name := keys[f.key].name
	if f.skin {
		name = strings.Replace(name, "spark", "spark_skin", 1)
	}
	words := s.original(f.from, f.to)
	switch had := out.Spans[name]; {
	case had == "":
		out.Spans[name] = words
	case len(had) < longestSpan && !strings.Contains(had, words):
		out.Spans[name] = had + ", " + words
	}
	if f.guessed && !slices.Contains(out.Guessed, words) {
		out.Guessed = append(out.Guessed, words)
	}
}
