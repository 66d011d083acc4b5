package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"sillbook/internal/app"
	"sillbook/internal/postgres"
)

// migrate brings a database to the newest schema. A private one is migrated by serve.
func migrate() *cobra.Command {
	var c app.Config
	cmd := &cobra.Command{Use: "migrate", Short: "Bring a database to the newest schema", Args: cobra.NoArgs, RunE: func(cmd *cobra.Command, _ []string) error {
		if c.DatabaseURL == "" {
			return errors.New("give --database-url; the private PostgreSQL is migrated when serve starts")
		}
		steps, err := postgres.Migrate(cmd.Context(), c.DatabaseURL)
		if err != nil {
			return err
		}
		fmt.Fprintf(cmd.OutOrStdout(), "The schema is current; %d steps were taken.\n", steps)
		return nil
	}}
	database(cmd, &c)
	return cmd
}
