package slack

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"sync"
	"time"

	slackgo "github.com/slack-go/slack"
)

const (
	burst       = 3               // posts that one channel may take at once before the pace holds; Slack tolerates short bursts
	redialPause = 2 * time.Second // while Slack's host cannot be reached
	idleBuckets = 1000            // channels remembered before full buckets are dropped
)

// poster sends messages at Slack's pace: about one a second and channel, with a small burst, and nothing at
// all while Slack has asked to be left alone. The library's own retry is no scheduler: eight posts at once
// under a limit of one a second lose some of them, so the pace is kept here, before the call.
//
// A post is sent again only where it certainly did not arrive: Slack answered 429, or the connection was
// never made. After a cut connection or a 5xx the message may stand in the thread already, and sending it
// again would answer twice; that case is an error here. The durable outbox will look its own metadata up in
// the thread first; the metadata is attached already (ids only: other apps in the channel can read it).
type poster struct {
	api   *slackgo.Client
	every time.Duration
	log   *slog.Logger

	mu      sync.Mutex
	buckets map[string]time.Time // when the channel's burst will be whole again
	held    time.Time            // until when Slack wants no post of ours at all
}

func newPoster(api *slackgo.Client, every time.Duration, log *slog.Logger) *poster {
	return &poster{api: api, every: every, log: log, buckets: map[string]time.Time{}}
}

// post sends one page and returns its ts. thread is empty for a message of its own; id is the message that
// it answers and part which page of the answer, for the metadata.
func (p *poster) post(ctx context.Context, channel, thread string, pg page, id string, part int) (ts string, err error) {
	options := []slackgo.MsgOption{
		slackgo.MsgOptionText(pg.text, false), // escaped already
		slackgo.MsgOptionBlocks(pg.blocks...),
		slackgo.MsgOptionParse(false),
		slackgo.MsgOptionLinkNames(false),
		slackgo.MsgOptionDisableLinkUnfurl(),
		slackgo.MsgOptionDisableMediaUnfurl(),
		slackgo.MsgOptionMetadata(slackgo.SlackMetadata{
			EventType:    "rodcall_reply",
			EventPayload: map[string]any{"message": id, "part": part},
		}),
	}
	if thread != "" {
		options = append(options, slackgo.MsgOptionTS(thread))
	}
	for {
		if err := p.wait(ctx, channel); err != nil {
			return "", fmt.Errorf("waiting to post: %w", err)
		}
		ts, err = p.once(ctx, channel, options)
		if !p.again(ctx, err) {
			return ts, err
		}
	}
}

func (p *poster) once(ctx context.Context, channel string, options []slackgo.MsgOption) (string, error) {
	ctx, cancel := context.WithTimeout(ctx, apiTimeout)
	defer cancel()
	_, ts, err := p.api.PostMessageContext(ctx, channel, options...)
	return ts, err
}

// again reports whether the same post may be tried once more, after it has waited where it must.
func (p *poster) again(ctx context.Context, err error) bool {
	if err == nil || ctx.Err() != nil {
		return false
	}
	if pause := retryAfter(err); pause > 0 {
		p.log.Warn("slack: asked to slow down", "for", pause)
		p.hold(pause)
		return true
	}
	var dial *net.OpError
	if errors.As(err, &dial) && dial.Op == "dial" {
		p.log.Warn("slack: cannot be reached, trying again", "error", err)
		return sleep(ctx, redialPause) == nil
	}
	return false
}

// hold keeps every post back: the 429 counts for the method in the whole workspace.
func (p *poster) hold(pause time.Duration) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if until := time.Now().Add(pause); until.After(p.held) {
		p.held = until
	}
}

// wait returns when the channel may take a post, having taken that place.
func (p *poster) wait(ctx context.Context, channel string) error {
	for {
		pause := p.reserve(channel, time.Now())
		if pause <= 0 {
			return ctx.Err()
		}
		if err := sleep(ctx, pause); err != nil {
			return err
		}
	}
}

// reserve takes a place when there is one and returns zero, or how long to wait before asking again.
func (p *poster) reserve(channel string, now time.Time) time.Duration {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.held.After(now) {
		return p.held.Sub(now)
	}
	whole := p.buckets[channel]
	if whole.Before(now) {
		whole = now
	}
	if wait := whole.Sub(now) - (burst-1)*p.every; wait > 0 {
		return wait
	}
	p.buckets[channel] = whole.Add(p.every)
	p.tidy(now)
	return 0
}

func (p *poster) tidy(now time.Time) {
	if len(p.buckets) <= idleBuckets {
		return
	}
	for channel, whole := range p.buckets {
		if whole.Before(now) {
			delete(p.buckets, channel)
		}
	}
}

// patiently makes a reading call and repeats it as long as Slack asks only for patience.
func patiently(ctx context.Context, call func(context.Context) error) error {
	for {
		try, cancel := context.WithTimeout(ctx, apiTimeout)
		err := call(try)
		cancel()
		pause := retryAfter(err)
		if pause == 0 {
			return err
		}
		if err := sleep(ctx, pause); err != nil {
			return err
		}
	}
}
