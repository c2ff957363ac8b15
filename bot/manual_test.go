package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/stretchr/testify/require"

	"rodcall/config"
)

// manuals are the pages whose ```console blocks are run: each "$ command" must print what stands below it.
var manuals = []string{"../README.md", "../DEVELOPERS.md"}

const (
	fence     = "```console\n"
	cut       = "…" // in a line: some of it is left out; alone on a line: some lines are
	nextStart = "$ "
)

// example is one command of a page and what the page says that it prints.
type example struct {
	command string
	want    string
}

// examples of one block share a folder, so that a later command finds the record of an earlier one.
func examples(block string) []example {
	var all []example
	for _, line := range strings.SplitAfter(block, "\n") {
		if command, ok := strings.CutPrefix(line, nextStart); ok {
			all = append(all, example{command: strings.TrimSuffix(command, "\n")})
		} else if len(all) > 0 {
			all[len(all)-1].want += line
		}
	}
	return all
}

// pattern matches what an example prints, its cuts matching anything.
func pattern(want string) *regexp.Regexp {
	var b strings.Builder
	b.WriteString(`\A`)
	for _, line := range strings.SplitAfter(want, "\n") {
		text := strings.TrimSuffix(line, "\n")
		switch {
		case line == "":
		case text == cut:
			b.WriteString(`(?s:.*\n)?`)
		default:
			parts := strings.Split(text, cut)
			for i, part := range parts {
				parts[i] = regexp.QuoteMeta(part)
			}
			b.WriteString(strings.Join(parts, ".*") + "\n")
		}
	}
	b.WriteString(`\z`)
	return regexp.MustCompile(b.String())
}

// runExample runs a command of the manual in a folder, with the program in the place of "go run ./bot".
func runExample(t *testing.T, folder, command string) string {
	t.Helper()
	command = strings.ReplaceAll(command, "go run ./bot", "rodcall")
	cmd := exec.Command("bash", "-c", "set -o pipefail; "+command)
	cmd.Dir = folder
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	cmd.Env = append(os.Environ(), "PATH="+programFolder(t)+":"+os.Getenv("PATH"), runVariable+"=1")
	err := cmd.Run()
	text := out.String()
	if err != nil && text == "" {
		require.NoError(t, err, command)
	}
	return text
}

// programFolder holds this test binary under the name rodcall.
func programFolder(t *testing.T) string {
	t.Helper()
	self, err := os.Executable()
	require.NoError(t, err)
	folder := t.TempDir()
	require.NoError(t, os.Symlink(self, filepath.Join(folder, "rodcall")))
	return folder
}

func TestExamplesOfTheManualPrintWhatItSays(t *testing.T) {
	count := 0
	for _, page := range manuals {
		text, err := os.ReadFile(page)
		require.NoError(t, err)
		rest, out := string(text), ""
		for {
			before, after, found := strings.Cut(rest, fence)
			out += before
			if !found {
				break
			}
			block, tail, closed := strings.Cut(after, "```")
			require.True(t, closed, "%s: a block is not closed", page)
			out += fence + runBlock(t, page, block) + "```"
			rest = tail
			count++
		}
		if *update {
			require.NoError(t, os.WriteFile(page, []byte(out), 0o644))
		}
	}
	require.GreaterOrEqual(t, count, 4, "the manual has its examples")
}

// runBlock compares a block with what it prints, and gives the block as it should stand: an example
// with cuts stays as it is while it matches.
func runBlock(t *testing.T, page, block string) string {
	t.Helper()
	folder := t.TempDir()
	now := ""
	for _, e := range examples(block) {
		got := runExample(t, folder, e.command)
		if pattern(e.want).MatchString(got) {
			now += nextStart + e.command + "\n" + e.want
			continue
		}
		now += nextStart + e.command + "\n" + got
		if !*update {
			t.Errorf("%s: %s\nthe page says:\n%s\nit prints:\n%s", page, e.command, e.want, got)
		}
	}
	return now
}

// Every example of the help runs; those of Slack need its tokens and have none.
func TestExamplesOfTheHelpRun(t *testing.T) {
	count := 0
	folder := t.TempDir()
	runExample(t, folder, "echo 'jaw liner off the crusher, no magnet' | rodcall")
	var walk func(cmd *cobra.Command)
	walk = func(cmd *cobra.Command) {
		for _, line := range strings.Split(cmd.Example, "\n") {
			if line = strings.TrimSpace(line); line == "" {
				continue
			}
			out := runExample(t, folder, line)
			require.NotContains(t, out, "rodcall: ", line)
			require.NotContains(t, out, `"error"`, line)
			count++
		}
		for _, sub := range cmd.Commands() {
			walk(sub)
		}
	}
	walk(newRoot(&program{}))
	require.GreaterOrEqual(t, count, 6)
}

func TestManualNamesEverySettingAndCommand(t *testing.T) {
	text, err := os.ReadFile("../README.md")
	require.NoError(t, err)
	for _, cmd := range newRoot(&program{}).Commands() {
		require.Contains(t, string(text), cmd.Name())
	}
	for _, k := range config.Keys {
		require.Contains(t, string(text), "`"+k.Name+"`")
	}
}
