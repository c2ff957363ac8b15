// Package slack is the Slack surface: Socket Mode events in, Block Kit out, over the same conversation
// that the terminal uses. It translates and keeps order; it knows no metal and decides nothing.
//
// The way of a message: socket.go takes the envelope and acknowledges it, receive.go turns it into a
// conversation.Message, queue.go keeps one line per thread, answer.go asks the door, blocks.go lays the
// reply out and posting.go sends it at the pace that Slack allows.
//
// Figures about Slack (limits, tiers, retry times) come from its own documentation and from the types of
// its npm packages; where one is undocumented the comment says so.
package slack

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"strings"
	"sync/atomic"
	"time"

	slackgo "github.com/slack-go/slack"

	"rodcall/bot/conversation"
	"rodcall/bot/reply"
)

// Door is where a message goes and a reply comes from. A Reply without lines is silence: nothing is posted.
// A message without text (a bare mention, a photo alone) reaches the door as it is.
type Door interface {
	Handle(ctx context.Context, m conversation.Message) (reply.Reply, error)
}

// Settings is what the surface needs to run.
type Settings struct {
	BotToken string // xoxb-…, what the bot posts with
	AppToken string // xapp-… with connections:write, what opens the socket
	Command  string // the slash command with its slash; empty means /rodcall
	APIURL   string // other than Slack's own Web API, for tests; ends in a slash

	PostEvery time.Duration // pace of posts to one channel once the burst is used; zero means one second
	Grace     time.Duration // how long messages already accepted may finish after ctx ends; zero means ten seconds
}

// FinalError is an answer of Slack that no waiting mends: a revoked token, a missing scope.
type FinalError struct {
	Code   string // Slack's own name of the error
	Needed string // the scope that is missing, when Slack says so
	Doing  string // what was tried
}

func (e *FinalError) Error() string {
	text := fmt.Sprintf("slack: %s: %s", e.Doing, e.Code)
	if e.Needed != "" {
		text += " (needed scope: " + e.Needed + ")"
	}
	return text + ": " + remedy(e.Code)
}

// remedy is what to do about a final error.
func remedy(code string) string {
	switch code {
	case "missing_scope", "no_permission":
		return "compare the scopes of the app with the manifest in config/, then install it again"
	case "not_allowed_token_type":
		return "the two tokens are exchanged; slack.bot_token starts with xoxb-, slack.app_token with xapp-"
	default:
		return "make a new token in the app's settings and put it into slack.bot_token or slack.app_token"
	}
}

// bot is one running surface.
type bot struct {
	settings Settings
	api      *slackgo.Client
	door     Door
	log      *slog.Logger
	self     identity
	poster   *poster
	queue    *queue
	accepted *seen    // deliveries: event ids, triggers, presses
	answered *seen    // posts of people: one post arrives as app_mention and as message
	threads  *threads // which threads the bot takes part in
	final    chan error
	badFrame atomic.Int64 // deliveries that could not be parsed, acknowledged all the same
}

// identity is who the bot is in its workspace.
type identity struct{ team, user, bot string }

// DefaultCommand is the slash command of the app manifest.
const DefaultCommand = "/rodcall"

const (
	apiTimeout   = 30 * time.Second
	defaultGrace = 10 * time.Second
	defaultPace  = time.Second
)

// Run serves Slack until ctx ends (nil) or Slack refuses the app for good (*FinalError). Trouble of the
// network is waited out. It checks both tokens first, because Socket Mode itself would retry a missing
// scope for ever without a word.
func Run(ctx context.Context, settings Settings, door Door, log *slog.Logger) error {
	settings, err := settings.checked()
	if err != nil {
		return err
	}
	b := newBot(settings, door, log)
	if err := b.checkTokens(ctx); err != nil {
		if ctx.Err() != nil {
			return nil
		}
		return err
	}
	work, stopWork := context.WithCancel(context.WithoutCancel(ctx))
	defer stopWork()
	b.queue = newQueue(work, maxWaiting, maxAtOnce)
	defer b.finish(stopWork)

	err = b.listen(ctx)
	if ctx.Err() != nil {
		return nil
	}
	return err
}

// finish lets the accepted messages be answered for the time of grace, then cuts them off.
func (b *bot) finish(stopWork context.CancelFunc) {
	timer := time.AfterFunc(b.settings.Grace, func() {
		b.log.Warn("slack: stopped with messages still waiting", "waiting", b.queue.length())
		stopWork()
	})
	b.queue.close()
	timer.Stop()
}

