package main

import (
	"fmt"

	"github.com/spf13/cobra"
)

func (p *program) configCommand() *cobra.Command {
	var check bool
	cmd := &cobra.Command{
		Use:   "config",
		Short: "Print the settings that hold, secrets masked",
		Long: `config prints every setting as it holds after the file, the environment and the flags.
With --check it also builds the engine with them and asks the record, and prints "good": a
health check for containers. Exit status 2 means the settings, 3 the record.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			settings, err := p.settings(cmd)
			if err != nil {
				return err
			}
			for _, warning := range settings.Warnings {
				fmt.Fprintln(p.stderr, "rodcall:", warning)
			}
			if !check {
				_, err = fmt.Fprint(p.stdout, settings)
				return withStatus(exitFailed, err)
			}
			if err := p.checkAll(cmd.Context(), settings); err != nil {
				return err
			}
			_, err = fmt.Fprintln(p.stdout, "good")
			return withStatus(exitFailed, err)
		},
	}
	cmd.Flags().BoolVar(&check, "check", false, "check that everything can start; print nothing but \"good\"")
	return cmd
}
