package config

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Key describes one setting; it is the only place where its default, its words and its help stand.
type Key struct {
	Name    string   // as in the file
	Default any      // what holds when nobody sets it
	Words   []string // the words it takes; nil means open
	Flag    bool     // settable by a flag, with dots and underscores as strokes
	Help    string
	print   func(Settings) string
}

// Keys are all settings, sorted by name.
var Keys = []Key{
	{Name: "country", Default: "us", Words: []string{"us", "eu", "uk", "ca", "au"}, Flag: true,
		Help:  "whose authorities take over a job that is stopped",
		print: func(s Settings) string { return s.Country }},
	{Name: "log.level", Default: "info", Words: []string{"debug", "info", "warn", "error"}, Flag: true,
		Help:  "how much is written to standard error",
		print: func(s Settings) string { return s.Log.Level }},
	{Name: "mix", Default: []Share{},
		Help:  "industry settings that the team works in, with weights; empty means the default mix",
		print: func(s Settings) string { return printMix(s.Mix) }},
	{Name: "observer", Default: "field", Words: []string{"field", "bench"}, Flag: true,
		Help:  "where the tests are made: field errs more often than bench",
		print: func(s Settings) string { return s.Observer }},
	{Name: "slack.app_token", Default: "",
		Help:  "app-level token for Socket Mode (xapp-…)",
		print: func(s Settings) string { return s.Slack.AppToken.String() }},
	{Name: "slack.app_token_file", Default: "",
		Help:  "file that holds the app-level token",
		print: func(s Settings) string { return s.Slack.AppTokenFile }},
	{Name: "slack.bot_token", Default: "",
		Help:  "bot token (xoxb-…)",
		print: func(s Settings) string { return s.Slack.BotToken.String() }},
	{Name: "slack.bot_token_file", Default: "",
		Help:  "file that holds the bot token",
		print: func(s Settings) string { return s.Slack.BotTokenFile }},
	{Name: "slack.command", Default: "/rodcall",
		Help:  "the slash command, as in the app manifest",
		print: func(s Settings) string { return s.Slack.Command }},
	{Name: "stock", Default: "",
		Help:  "the team's stock list, a CSV file: item, class, size, pack, price, what is in the truck",
		print: func(s Settings) string { return s.Stock }},
	{Name: "store.path", Default: "rodcall.db", Flag: true,
		Help:  "file that keeps the record (SQLite, on a local disk)",
		print: func(s Settings) string { return s.Store.Path }},
	{Name: "store.url", Default: "", Flag: true,
		Help:  "PostgreSQL database that keeps the record instead of a file",
		print: func(s Settings) string { return s.Store.URL.String() }},
	{Name: "tools", Default: []string{},
		Help:  "test equipment at hand; empty means the ordinary truck kit",
		print: func(s Settings) string { return "[" + strings.Join(s.Tools, ", ") + "]" }},
	{Name: "units", Default: "both", Words: []string{"metric", "us", "both"}, Flag: true,
		Help:  "units of replies; judgments are always metric",
		print: func(s Settings) string { return s.Units }},
	{Name: "words", Default: "",
		Help:  "the team's own words, a CSV file: word, kind, means",
		print: func(s Settings) string { return s.Words }},
}

// FlagName is the flag of a key: store.path is set by --store-path.
func (k Key) FlagName() string {
	return strings.NewReplacer(".", "-", "_", "-").Replace(k.Name)
}

// EnvName is the environment variable of a key: store.path is set by RODCALL_STORE_PATH.
func (k Key) EnvName() string {
	return EnvPrefix + "_" + strings.ToUpper(strings.ReplaceAll(k.Name, ".", "_"))
}

func printMix(mix []Share) string {
	parts := make([]string, len(mix))
	for i, share := range mix {
		parts[i] = share.Setting + ":" + strconv.FormatFloat(share.Weight, 'g', -1, 64)
	}
	return "[" + strings.Join(parts, ", ") + "]"
}

// nearest names the known word that is the fewest letter changes away, as a question to append to an
// error; it is empty when none is near.
func nearest(word string, known []string) string {
	best, bestAt := "", 1+max(2, len(word)/3)
	for _, candidate := range known {
		if d := distance(strings.ToLower(word), strings.ToLower(candidate)); d < bestAt {
			best, bestAt = candidate, d
		}
	}
	if best == "" {
		// A key told without its section, or the section in the wrong place.
		last := word[strings.LastIndex(word, ".")+1:]
		at := slices.IndexFunc(known, func(k string) bool { return strings.HasSuffix(k, "."+last) || k == last })
		if last == "" || at < 0 {
			return ""
		}
		best = known[at]
	}
	return fmt.Sprintf("; did you mean %s?", best)
}

// distance is the number of letters to add, drop or change, a swap of neighbours counting once.
func distance(a, b string) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			change := 1
			if a[i-1] == b[j-1] {
				change = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(a)][len(b)]
}
