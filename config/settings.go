// Package config holds the settings of a rodcall: one struct, filled from defaults, a file, the
// environment and flags, with every fault reported in one go. It opens nothing but the settings file and
// the secret files that it names, and knows no other room: what a setting means stands where it is used.
package config

import (
	"fmt"
	"log/slog"
	"net/url"
	"strings"
)

// FileName is the settings file that is looked for in the current folder when none is named.
const FileName = "rodcall.yaml"

// EnvPrefix starts the name of every environment variable that is read: RODCALL_STORE_PATH is store.path.
const EnvPrefix = "RODCALL"

// Settings are all settings of a rodcall; the tags are the keys of the file.
type Settings struct {
	Store    Store  `mapstructure:"store"`
	Units    string `mapstructure:"units"`    // metric | us | both: the units of replies, never of judgments
	Country  string `mapstructure:"country"`  // us | eu | uk | ca | au: whose authorities take over a stopped job
	Observer string `mapstructure:"observer"` // field | bench: how often a reported test is wrong
	// Tools is the equipment at hand, in the words of the test table; empty means the ordinary truck kit.
	Tools []string `mapstructure:"tools"`
	// Mix weighs the industry settings that the team works in; empty means the default mix. It is a list
	// because map keys would lose their case.
	Mix   []Share `mapstructure:"mix"`
	Words string  `mapstructure:"words"` // path of the team's own words, a CSV
	Stock string  `mapstructure:"stock"` // path of the team's stock list, a CSV
	Slack Slack   `mapstructure:"slack"`
	Log   Log     `mapstructure:"log"`

	// Warnings are remarks that do not stop the start, such as an unknown RODCALL_ variable.
	Warnings []string `mapstructure:"-"`
}

// Store says where the record is kept: a PostgreSQL database when URL is set, else the file at Path.
type Store struct {
	Path string    `mapstructure:"path"`
	URL  SecretURL `mapstructure:"url"`
}

// Share is the weight of one industry setting; weights need not sum to anything.
type Share struct {
	Setting string  `mapstructure:"setting"`
	Weight  float64 `mapstructure:"weight"`
}

// Slack are the settings of the Slack side; the tokens may stand in files of their own.
type Slack struct {
	BotToken     Secret `mapstructure:"bot_token"`
	BotTokenFile string `mapstructure:"bot_token_file"`
	AppToken     Secret `mapstructure:"app_token"`
	AppTokenFile string `mapstructure:"app_token_file"`
	Command      string `mapstructure:"command"` // the slash command, with its stroke
}

// Log says how much is written to standard error.
type Log struct {
	Level string `mapstructure:"level"` // debug | info | warn | error
}

// Secret is a text that is never printed: not by fmt, not in a log.
type Secret string

// Reveal is the text itself.
func (s Secret) Reveal() string { return string(s) }

// String tells only whether the secret is set.
func (s Secret) String() string {
	if s == "" {
		return ""
	}
	return "********"
}

// GoString keeps %#v from printing the secret.
func (s Secret) GoString() string { return s.String() }

// LogValue keeps a log from holding the secret.
func (s Secret) LogValue() slog.Value { return slog.StringValue(s.String()) }

// SecretURL is an address whose password is never printed.
type SecretURL string

// Reveal is the address itself.
func (u SecretURL) Reveal() string { return string(u) }

// String is the address with its password masked; an address that cannot be parsed is masked whole.
func (u SecretURL) String() string {
	if u == "" {
		return ""
	}
	parsed, err := url.Parse(string(u))
	if err != nil || parsed.Host == "" {
		return "********"
	}
	if query := parsed.Query(); query.Has("password") {
		query.Set("password", "xxxxx")
		parsed.RawQuery = query.Encode()
	}
	return parsed.Redacted()
}

// GoString keeps %#v from printing the password.
func (u SecretURL) GoString() string { return u.String() }

// LogValue keeps a log from holding the password.
func (u SecretURL) LogValue() slog.Value { return slog.StringValue(u.String()) }

// Slog is the log level as slog has it.
func (l Log) Slog() slog.Level {
	switch l.Level {
	case "debug":
		return slog.LevelDebug
	case "warn":
		return slog.LevelWarn
	case "error":
		return slog.LevelError
	}
	return slog.LevelInfo
}

// String prints every setting, a line a key in the order of the keys, secrets masked.
func (s Settings) String() string {
	var b strings.Builder
	for _, k := range Keys {
		fmt.Fprintf(&b, "%s: %s\n", k.Name, k.print(s))
	}
	return b.String()
}