func (s Settings) checked() (Settings, error) {
	var faults []error
	if !strings.HasPrefix(s.BotToken, "xoxb-") {
		faults = append(faults, errors.New("slack.bot_token: must start with xoxb- (app settings, Install App)"))
	}
	if !strings.HasPrefix(s.AppToken, "xapp-") {
		faults = append(faults, errors.New("slack.app_token: must start with xapp- and have connections:write (app settings, Basic Information)"))
	}
	if s.Command == "" {
		s.Command = DefaultCommand
	}
	if !strings.HasPrefix(s.Command, "/") {
		faults = append(faults, fmt.Errorf("slack.command: %q must start with a slash, as in /rodcall", s.Command))
	}
	if s.PostEvery == 0 {
		s.PostEvery = defaultPace
	}
	if s.Grace == 0 {
		s.Grace = defaultGrace
	}
	return s, errors.Join(faults...)
}

func newBot(settings Settings, door Door, log *slog.Logger) *bot {
	options := []slackgo.Option{
		slackgo.OptionAppLevelToken(settings.AppToken),
		slackgo.OptionHTTPClient(&http.Client{Timeout: apiTimeout}),
	}
	if settings.APIURL != "" {
		options = append(options, slackgo.OptionAPIURL(settings.APIURL))
	}
	api := slackgo.New(settings.BotToken, options...)
	return &bot{
		settings: settings,
		api:      api,
		door:     door,
		log:      log,
		poster:   newPoster(api, settings.PostEvery, log),
		accepted: newSeen(maxRemembered, rememberFor),
		answered: newSeen(maxRemembered, rememberFor),
		threads:  newThreads(maxThreads),
		final:    make(chan error, 1),
	}
}

// checkTokens asks Slack who we are and whether a socket may be opened, until both are answered.
func (b *bot) checkTokens(ctx context.Context) error {
	err := b.untilAnswered(ctx, "checking slack.bot_token", func(ctx context.Context) error {
		who, err := b.api.AuthTestContext(ctx)
		if err == nil {
			b.self = identity{team: who.TeamID, user: who.UserID, bot: who.BotID}
		}
		return err
	})
	if err != nil {
		return err
	}
	err = b.untilAnswered(ctx, "checking slack.app_token", func(ctx context.Context) error {
		_, _, err := b.api.StartSocketModeContext(ctx)
		return err
	})
	if err == nil {
		b.log.Info("slack: tokens good", "team", b.self.team, "user", b.self.user)
	}
	return err
}

// untilAnswered repeats a call through network trouble, overload and 5xx; any other answer of Slack at
// start-up is a wrong setting and final.
func (b *bot) untilAnswered(ctx context.Context, doing string, call func(context.Context) error) error {
	wait := time.Second
	for {
		try, cancel := context.WithTimeout(ctx, apiTimeout)
		err := call(try)
		cancel()
		if err == nil {
			return nil
		}
		var refused slackgo.SlackErrorResponse
		if errors.As(err, &refused) && !passing(refused.Err) {
			return &FinalError{Code: refused.Err, Needed: refused.Needed, Doing: doing}
		}
		pause := max(wait, retryAfter(err))
		b.log.Warn("slack: no answer yet", "doing", doing, "error", err, "again_in", pause)
		if err := sleep(ctx, pause); err != nil {
			return err
		}
		wait = min(2*wait, time.Minute)
	}
}

// passing tells the errors of Slack's own machinery, which go away, from faults of the app.
func passing(code string) bool {
	switch code {
	case "internal_error", "fatal_error", "service_unavailable", "request_timeout", "ratelimited", "rate_limited":
		return true
	default:
		return false
	}
}

// finalError returns a *FinalError when err says that this token or app will not be served again. Errors
// about one channel or one message are not final.
func finalError(err error, doing string) error {
	var refused slackgo.SlackErrorResponse
	if !errors.As(err, &refused) {
		return nil
	}
	switch refused.Err {
	case "invalid_auth", "not_authed", "account_inactive", "token_revoked", "token_expired", "missing_scope",
		"not_allowed_token_type", "no_permission", "org_login_required", "team_access_not_granted":
		return &FinalError{Code: refused.Err, Needed: refused.Needed, Doing: doing}
	default:
		return nil
	}
}

// retryAfter is how long Slack asks to be left alone, zero when it does not.
func retryAfter(err error) time.Duration {
	var limited *slackgo.RateLimitedError
	if errors.As(err, &limited) {
		return limited.RetryAfter
	}
	return 0
}

// sleep waits, or returns the context's error as soon as that ends.
func sleep(ctx context.Context, d time.Duration) error {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-timer.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}
