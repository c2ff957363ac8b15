package slack

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"rodcall/bot/conversation"
)

// incoming is one delivery that may want an answer.
type incoming struct {
	delivery  string // key of the delivery: the same again is a retry
	post      string // key of a person's post, team/channel/ts; empty for commands and presses
	line      string // queue line; the thread where there is one already
	place     place
	postTS    string // ts of the post itself
	parent    string // who wrote the thread's first message, when Slack says so
	addressed bool   // to the bot for certain: direct message, mention, command, press
	command   string // the slash command when it was one
	pressed   *press
	message   conversation.Message
}

// place is where an answer goes.
type place struct{ team, channel, thread string }

func (p place) key() string { return p.team + "/" + p.channel + "/" + p.thread }

// press is the button that said the message.
type press struct{ label, name string }

// accept takes one delivery and returns whether to acknowledge it; it never waits. Retries are not dropped
// for being retries: only a key that was taken before is. What is not for us is acknowledged too, because
// unanswered deliveries are repeated and in the end the subscription is switched off.
func (b *bot) accept(kind string, payload json.RawMessage) bool {
	in, skip := b.read(kind, payload)
	if skip != "" {
		b.log.Debug("slack: delivery passed over", "kind", kind, "why", skip)
		return true
	}
	if !b.accepted.first(in.delivery) {
		b.log.Debug("slack: delivery seen before", "key", in.delivery)
		return true
	}
	if !b.queue.add(in.line, func(ctx context.Context) { b.answer(ctx, in) }) {
		b.accepted.drop(in.delivery)
		b.log.Warn("slack: too many messages waiting; left for a later delivery")
		return false
	}
	return true
}

// read turns a delivery into an incoming, or says why it wants no answer. It reads only the fields it
// needs: the library's full types fail on a block they do not know, and the message with them.
func (b *bot) read(kind string, payload json.RawMessage) (in incoming, skip string) {
	switch kind {
	case "events_api":
		return b.readEvent(payload)
	case "slash_commands":
		return b.readCommand(payload)
	case "interactive":
		return b.readPress(payload)
	default:
		return in, "unknown kind"
	}
}

type eventPayload struct {
	TeamID  string          `json:"team_id"`
	EventID string          `json:"event_id"`
	Event   json.RawMessage `json:"event"`
}

type eventType struct {
	Type string `json:"type"`
}

type postEvent struct {
	Type        string            `json:"type"`
	Subtype     string            `json:"subtype"`
	User        string            `json:"user"`
	BotID       string            `json:"bot_id"`
	Text        string            `json:"text"`
	TS          string            `json:"ts"`
	ThreadTS    string            `json:"thread_ts"`
	ParentUser  string            `json:"parent_user_id"`
	Channel     string            `json:"channel"`
	ChannelType string            `json:"channel_type"`
	Files       []json.RawMessage `json:"files"`
}

func (b *bot) readEvent(payload json.RawMessage) (in incoming, skip string) {
	var outer eventPayload
	var kind eventType
	if json.Unmarshal(payload, &outer) != nil || json.Unmarshal(outer.Event, &kind) != nil {
		return in, "not an event"
	}
	if kind.Type != "message" && kind.Type != "app_mention" {
		return in, "event " + kind.Type
	}
	var post postEvent
	if err := json.Unmarshal(outer.Event, &post); err != nil {
		return in, "message that cannot be read: " + err.Error()
	}
	if skip := b.notForUs(post); skip != "" {
		return in, skip
	}
	team := outer.TeamID
	if team == "" {
		team = b.self.team
	}
	in = incoming{
		place:     place{team, post.Channel, post.ThreadTS},
		post:      place{team, post.Channel, post.TS}.key(),
		postTS:    post.TS,
		parent:    post.ParentUser,
		addressed: post.Type == "app_mention" || direct(post) || b.mentioned(post.Text),
	}
	if in.place.thread == "" {
		in.place.thread = post.TS
	}
	in.delivery = outer.EventID
	if in.delivery == "" {
		in.delivery = in.post + "/" + post.Type
	}
	in.line = in.place.key()
	in.message = b.says(in.post, in.place, post.User, b.words(post.Text))
	in.message.Files = len(post.Files)
	return in, ""
}

