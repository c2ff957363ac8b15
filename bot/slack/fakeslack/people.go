package fakeslack

import (
	"encoding/json"
	"fmt"
	"strings"
)

type object = map[string]any

// Post is a person's message. The text is as on the wire: mentions as <@U…>, other signs through Escape.
// It returns the message's ts; thread is empty for a new one.
func (s *Server) Post(user, channelID, thread, text string, files int) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	ch := s.channels[channelID]
	if ch == nil {
		panic("fakeslack: no channel " + channelID)
	}
	m := &Message{Channel: channelID, TS: s.nextTS(), ThreadTS: thread, User: user, Text: text, Files: files}
	ch.messages = append(ch.messages, m)
	if !ch.member && ch.kind != "im" {
		return m.TS // an app hears nothing from where it is not
	}
	mention := strings.Contains(text, "<@"+s.BotUser) && ch.kind != "im"
	both, only := mention && s.spend(MentionAndMessage), mention && s.spend(MessageOnly)
	if mention && !only {
		s.event(s.postEvent("app_mention", ch, m))
	}
	if !mention || both || only {
		s.event(s.postEvent("message", ch, m))
	}
	s.notify()
	return m.TS
}

func (s *Server) postEvent(kind string, ch *channel, m *Message) object {
	event := object{
		"type": kind, "user": m.User, "text": m.Text, "ts": m.TS, "event_ts": m.TS, "channel": ch.id, "team": s.Team,
		"client_msg_id": fmt.Sprintf("cm-%s", m.TS),
		"blocks": []object{{"type": "rich_text", "block_id": "b1", "elements": []object{
			{"type": "rich_text_section", "elements": []object{{"type": "text", "text": m.Text}}}}}},
	}
	if s.spend(MalformedBlock) {
		event["blocks"] = []object{{"type": "rich_text", "block_id": 7, "elements": "none"}}
	}
	if kind == "message" {
		event["channel_type"] = ch.kind
	}
	if m.BotID != "" {
		event["bot_id"] = m.BotID
	}
	if m.ThreadTS != "" {
		event["thread_ts"] = m.ThreadTS
		if root := ch.message(m.ThreadTS); root != nil {
			event["parent_user_id"] = root.User
		}
	}
	if m.Files > 0 {
		files := make([]object, m.Files)
		for i := range files {
			files[i] = object{"id": fmt.Sprintf("F%d", i), "mimetype": "image/jpeg", "name": "photo.jpg"}
		}
		event["files"] = files
		if kind == "message" {
			event["subtype"] = "file_share"
		}
	}
	return event
}

func (ch *channel) message(ts string) *Message {
	for _, m := range ch.messages {
		if m.TS == ts {
			return m
		}
	}
	return nil
}

// Edit changes a person's message; the app sees a message_changed.
func (s *Server) Edit(channelID, ts, text string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	ch := s.channels[channelID]
	m := ch.message(ts)
	before := object{"type": "message", "user": m.User, "text": m.Text, "ts": m.TS, "thread_ts": m.ThreadTS}
	m.Text = text
	after := object{"type": "message", "user": m.User, "text": m.Text, "ts": m.TS, "thread_ts": m.ThreadTS, "edited": object{"user": m.User, "ts": s.nextTS()}}
	s.event(object{"type": "message", "subtype": "message_changed", "hidden": true, "channel": ch.id, "channel_type": ch.kind,
		"ts": s.nextTS(), "event_ts": s.nextTS(), "message": after, "previous_message": before})
}

// Delete takes a person's message away; the app sees a message_deleted.
func (s *Server) Delete(channelID, ts string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	ch := s.channels[channelID]
	m := ch.message(ts)
	s.event(object{"type": "message", "subtype": "message_deleted", "hidden": true, "channel": ch.id, "channel_type": ch.kind,
		"ts": s.nextTS(), "event_ts": s.nextTS(), "deleted_ts": m.TS,
		"previous_message": object{"type": "message", "user": m.User, "text": m.Text, "ts": m.TS}})
}

// Notice is a line that Slack itself writes in a person's name, such as channel_join or channel_topic.
func (s *Server) Notice(subtype, user, channelID, text string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	ch := s.channels[channelID]
	event := s.postEvent("message", ch, &Message{Channel: channelID, TS: s.nextTS(), User: user, Text: text})
	event["subtype"] = subtype
	s.event(event)
}

// BotPost is a message of another bot.
func (s *Server) BotPost(botID, channelID, thread, text string) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	ch := s.channels[channelID]
	m := &Message{Channel: channelID, TS: s.nextTS(), ThreadTS: thread, User: "U" + botID, BotID: botID, Text: text}
	ch.messages = append(ch.messages, m)
	s.event(s.postEvent("message", ch, m))
	return m.TS
}

// Slash types a slash command in a channel.
func (s *Server) Slash(user, channelID, command, text string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.deliver("slash_commands", object{
		"token": "x", "team_id": s.Team, "team_domain": "valley", "channel_id": channelID, "channel_name": "work",
		"user_id": user, "user_name": s.users[user], "command": command, "text": text,
		"api_app_id": "A0ROD", "trigger_id": s.id("trigger."), "response_url": s.APIURL + "response",
	})
}

// Press presses the button with the label under a message. It returns false when there is none.
func (s *Server) Press(user, channelID, ts, label string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	m := s.channels[channelID].message(ts)
	for _, action := range m.buttons() {
		text, _ := action["text"].(object)
		if text["text"] != label {
			continue
		}
		s.deliver("interactive", object{
			"type": "block_actions", "api_app_id": "A0ROD", "token": "x", "trigger_id": s.id("trigger."),
			"team": object{"id": s.Team, "domain": "valley"}, "channel": object{"id": channelID, "name": "work"},
			"user":      object{"id": user, "username": s.users[user], "name": s.users[user], "team_id": s.Team},
			"container": object{"type": "message", "message_ts": ts, "channel_id": channelID, "thread_ts": m.ThreadTS, "is_ephemeral": false},
			"message":   object{"type": "message", "ts": ts, "thread_ts": m.ThreadTS, "user": m.User, "bot_id": m.BotID, "text": m.Text},
			"state":     object{"values": object{}},
			"actions": []object{{"type": "button", "action_id": action["action_id"], "block_id": "b", "value": action["value"],
				"text": text, "action_ts": s.nextTS()}},
		})
		return true
	}
	return false
}

// Buttons returns the labels of a message's buttons.
func (m Message) Buttons() []string {
	var labels []string
	for _, action := range m.buttons() {
		text, _ := action["text"].(object)
		label, _ := text["text"].(string)
		labels = append(labels, label)
	}
	return labels
}

func (m Message) buttons() []object {
	var found []object
	walk(m.Blocks, func(o object) {
		if o["type"] == "button" {
			found = append(found, o)
		}
	})
	return found
}

// walk visits every object of a JSON text, outer ones first, lists in order.
func walk(raw json.RawMessage, visit func(object)) {
	var value any
	if json.Unmarshal(raw, &value) != nil {
		return
	}
	var down func(any)
	down = func(value any) {
		switch v := value.(type) {
		case []any:
			for _, one := range v {
				down(one)
			}
		case object:
			visit(v)
			for _, key := range []string{"elements", "accessory", "text", "fields", "options"} {
				down(v[key])
			}
		}
	}
	down(value)
}
