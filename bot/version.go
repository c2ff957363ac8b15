package main

import (
	"fmt"
	"runtime/debug"

	"github.com/spf13/cobra"

	"rodcall/config"
)

// version is set when a release is built; else the revision of the sources stands in its place.
var version string

func (p *program) versionCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Print the version of the program, of the engine and of its data",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			e, err := newEngine(config.Settings{Country: "us", Observer: "field"})
			if err != nil {
				return err
			}
			_, err = fmt.Fprintf(p.stdout, "rodcall %s (%s)\n", programVersion(), e.Name())
			return withStatus(exitFailed, err)
		},
	}
}

func programVersion() string {
	if version != "" {
		return version
	}
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" {
				return s.Value[:min(12, len(s.Value))]
			}
		}
	}
	return "unversioned"
}
