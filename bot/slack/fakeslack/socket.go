package fakeslack

import (
	"encoding/json"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/gorilla/websocket"
)

// Delivery is one thing sent to the app, with all its attempts.
type Delivery struct {
	Kind      string // events_api, slash_commands, interactive
	Payload   object
	Attempts  int
	Acked     bool
	AckedIn   time.Duration // from the last attempt
	envelopes []string
	sent      time.Time
	twice     bool
}

type socket struct {
	conn *websocket.Conn
	mu   sync.Mutex // one writer at a time
}

func (k *socket) send(frame any) error {
	k.mu.Lock()
	defer k.mu.Unlock()
	_ = k.conn.SetWriteDeadline(time.Now().Add(5 * time.Second))
	return k.conn.WriteJSON(frame)
}

func (k *socket) close() { _ = k.conn.Close() }

var upgrader = websocket.Upgrader{CheckOrigin: func(*http.Request) bool { return true }}

// serveSocket is the app's end of a one-use address from apps.connections.open.
func (s *Server) serveSocket(w http.ResponseWriter, r *http.Request) {
	ticket := strings.TrimPrefix(r.URL.Path, "/link/")
	s.mu.Lock()
	good := s.tickets[ticket]
	delete(s.tickets, ticket)
	s.mu.Unlock()
	if !good {
		http.Error(w, "no such ticket", http.StatusForbidden)
		return
	}
	conn, err := upgrader.Upgrade(w, r, nil)
	if err != nil {
		return
	}
	k := &socket{conn: conn}
	_ = k.send(object{"type": "hello", "num_connections": 1, "connection_info": object{"app_id": "A0ROD"},
		"debug_info": object{"host": "applink-fake", "approximate_connection_time": 18060}})
	s.mu.Lock()
	s.connections++
	s.sockets = append(s.sockets, k)
	s.sendWaiting()
	s.notify()
	s.mu.Unlock()
	s.background.Go(func() { s.ping(k) })
	s.readAcks(k)
}

// readAcks reads until the socket ends.
func (s *Server) readAcks(k *socket) {
	defer s.drop(k)
	for {
		var ack struct {
			EnvelopeID string `json:"envelope_id"`
		}
		if err := k.conn.ReadJSON(&ack); err != nil {
			return
		}
		s.acknowledged(ack.EnvelopeID)
	}
}

func (s *Server) acknowledged(envelope string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, d := range s.deliveries {
		if slices.Contains(d.envelopes, envelope) {
			d.Acked, d.AckedIn = true, time.Since(d.sent)
			s.notify()
			return
		}
	}
}

func (s *Server) drop(k *socket) {
	k.close()
	s.mu.Lock()
	defer s.mu.Unlock()
	s.sockets = slices.DeleteFunc(s.sockets, func(other *socket) bool { return other == k })
	s.notify()
}

func (s *Server) ping(k *socket) {
	ticker := time.NewTicker(s.options.PingEvery)
	defer ticker.Stop()
	for {
		err := k.conn.WriteControl(websocket.PingMessage, []byte("ping"), time.Now().Add(time.Second))
		if err != nil {
			return
		}
		select {
		case <-ticker.C:
		case <-s.ctx.Done():
			return
		}
	}
}

func (s *Server) openSockets() []*socket {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.sockets)
}

// Disconnect asks every socket to go, as Slack does every few hours, and closes it.
func (s *Server) Disconnect() {
	for _, k := range s.openSockets() {
		_ = k.send(object{"type": "disconnect", "reason": "refresh_requested", "debug_info": object{"host": "applink-fake"}})
		s.drop(k)
	}
}

// event wraps an event of the Events API and delivers it. The caller holds mu.
func (s *Server) event(event object) {
	if s.spend(UnknownEvent) {
		s.deliver("events_api", s.callback(object{"type": "weld_inspected", "channel": object{"id": "C1"}, "event_ts": s.nextTS()}))
	}
	s.deliver("events_api", s.callback(event))
}

func (s *Server) callback(event object) object {
	return object{"token": "x", "team_id": s.Team, "api_app_id": "A0ROD", "type": "event_callback",
		"event": event, "event_id": s.id("Ev"), "event_time": time.Now().Unix(), "authorizations": []object{{"team_id": s.Team, "user_id": s.BotUser, "is_bot": true}}}
}

// deliver sends to one open socket and sees to the retries. The caller holds mu.
func (s *Server) deliver(kind string, payload object) {
	d := &Delivery{Kind: kind, Payload: payload}
	s.deliveries = append(s.deliveries, d)
	d.twice = s.spend(DuplicateDelivery)
	s.attempt(d)
	s.background.Go(func() { s.retry(d) })
}

// retry repeats a delivery that is not acknowledged, at the times of the options.
func (s *Server) retry(d *Delivery) {
	for _, after := range s.options.RedeliverAt {
		select {
		case <-time.After(after):
		case <-s.ctx.Done():
			return
		}
		s.mu.Lock()
		if d.Acked {
			s.mu.Unlock()
			return
		}
		s.attempt(d)
		s.mu.Unlock()
	}
}

// sendWaiting sends what found no socket so far. The caller holds mu.
func (s *Server) sendWaiting() {
	for _, d := range s.deliveries {
		if d.Attempts == 0 {
			s.attempt(d)
		}
	}
}

// attempt writes one envelope; each attempt has a new envelope id and the same event id. The caller holds mu.
func (s *Server) attempt(d *Delivery) {
	if len(s.sockets) == 0 {
		return
	}
	k := s.sockets[len(s.sockets)-1]
	times := 1
	if d.twice {
		times, d.twice = 2, false
	}
	for range times {
		envelope := s.id("env-")
		d.envelopes = append(d.envelopes, envelope)
		frame := object{"type": d.Kind, "envelope_id": envelope, "payload": d.Payload, "accepts_response_payload": d.Kind != "events_api"}
		if d.Attempts > 0 {
			frame["retry_attempt"], frame["retry_reason"] = d.Attempts, "timeout"
		}
		d.Attempts++
		d.sent = time.Now()
		_ = k.send(frame)
	}
	if s.spend(DisconnectFirst) {
		_ = k.send(object{"type": "disconnect", "reason": "warning"})
		k.close()
	}
}

// Deliveries returns what was sent to the app so far.
func (s *Server) Deliveries() []Delivery {
	s.mu.Lock()
	defer s.mu.Unlock()
	all := make([]Delivery, len(s.deliveries))
	for i, d := range s.deliveries {
		all[i] = *d
	}
	return all
}

// Unacked returns the deliveries that the app has not acknowledged.
func (s *Server) Unacked() []Delivery {
	return slices.DeleteFunc(s.Deliveries(), func(d Delivery) bool { return d.Acked })
}

// EventType is the inner type of an events_api delivery, empty for others.
func (d Delivery) EventType() string {
	event, _ := d.Payload["event"].(object)
	kind, _ := event["type"].(string)
	return kind
}

// String is the delivery as JSON.
func (d Delivery) String() string {
	raw, _ := json.Marshal(d.Payload)
	return d.Kind + " " + string(raw)
}
