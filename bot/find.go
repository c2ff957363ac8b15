package main

import (
	"encoding/json"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"rodcall/bot/record"
)

// titleColumns is how much of the first message stands in a line of the list.
const titleColumns = 60

func (p *program) findCommand() *cobra.Command {
	var asJSON bool
	var limit int
	cmd := &cobra.Command{
		Use:   "find WORDS…",
		Short: "Search the record; the best case first",
		Long: `find lists the cases that hold all the words, in what was said or in what the part was called;
when no case holds all of them, those that hold some. Longer forms of a word are found too.`,
		Example: "  rodcall find jaw liner\n  rodcall find gray-iron pump --json",
		Args:    cobra.MinimumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if limit < 1 {
				return withStatus(exitUse, fmt.Errorf("--limit is %d; at least 1 case must be listed", limit))
			}
			settings, err := p.settings(cmd)
			if err != nil {
				return err
			}
			p.logger(settings)
			store, err := openExistingRecord(cmd.Context(), settings)
			if err != nil {
				return err
			}
			defer store.Close()
			found, err := store.Find(cmd.Context(), strings.Join(args, " "), limit)
			if err != nil {
				return statusOf(err)
			}
			return withStatus(exitFailed, p.printFound(found, asJSON))
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "one JSON object a line")
	cmd.Flags().IntVar(&limit, "limit", 20, "how many cases at most")
	return cmd
}

func (p *program) printFound(found []record.Found, asJSON bool) error {
	if asJSON {
		encoder := json.NewEncoder(p.stdout)
		encoder.SetEscapeHTML(false)
		for _, f := range found {
			if err := encoder.Encode(f); err != nil {
				return err
			}
		}
		return nil
	}
	if len(found) == 0 {
		_, err := fmt.Fprintln(p.stdout, "no case holds these words")
		return err
	}
	for _, f := range found {
		if _, err := fmt.Fprint(p.stdout, foundText(f)); err != nil {
			return err
		}
	}
	return nil
}

// foundText is a case in two lines and one more for each further part.
func foundText(f record.Found) string {
	var b strings.Builder
	title := []rune(strings.Join(strings.Fields(f.Title), " "))
	if len(title) > titleColumns {
		title = append(title[:titleColumns-1], '…')
	}
	fmt.Fprintf(&b, "case %d, %s: %s\n", f.Case, f.Opened.Format("2006-01-02"), string(title))
	for _, part := range f.Parts {
		fmt.Fprintf(&b, "  %d %s", part.Part, orElse(part.Name, "part not named"))
		if part.Family != "" {
			fmt.Fprintf(&b, ": %s %.0f %%, %s", part.Family, 100*part.P, part.Decision)
		}
		if part.Rods != "" {
			fmt.Fprintf(&b, ", %s", part.Rods)
		}
		b.WriteString("\n")
	}
	return b.String()
}

func orElse(text, empty string) string {
	if text == "" {
		return empty
	}
	return text
}
