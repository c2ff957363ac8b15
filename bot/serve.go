package main

import (
	"errors"

	"github.com/spf13/cobra"

	"rodcall/bot/slack"
)

func (p *program) serveCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "serve",
		Short: "Answer in Slack (Socket Mode)",
		Long: `serve answers mentions, direct messages and the slash command, each in its thread, until it is
interrupted. It needs slack.bot_token and slack.app_token, from the environment
(RODCALL_SLACK_BOT_TOKEN, RODCALL_SLACK_APP_TOKEN), from files, or from the settings file.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			ctx, stop := untilInterrupted(cmd)
			defer stop()
			settings, err := p.settings(cmd)
			if err != nil {
				return err
			}
			log := p.logger(settings)
			if settings.Slack.BotToken == "" || settings.Slack.AppToken == "" {
				return withStatus(exitUse, errors.New("serve needs slack.bot_token and slack.app_token; set RODCALL_SLACK_BOT_TOKEN and RODCALL_SLACK_APP_TOKEN"))
			}
			door, store, err := p.open(ctx, settings)
			if err != nil {
				return err
			}
			defer store.Close()
			err = slack.Run(ctx, slack.Settings{
				BotToken: settings.Slack.BotToken.Reveal(),
				AppToken: settings.Slack.AppToken.Reveal(),
				Command:  settings.Slack.Command,
			}, door, log)
			var final *slack.FinalError
			if errors.As(err, &final) {
				return withStatus(exitUse, err)
			}
			return statusOf(err)
		},
	}
}
