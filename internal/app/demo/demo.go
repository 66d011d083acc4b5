// Package demo starts the service on a private PostgreSQL, loads an invented portfolio through the public API, and
// tells one story with it, from "is this home covered" to "closed, cleared, waste accounted for". Every step of the
// story is checked against what the service answers.
//
// It is a client like any other: it calls the service over HTTP with the client that the contract generates, and knows
// nothing of what is behind it.
package demo

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"sillbook/internal/app"
)

// Config of a run.
type Config struct {
	Listen  string    // host:port
	Once    bool      // end after the story; otherwise serve until the context ends
	Version string    // of the program
	Out     io.Writer // the story goes here
	Trouble io.Writer // what the service complained of goes here when a step fails
}

// Run tells the story. The data lie in a temporary directory and are removed at the end. It returns an error when a step
// did not come out as the story says.
func Run(ctx context.Context, c Config) (err error) {
	homes, repairs, err := scenario()
	if err != nil {
		return err
	}
	zone, err := time.LoadLocation(homes.TimeZone)
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "sillbook-demo-")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	if err := os.Chmod(dir, 0o711); err != nil { // started by root, PostgreSQL is another user, who must pass through
		return err
	}
	s := &story{page: page{out: sure{c.Out}}, homes: homes, repairs: repairs, clock: newClock(zone)}
	s.clock.moveTo(beginning, 9, 0)
	service, err := start(ctx, c, dir, s.clock)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			service.showLog(c.Trouble)
		}
		err = errors.Join(err, service.end())
	}()
	if err := s.tell(ctx, service); err != nil || c.Once {
		return err
	}
	if err := s.stay(service); err != nil {
		return err
	}
	select {
	case <-ctx.Done():
		return nil
	case err := <-service.ended:
		service.ended <- nil
		return err
	}
}

// service is the running service.
type service struct {
	address string
	key     string // the first owner's
	log     string // file
	stop    context.CancelFunc
	ended   chan error
}

// start runs the service on a private PostgreSQL in dir, and returns when it answers.
func start(ctx context.Context, c Config, dir string, clock *clock) (*service, error) {
	s := &service{log: filepath.Join(dir, "service.log"), ended: make(chan error, 2)}
	log, err := os.OpenFile(s.log, os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		return nil, err
	}
	ctx, s.stop = context.WithCancel(ctx)
	var greeting bytes.Buffer
	ready := make(chan string, 1)
	go func() {
		defer log.Close()
		s.ended <- app.Run(ctx, app.Config{DataDir: dir, Listen: c.Listen, Version: c.Version, LogLevel: slog.LevelInfo, LogTo: log,
			Out: &greeting, Now: clock.Now, Started: func(address string) { ready <- address }})
	}()
	select {
	case err := <-s.ended:
		s.stop()
		return nil, err
	case s.address = <-ready:
	}
	if s.key = keyText.FindString(greeting.String()); s.key == "" {
		return nil, errors.Join(errors.New("the service printed no owner's key at its first start"), s.end())
	}
	return s, nil
}

// keyText finds the key in what the service prints at its first start.
var keyText = regexp.MustCompile(`sb_[0-9A-Za-z_]+`)

// end stops the service and waits for it.
func (s *service) end() error {
	s.stop()
	return <-s.ended
}

// showLog writes what the service complained of.
func (s *service) showLog(to io.Writer) {
	text, err := os.ReadFile(s.log)
	if err != nil || to == nil {
		return
	}
	for line := range strings.Lines(string(text)) {
		if strings.Contains(line, `"level":"WARN"`) || strings.Contains(line, `"level":"ERROR"`) {
			fmt.Fprint(to, line)
		}
	}
}
