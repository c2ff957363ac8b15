package fakeslack

import (
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func started(t *testing.T, options Options) *Server {
	s := New(options)
	t.Cleanup(s.Close)
	s.AddUser("U1ANA", "ana")
	s.AddChannel("C1YARD", true)
	s.AddChannel("C2OUT", false)
	return s
}

// call is a Web API call without any client; it returns the status and the error code, "" when ok.
func call(t *testing.T, s *Server, token, method string, form url.Values) (int, string) {
	request, err := http.NewRequest(http.MethodPost, s.APIURL+method, strings.NewReader(form.Encode()))
	require.NoError(t, err)
	request.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	if token != "" {
		request.Header.Set("Authorization", "Bearer "+token)
	}
	response, err := http.DefaultClient.Do(request)
	require.NoError(t, err)
	defer response.Body.Close()
	body, err := io.ReadAll(response.Body)
	require.NoError(t, err)
	var answer struct {
		OK    bool   `json:"ok"`
		Error string `json:"error"`
	}
	require.NoError(t, json.Unmarshal(body, &answer), string(body))
	require.Equal(t, answer.OK, answer.Error == "")
	return response.StatusCode, answer.Error
}

func TestRefusalsBearSlacksNames(t *testing.T) {
	s := started(t, Options{MissingScopes: []string{"reactions:write"}, PostBurst: 50})
	post := func(channel, text, blocks string) url.Values {
		return url.Values{"channel": {channel}, "text": {text}, "blocks": {blocks}}
	}
	section := `{"type":"section","text":{"type":"mrkdwn","text":"` + strings.Repeat("x", 3000) + `"}}`
	for _, c := range []struct {
		name, token, method string
		form                url.Values
		want                string
	}{
		{"no token", "", "auth.test", nil, "not_authed"},
		{"foreign token", "xoxb-other", "auth.test", nil, "invalid_auth"},
		{"app token", s.AppToken, "auth.test", nil, "not_allowed_token_type"},
		{"bot token", s.BotToken, "apps.connections.open", nil, "not_allowed_token_type"},
		{"unknown channel", s.BotToken, "chat.postMessage", post("C9", "x", ""), "channel_not_found"},
		{"foreign channel", s.BotToken, "chat.postMessage", post("C2OUT", "x", ""), "not_in_channel"},
		{"nothing said", s.BotToken, "chat.postMessage", post("C1YARD", "", ""), "no_text"},
		{"too long", s.BotToken, "chat.postMessage", post("C1YARD", strings.Repeat("x", 40_001), ""), "msg_too_long"},
		{"bad block", s.BotToken, "chat.postMessage", post("C1YARD", "x", `[{"type":"section"}]`), "invalid_blocks"},
		{"blocks too long", s.BotToken, "chat.postMessage", post("C1YARD", "x", "["+strings.Repeat(section+",", 4)+section+"]"), "msg_blocks_too_long"},
		{"no thread", s.BotToken, "chat.postMessage", url.Values{"channel": {"C1YARD"}, "text": {"x"}, "thread_ts": {"1.1"}}, "thread_not_found"},
		{"no message", s.BotToken, "chat.update", url.Values{"channel": {"C1YARD"}, "text": {"x"}, "ts": {"1.1"}}, "message_not_found"},
		{"no scope", s.BotToken, "reactions.add", url.Values{"channel": {"C1YARD"}}, "missing_scope"},
		{"no user", s.BotToken, "conversations.open", url.Values{"users": {"U9"}}, "user_not_found"},
		{"no method", s.BotToken, "views.nothing", nil, "unknown_method"},
		{"good", s.BotToken, "chat.postMessage", post("C1YARD", "x", "["+section+"]"), ""},
	} {
		_, got := call(t, s, c.token, c.method, c.form)
		require.Equal(t, c.want, got, c.name)
	}
}

func TestPostsFasterThanThePaceAreRefused(t *testing.T) {
	s := started(t, Options{PostBurst: 2, PostEvery: time.Hour})
	form := url.Values{"channel": {"C1YARD"}, "text": {"x"}}
	for range 2 {
		status, _ := call(t, s, s.BotToken, "chat.postMessage", form)
		require.Equal(t, http.StatusOK, status)
	}
	status, code := call(t, s, s.BotToken, "chat.postMessage", form)
	require.Equal(t, http.StatusTooManyRequests, status)
	require.Equal(t, "ratelimited", code)
	require.Equal(t, 1, s.TooFast())
}

func TestEachMessageHasItsOwnTime(t *testing.T) {
	s := started(t, Options{})
	seen := map[string]bool{}
	for range 1000 {
		ts := s.Post("U1ANA", "C1YARD", "", "x", 0)
		require.Regexp(t, `^\d+\.\d{6}$`, ts)
		require.False(t, seen[ts])
		seen[ts] = true
	}
}

func TestEffectsSeeWhatSlackWouldDo(t *testing.T) {
	for blocks, want := range map[string][]string{
		`[{"type":"section","text":{"type":"mrkdwn","text":"<!channel> *bold* :tada: https://x.example"}}]`:                          {"<!channel>", "*bold*", ":tada:", "https://x.example"},
		"[{\"type\":\"section\",\"text\":{\"type\":\"mrkdwn\",\"text\":\"```*not bold*``` &lt;!channel&gt;\"}}]":                     nil,
		`[{"type":"section","text":{"type":"plain_text","text":":tada: *x*","emoji":true}}]`:                                         {":tada:"},
		`[{"type":"rich_text","elements":[{"type":"rich_text_section","elements":[{"type":"text","text":"<!channel> *x*"}]}]}]`:      nil,
		`[{"type":"rich_text","elements":[{"type":"rich_text_section","elements":[{"type":"broadcast","range":"channel"}]}]}]`:       {"broadcast"},
		`[{"type":"actions","elements":[{"type":"button","text":{"type":"plain_text","text":":x:","emoji":true},"action_id":"a"}]}]`: {":x:"},
	} {
		require.Equal(t, want, Message{Blocks: json.RawMessage(blocks)}.Effects(), blocks)
	}
	require.Equal(t, []string{"<@U1>"}, Message{Text: "<@U1> &lt;!here&gt;"}.Effects())
}

// TestOfficialClientsAreContentWithTheFake runs Slack's own Node clients against the fake. .ci/slack_types.sh
// installs them and names the folder; without it the test says that it did not run.
func TestOfficialClientsAreContentWithTheFake(t *testing.T) {
	folder := os.Getenv("RODCALL_SLACK_NODE_DIR")
	if folder == "" {
		t.Skip("RODCALL_SLACK_NODE_DIR names no folder with Slack's Node clients; see .ci/slack_types.sh")
	}
	s := started(t, Options{PostEvery: time.Millisecond, RedeliverAt: []time.Duration{200 * time.Millisecond, 400 * time.Millisecond}, PingEvery: time.Second})
	s.Set(RateLimit, 1)
	node := exec.Command("node", "testdata/clients.mjs")
	node.Env = append(os.Environ(), "API_URL="+s.APIURL, "BOT_TOKEN="+s.BotToken, "APP_TOKEN="+s.AppToken)
	node.Stderr = os.Stderr
	out, err := node.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, node.Start())
	if s.Wait(20*time.Second, func() bool { return len(s.Messages("C1YARD")) == 4 }) { // "listening"
		s.Slash("U1ANA", "C1YARD", "/rodcall", "drum")
		s.Set(UnknownEvent, 1)
		s.Post("U1ANA", "C1YARD", "", "<@"+s.BotUser+"> drum", 0)
	}
	raw, err := io.ReadAll(out)
	require.NoError(t, err)
	require.NoError(t, node.Wait())
	var lines = strings.Split(strings.TrimSpace(string(raw)), "\n")
	var seen struct {
		User, Direct, Refusal string
		Thread, Events        []string
		Metadata              int
	}
	require.NoError(t, json.Unmarshal([]byte(lines[len(lines)-1]), &seen), string(raw))
	require.Equal(t, s.BotUser, seen.User)
	require.Equal(t, "D1ANA", seen.Direct)
	require.Equal(t, "invalid_blocks", seen.Refusal)
	require.Equal(t, []string{"hello", "changed"}, seen.Thread)
	require.Equal(t, 1, seen.Metadata)
	for _, want := range []string{"slash_commands /rodcall", "weld_inspected", "app_mention", "app_mention again"} {
		require.Contains(t, seen.Events, want)
	}
	require.Empty(t, s.Unacked(), "its acknowledgements were understood")
}
