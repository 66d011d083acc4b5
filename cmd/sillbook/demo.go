package main

import (
	"os/signal"
	"syscall"

	"github.com/spf13/cobra"

	"sillbook/internal/app/demo"
)

// demonstrate loads the invented scenario on a private PostgreSQL of its own and tells its story.
func demonstrate() *cobra.Command {
	var c demo.Config
	cmd := &cobra.Command{Use: "demo", Short: "Load an invented scenario, tell its story and stay up serving", Args: cobra.NoArgs, RunE: func(cmd *cobra.Command, _ []string) error {
		signal.Ignore(syscall.SIGPIPE) // a reader that leaves, such as head, must not keep the data from being removed
		c.Out, c.Trouble, c.Version = cmd.OutOrStdout(), cmd.ErrOrStderr(), version()
		if c.Once && c.Listen == "" {
			c.Listen = "127.0.0.1:0" // nobody calls it but the story
		} else if c.Listen == "" {
			c.Listen = "127.0.0.1:8080"
		}
		return demo.Run(cmd.Context(), c)
	}}
	cmd.Flags().BoolVar(&c.Once, "once", false, "end after the story")
	cmd.Flags().StringVar(&c.Listen, "listen", "", "address to listen on, host:port; none: 127.0.0.1:8080, or any free port with --once")
	return cmd
}
