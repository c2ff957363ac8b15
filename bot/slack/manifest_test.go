package slack

import (
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"go.yaml.in/yaml/v3"

	"rodcall/bot/conversation"
	"rodcall/bot/reply"
	"rodcall/bot/slack/fakeslack"
)

// manifest is what of the app manifest the code depends on.
type manifest struct {
	Features struct {
		AppHome struct {
			MessagesTab bool  `yaml:"messages_tab_enabled"`
			ReadOnly    *bool `yaml:"messages_tab_read_only_enabled"`
		} `yaml:"app_home"`
		BotUser       map[string]any `yaml:"bot_user"`
		SlashCommands []struct {
			Command      string `yaml:"command"`
			ShouldEscape bool   `yaml:"should_escape"`
			URL          string `yaml:"url"`
		} `yaml:"slash_commands"`
	} `yaml:"features"`
	OAuth struct {
		Scopes struct {
			Bot []string `yaml:"bot"`
		} `yaml:"scopes"`
	} `yaml:"oauth_config"`
	Settings struct {
		Events struct {
			Bot []string `yaml:"bot_events"`
		} `yaml:"event_subscriptions"`
		Interactivity struct {
			Enabled bool `yaml:"is_enabled"`
		} `yaml:"interactivity"`
		SocketMode bool `yaml:"socket_mode_enabled"`
	} `yaml:"settings"`
}

const manifestPath = "../../config/manifest.yaml"

// eventScopes are the scopes that an event subscription needs (Slack's reference of events).
var eventScopes = map[string]string{
	"app_mention": "app_mentions:read", "message.channels": "channels:history", "message.groups": "groups:history",
	"message.im": "im:history", "message.mpim": "mpim:history",
}

func TestManifestAsksForWhatTheCodeUsesAndNoMore(t *testing.T) {
	raw, err := os.ReadFile(manifestPath)
	require.NoError(t, err)
	var m manifest
	require.NoError(t, yaml.Unmarshal(raw, &m))

	require.Len(t, m.Features.SlashCommands, 1)
	require.Equal(t, DefaultCommand, m.Features.SlashCommands[0].Command)
	require.True(t, m.Features.SlashCommands[0].ShouldEscape, "people and channels must come as ids")
	require.True(t, m.Features.AppHome.MessagesTab, "or nobody can write to it directly")
	require.NotNil(t, m.Features.AppHome.ReadOnly)
	require.False(t, *m.Features.AppHome.ReadOnly)
	require.True(t, m.Settings.Interactivity.Enabled, "or buttons do nothing")
	require.True(t, m.Settings.SocketMode)
	require.ElementsMatch(t, []string{"app_mention", "message.channels", "message.groups", "message.im", "message.mpim"}, m.Settings.Events.Bot)

	needed := map[string]bool{"commands": true}
	for _, event := range m.Settings.Events.Bot {
		needed[eventScopes[event]] = true
	}
	for _, method := range methodsUsed(t) {
		for _, scope := range fakeslack.Scopes(method) {
			needed[scope] = true
		}
	}
	for _, scope := range m.OAuth.Scopes.Bot {
		require.True(t, needed[scope], "scope %s is used by nothing", scope)
		delete(needed, scope)
	}
	require.Empty(t, needed, "scopes that are missing")
}

// methodsUsed runs everything that the surface does and returns the Web API methods that it called.
func methodsUsed(t *testing.T) []string {
	release := make(chan struct{})
	door := &scripted{say: func(m conversation.Message) (reply.Reply, error) {
		if m.Text == "slow" {
			<-release
		}
		return reply.Reply{Lines: []string{"ok"}}, nil
	}}
	b := start(t, fastOptions(), door)
	b.Slash("U1ANA", "C2OUT", DefaultCommand, "drum")
	old := b.Post("U2BEN", "C1YARD", "", "old talk", 0)
	b.Post("U2BEN", "C1YARD", old, "more", 0)
	slow := b.Post("U1ANA", "C1YARD", "", b.mention("slow"), 0)
	require.True(t, b.Wait(soon, func() bool { return len(b.Reactions()) == 1 && len(b.Messages("D1ANA")) == 2 }))
	close(release)
	b.answers("C1YARD", slow, 1)
	var methods []string
	for _, call := range b.Calls("") {
		methods = append(methods, call.Method)
	}
	slices.Sort(methods)
	return slices.Compact(methods)
}

