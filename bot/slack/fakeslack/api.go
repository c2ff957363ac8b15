package fakeslack

import (
	"encoding/json"
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"rodcall/bot/slack/blockkit"
)

// maxTopText is where Slack refuses the top-level text.
const maxTopText = 40_000

// pace is a token bucket of one channel.
type pace struct {
	tokens float64
	last   time.Time
}

// scopes are what the methods need, by the channel's kind; under "" where the kind does not matter (Slack's
// reference of methods).
var scopes = map[string]map[string]string{
	"chat.postMessage":      {"": "chat:write"},
	"chat.update":           {"": "chat:write"},
	"chat.postEphemeral":    {"": "chat:write"},
	"conversations.open":    {"": "im:write"},
	"conversations.replies": {"channel": "channels:history", "group": "groups:history", "im": "im:history", "mpim": "mpim:history"},
	"conversations.history": {"channel": "channels:history", "group": "groups:history", "im": "im:history", "mpim": "mpim:history"},
	"reactions.add":         {"": "reactions:write"},
}

// Scopes returns the bot scopes that a method needs, in the order of their names.
func Scopes(method string) []string {
	var all []string
	for _, scope := range scopes[method] {
		all = append(all, scope)
	}
	slices.Sort(all)
	return all
}

// request is one call being answered.
type request struct {
	method string
	form   map[string]string
	status int
	header map[string]string
	cut    bool
}

