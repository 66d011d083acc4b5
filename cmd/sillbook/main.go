// Command sillbook is the book of record for lead-safe renovation, in one binary.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"runtime/debug"
	"strings"
	"syscall"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	_ "time/tzdata" // deadlines are local to a property, wherever the service runs
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	root := &cobra.Command{Use: "sillbook", Short: "The book of record for lead-safe renovation, and its calculator",
		SilenceUsage: true, SilenceErrors: true, Version: version(), PersistentPreRunE: fromEnvironment}
	root.AddCommand(serve(), migrate(), key(), overlay(), check(), measure(), demonstrate())
	if err := root.ExecuteContext(ctx); err != nil {
		fmt.Fprintln(os.Stderr, "sillbook:", err)
		os.Exit(1)
	}
}

// fromEnvironment gives a flag that was not set the value of SILLBOOK_ and its name.
func fromEnvironment(cmd *cobra.Command, _ []string) (err error) {
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		name := "SILLBOOK_" + strings.ToUpper(strings.ReplaceAll(f.Name, "-", "_"))
		if value, set := os.LookupEnv(name); set && !f.Changed && err == nil {
			if err = cmd.Flags().Set(f.Name, value); err != nil {
				err = fmt.Errorf("%s: %w", name, err)
			}
		}
	})
	return err
}

// built is the commit that make built from; other builds have it from Go's own stamp.
var built string

// version is the commit the binary was built from, or the module's version.
func version() string {
	if built != "" {
		return built
	}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" {
			return s.Value
		}
	}
	return info.Main.Version
}
