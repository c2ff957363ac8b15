// Package conversation is the one door for messages, whatever surface they came from: a case as it
// grows, what a word does in it, what changed. It knows neither Slack nor the terminal, and declares
// the ports that it calls.
package conversation

import "time"

// Message is one message of a person in one thread.
type Message struct {
	ID     string    // the surface's own id of the message; the same id twice is one message
	Thread string    // one case a thread; the surface makes it unique (channel and thread, or the terminal's session)
	Author string    // the surface's id of the person
	Text   string    // as written
	Files  int       // photos or files that came along; they are kept by the surface and never read for metal
	At     time.Time // when the surface received it, UTC
}
