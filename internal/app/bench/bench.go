// Package bench measures the service against the least that could do the same work, in one run on one machine, and
// prints one table. Ratios travel between machines; the figures themselves do not.
//
// It runs its own PostgreSQL in a temporary directory, as careful with its data as one in use. It is the only place
// beside the store that speaks to PostgreSQL: what the service is measured against must not be the service.
package bench

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"time"

	"sillbook/internal/app"
	"sillbook/internal/localdb"
	"sillbook/internal/postgres"
	"sillbook/internal/trade/law"
)

// Config of a run.
type Config struct {
	Seed        uint64
	Units       int           // units made, spread over the organizations
	Clients     int           // connections of the load generator
	Connections int           // to the database, for the service and for what it is measured against alike
	Rounds      int           // of each, interleaved
	Length      time.Duration // of one round
	Profile     string        // directory for CPU and allocation profiles; empty: none are taken
	Version     string        // of the program
	Out         io.Writer     // the table goes here
	Progress    io.Writer     // what is being done goes here
}

// organizations share the units, so that the tenant changes from one request to the next.
const organizations = 4

// Run measures and prints the table.
func Run(ctx context.Context, c Config) (err error) {
	if err := c.check(); err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "sillbook-bench-")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	if err := os.Chmod(dir, 0o711); err != nil { // started by root, PostgreSQL is another user, who must pass through
		return err
	}
	c.say("Starting a private PostgreSQL.")
	database, err := localdb.Start(ctx, localdb.Options{Dir: filepath.Join(dir, "postgres"), Durable: true})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, database.Close()) }()
	url := database.URL(localdb.Database, "")
	if _, err := postgres.Migrate(ctx, url); err != nil {
		return err
	}
	return c.measure(ctx, url, database.Version(), dir)
}

// measure prints the table of a migrated database; dir takes the service's log.
func (c Config) measure(ctx context.Context, url, version, dir string) error {
	keys, err := openOrganizations(ctx, url)
	if err != nil {
		return err
	}
	t := table{config: c, database: version, at: time.Now()}
	if err := c.pointRead(ctx, url, filepath.Join(dir, "service.log"), keys, &t); err != nil {
		return err
	}
	if err := c.determinations(&t); err != nil {
		return err
	}
	return t.write(c.Out)
}

func (c Config) check() error {
	switch {
	case c.Units < organizations:
		return fmt.Errorf("at least %d units are needed, one for each organization", organizations)
	case c.Clients < 1, c.Connections < 1, c.Rounds < 1:
		return errors.New("clients, connections and rounds are at least 1 each")
	case c.Length < 100*time.Millisecond:
		return errors.New("a round shorter than 100ms measures nothing")
	}
	return nil
}

func (c Config) say(format string, args ...any) { fmt.Fprintf(c.Progress, format+"\n", args...) }

// openOrganizations gives the owner's key of each new organization.
func openOrganizations(ctx context.Context, url string) ([]string, error) {
	book, err := law.Embedded()
	if err != nil {
		return nil, err
	}
	store, err := postgres.Open(ctx, postgres.Options{URL: url, Law: book, Now: time.Now})
	if err != nil {
		return nil, err
	}
	defer store.Close()
	keys := make([]string, organizations)
	for i := range keys {
		if keys[i], err = app.OpenFirst(ctx, store, fmt.Sprintf("Invented landlord %d", i+1)); err != nil {
			return nil, err
		}
	}
	return keys, nil
}

// serve runs the whole service, with its log written to a file as in use, until stop is called.
func (c Config) serve(ctx context.Context, url, logFile string) (address string, stop func() error, err error) {
	log, err := os.Create(logFile)
	if err != nil {
		return "", nil, err
	}
	ctx, cancel := context.WithCancel(ctx)
	started, ended := make(chan string, 1), make(chan error, 1)
	go func() {
		ended <- app.Run(ctx, app.Config{DatabaseURL: url, Attachments: app.NoAttachments, Listen: "127.0.0.1:0", LogLevel: slog.LevelInfo, LogTo: log, Rate: 0,
			Connections: int32(c.Connections), Version: c.Version, Started: func(address string) { started <- address }})
	}()
	stop = func() error { cancel(); return errors.Join(<-ended, log.Close()) }
	select {
	case address = <-started:
		return address, stop, nil
	case err = <-ended:
		cancel()
		return "", nil, errors.Join(err, log.Close())
	}
}
