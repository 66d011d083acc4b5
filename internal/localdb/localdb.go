// Package localdb runs a private PostgreSQL from the binaries that are installed on the machine: for a
// service that was given no database URL, for the demo and for the tests.
//
// A server belongs to one directory, holds a lock on it, listens on a Unix socket inside it (or on a free
// loopback port where the path is too long for a socket), and never touches port 5432. Started by root, it
// runs as an ordinary user, because PostgreSQL refuses root. It stops when the process that started it
// ends, however that ends, and the next start finds the same data.
package localdb

import (
	"context"
	"log/slog"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
)

// Superuser is the role that owns the cluster.
const Superuser = "sillbook"

// Database is the database that exists from the first start, besides "postgres".
const Database = "sillbook"

// Options say where the server keeps its data and how careful it is with them.
type Options struct {
	Dir     string       // its directory, made when absent; required
	Durable bool         // false turns fsync off: for tests only, a power cut may lose everything
	Log     *slog.Logger // nil discards
}

// Server is a running private PostgreSQL.
type Server struct {
	home     home
	install  installation
	account  account
	durable  bool
	log      *slog.Logger
	lock     *os.File
	password string
	port     int // 0 while on the Unix socket

	mu      sync.Mutex
	current *process
	closing bool
	done    chan struct{}
}

// Start finds PostgreSQL, prepares opts.Dir on the first call, and returns when the server takes
// connections. It waits for, or ends, what an earlier start on the same directory left running.
//
// Errors are *fault.Error of kind Unavailable: postgres_missing, with the command that installs it;
// database_locked, when another process uses the directory; database_version, when the data were made by a
// PostgreSQL that is not installed; database_unreachable_dir, when the server's user cannot reach any
// directory; database_start for the rest, with the end of the server's log.
func Start(ctx context.Context, opts Options) (*Server, error) {
	log := opts.Log
	if log == nil {
		log = slog.New(slog.DiscardHandler)
	}
	installed, err := installations(ctx)
	if err != nil {
		return nil, err
	}
	home, account, err := settle(ctx, opts, installed[0], log)
	if err != nil {
		return nil, err
	}
	lock, err := lockDir(home)
	if err != nil {
		return nil, err
	}
	s := &Server{home: home, account: account, durable: opts.Durable, log: log, lock: lock, done: make(chan struct{})}
	if err := s.open(ctx, installed); err != nil {
		lock.Close()
		return nil, err
	}
	go s.keepUp()
	return s, nil
}

// open prepares the cluster and launches the server; the lock is held.
func (s *Server) open(ctx context.Context, installed []installation) error {
	if err := endOrphan(ctx, s.home, s.log); err != nil {
		return err
	}
	var err error
	if s.install, err = choose(installed, s.home); err != nil {
		return err
	}
	if s.password, err = initialize(ctx, s.install, s.home, s.account, s.durable); err != nil {
		return err
	}
	if !s.home.socketFits() {
		if s.port, err = freePort(); err != nil {
			return startFault(s.home, err)
		}
	}
	s.current, err = s.launch(ctx)
	return err
}

// URL is the connection string for a database. The session is the cluster's superuser, or takes the given
// role when one is named. It holds the password: do not log it.
func (s *Server) URL(database, role string) string {
	query := url.Values{"sslmode": {"disable"}}
	host := ""
	if s.port == 0 {
		query.Set("host", s.home.socket())
		query.Set("port", socketPort)
	} else {
		host = "127.0.0.1:" + strconv.Itoa(s.port)
	}
	if role != "" {
		query.Set("options", "-c role="+role)
	}
	u := url.URL{Scheme: "postgres", User: url.UserPassword(Superuser, s.password), Host: host, Path: "/" + database,
		RawQuery: strings.ReplaceAll(query.Encode(), "+", "%20")} // libpq does not read + as a space
	return u.String()
}

// Dir is where the server keeps its data: the asked-for directory, unless the server's user cannot reach it.
func (s *Server) Dir() string { return string(s.home) }

// Version is the PostgreSQL in use, such as "15.18".
func (s *Server) Version() string { return s.install.version }

// Done is closed when the server has ended for good: after Close, or when it ended by itself and could not
// be brought back.
func (s *Server) Done() <-chan struct{} { return s.done }

// Close stops the server, ending open sessions, and releases the directory. It may be called more than once.
func (s *Server) Close() error {
	s.mu.Lock()
	s.closing = true
	current := s.current
	s.mu.Unlock()
	current.stop()
	<-s.done
	return s.lock.Close()
}

// Installed says which PostgreSQL a start would use, as the directory of its binaries; its error is that of
// [Start] when none is installed.
func Installed(ctx context.Context) (string, error) {
	found, err := installations(ctx)
	if err != nil {
		return "", err
	}
	return found[0].bin, nil
}

// home is the server's directory: data, socket, password, lock and log are inside.
type home string

func (h home) data() string     { return filepath.Join(string(h), "data") }
func (h home) socket() string   { return filepath.Join(string(h), "socket") }
func (h home) password() string { return filepath.Join(string(h), "password") }
func (h home) lock() string     { return filepath.Join(string(h), "lock") }
func (h home) log() string      { return filepath.Join(string(h), "postgres.log") }

// socketPort only names the socket file; no TCP port is opened for it.
const socketPort = "5432"

// socketFits reports whether a socket in the directory has a path that the kernels accept: at most 107
// bytes on Linux, 103 on macOS and the BSDs.
func (h home) socketFits() bool {
	return len(filepath.Join(h.socket(), ".s.PGSQL."+socketPort)) <= 103
}
