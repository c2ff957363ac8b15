// Package fakeslack is a small Slack on the loopback for tests: one workspace in memory, the Web API methods
// that the bot calls, and Socket Mode with hello, pings, acknowledgements, redelivery and disconnects. It is
// stricter than the real one where that finds mistakes (tokens, membership, block limits, the pace of posts)
// and its faults are switched on by name.
//
// It is written from the documentation and from what the official clients send and expect, not from the bot,
// and it imports nothing of the bot except the block limits.
package fakeslack

import (
	"context"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"
)

// Fault is trouble that a test can switch on.
type Fault string

const (
	RateLimit         Fault = "rate-limit"          // the next posts are answered 429 with Retry-After: 1
	DuplicateDelivery Fault = "duplicate-delivery"  // the next deliveries come twice, the same but for the envelope
	MentionAndMessage Fault = "mention-and-message" // a mention arrives as app_mention and as message, with two event ids
	MessageOnly       Fault = "message-only"        // a mention arrives as message alone, as seen with files
	UnknownEvent      Fault = "unknown-event"       // an event of an unknown type goes before each event
	MalformedBlock    Fault = "malformed-block"     // events carry a known block with a field of the wrong type
	DisconnectFirst   Fault = "disconnect"          // the socket is closed after delivery, the acknowledgement unread
	StoreThenCut      Fault = "store-then-cut"      // the next posts are stored and their connection cut
	StoreThen500      Fault = "store-then-500"      // the next posts are stored and answered 500
)

// Options shape a Server; zero values are Slack's own figures where it has any.
type Options struct {
	PostEvery     time.Duration   // pace of chat.postMessage to one channel; zero means a second
	PostBurst     int             // posts above that pace before 429; zero means 5
	RedeliverAt   []time.Duration // after the first delivery without acknowledgement; nil means at once after 3 s, 1 min, 5 min
	PingEvery     time.Duration   // zero means 5 s
	MissingScopes []string        // scopes that the app was not given
}

// Server is one running fake. Its fields are fixed after New.
type Server struct {
	APIURL         string // ends in a slash
	BotToken       string
	AppToken       string
	Team           string
	BotUser, BotID string
	options        Options
	http           *http.Server
	ctx            context.Context
	stop           context.CancelFunc
	background     sync.WaitGroup
	changed        chan struct{} // closed and renewed at each change, for Wait
	mu             sync.Mutex
	clock          int64 // microseconds; each ts is later than the one before
	serial         int
	refuse         map[string]string // method or token → error
	faults         map[Fault]int
	users          map[string]string
	channels       map[string]*channel
	calls          []Call
	limits         map[string]*pace
	sockets        []*socket
	tickets        map[string]bool
	deliveries     []*Delivery
	connections    int
	tooFast        int
	reactions      []Reaction
}

type channel struct {
	id, kind string // kind is channel, group, im or mpim
	member   bool   // whether the bot is in it
	messages []*Message
}

// Call is one Web API call as it came in.
type Call struct {
	Method string
	Form   map[string]string
	At     time.Time
}

// Message is one message of the workspace.
type Message struct {
	Channel, TS, ThreadTS string
	User, BotID           string
	Text                  string // as on the wire
	Blocks                json.RawMessage
	Metadata              json.RawMessage
	Files                 int
	Ephemeral             string // the only user who sees it
}

// Reaction is one emoji put on a message.
type Reaction struct{ Channel, TS, Name string }

// New starts a server on a free loopback port. Close it.
func New(options Options) *Server {
	if options.PostEvery == 0 {
		options.PostEvery = time.Second
	}
	if options.PostBurst == 0 {
		options.PostBurst = 5
	}
	if options.RedeliverAt == nil {
		options.RedeliverAt = []time.Duration{3 * time.Second, time.Minute, 5 * time.Minute}
	}
	if options.PingEvery == 0 {
		options.PingEvery = 5 * time.Second
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		panic("fakeslack: no loopback port: " + err.Error())
	}
	s := &Server{
		APIURL:   "http://" + listener.Addr().String() + "/api/",
		BotToken: "xoxb-fake-bot", AppToken: "xapp-fake-app",
		Team: "T0VALLEY", BotUser: "U0RODBOT", BotID: "B0RODBOT",
		options: options, changed: make(chan struct{}), clock: time.Now().UnixMicro(),
		refuse: map[string]string{}, faults: map[Fault]int{}, users: map[string]string{},
		channels: map[string]*channel{}, limits: map[string]*pace{}, tickets: map[string]bool{},
	}
	s.ctx, s.stop = context.WithCancel(context.Background())
	mux := http.NewServeMux()
	mux.HandleFunc("/api/", s.serveAPI)
	mux.HandleFunc("/link/", s.serveSocket)
	s.http = &http.Server{Handler: mux}
	s.background.Go(func() { _ = s.http.Serve(listener) })
	return s
}

