package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime/debug"

	"github.com/spf13/cobra"

	"rodcall/engine"
	"rodcall/engine/observation"
)

// batchMemory is the memory from which the garbage collector works harder, so that lines of a mebibyte do
// not stretch a batch; ordinary lines need half of it.
const batchMemory = 60 << 20

// readAnswer is what read prints for one line.
type readAnswer struct {
	ID          json.RawMessage         `json:"id"`
	Observation observation.Observation `json:"observation"`
	Unread      []string                `json:"unread"`
	Spans       map[string]string       `json:"spans"`
	Guessed     []string                `json:"guessed,omitempty"` // spans read through a likely typing error
	Notes       []string                `json:"notes,omitempty"`   // what was wrong with words that are not read
}

func (p *program) readCommand() *cobra.Command {
	return p.batchCommand("read", "Read messages into observations, JSON Lines in and out",
		`read answers each line {"id","text"} with {"id","observation","unread","spans"}: the facts in the words
of the contract, what was not understood, and for each fact the words that it came from.`,
		"  echo '{\"id\":1,\"text\":\"jaw liner cracked, no magnet\"}' | rodcall read", readLine)
}

// readLine reads one line.
func readLine(e *engine.Engine) answer {
	return func(r request) (any, error) {
		if r.Text == nil {
			return nil, errors.New(`the line has no text; give {"id","text"}`)
		}
		reading := e.Read(*r.Text)
		out := readAnswer{ID: r.ID, Observation: reading.Observation, Unread: reading.Unread, Spans: reading.Spans, Guessed: reading.Guessed, Notes: reading.Notes}
		orEmpty(&out.Unread)
		if out.Spans == nil {
			out.Spans = map[string]string{}
		}
		return &out, nil
	}
}

// batchCommand is a command that answers JSON Lines from standard input or from one file.
func (p *program) batchCommand(name, short, long, example string, lines func(*engine.Engine) answer) *cobra.Command {
	return &cobra.Command{
		Use:     name + " [FILE]",
		Short:   short,
		Long:    long + "\n\nA bad line is answered with {\"id\",\"error\"} and the run goes on; the exit status is then 1.",
		Example: example,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 1 {
				return fmt.Errorf("%s takes at most one file, not %d", name, len(args))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			in := p.stdin
			if len(args) == 1 && args[0] != "-" {
				file, err := openLines(args[0])
				if err != nil {
					return withStatus(exitUse, err)
				}
				defer file.Close()
				in = file
			}
			return p.runBatch(cmd, in, lines)
		},
	}
}

func (p *program) runBatch(cmd *cobra.Command, in io.Reader, lines func(*engine.Engine) answer) error {
	settings, err := p.batchSettings(cmd)
	if err != nil {
		return err
	}
	p.logger(settings)
	e, err := newEngine(settings)
	if err != nil {
		return err
	}
	debug.SetMemoryLimit(batchMemory)
	failed, err := batch(in, p.stdout, lines(e))
	if err == nil && failed {
		err = errFailedLines
	}
	return withStatus(exitFailed, err)
}

func openLines(path string) (*os.File, error) {
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: there is no such file", path)
	}
	if err == nil && info.IsDir() {
		return nil, fmt.Errorf("%s: is a folder, not a file of lines", path)
	}
	if err != nil {
		return nil, err
	}
	return os.Open(path)
}
