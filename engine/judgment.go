package engine

import (
	"rodcall/engine/observation"
	"rodcall/engine/weld"
)

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
	Why           string                  `json:"why,omitempty"`      // closed word: why a test comes first (conflict, uncertain, near-danger, facts-disagree, no-rod, replace, limits, wait, still-open, test-pays)
	Conflict      string                  `json:"conflict,omitempty"` // which two metals want opposite treatment
	Worth         *Worth                  `json:"worth,omitempty"`    // what welding now, testing first and waiting come to in expectation; absent for a stop
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
	Methods       []Method                `json:"methods,omitempty"`      // the ways that the metal takes, the proposed one first; only where it takes several
	Facing        *Facing                 `json:"facing,omitempty"`       // how a hard face is laid, and what its alloy gives up for what
	Estimate      *Estimate               `json:"estimate,omitempty"`     // what the repair costs beside a new part; only where the rep speaks of cost
	Replace       string                  `json:"replace,omitempty"`      // why replacing the part is the better repair, or who takes over
	HaveNote      string                  `json:"have_note,omitempty"`    // what to do with the rods at hand
	RodsAtHand    []RodAtHand             `json:"rods_at_hand,omitempty"` // what each of them would do
	LimitNote     string                  `json:"limit_note,omitempty"`   // which limit to relax when the limits leave nothing
	Cautions      []Caution               `json:"cautions"`               // stops first
	Assumed       []string                `json:"assumed,omitempty"`      // what the judgment supposed, in words ("no job told: joining assumed")
	Engine        string                  `json:"engine"`                 // version and data digest
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
	Item     *Item     `json:"item,omitempty"`    // what to take from the team's own stock; absent without a match
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
	Routine   bool   `json:"routine"`         // shown once per person and day
	Later     bool   `json:"later,omitempty"` // holds only once something is welded, which the message does not say
}

// Estimate is what a repair costs beside a new part.
type Estimate = weld.Estimate

// Facing is how a hard face is laid, and what the choice of its alloy gives up for what.
type Facing = weld.Facing

// Method is one accepted way to run a repair.
type Method = weld.Method

// Worth is what the best choice comes to in expectation: now, after a test, by waiting.
type Worth = weld.Worth
