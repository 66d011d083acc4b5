package pgtest

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"syscall"

	"sillbook/internal/localdb"
)

// serverEnv names a server to test against, by a superuser's URL.
const serverEnv = "SILLBOOK_TEST_DATABASE_URL"

// Server is a PostgreSQL for tests.
type Server struct {
	URL  string // a superuser's
	What string // what it is, for a person
	stop func() error
}

// Stop ends the server, if it was started for the tests.
func (s *Server) Stop() error { return s.stop() }

// Serve finds or starts the server that the package comment describes. What it starts ends with the process,
// whether Stop is called or not.
func Serve(ctx context.Context) (*Server, error) {
	if url := os.Getenv(serverEnv); url != "" {
		return &Server{URL: url, What: "the server that " + serverEnv + " names", stop: func() error { return nil }}, nil
	}
	s, errContainer := Container(ctx)
	if errContainer == nil {
		return s, nil
	}
	s, errInstalled := installed(ctx)
	if errInstalled == nil {
		return s, nil
	}
	return nil, fmt.Errorf("there is no PostgreSQL to test against: %s is not set; no container (%w); none from installed binaries (%w)",
		serverEnv, errContainer, errInstalled)
}

// installed starts a private server from installed binaries, without fsync, in a directory that goes with it.
func installed(ctx context.Context) (*Server, error) {
	dir, err := os.MkdirTemp("", "sillbook-test-")
	if err != nil {
		return nil, err
	}
	private, err := localdb.Start(ctx, localdb.Options{Dir: dir})
	if err != nil {
		return nil, errors.Join(err, os.RemoveAll(dir))
	}
	release, err := afterwards(removeServer, private.Dir(), dir)
	if err != nil {
		return nil, errors.Join(err, private.Close(), os.RemoveAll(dir))
	}
	return &Server{
		URL:  private.URL("postgres", ""),
		What: "a private PostgreSQL " + private.Version(),
		stop: func() error { return errors.Join(private.Close(), release()) },
	}, nil
}

// removeServer stops the server in a directory at once, waits up to ten seconds for it and removes what is named.
const removeServer = `
	pid=$(head -n 1 "$1/data/postmaster.pid" 2>/dev/null) && kill -QUIT "$pid" 2>/dev/null
	tries=0
	while [ -e "$1/data/postmaster.pid" ] && kill -0 "$pid" 2>/dev/null && [ $tries -lt 100 ]; do
		tries=$((tries + 1))
		sleep 0.1
	done
	rm -rf "$@"`

// afterwards runs a shell script when this process has ended, however it ended: the script's shell waits for
// the end of a pipe that only this process holds open. A test process has no other last word. The function it
// returns runs the script now and waits for it.
func afterwards(script string, args ...string) (func() error, error) {
	cmd := exec.Command("sh", append([]string{"-c", "cat >/dev/null\n" + script, "afterwards"}, args...)...)
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} // the terminal's interrupt is not for it
	pipe, err := cmd.StdinPipe()
	if err != nil {
		return nil, err
	}
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	return func() error { return closeAndWait(pipe, cmd) }, nil
}

func closeAndWait(pipe io.Closer, cmd *exec.Cmd) error {
	return errors.Join(pipe.Close(), cmd.Wait())
}
