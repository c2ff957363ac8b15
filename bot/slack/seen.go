package slack

import (
	"sync"
	"time"
)

// Slack's last retry comes after about five minutes, and a window of five minutes has been found too short
// by others; a day costs little.
const (
	rememberFor   = 24 * time.Hour
	maxRemembered = 50_000
	maxThreads    = 10_000
)

// seen remembers keys for a time, at most so many, oldest forgotten first. It lives in memory: across a
// restart the message id (conversation.Message.ID) is what stops a second answer.
type seen struct {
	mu    sync.Mutex
	keep  time.Duration
	limit int
	at    map[string]time.Time
	order []string
}

func newSeen(limit int, keep time.Duration) *seen {
	return &seen{keep: keep, limit: limit, at: map[string]time.Time{}}
}

// first reports whether the key is new, and remembers it.
func (s *seen) first(key string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.forget()
	if _, known := s.at[key]; known {
		return false
	}
	s.at[key] = time.Now()
	s.order = append(s.order, key)
	return true
}

// drop forgets the key that was remembered last, when what it stood for was not taken after all.
func (s *seen) drop(key string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if n := len(s.order); n > 0 && s.order[n-1] == key {
		s.order = s.order[:n-1]
		delete(s.at, key)
	}
}

func (s *seen) forget() {
	for len(s.order) > 0 {
		oldest := s.order[0]
		if len(s.order) < s.limit && time.Since(s.at[oldest]) < s.keep {
			return
		}
		delete(s.at, oldest)
		s.order = s.order[1:]
	}
}

// threads remembers of which threads it is known whether the bot takes part; a forgotten one is looked up again.
type threads struct {
	mu    sync.Mutex
	limit int
	ours  map[string]bool
	order []string
}

func newThreads(limit int) *threads {
	return &threads{limit: limit, ours: map[string]bool{}}
}

func (t *threads) set(key string, ours bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if _, known := t.ours[key]; !known {
		t.order = append(t.order, key)
	}
	t.ours[key] = ours
	for len(t.order) > t.limit {
		delete(t.ours, t.order[0])
		t.order = t.order[1:]
	}
}

func (t *threads) get(key string) (ours, known bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	ours, known = t.ours[key]
	return ours, known
}