func (s *Server) serveAPI(w http.ResponseWriter, r *http.Request) {
	_ = r.ParseMultipartForm(1 << 20)
	req := &request{method: strings.TrimPrefix(r.URL.Path, "/api/"), form: map[string]string{}, status: http.StatusOK, header: map[string]string{}}
	for key := range r.Form {
		req.form[key] = r.Form.Get(key)
	}
	if strings.HasPrefix(r.Header.Get("Content-Type"), "application/json") {
		readJSON(r, req.form)
	}
	token := firstOf(strings.TrimPrefix(r.Header.Get("Authorization"), "Bearer "), req.form["token"])
	delete(req.form, "token")

	s.mu.Lock()
	s.calls = append(s.calls, Call{Method: req.method, Form: req.form, At: time.Now()})
	answer := s.dispatch(req, token)
	s.notify()
	s.mu.Unlock()

	if req.cut {
		if conn, _, err := http.NewResponseController(w).Hijack(); err == nil {
			_ = conn.Close()
		}
		return
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	for key, value := range req.header {
		w.Header().Set(key, value)
	}
	w.WriteHeader(req.status)
	_ = json.NewEncoder(w).Encode(answer)
}

func readJSON(r *http.Request, form map[string]string) {
	var body map[string]json.RawMessage
	if json.NewDecoder(r.Body).Decode(&body) != nil {
		return
	}
	for key, raw := range body {
		var text string
		if json.Unmarshal(raw, &text) != nil {
			text = string(raw)
		}
		form[key] = text
	}
}

func firstOf(words ...string) string {
	for _, word := range words {
		if word != "" {
			return word
		}
	}
	return ""
}

func fail(code string) object { return object{"ok": false, "error": code} }

// dispatch answers one call. The caller holds mu.
func (s *Server) dispatch(req *request, token string) object {
	if code := s.refuse[req.method]; code != "" {
		answer := fail(code)
		if code == "missing_scope" {
			answer["needed"], answer["provided"] = strings.Join(Scopes(req.method), ","), "commands"
		}
		return answer
	}
	if refused := s.checkToken(req.method, token); refused != nil {
		return refused
	}
	if refused := s.checkScope(req); refused != nil {
		return refused
	}
	switch req.method {
	case "auth.test":
		return object{"ok": true, "url": "https://valley.example/", "team": "Valley", "team_id": s.Team, "user": "rodcall", "user_id": s.BotUser, "bot_id": s.BotID}
	case "apps.connections.open":
		ticket := s.id("ticket-")
		s.tickets[ticket] = true
		return object{"ok": true, "url": strings.Replace(strings.TrimSuffix(s.APIURL, "api/"), "http", "ws", 1) + "link/" + ticket}
	case "chat.postMessage":
		return s.postMessage(req)
	case "chat.update":
		return s.update(req)
	case "chat.postEphemeral":
		return s.postEphemeral(req)
	case "conversations.open":
		return s.openDirect(req)
	case "conversations.replies", "conversations.history":
		return s.list(req)
	case "reactions.add":
		return s.react(req)
	default:
		return fail("unknown_method")
	}
}

func (s *Server) checkToken(method, token string) object {
	want := s.BotToken
	if method == "apps.connections.open" {
		want = s.AppToken
	}
	switch token {
	case want:
		return nil
	case "":
		return fail("not_authed")
	case s.BotToken, s.AppToken:
		return fail("not_allowed_token_type")
	default:
		return fail("invalid_auth")
	}
}

func (s *Server) checkScope(req *request) object {
	kind := ""
	if ch := s.channels[req.form["channel"]]; ch != nil {
		kind = ch.kind
	}
	needed := firstOf(scopes[req.method][kind], scopes[req.method][""])
	if needed == "" || !slices.Contains(s.options.MissingScopes, needed) {
		return nil
	}
	return object{"ok": false, "error": "missing_scope", "needed": needed, "provided": "commands"}
}

// paced answers 429 when a channel gets posts faster than its pace.
func (s *Server) paced(req *request) object {
	bucket := s.limits[req.form["channel"]]
	if bucket == nil {
		bucket = &pace{tokens: float64(s.options.PostBurst), last: time.Now()}
		s.limits[req.form["channel"]] = bucket
	}
	now := time.Now()
	bucket.tokens = min(float64(s.options.PostBurst), bucket.tokens+float64(now.Sub(bucket.last))/float64(s.options.PostEvery))
	bucket.last = now
	forced := s.spend(RateLimit)
	if bucket.tokens >= 1 && !forced {
		bucket.tokens--
		return nil
	}
	if !forced {
		s.tooFast++
	}
	req.status, req.header["Retry-After"] = http.StatusTooManyRequests, "1"
	return fail("ratelimited")
}

// checkMessage refuses what Slack refuses in a message to be stored.
func (s *Server) checkMessage(req *request) object {
	text, blocks := req.form["text"], req.form["blocks"]
	if text == "" && (blocks == "" || blocks == "[]") {
		return fail("no_text")
	}
	if utf8.RuneCountInString(text) > maxTopText {
		return fail("msg_too_long")
	}
	if blocks == "" {
		return nil
	}
	var refused *blockkit.Error
	if errors.As(blockkit.CheckJSON([]byte(blocks), blockkit.Refused), &refused) {
		answer := fail(refused.Code)
		answer["errors"] = []string{refused.At + ": " + refused.What}
		answer["response_metadata"] = object{"messages": []string{"[ERROR] " + refused.At + ": " + refused.What}}
		return answer
	}
	return nil
}

// place returns the channel that the bot may write to.
func (s *Server) place(req *request) (*channel, object) {
	ch := s.channels[req.form["channel"]]
	switch {
	case ch == nil:
		return nil, fail("channel_not_found")
	case !ch.member:
		return nil, fail("not_in_channel")
	default:
		return ch, nil
	}
}

func (s *Server) postMessage(req *request) object {
	if refused := s.paced(req); refused != nil {
		return refused
	}
	ch, refused := s.place(req)
	if refused == nil {
		refused = s.checkMessage(req)
	}
	if refused != nil {
		return refused
	}
	thread := req.form["thread_ts"]
	if thread != "" && ch.message(thread) == nil {
		return fail("thread_not_found")
	}
	m := &Message{Channel: ch.id, TS: s.nextTS(), ThreadTS: thread, User: s.BotUser, BotID: s.BotID, Text: req.form["text"]}
	m.Blocks, m.Metadata = rawOrNil(req.form["blocks"]), rawOrNil(req.form["metadata"])
	ch.messages = append(ch.messages, m)
	s.event(s.postEvent("message", ch, m)) // one's own messages come back as events
	if s.spend(StoreThenCut) {
		req.cut = true
	}
	if s.spend(StoreThen500) {
		req.status = http.StatusInternalServerError
	}
	return object{"ok": true, "channel": ch.id, "ts": m.TS, "message": wire(m, false)}
}

func rawOrNil(text string) json.RawMessage {
	if text == "" {
		return nil
	}
	return json.RawMessage(text)
}

func (s *Server) update(req *request) object {
	ch, refused := s.place(req)
	if refused == nil {
		refused = s.checkMessage(req)
	}
	if refused != nil {
		return refused
	}
	m := ch.message(req.form["ts"])
	if m == nil {
		return fail("message_not_found")
	}
	if m.User != s.BotUser {
		return fail("cant_update_message")
	}
	m.Text, m.Blocks = req.form["text"], rawOrNil(req.form["blocks"])
	return object{"ok": true, "channel": ch.id, "ts": m.TS, "text": m.Text}
}

func (s *Server) postEphemeral(req *request) object {
	ch, refused := s.place(req)
	if refused == nil {
		refused = s.checkMessage(req)
	}
	if refused != nil {
		return refused
	}
	if s.users[req.form["user"]] == "" {
		return fail("user_not_in_channel")
	}
	m := &Message{Channel: ch.id, TS: s.nextTS(), ThreadTS: req.form["thread_ts"], User: s.BotUser, Text: req.form["text"],
		Blocks: rawOrNil(req.form["blocks"]), Ephemeral: req.form["user"]}
	ch.messages = append(ch.messages, m)
	return object{"ok": true, "message_ts": m.TS}
}

func (s *Server) openDirect(req *request) object {
	user := req.form["users"]
	if s.users[user] == "" {
		return fail("user_not_found")
	}
	id := "D" + strings.TrimPrefix(user, "U")
	if s.channels[id] == nil {
		s.channels[id] = &channel{id: id, kind: "im", member: true}
	}
	return object{"ok": true, "channel": object{"id": id}}
}

// list answers conversations.replies (with ts) and conversations.history.
func (s *Server) list(req *request) object {
	ch, refused := s.place(req)
	if refused != nil {
		return refused
	}
	thread := req.form["ts"]
	if req.method == "conversations.replies" && ch.message(thread) == nil {
		return fail("thread_not_found")
	}
	limit, _ := strconv.Atoi(firstOf(req.form["limit"], "100"))
	found := []object{}
	for _, m := range ch.messages {
		if m.Ephemeral != "" || (thread != "" && m.TS != thread && m.ThreadTS != thread) || (thread == "" && m.ThreadTS != "") {
			continue
		}
		if len(found) < limit {
			found = append(found, wire(m, req.form["include_all_metadata"] != ""))
		}
	}
	return object{"ok": true, "messages": found, "has_more": false}
}

// wire is a message as the API returns it.
func wire(m *Message, metadata bool) object {
	o := object{"type": "message", "user": m.User, "text": m.Text, "ts": m.TS}
	if m.BotID != "" {
		o["bot_id"] = m.BotID
	}
	if m.ThreadTS != "" {
		o["thread_ts"] = m.ThreadTS
	}
	if m.Blocks != nil {
		o["blocks"] = m.Blocks
	}
	if metadata && m.Metadata != nil {
		o["metadata"] = m.Metadata
	}
	return o
}

func (s *Server) react(req *request) object {
	ch, refused := s.place(req)
	if refused != nil {
		return refused
	}
	if ch.message(req.form["timestamp"]) == nil {
		return fail("message_not_found")
	}
	reaction := Reaction{Channel: ch.id, TS: req.form["timestamp"], Name: req.form["name"]}
	if slices.Contains(s.reactions, reaction) {
		return fail("already_reacted")
	}
	s.reactions = append(s.reactions, reaction)
	return object{"ok": true}
}
