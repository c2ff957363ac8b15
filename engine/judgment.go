package engine

import "rodcall/engine/observation"

// Judgment is the engine's whole answer on one observation, in the words of the machine contract.
type Judgment struct {
	ID            any                     `json:"id"`
	Observation   observation.Observation `json:"observation"`
	Unread        []string                `json:"unread"`
	Families      []FamilyChance          `json:"families"` // every family, most likely first; with Unlisted the p sum to 1
	Unlisted      float64                 `json:"unlisted"` // chance that none of the listed metals fits
	Grades        []GradeChance           `json:"grades"`   // the five likeliest
	Evidence      []Evidence              `json:"evidence"`
	Fit           string                  `json:"fit"` // good | strained | poor
	Repeat        string                  `json:"repeat,omitempty"`
	NextTests     []NextTest              `json:"next_tests"`
	Decision      string                  `json:"decision"`           // weld | test-first | stop
	Why           string                  `json:"why,omitempty"`      // closed word: why a test comes first (conflict, uncertain, near-danger, facts-disagree, no-rod, wait, still-open, test-pays)
	Conflict      string                  `json:"conflict,omitempty"` // which two metals want opposite treatment
	StopKind      *string                 `json:"stop_kind"`          // never | refer | hold
	StopReasons   []string                `json:"stop_reasons"`
	Question      *Question               `json:"question"`
	ReferTo       string                  `json:"refer_to"`
	Consumables   []Consumable            `json:"consumables"`
	Avoid         []Avoid                 `json:"avoid"`
	PreheatC      *Preheat                `json:"preheat_c"`
	InterpassMaxC *float64                `json:"interpass_max_c"`
	PWHT          *string                 `json:"pwht"`
	Cooling       string                  `json:"cooling"`
	Procedure     []string                `json:"procedure"`
	Quantity      map[string]any          `json:"quantity"`
	Replace       string                  `json:"replace,omitempty"`    // why replacing the part is the better repair, or who takes over
	HaveNote      string                  `json:"have_note,omitempty"`  // what to do with the rods at hand
	LimitNote     string                  `json:"limit_note,omitempty"` // which limit to relax when the limits leave nothing
	Cautions      []Caution               `json:"cautions"`             // stops first
	Assumed       []string                `json:"assumed,omitempty"`    // what the judgment supposed, in words ("no job told: joining assumed")
	Engine        string                  `json:"engine"`               // version and data digest
}

// FamilyChance is a family id with its probability.
type FamilyChance struct {
	ID string  `json:"id"`
	P  float64 `json:"p"`
}

// GradeChance is a grade with its probability.
type GradeChance struct {
	ID          string  `json:"id"`
	Designation string  `json:"designation"`
	P           float64 `json:"p"`
}

// Evidence says what one observed value speaks for and against: bits of log-odds by leading family.
type Evidence struct {
	Key   string             `json:"key"`
	Value string             `json:"value"`
	Bits  map[string]float64 `json:"bits"`
}

// NextTest is one test worth doing.
type NextTest struct {
	Test      string        `json:"test"`
	Minutes   float64       `json:"minutes"`
	Needs     []string      `json:"needs"`
	Gain      float64       `json:"gain"` // expected improvement of the decision, in units of a whole repair (0-1)
	How       string        `json:"how"`
	Outcomes  []TestOutcome `json:"outcomes,omitempty"` // one line an outcome: what is seen, and what it means for the weld
	Separates []string      `json:"separates"`
}

// TestOutcome is one answer that a test can give and its consequence for the weld.
type TestOutcome struct {
	Seen string `json:"seen"`
	Then string `json:"then"`
}

// Question is the one question that an open stop puts; Answers are the words that it takes.
type Question struct {
	Caution string   `json:"caution"`
	Ask     string   `json:"ask"`
	Answers []string `json:"answers"`
}

// Consumable is one class worth taking, with the chance that it suits and what happens where it does not.
type Consumable struct {
	Class    string    `json:"class"`
	Standard string    `json:"standard"`
	Process  string    `json:"process"`
	SuitsP   float64   `json:"suits_p"`
	Role     string    `json:"role"`
	Why      string    `json:"why"`
	WrongIf  []WrongIf `json:"wrong_if"`
	Need     string    `json:"need,omitempty"`    // what must go with it on the leading metal
	AtHand   bool      `json:"at_hand,omitempty"` // the rep has it
}

// WrongIf says what a class does on a family on which it does not suit.
type WrongIf struct {
	Family string  `json:"family"`
	P      float64 `json:"p"`
	What   string  `json:"what happens"`
}

// Avoid is a class that must not be used here, with the reason.
type Avoid struct {
	Class string `json:"class"`
	Why   string `json:"why"`
}

// Preheat is a range in degrees Celsius and what it rests on.
type Preheat struct {
	Min    float64 `json:"min"`
	Max    float64 `json:"max"`
	Basis  string  `json:"basis"`
	Share  float64 `json:"share,omitempty"`  // of what the metal may be that Min covers
	Hotter string  `json:"hotter,omitempty"` // what stays uncovered and what it wants
}

// Caution is one caution of cautions.csv that applies.
type Caution struct {
	ID        string `json:"id"`
	Severity  string `json:"severity"` // stop | warn | note
	Title     string `json:"title"`    // at most eight words
	Text      string `json:"text"`
	Authority string `json:"authority"`
	Routine   bool   `json:"routine"` // shown once per person and day
}
