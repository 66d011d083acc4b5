package main

import (
	"fmt"
	"net/http"
	"time"

	"github.com/spf13/cobra"
)

// check asks a running service whether it is ready; containers use it as their health check.
func check() *cobra.Command {
	var url string
	cmd := &cobra.Command{Use: "check", Short: "Ask a running service whether it is ready", Args: cobra.NoArgs, RunE: func(cmd *cobra.Command, _ []string) error {
		client := http.Client{Timeout: 3 * time.Second}
		answer, err := client.Get(url + "/readyz")
		if err != nil {
			return err
		}
		defer answer.Body.Close()
		if answer.StatusCode != http.StatusOK {
			return fmt.Errorf("%s answers %s", url, answer.Status)
		}
		fmt.Fprintln(cmd.OutOrStdout(), "ready")
		return nil
	}}
	cmd.Flags().StringVar(&url, "url", "http://127.0.0.1:8080", "where the service is")
	return cmd
}
