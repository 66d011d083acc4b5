package main

import (
	"fmt"
	"log/slog"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"sillbook/internal/app"
)

// serve answers the contract until it is told to stop.
func serve() *cobra.Command {
	var c app.Config
	var level string
	var size int64
	cmd := &cobra.Command{Use: "serve", Short: "Serve the API", Args: cobra.NoArgs, RunE: func(cmd *cobra.Command, _ []string) error {
		if err := c.LogLevel.UnmarshalText([]byte(level)); err != nil {
			return fmt.Errorf("--log-level: %q is not debug, info, warn or error", level)
		}
		if size < 1 || size > 1000 {
			return fmt.Errorf("--attachment-size: %d is not from 1 to 1000 megabytes", size)
		}
		c.AttachmentSize = size * 1_000_000
		c.Bucket.AccessKey, c.Bucket.SecretKey = os.Getenv("SILLBOOK_S3_ACCESS_KEY"), os.Getenv("SILLBOOK_S3_SECRET_KEY")
		c.Out, c.LogTo, c.Version = os.Stdout, os.Stderr, version()
		c.Started = func(address string) { fmt.Fprintf(os.Stdout, "Sillbook listens on %s\n", address) }
		return app.Run(cmd.Context(), c)
	}}
	flags := cmd.Flags()
	database(cmd, &c)
	flags.StringVar(&c.Listen, "listen", "127.0.0.1:8080", "address to listen on, host:port")
	flags.StringVar(&level, "log-level", slog.LevelInfo.String(), "debug, info, warn or error")
	flags.StringVar(&c.TLSCert, "tls-cert", "", "file with the TLS certificate chain; none: plain HTTP")
	flags.StringVar(&c.TLSKey, "tls-key", "", "file with the TLS key")
	flags.Float64Var(&c.Rate, "rate", 100, "requests a second for each key on this instance; 0: no limit")
	flags.Int32Var(&c.Connections, "connections", 0, "database connections for requests; 0: by the number of cores")
	flags.StringVar(&c.Attachments, "attachments", "", "where attachments are kept: a directory (for one instance alone), s3, or none; empty: a directory in the data directory")
	flags.Int64Var(&size, "attachment-size", 20, "largest attachment, in megabytes")
	flags.StringVar(&c.Bucket.Endpoint, "s3-endpoint", "", "for --attachments s3: https://host:port; its keys are in SILLBOOK_S3_ACCESS_KEY and SILLBOOK_S3_SECRET_KEY")
	flags.StringVar(&c.Bucket.Bucket, "s3-bucket", "", "for --attachments s3: the bucket, which must be there")
	flags.StringVar(&c.Bucket.Region, "s3-region", "", "for --attachments s3: its region; empty: the store is asked")
	flags.StringVar(&c.Bucket.Folder, "s3-folder", "", "for --attachments s3: a folder in the bucket; empty: its top")
	return cmd
}

// database adds the flags that say where the book is.
func database(cmd *cobra.Command, c *app.Config) {
	cmd.Flags().StringVar(&c.DatabaseURL, "database-url", "", "PostgreSQL to use; none: a private one in the data directory")
	cmd.Flags().StringVar(&c.DataDir, "data-dir", defaultDataDir(), "directory of the private PostgreSQL and of attachments")
}

func defaultDataDir() string {
	if dir, err := os.UserConfigDir(); err == nil {
		return filepath.Join(dir, "sillbook")
	}
	return "sillbook-data"
}
