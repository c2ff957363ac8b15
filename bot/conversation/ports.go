package conversation

import (
	"context"
	"time"

	"rodcall/bot/reply"
	"rodcall/engine"
	"rodcall/engine/observation"
)

// Engine is the computing half, as far as a conversation needs it. It is safe for concurrent use, and
// the same arguments give the same result.
type Engine interface {
	// Read turns words into facts; it never fails, whatever the bytes.
	Read(text string) observation.Reading
	// Judge weighs the facts of one part. Answers are what people answered to the questions of its
	// cautions; an answer that clears a caution holds for this part only.
	Judge(o observation.Observation, answers []Answer) engine.Judgment
	// Merge adds later facts to earlier ones: a later word replaces an earlier one of the same key.
	Merge(earlier, later observation.Observation) observation.Observation
	// Answer finds which answer to the question of a caution words mean: the facts with what the answer
	// sets and without what that replaces, the answer as the question lists it, and its effect (clears,
	// keeps, evidence, refers, or skips for words that decline to answer). ok is false when they answer nothing.
	Answer(o observation.Observation, caution, words string) (after observation.Observation, label, effect string, ok bool)
	// FamilyName is what people call a family: in full ("manganese steel") and short ("manganese").
	FamilyName(family string) (name, short string)
}

// Record keeps messages, cases and turns. Every method is durable when it returns without an error.
// Messages and texts that it is given are valid UTF-8 without control characters other than newline
// and tab.
type Record interface {
	// SaveMessage stores a message as received, before anything else is done with it. fresh is false when
	// a message with this ID is stored already; the stored one then stays as it is.
	SaveMessage(ctx context.Context, m Message) (fresh bool, err error)
	// Answered is the reply that was given to a message; ok is false when it has none yet.
	Answered(ctx context.Context, messageID string) (r reply.Reply, ok bool, err error)
	// Pending lists messages that are stored but have no turn, oldest first as they were stored.
	Pending(ctx context.Context) ([]Message, error)

	// OpenCase is the case of a thread that was opened last and is not closed; ok is false when there is none.
	OpenCase(ctx context.Context, thread string) (c Case, ok bool, err error)
	// NewCase opens an empty case and gives it a number (1, 2, 3 ...; a gap is no harm). Any open case of the
	// thread is left as it is; a later OpenCase of the thread finds the new one.
	NewCase(ctx context.Context, thread, author string, at time.Time) (Case, error)
	// SaveTurn stores what a message led to, in one transaction: the case as it is now, observation, judgment
	// and reply, and the routine cautions that were shown. A second turn for one message is an error.
	SaveTurn(ctx context.Context, t Turn) error

	// Shown lists the ids of the routine cautions that a person was shown on a day (2006-01-02, UTC).
	Shown(ctx context.Context, author, day string) ([]string, error)
}

// Case is one job as it grows: one a thread at a time, with one or more parts. It is stored whole, as
// JSON, with every turn; a store may keep any of it in columns of its own for searching.
type Case struct {
	Number  int64     `json:"number"`
	Thread  string    `json:"thread"`
	Author  string    `json:"author"` // who opened it
	Opened  time.Time `json:"opened"`
	Closed  bool      `json:"closed"`         // by "new", or by the surface; further messages open another case
	Parts   []Part    `json:"parts"`          // part 1 first; empty until a fact was told
	Current int       `json:"current"`        // index in Parts that words without a number speak of
	Done    []Done    `json:"done,omitempty"` // what was really welded, as told
	Told    []string  `json:"told,omitempty"` // reminders that are given once a case
	Put     []Put     `json:"put,omitempty"`  // questions that were put; none is put twice for one part, whatever was undone
	// Question is the last question of figures, so that "what about 3 in" goes on from it.
	Question string    `json:"question,omitempty"`
	More     []string  `json:"more,omitempty"`    // lines of the last detail that did not fit; "more" gives them
	Earlier  []Earlier `json:"earlier,omitempty"` // states before each change, oldest first; "undo" takes the last
}

// Put is a question that was put.
type Put struct {
	Part    int    `json:"part"`    // number of the part
	Caution string `json:"caution"` // whose question it is
}

// Part is one thing to be repaired and what is known of it.
type Part struct {
	Observation observation.Observation `json:"observation"`
	Answers     []Answer                `json:"answers,omitempty"`
	Unread      []string                `json:"unread,omitempty"`  // words of the last message that were not understood
	Inch        bool                    `json:"inch,omitempty"`    // sizes were told in inches
	Asked       string                  `json:"asked,omitempty"`   // caution whose question waits for an answer
	Test        string                  `json:"test,omitempty"`    // test proposed last; a bare answer binds to it
	Cannot      []string                `json:"cannot,omitempty"`  // tests that he cannot do here
	Decided     string                  `json:"decided,omitempty"` // decision told last
}

// Answer is what a person answered to the question of a caution.
type Answer struct {
	Caution string    `json:"caution"`
	Words   string    `json:"words"`  // the answer as the question lists it
	Said    string    `json:"said"`   // the words as written
	Effect  string    `json:"effect"` // clears | keeps | evidence | refers
	By      string    `json:"by"`
	At      time.Time `json:"at"`
}

// Done is a report of what was really welded.
type Done struct {
	Words string    `json:"words"`
	Rods  []string  `json:"rods,omitempty"` // classes read in the words
	Part  int       `json:"part"`           // part number, 1 or more; 0 when no part was open
	By    string    `json:"by"`
	At    time.Time `json:"at"`
}

// Earlier is a case as it was before a message changed it.
type Earlier struct {
	Parts   []Part `json:"parts"`
	Current int    `json:"current"`
	Message string `json:"message"` // id of the message that changed it
}

// Turn is one message with everything that it led to.
type Turn struct {
	Message     Message
	Word        string                   // the follow-up word that it was (words.csv), "" for facts
	Case        Case                     // as it is after the message; Number 0 when the message belongs to no case
	Part        int                      // number of the part it spoke of, 1 or more; 0 when none
	Observation *observation.Observation // of that part as judged; nil when nothing was judged
	Judgment    *engine.Judgment         // nil when nothing was judged
	Reply       reply.Reply
	Shown       []string // routine cautions that the reply showed to the author
}
