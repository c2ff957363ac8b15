package slack

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"time"

	slackgo "github.com/slack-go/slack"

	"rodcall/bot/reply"
)

const (
	answerWithin = 5 * time.Minute // one message, with all waiting for Slack
	heardAfter   = time.Second     // an answer that takes longer is announced by a reaction
	heardEmoji   = "eyes"
	repliesRead  = 200 // of a thread, to see whether the bot takes part
)

// failed is what a rep reads when the door could not answer; the log says why.
var failed = reply.Reply{Lines: []string{
	"Something failed on my side. I judged",
	"nothing. Send the same words again in a",
	"minute.",
}}

// answer does the whole work for one delivery, in the order of its thread.
func (b *bot) answer(ctx context.Context, in incoming) {
	ctx, cancel := context.WithTimeout(ctx, answerWithin)
	defer cancel()
	if !in.addressed && !b.takesPart(ctx, in) {
		return
	}
	if in.post != "" && !b.answered.first(in.post) {
		return
	}
	if in.command != "" {
		opened, err := b.openThread(ctx, in)
		if err != nil {
			b.report(err, "opening a thread for the command")
			return
		}
		in.place = opened
		in.message.Thread = opened.key()
	}
	b.threads.set(in.place.key(), true)

	stopSign := b.signHeard(ctx, in)
	defer stopSign()
	r, err := b.handle(ctx, in)
	if err != nil {
		b.log.Error("slack: no answer from the conversation", "message", in.message.ID, "error", err)
		r = failed
	}
	for i, pg := range render(r, in.pressed) {
		if _, err := b.poster.post(ctx, in.place.channel, in.place.thread, pg, in.message.ID, i); err != nil {
			b.report(err, "posting an answer")
			return
		}
	}
}

// handle asks the door. A panic in it costs one answer, not the bot.
func (b *bot) handle(ctx context.Context, in incoming) (r reply.Reply, err error) {
	defer func() {
		if cause := recover(); cause != nil {
			err = fmt.Errorf("panic: %v\n%s", cause, debug.Stack())
		}
	}()
	return b.door.Handle(ctx, in.message)
}

// report logs an error of a posting call, and ends the bot when Slack will not take any post again.
func (b *bot) report(err error, doing string) {
	b.log.Error("slack: "+doing, "error", err)
	if final := finalError(err, doing); final != nil {
		b.stopFor(final)
	}
}

// openThread posts what was asked and returns its thread. A slash command is no message: it has no ts to
// answer under, and Slack sends none from inside a thread, so the thread has to be made; the quote also tells
// the others in the channel what the answer is about. In a channel that the bot is not in, the thread is
// made in the asker's direct messages.
func (b *bot) openThread(ctx context.Context, in incoming) (place, error) {
	pg := renderCommand(in.message.Author, in.command, in.message.Text)
	where := in.place
	ts, err := b.poster.post(ctx, where.channel, "", pg, in.message.ID, -1)
	var refused slackgo.SlackErrorResponse
	if errors.As(err, &refused) && finalError(err, "") == nil {
		b.log.Info("slack: command in a channel that I cannot post to; answering directly", "channel", where.channel, "error", err)
		where.channel, err = b.openDirect(ctx, in.message.Author)
		if err != nil {
			return where, err
		}
		ts, err = b.poster.post(ctx, where.channel, "", pg, in.message.ID, -1)
	}
	where.thread = ts
	return where, err
}

func (b *bot) openDirect(ctx context.Context, user string) (channel string, err error) {
	err = patiently(ctx, func(ctx context.Context) error {
		opened, _, _, err := b.api.OpenConversationContext(ctx, &slackgo.OpenConversationParameters{Users: []string{user}})
		if err == nil {
			channel = opened.ID
		}
		return err
	})
	return channel, err
}

// takesPart reports whether the bot is in the thread of the message: it started it, answered in it, or was
// called in it. What this process does not remember is read from Slack once. Where the app may not read
// threads (no history scope), only mentions are answered.
func (b *bot) takesPart(ctx context.Context, in incoming) bool {
	key := in.place.key()
	if in.parent == b.self.user {
		return true
	}
	if ours, known := b.threads.get(key); known {
		return ours
	}
	var thread []slackgo.Message
	err := patiently(ctx, func(ctx context.Context) (err error) {
		thread, _, _, err = b.api.GetConversationRepliesContext(ctx, &slackgo.GetConversationRepliesParameters{
			ChannelID: in.place.channel, Timestamp: in.place.thread, Limit: repliesRead})
		return err
	})
	var refused slackgo.SlackErrorResponse
	if err != nil && !errors.As(err, &refused) {
		b.log.Warn("slack: thread not read, its message left unanswered", "error", err)
		return false
	}
	ours := false
	for _, message := range thread {
		ours = ours || message.User == b.self.user || b.mentioned(message.Text)
	}
	b.threads.set(key, ours)
	return ours
}

// signHeard puts eyes on the post when the answer is not out within a second; best effort. The returned
// function ends it and waits for it.
func (b *bot) signHeard(ctx context.Context, in incoming) (stop func()) {
	if in.postTS == "" {
		return func() {}
	}
	ctx, cancel := context.WithCancel(ctx)
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		if sleep(ctx, heardAfter) != nil {
			return
		}
		err := b.api.AddReactionContext(ctx, heardEmoji, slackgo.NewRefToMessage(in.place.channel, in.postTS))
		if err != nil && ctx.Err() == nil {
			b.log.Debug("slack: no reaction set", "error", err)
		}
	}()
	return func() { cancel(); <-ended }
}
