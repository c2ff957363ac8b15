package safety

// Severities of a caution, gravest first.
const (
	SeverityStop = "stop"
	SeverityWarn = "warn"
	SeverityNote = "note"
)

// Kinds of a stop, worst first: the job is never done by welding; somebody authorised must do it; work
// may not start before a check.
const (
	KindNever = "never"
	KindRefer = "refer"
	KindHold  = "hold"
)

var kindRank = map[string]int{KindNever: 0, KindRefer: 1, KindHold: 2}

// Caution is one caution that applies to a job.
type Caution struct {
	ID        string
	Severity  string // stop | warn | note; a family stop below its threshold is shown as warn
	Title     string // at most eight words
	Text      string // at most thirty words, imperative
	Reason    string
	Authority string // clauses from memory unless sources.md of the row shows them
	Routine   bool   // shown once per person and day
	Later     bool   // holds only once something is welded, which the message does not say
}

// Stop is a caution that keeps the job from being welded.
type Stop struct {
	Caution
	Kind string // never | refer | hold
	Open bool   // one answer may still lift it: it reads as a question, not as a refusal
}

// Question is the one question that an open stop puts.
type Question struct {
	Caution string
	Ask     string
	Answers []string // the labels of the answers, in the order of the table
}

// Verdict is what the safety rules say of one job.
type Verdict struct {
	Stops    []Stop    // what no answer lifts first, then the one whose question is put; worse kinds before better ones
	Warns    []Caution // in the order of the table
	Notes    []Caution
	Question *Question // nil when nothing is asked
	StopKind string    // kind of the first stop; "" when there is none
	Reasons  []string  // ids of the stops
	ReferTo  string    // who takes over, for the worst stop in the country of the job

	ForbiddenTests []string // tests that must not be proposed here
	TestFirst      bool     // the decision is at least test-first
	Near           []string // ids of the family stops between 2 % and their threshold
	Uncertain      bool     // the identity is uncertain and failure would hurt somebody: name no consumable
}