// sampleReplies are replies of every shape that the surface lays out; the longest ones are far over what a
// conversation says.
func sampleReplies() map[string]reply.Reply {
	long := make([]string, 130)
	for i := range long {
		long[i] = fmt.Sprintf("%3d wear gloves & keep clear <of> the cut", i)
	}
	return map[string]reply.Reply{
		"ordinary": {Case: 12, Lines: []string{
			"WELD. Likely medium-carbon steel, maybe", "chrome-moly: this does for both.", "Rod  EFe1 build-up, dry",
			"Heat 260 C (500 F) before and between", "Cool slow, wrapped in a blanket", "why - steps - rods - ask"},
			Actions: []reply.Action{{Label: "why", Say: "why"}, {Label: "rods", Say: "rods"}, {Label: "next test", Say: "next"}, {Label: "undo", Say: "undo"}, {Label: "help", Say: "help"}}},
		"question": {Case: 13, Lines: []string{"ONE QUESTION before I name a rod:", "does it run on a public road?", "", "  yard - I give the weld at once"},
			Actions: []reply.Action{{Label: "yard", Say: "yard"}, {Label: "road", Say: "road"}}},
		"hostile": {Lines: []string{"<!channel> *x* & ```", "\u202ereversed"}, Actions: []reply.Action{{Label: strings.Repeat("&", 90), Say: "<!here>"}}},
		"long":    {Case: 14, Lines: long, Actions: []reply.Action{{Label: "why", Say: "why"}}},
		"bare":    {Lines: []string{""}},
	}
}

// TestSamplesAreWrittenForTheTypeCheck posts every sample and the openings of threads through a bot and, where
// RODCALL_SLACK_RENDER_DIR names a folder, writes what went over the wire there, with the manifest, for
// .ci/slack_types.sh to check against Slack's own types.
func TestSamplesAreWrittenForTheTypeCheck(t *testing.T) {
	samples := sampleReplies()
	door := &scripted{say: func(m conversation.Message) (reply.Reply, error) {
		if r, ok := samples[m.Text]; ok {
			return r, nil
		}
		return reply.Reply{Lines: []string{"because of the magnet"}}, nil // to a press
	}}
	b := start(t, fastOptions(), door)
	written := 0
	for _, name := range slices.Sorted(maps.Keys(samples)) {
		ts := b.Post("U1ANA", "C1YARD", "", b.mention(name), 0)
		want := len(render(samples[name], nil))
		answers := b.answers("C1YARD", ts, want)
		if labels := answers[want-1].Buttons(); len(labels) > 0 {
			b.Press("U2BEN", "C1YARD", answers[want-1].TS, labels[0])
			b.answers("C1YARD", ts, want+1)
		}
	}
	b.Slash("U1ANA", "C1YARD", DefaultCommand, "ordinary")
	b.settle()
	for _, call := range b.Calls("chat.postMessage") {
		writeSample(t, fmt.Sprintf("message-%02d.json", written), wireArguments(t, call.Form))
		written++
	}
	require.Greater(t, written, len(samples))

	raw, err := os.ReadFile(manifestPath)
	require.NoError(t, err)
	var app map[string]any
	require.NoError(t, yaml.Unmarshal(raw, &app))
	writeSample(t, "manifest.json", app)
}

// wireArguments turns the form of a call back into the arguments that it stands for.
func wireArguments(t *testing.T, form map[string]string) map[string]any {
	arguments := map[string]any{}
	for key, value := range form {
		switch key {
		case "blocks", "metadata":
			var decoded any
			require.NoError(t, json.Unmarshal([]byte(value), &decoded))
			arguments[key] = decoded
		case "unfurl_links", "unfurl_media", "link_names":
			arguments[key] = value == "true"
		default:
			arguments[key] = value
		}
	}
	require.NotEmpty(t, arguments["text"], "the fallback is always there")
	return arguments
}

func writeSample(t *testing.T, name string, value any) {
	dir := os.Getenv("RODCALL_SLACK_RENDER_DIR")
	if dir == "" {
		return
	}
	raw, err := json.MarshalIndent(value, "", "  ")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, name), raw, 0o644))
}
