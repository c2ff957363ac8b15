package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"github.com/spf13/cobra"

	"rodcall/bot/terminal"
)

// chat is the conversation on the terminal or over a pipe.
func (p *program) chat(cmd *cobra.Command, _ []string) error {
	ctx, stop := untilInterrupted(cmd)
	defer stop()
	settings, err := p.settings(cmd)
	if err != nil {
		return err
	}
	p.logger(settings)
	door, store, err := p.open(ctx, settings)
	if err != nil {
		return err
	}
	err = terminal.Run(ctx, p.stdin, p.stdout, door, terminal.Options{
		Session:     fmt.Sprintf("%s-%d", time.Now().UTC().Format("20060102T150405.000000"), os.Getpid()),
		Interactive: terminal.Interactive(p.stdin, p.stdout),
	})
	if errors.Is(err, context.Canceled) {
		err = nil // interrupted: what was received is stored, and answered at the next start
	}
	return errors.Join(statusOf(err), withStatus(exitStore, store.Close()))
}