// notForUs says why a post wants no answer. A message that was changed or deleted is passed over whole: it
// must not be answered a second time.
func (b *bot) notForUs(post postEvent) string {
	switch post.Subtype {
	case "", "file_share", "thread_broadcast":
	default:
		return "subtype " + post.Subtype
	}
	switch {
	case post.BotID != "" || post.User == b.self.user:
		return "from a bot"
	case post.User == "" || post.User == "USLACKBOT":
		return "from nobody"
	case post.Channel == "" || post.TS == "":
		return "no place"
	case post.Type == "app_mention" || direct(post) || b.mentioned(post.Text) || post.ThreadTS != "":
		return ""
	default:
		return "talk in a channel"
	}
}

func direct(post postEvent) bool {
	return post.ChannelType == "im" || (post.ChannelType == "" && strings.HasPrefix(post.Channel, "D"))
}

type commandPayload struct {
	TeamID    string `json:"team_id"`
	ChannelID string `json:"channel_id"`
	UserID    string `json:"user_id"`
	Command   string `json:"command"`
	Text      string `json:"text"`
	TriggerID string `json:"trigger_id"`
}

func (b *bot) readCommand(payload json.RawMessage) (in incoming, skip string) {
	var command commandPayload
	if err := json.Unmarshal(payload, &command); err != nil {
		return in, "not a command"
	}
	if command.Command != b.settings.Command {
		b.log.Warn("slack: a slash command that is not ours; compare slack.command with the app's settings",
			"command", command.Command, "ours", b.settings.Command)
		return in, "another command"
	}
	in = incoming{
		delivery:  "command/" + command.TriggerID,
		addressed: true,
		command:   command.Command,
		place:     place{team: command.TeamID, channel: command.ChannelID},
	}
	in.line = in.delivery
	in.message = b.says(command.TeamID+"/"+in.delivery, in.place, command.UserID, b.words(command.Text))
	return in, ""
}

type pressPayload struct {
	Type string `json:"type"`
	Team struct {
		ID string `json:"id"`
	} `json:"team"`
	User struct {
		ID       string `json:"id"`
		Name     string `json:"name"`
		Username string `json:"username"`
	} `json:"user"`
	Channel struct {
		ID string `json:"id"`
	} `json:"channel"`
	Message struct {
		TS       string `json:"ts"`
		ThreadTS string `json:"thread_ts"`
	} `json:"message"`
	Container struct {
		MessageTS string `json:"message_ts"`
		ThreadTS  string `json:"thread_ts"`
	} `json:"container"`
	Actions []struct {
		ActionID string `json:"action_id"`
		ActionTS string `json:"action_ts"`
		Value    string `json:"value"`
		Text     struct {
			Text string `json:"text"`
		} `json:"text"`
	} `json:"actions"`
}

func (b *bot) readPress(payload json.RawMessage) (in incoming, skip string) {
	var p pressPayload
	if err := json.Unmarshal(payload, &p); err != nil {
		return in, "not an interaction"
	}
	if p.Type != "block_actions" || len(p.Actions) == 0 {
		return in, "interaction " + p.Type
	}
	action := p.Actions[0]
	if !strings.HasPrefix(action.ActionID, sayPrefix) {
		return in, "action " + action.ActionID
	}
	messageTS := firstOf(p.Message.TS, p.Container.MessageTS)
	where := place{firstOf(p.Team.ID, b.self.team), p.Channel.ID, firstOf(p.Message.ThreadTS, p.Container.ThreadTS, messageTS)}
	if where.channel == "" || where.thread == "" || p.User.ID == "" {
		return in, "press without a place"
	}
	key := fmt.Sprintf("%s/press/%s/%s/%s", place{where.team, where.channel, messageTS}.key(), action.ActionID, action.ActionTS, p.User.ID)
	in = incoming{
		delivery:  key,
		line:      where.key(),
		place:     where,
		addressed: true,
		pressed:   &press{label: unescape(action.Text.Text), name: firstOf(p.User.Name, p.User.Username, "somebody")},
	}
	in.message = b.says(key, where, p.User.ID, unescape(action.Value))
	return in, ""
}

func (b *bot) says(id string, where place, author, text string) conversation.Message {
	return conversation.Message{ID: id, Thread: where.key(), Author: author, Text: text, At: time.Now().UTC()}
}

func firstOf(words ...string) string {
	for _, word := range words {
		if word != "" {
			return word
		}
	}
	return ""
}
