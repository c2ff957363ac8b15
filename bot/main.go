// Command rodcall answers field messages about broken metal parts: what the metal can be, which cheap
// test to do next, what to weld it with and how, and what can hurt the welder. Without a command it holds
// a conversation on the terminal; its commands are the machine interface, the search and the Slack side.
//
// This package is wiring only: it opens what the rooms need, hands it over, and turns the kind of an
// error into an exit status.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/signal"
	"syscall"

	"github.com/spf13/cobra"

	"rodcall/bot/record"
	"rodcall/config"
)

// The exit status of the binary.
const (
	exitGood   = 0
	exitFailed = 1 // some line failed, or the run broke off
	exitUse    = 2 // wrong use, or wrong settings
	exitStore  = 3 // the record cannot be opened, read or written
)

// errFailedLines says that a batch ran to its end and some of its answers are error lines.
var errFailedLines = errors.New("some lines failed; each has an answer with its error")

// statusError is an error with the exit status that it leads to.
type statusError struct {
	status int
	err    error
}

func (e statusError) Error() string { return e.err.Error() }
func (e statusError) Unwrap() error { return e.err }

// withStatus marks an error with an exit status; nil stays nil, and the innermost mark holds.
func withStatus(status int, err error) error {
	var marked statusError
	if err == nil || errors.As(err, &marked) {
		return err
	}
	return statusError{status, err}
}

// statusOf marks an error of a conversation: the record's, or that of the lines it came and went by.
func statusOf(err error) error {
	var fault *record.Fault
	if errors.As(err, &fault) {
		return withStatus(exitStore, err)
	}
	return withStatus(exitFailed, err)
}

func main() {
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// run is the whole program; what it gives is the exit status.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	root := newRoot(&program{stdin: stdin, stdout: stdout, stderr: stderr})
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	err := root.ExecuteContext(context.Background())
	if err == nil {
		return exitGood
	}
	fmt.Fprintf(stderr, "rodcall: %v\n", err)
	var marked statusError
	if errors.As(err, &marked) {
		return marked.status
	}
	return exitUse // every fault past the reading of the command line is marked
}

// untilInterrupted is a context that ends with an interrupt, so that what is being answered can be finished
// or left for the next start. A batch does without: there an interrupt simply ends the program.
func untilInterrupted(cmd *cobra.Command) (context.Context, context.CancelFunc) {
	return signal.NotifyContext(cmd.Context(), os.Interrupt, syscall.SIGTERM)
}

// program is what the commands share.
type program struct {
	stdin          io.Reader
	stdout, stderr io.Writer
	configPath     string // --config; "" when it was not given
}

func newRoot(p *program) *cobra.Command {
	root := &cobra.Command{
		Use:   "rodcall",
		Short: "What metal is it, what to weld it with, and what can hurt you",
		Long: `rodcall takes the words of a welder beside a broken part and answers with what the metal
probably is, the next cheap test, the rod, the heat and the hazards.

Without a command it talks: type what you see, or pipe it in; an empty line or "new" ends a case.`,
		Example:       "  rodcall\n  echo 'jaw liner cracked, no magnet, file skates' | rodcall",
		Args:          noStrayWords,
		SilenceErrors: true,
		SilenceUsage:  true,
		RunE:          p.chat,
	}
	root.SuggestionsMinimumDistance = 2
	root.CompletionOptions.DisableDefaultCmd = true
	root.PersistentFlags().StringVar(&p.configPath, "config", "",
		"settings file (default ./"+config.FileName+" when there is one; read, judge and compute read none unless it is named)")
	config.AddFlags(root.PersistentFlags())
	root.AddCommand(p.readCommand(), p.judgeCommand(), p.computeCommand(), p.quantityCommand(), p.findCommand(), p.serveCommand(), p.configCommand(), p.versionCommand())
	return root
}

// noStrayWords refuses words that are no command, and says what was probably meant.
func noStrayWords(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	hint := "a message is typed after the start or piped in"
	if near := cmd.SuggestionsFor(args[0]); len(near) > 0 {
		hint = "did you mean " + near[0] + "?"
	}
	return fmt.Errorf("there is no command %q; %s (see rodcall --help)", args[0], hint)
}

// logger writes to standard error, so that answers and log never mix.
func (p *program) logger(settings config.Settings) *slog.Logger {
	log := slog.New(slog.NewTextHandler(p.stderr, &slog.HandlerOptions{Level: settings.Log.Slog()}))
	for _, warning := range settings.Warnings {
		log.Warn(warning)
	}
	return log
}
