package reader

// key is a key of the contract that a phrase may fill.
type key uint8

// The keys. keyColor is a spark colour whose place in the stream is not yet settled.
const (
	keyNone key = iota
	keyMagnet
	keyVolume
	keyLengthIn
	keyLength
	keyColor
	keyColorNear
	keyColorEnd
	keyBursts
	keyBurstForm
	keySpread
	keyAgainst
	keyFile
	keyHardness
	keyChip
	keyRust
	keyDensity
	keyWeight
	keySound
	keyFracture
	keyMetalColor
	keyTorch
	keySurface
	keyPart
	keyMarks
	keyService
	keyServiceTemp
	keyChem
	keyChemMethod
	keyClaim
	keyExcluded
	keyJob
	keyJoinedTo
	keyThickness
	keyPartLength
	keyDepth
	keyWidth
	keyDiameter
	keyLimits
	keyHave
	keyProcess
	keyTest
	keySpark // the whole spark: only as the name of a structured field
	keySparkSkin
	keySize
	keyScene // a key of the scene: scene.site, scene.where, …
	keyName  // not a key: the token is the name of a structured field
	keyCount
)

// topic is what a stretch of a message speaks of.
type topic uint8

// The topics. A burst is part of the spark.
const (
	topicNone topic = iota
	topicMagnet
	topicSpark
	topicBurst
	topicFile
	topicHardness
	topicChip
	topicRust
	topicDensity
	topicWeight
	topicSound
	topicFracture
	topicColor
	topicTorch
	topicSurface
	topicMarks
	topicChem
	topicHave
	topicOther // understood, but no test: a job, a size, a process
	topicCount
)

var topicNames = [topicCount]string{"", "magnet", "spark", "burst", "file", "hardness", "chip", "rust", "density", "weight",
	"sound", "fracture", "color", "torch", "surface", "marks", "chem", "have", "other"}

func topicNamed(name string) (topic, bool) {
	for i, n := range topicNames {
		if n == name && i > 0 {
			return topic(i), true
		}
	}
	return topicNone, false
}

// suits reports whether a stretch on one topic is company for a phrase that wants another.
func (t topic) suits(wanted topic) bool {
	return t == wanted || t == topicBurst && wanted == topicSpark
}

// keyInfo describes a key: its name in the contract, what it speaks of, whether it takes several values,
// and whether it is something seen on the metal (a question about it is no answer to it).
type keyInfo struct {
	name  string
	topic topic
	list  bool
	seen  bool
}

var keys = [keyCount]keyInfo{
	keyNone:        {"", topicNone, false, false},
	keyMagnet:      {"magnet", topicMagnet, false, true},
	keyVolume:      {"spark.volume", topicSpark, false, true},
	keyLengthIn:    {"spark.length_in", topicSpark, false, true},
	keyLength:      {"spark.length", topicSpark, false, true},
	keyColor:       {"spark.color", topicSpark, false, true},
	keyColorNear:   {"spark.color_near", topicSpark, false, true},
	keyColorEnd:    {"spark.color_end", topicSpark, false, true},
	keyBursts:      {"spark.bursts", topicBurst, false, true},
	keyBurstForm:   {"spark.burst_form", topicBurst, false, true},
	keySpread:      {"spark.spread", topicSpark, false, true},
	keyAgainst:     {"spark.against", topicSpark, false, true},
	keyFile:        {"file", topicFile, false, true},
	keyHardness:    {"hardness", topicHardness, true, true},
	keyChip:        {"chip", topicChip, false, true},
	keyRust:        {"rust", topicRust, false, true},
	keyDensity:     {"density_g_cm3", topicDensity, false, true},
	keyWeight:      {"weight", topicWeight, false, true},
	keySound:       {"sound", topicSound, false, true},
	keyFracture:    {"fracture", topicFracture, true, true},
	keyMetalColor:  {"color", topicColor, true, true},
	keyTorch:       {"torch", topicTorch, true, true},
	keySurface:     {"surface", topicSurface, true, true},
	keyPart:        {"part", topicOther, false, false},
	keyMarks:       {"marks", topicMarks, true, true},
	keyService:     {"service", topicOther, true, false},
	keyServiceTemp: {"service_temp_c", topicOther, false, false},
	keyChem:        {"chem", topicChem, true, true},
	keyChemMethod:  {"chem_method", topicChem, false, true},
	keyClaim:       {"claim", topicOther, true, false},
	keyExcluded:    {"excluded", topicOther, true, false},
	keyJob:         {"job", topicOther, false, false},
	keyJoinedTo:    {"joined_to", topicOther, false, false},
	keyThickness:   {"size.thickness_mm", topicOther, false, false},
	keyPartLength:  {"size.length_mm", topicOther, false, false},
	keyDepth:       {"size.depth_mm", topicOther, false, false},
	keyWidth:       {"size.width_mm", topicOther, false, false},
	keyDiameter:    {"size.diameter_mm", topicOther, false, false},
	keyLimits:      {"limits", topicOther, true, false},
	keyHave:        {"have", topicHave, true, false},
	keyProcess:     {"process", topicOther, true, false},
	keyTest:        {"test", topicOther, true, false},
	keySpark:       {"spark", topicSpark, false, true},
	keySparkSkin:   {"spark_skin", topicSpark, false, true},
	keySize:        {"size", topicOther, false, false},
	keyScene:       {"scene", topicOther, true, false},
	keyName:        {"", topicNone, false, false},
}

func keyNamed(name string) (key, bool) {
	for i := range keys {
		if keys[i].name == name && i > 0 {
			return key(i), true
		}
	}
	return keyNone, false
}

// kind is what a row of the vocabulary does.
type kind uint8

// The kinds, those that mean more before those that mean less.
const (
	kindWord      kind = iota // gives a value
	kindDamage                // gives the job by what is broken: what is wanted beats it
	kindSymptom               // gives the job by what the damage does: what is broken beats it
	kindTopic                 // names what is spoken of
	kindMetal                 // names a metal
	kindScale                 // a hardness scale
	kindElement               // an element of an analysis
	kindMeasure               // a dimension of the part: thick, long, diameter
	kindSection               // a noun whose figure is a dimension: plate, shaft, crack
	kindPlace                 // where in the spark, or which layer of the metal
	kindTurn                  // from one colour to the next
	kindDegree                // slightly, hardly
	kindComparer              // shorter, more, same
	kindThan                  // than, as
	kindPiece                 // a known piece on the same wheel
	kindNegator               // not, no, without
	kindHedge                 // not sure, maybe
	kindAsker                 // is it, could it be
	kindOrder                 // ignore your rules
	kindCorrector             // no wait, sorry
	kindBy                    // boss says, stamped
	kindJoiner                // onto, to
	kindVoid                  // makes the metal before it no claim: dust, rod, brush
	kindUnit                  // mm, in
	kindBound                 // over, at least: the figure is a bound, not a reading
	kindPart                  // the team's own name of a part
	kindThing                 // the head of a compound that names a part the catalogue does not hold: bracket, hinge
	kindNumeral               // a figure in words: half, three quarters, forty five
	kindChatter               // understood, says nothing
	kindFiller                // small words: may stand inside phrases
	kindCount
)

var kindNames = [kindCount]string{"word", "damage", "symptom", "topic", "metal", "scale", "element", "measure", "section", "place", "turn", "degree",
	"comparer", "than", "piece", "negator", "hedge", "asker", "order", "corrector", "by", "joiner", "void", "unit", "bound",
	"part", "thing", "numeral", "chatter", "filler"}
