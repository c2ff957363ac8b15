package slack

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	stdlog "log"
	"time"

	slackgo "github.com/slack-go/slack"
	"github.com/slack-go/slack/socketmode"
)

const (
	ackTimeout  = 2 * time.Second // Slack sends again after three
	maxFrame    = 4 << 20         // bytes of one delivery; a message of 40,000 characters with its blocks stays far below
	reopenPause = time.Second
)

// listen keeps a socket open until ctx ends or Slack refuses the app for good.
func (b *bot) listen(ctx context.Context) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	client := socketmode.New(b.api,
		socketmode.OptionReadLimit(maxFrame),
		socketmode.OptionLog(stdlog.New(io.Discard, "", 0))) // its debug lines hold what people wrote; ours do not
	ended := make(chan error, 1)
	go func() { ended <- b.keepOpen(ctx, client) }()
	for {
		select {
		case event := <-client.Events:
			b.take(ctx, client, event)
		case err := <-b.final:
			stop()
			<-ended
			b.log.Error("slack: refused for good, stopping", "error", err)
			return err
		case err := <-ended:
			return err
		}
	}
}

// keepOpen runs the socket. The library reconnects by itself after a disconnect; it returns on final
// errors, and also when a connection is torn down while it is being cancelled inside.
func (b *bot) keepOpen(ctx context.Context, client *socketmode.Client) error {
	for {
		err := client.RunContext(ctx)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if final := finalError(err, "opening the socket"); final != nil {
			return final
		}
		var status slackgo.StatusCodeError
		if errors.As(err, &status) && status.Code == 404 {
			return &FinalError{Code: status.Status, Doing: "opening the socket"}
		}
		b.log.Warn("slack: socket ended, opening again", "error", err)
		if err := sleep(ctx, reopenPause); err != nil {
			return err
		}
	}
}

// take handles one event of the socket. It never waits for work: only for the acknowledgement to be handed over.
func (b *bot) take(ctx context.Context, client *socketmode.Client, event socketmode.Event) {
	switch event.Type {
	case socketmode.EventTypeEventsAPI, socketmode.EventTypeSlashCommand, socketmode.EventTypeInteractive:
		if b.accept(string(event.Type), event.Request.Payload) {
			b.acknowledge(ctx, client, event.Request.EnvelopeID)
		}
	case socketmode.EventTypeErrorBadMessage:
		b.takeUnparsed(ctx, client, event)
	case socketmode.EventTypeConnectionError:
		b.connectionError(event)
	case socketmode.EventTypeErrorWriteFailed:
		b.log.Warn("slack: an acknowledgement could not be sent; slack will deliver again")
	case socketmode.EventTypeHello:
		b.log.Info("slack: socket open")
	}
}

// takeUnparsed handles what the library could not parse: an event type younger than it, or a message with
// a block that it finds malformed. It sends no acknowledgement for these, so Slack would deliver them three
// more times; the envelope's id is still in the raw text. Our own reading of the payload needs far less of
// it, so a message inside is answered all the same.
func (b *bot) takeUnparsed(ctx context.Context, client *socketmode.Client, event socketmode.Event) {
	bad, ok := event.Data.(*socketmode.ErrorBadMessage)
	if !ok {
		return
	}
	var envelope struct {
		Type       string          `json:"type"`
		EnvelopeID string          `json:"envelope_id"`
		Payload    json.RawMessage `json:"payload"`
	}
	if err := json.Unmarshal(bad.Message, &envelope); err != nil || envelope.EnvelopeID == "" {
		b.log.Warn("slack: a frame that is no envelope", "error", bad.Cause)
		return
	}
	b.log.Warn("slack: delivery not known to the library", "count", b.badFrame.Add(1), "type", envelope.Type, "error", bad.Cause)
	if b.accept(envelope.Type, envelope.Payload) {
		b.acknowledge(ctx, client, envelope.EnvelopeID)
	}
}

func (b *bot) acknowledge(ctx context.Context, client *socketmode.Client, envelopeID string) {
	ctx, cancel := context.WithTimeout(ctx, ackTimeout)
	defer cancel()
	if err := client.AckCtx(ctx, envelopeID, nil); err != nil {
		b.log.Warn("slack: not acknowledged; slack will deliver again", "error", err)
	}
}

// connectionError stops what the library would retry for ever.
func (b *bot) connectionError(event socketmode.Event) {
	failed, ok := event.Data.(*slackgo.ConnectionErrorEvent)
	if !ok {
		return
	}
	if final := finalError(failed.ErrorObj, "opening the socket"); final != nil {
		b.stopFor(final)
		return
	}
	b.log.Warn("slack: no connection", "attempt", failed.Attempt, "error", failed.ErrorObj, "again_in", failed.Backoff)
}

// stopFor ends Run with a final error; the first one counts.
func (b *bot) stopFor(final error) {
	select {
	case b.final <- final:
	default:
	}
}