// Close ends the server with its sockets and waits for its goroutines.
func (s *Server) Close() {
	s.stop()
	for _, open := range s.openSockets() {
		open.close()
	}
	_ = s.http.Close()
	s.background.Wait()
}

// AddUser adds a person.
func (s *Server) AddUser(id, name string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.users[id] = name
}

// AddChannel adds a channel, with or without the bot in it. The first letter of the id says what it is, as
// at Slack: C channel, G private, D direct.
func (s *Server) AddChannel(id string, member bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	kind := map[byte]string{'C': "channel", 'G': "group", 'D': "im"}[id[0]]
	s.channels[id] = &channel{id: id, kind: kind, member: member}
}

// Set switches a fault on for the next n times.
func (s *Server) Set(fault Fault, n int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.faults[fault] = n
}

// Refuse makes a method answer with an error; an empty code lifts it.
func (s *Server) Refuse(method, code string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.refuse[method] = code
}

// spend uses a fault once and reports whether it was on. The caller holds mu.
func (s *Server) spend(fault Fault) bool {
	if s.faults[fault] <= 0 {
		return false
	}
	s.faults[fault]--
	return true
}

// nextTS returns a ts with six digits that no other message has. The caller holds mu.
func (s *Server) nextTS() string {
	s.clock = max(s.clock+1, time.Now().UnixMicro())
	return fmt.Sprintf("%d.%06d", s.clock/1e6, s.clock%1e6)
}

func (s *Server) id(prefix string) string {
	s.serial++
	return fmt.Sprintf("%s%08d", prefix, s.serial)
}

// notify wakes the waiting ones. The caller holds mu.
func (s *Server) notify() {
	close(s.changed)
	s.changed = make(chan struct{})
}

// Wait returns true as soon as the condition holds, false after the time. It is asked again at each change.
func (s *Server) Wait(within time.Duration, condition func() bool) bool {
	deadline := time.NewTimer(within)
	defer deadline.Stop()
	for {
		s.mu.Lock()
		changed := s.changed
		s.mu.Unlock()
		if condition() {
			return true
		}
		select {
		case <-changed:
		case <-deadline.C:
			return condition()
		}
	}
}

// Thread returns the messages under a message, without it, in order.
func (s *Server) Thread(channelID, ts string) []Message {
	return s.find(channelID, func(m *Message) bool { return m.ThreadTS == ts && m.TS != ts })
}

// Answers returns what the bot wrote under a message.
func (s *Server) Answers(channelID, ts string) []Message {
	return s.find(channelID, func(m *Message) bool { return m.ThreadTS == ts && m.TS != ts && m.User == s.BotUser })
}

// Messages returns everything in a channel, threads included.
func (s *Server) Messages(channelID string) []Message {
	return s.find(channelID, func(*Message) bool { return true })
}

func (s *Server) find(channelID string, wanted func(*Message) bool) []Message {
	s.mu.Lock()
	defer s.mu.Unlock()
	var found []Message
	if ch := s.channels[channelID]; ch != nil {
		for _, m := range ch.messages {
			if wanted(m) {
				found = append(found, *m)
			}
		}
	}
	return found
}

// Calls returns the calls of one method, or all for an empty name.
func (s *Server) Calls(method string) []Call {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.DeleteFunc(slices.Clone(s.calls), func(c Call) bool { return method != "" && c.Method != method })
}

// TooFast counts the posts that were answered 429 because the channel's pace was not kept.
func (s *Server) TooFast() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.tooFast
}

// Reactions returns the reactions set so far.
func (s *Server) Reactions() []Reaction {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.reactions)
}

// Connections counts the sockets opened since the start.
func (s *Server) Connections() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.connections
}

// Escape is what Slack does to text that a person typed before an app sees it.
func Escape(typed string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;").Replace(typed)
}
