// Package app wires a configuration into a running service.
package app

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"math"
	"net"
	"net/http"
	"path/filepath"
	"sync"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"

	"sillbook/internal/credential"
	"sillbook/internal/feed"
	"sillbook/internal/httpapi"
	"sillbook/internal/localdb"
	"sillbook/internal/object"
	"sillbook/internal/postgres"
	"sillbook/internal/trade/law"
	"sillbook/internal/worker"
)

// Config is what a service needs to be told.
type Config struct {
	DatabaseURL string // empty: a private PostgreSQL in DataDir
	DataDir     string
	Listen      string // host:port
	TLSCert     string // file; empty: plain HTTP
	TLSKey      string
	LogLevel    slog.Level
	Rate        float64 // requests a second for each key; 0: no limit
	Connections int32   // to the database, for requests; 0: a default by the number of cores
	Version     string

	Attachments    string               // directory, InBucket or NoAttachments; empty: a directory in DataDir
	AttachmentSize int64                // largest, in bytes; 0: 20 MB
	Bucket         object.BucketOptions // for InBucket

	Now     func() time.Time // nil: the clock
	Out     io.Writer        // where people read; nil: nowhere
	LogTo   io.Writer        // nil: nowhere
	Started func(address string)
}

// Run serves until the context ends, then lets running requests finish.
func Run(ctx context.Context, c Config) error {
	c = c.withDefaults()
	log := slog.New(slog.NewJSONHandler(c.LogTo, &slog.HandlerOptions{Level: c.LogLevel}))
	private, err := c.database(ctx, log)
	if err != nil {
		return err
	}
	if private != nil {
		defer private.Close()
	}
	book, err := law.Embedded()
	if err != nil {
		return err
	}
	store, err := postgres.Open(ctx, postgres.Options{URL: c.DatabaseURL, Connections: c.Connections, Law: book, Now: c.Now})
	if err != nil {
		return err
	}
	defer store.Close()
	if private != nil {
		if err := c.greet(ctx, store); err != nil {
			return err
		}
	}
	place, err := store.Attend(ctx, c.ownDirectory())
	if err != nil {
		return err
	}
	defer place.End()
	objects, closeObjects, err := c.objects(ctx, place)
	if err != nil {
		return err
	}
	aside, err := c.aside()
	if err == nil {
		options := httpapi.Options{Store: store, Law: book, Now: c.Now, Log: log, Rate: c.Rate, Version: c.Version,
			Objects: objects, LargestAttachment: c.AttachmentSize, Aside: aside}
		err = c.serve(ctx, options, place)
	}
	return errors.Join(err, closeObjects())
}

func (c Config) withDefaults() Config {
	if c.Now == nil {
		c.Now = time.Now
	}
	if c.Out == nil {
		c.Out = io.Discard
	}
	if c.LogTo == nil {
		c.LogTo = io.Discard
	}
	if c.Started == nil {
		c.Started = func(string) {}
	}
	return c
}

// database starts and migrates a private PostgreSQL where no other is given, and sets the URL to it.
func (c *Config) database(ctx context.Context, log *slog.Logger) (*localdb.Server, error) {
	if c.DatabaseURL != "" {
		return nil, nil
	}
	server, err := localdb.Start(ctx, localdb.Options{Dir: filepath.Join(c.DataDir, "postgres"), Durable: true, Log: log})
	if err != nil {
		return nil, err
	}
	c.DatabaseURL = server.URL(localdb.Database, "")
	if _, err := postgres.Migrate(ctx, c.DatabaseURL); err != nil {
		return nil, errors.Join(err, server.Close())
	}
	return server, nil
}

// greet makes the first organization and prints its owner's key, once.
func (c Config) greet(ctx context.Context, store *postgres.Store) error {
	empty, err := store.Empty(ctx)
	if err != nil || !empty {
		return err
	}
	text, err := OpenFirst(ctx, store, "First organization")
	if err != nil {
		return err
	}
	fmt.Fprintf(c.Out, "This is a new book. Its first organization's owner signs in with this key, shown only now:\n\n  %s\n\n", text)
	return nil
}

// OpenFirst opens an organization whose owner's key may also open others.
func OpenFirst(ctx context.Context, store *postgres.Store, name string) (key string, err error) {
	_, _, key, err = store.OpenOrganization(ctx, postgres.Call{Operation: "first start", RequestID: "first-start"}, name,
		postgres.Key{Name: "First owner's key", Role: credential.Owner,
			Scopes: []credential.Scope{credential.RestrictedRead, credential.RestrictedWrite, credential.OrganizationsWrite}})
	return key, err
}

func (c Config) serve(ctx context.Context, options httpapi.Options, place *postgres.Presence) error {
	store, log := options.Store, options.Log
	registry := prometheus.NewRegistry()
	registry.MustRegister(collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	registry.MustRegister(prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: "sillbook_changes_pending", Help: "Changes committed that have no position in the log yet."}, func() float64 {
		ask, cancel := context.WithTimeout(context.Background(), time.Second)
		defer cancel()
		n, err := store.Pending(ask)
		if err != nil {
			return math.NaN()
		}
		return float64(n)
	}))
	sequencer, upkeep := feed.New(store, log), worker.New(store, log)
	options.Metrics, options.Written, options.Used = registry, sequencer.Poke, upkeep.Used
	handler, err := httpapi.New(options)
	if err != nil {
		return err
	}
	listener, err := c.listen()
	if err != nil {
		return err
	}
	server := &http.Server{Handler: handler, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: time.Minute, WriteTimeout: time.Minute,
		IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 32 << 10, ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelWarn)}
	background, stop := context.WithCancel(context.Background())
	var running sync.WaitGroup
	running.Go(func() { sequencer.Run(background) })
	running.Go(func() { upkeep.Run(background) })
	ended, displaced := make(chan error, 1), make(chan error, 1)
	running.Go(func() {
		if err := place.Keep(background); err != nil {
			displaced <- err
		}
	})
	go func() { ended <- server.Serve(listener) }()
	log.Info("serving", "address", listener.Addr().String(), "rule_set", store.RuleSet())
	c.Started(listener.Addr().String())
	select {
	case err = <-ended:
	case err = <-displaced:
		log.Error("stopping; another instance has taken this one's place", "cause", err)
		err = errors.Join(err, finish(server))
	case <-ctx.Done():
		log.Info("stopping; running requests may finish")
		err = finish(server)
	}
	stop()
	running.Wait()
	if errors.Is(err, http.ErrServerClosed) {
		err = nil
	}
	return err
}

// finish lets running requests finish, for a while.
func finish(server *http.Server) error {
	grace, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	return server.Shutdown(grace)
}

func (c Config) listen() (net.Listener, error) {
	listener, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return nil, fmt.Errorf("the service cannot listen on %s: %w", c.Listen, err)
	}
	if c.TLSCert == "" && c.TLSKey == "" {
		return listener, nil
	}
	pair, err := tls.LoadX509KeyPair(c.TLSCert, c.TLSKey)
	if err != nil {
		listener.Close()
		return nil, fmt.Errorf("the TLS certificate and key cannot be used: %w", err)
	}
	return tls.NewListener(listener, &tls.Config{Certificates: []tls.Certificate{pair}, MinVersion: tls.VersionTLS12, NextProtos: []string{"h2", "http/1.1"}}), nil
}
