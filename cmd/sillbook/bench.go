package main

import (
	"os"
	"time"

	"github.com/spf13/cobra"

	"sillbook/internal/app/bench"
)

// measure runs the benchmarks on a private PostgreSQL of their own.
func measure() *cobra.Command {
	var c bench.Config
	cmd := &cobra.Command{Use: "bench", Short: "Measure the service on this machine and print the table", Args: cobra.NoArgs, RunE: func(cmd *cobra.Command, _ []string) error {
		c.Out, c.Progress, c.Version = os.Stdout, os.Stderr, version()
		return bench.Run(cmd.Context(), c)
	}}
	flags := cmd.Flags()
	flags.Uint64Var(&c.Seed, "seed", 1, "the data are made from it")
	flags.IntVar(&c.Units, "units", 3000, "units to read")
	flags.IntVar(&c.Clients, "clients", 8, "connections of the load generator")
	flags.IntVar(&c.Connections, "connections", 8, "connections to the database, for the service and its baseline alike")
	flags.IntVar(&c.Rounds, "rounds", 15, "rounds of each, interleaved")
	flags.DurationVar(&c.Length, "length", time.Second, "length of one round")
	flags.StringVar(&c.Profile, "profile", "", "directory to write CPU and allocation profiles to; none: no profiles")
	return cmd
}
