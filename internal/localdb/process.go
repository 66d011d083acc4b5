package localdb

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// process is one run of the server program.
type process struct {
	cmd     *exec.Cmd
	exited  chan struct{}
	started time.Time
}

// How long to go on trying when what a killed server left (its memory, its port) is still being released,
// how long a fast stop may take before an immediate one, and how long that may take.
const (
	retryFor       = 30 * time.Second
	fastStopFor    = 30 * time.Second
	immediateFor   = 10 * time.Second
	pollEvery      = 20 * time.Millisecond
	steadyAfter    = 10 * time.Second
	restartTimeout = time.Minute
)

// launch runs the server until it takes connections. ctx bounds the wait, not the life of the server.
func (s *Server) launch(ctx context.Context) (*process, error) {
	deadline := time.Now().Add(retryFor)
	for {
		if err := s.clearSocket(); err != nil {
			return nil, startFault(s.home, err)
		}
		p, err := s.spawn()
		if err != nil {
			return nil, startFault(s.home, err)
		}
		err = s.awaitReady(ctx, p)
		if err == nil {
			return p, nil
		}
		p.stop()
		said, _ := os.ReadFile(s.home.log())
		again, errAgain := s.mayTryAgain(string(said))
		if ctx.Err() != nil || errAgain != nil || !again || time.Now().After(deadline) {
			return nil, startFault(s.home, fmt.Errorf("%w\n%s", err, lastLines(string(said))))
		}
		pause(ctx, 10*pollEvery)
	}
}

// clearSocket removes the socket of a killed server and the lock file beside it, which PostgreSQL believes as
// long as any process has its number. The directory is ours alone, and its data have their own guard.
func (s *Server) clearSocket() error {
	left, err := filepath.Glob(filepath.Join(s.home.socket(), ".s.PGSQL.*"))
	for _, path := range left {
		err = errors.Join(err, os.Remove(path))
	}
	return err
}

// mayTryAgain reads in the server's log whether another try can succeed. Before the first success the way it
// listens is still free to change: another port, or a port where the file system takes no sockets.
func (s *Server) mayTryAgain(said string) (bool, error) {
	listening := strings.Contains(said, "could not create any Unix-domain sockets") ||
		strings.Contains(said, "could not create any TCP/IP sockets")
	if listening && s.current == nil {
		var err error
		s.port, err = freePort()
		return true, err
	}
	return strings.Contains(said, "is still in use") || strings.Contains(said, "Address already in use"), nil
}

// spawn starts the program. The goroutine keeps its thread for the life of the process, because on Linux the
// signal at the parent's death is sent when the thread that started the child ends.
func (s *Server) spawn() (*process, error) {
	log, err := openOwn(s.home, s.home.log(), os.O_WRONLY|os.O_TRUNC)
	if err != nil {
		return nil, err
	}
	defer log.Close()
	cmd := s.account.command(context.Background(), s.home.data(), s.install.program("postgres"), s.arguments()...)
	cmd.Stdout, cmd.Stderr = log, log
	dieWithParent(cmd.SysProcAttr)
	p := &process{cmd: cmd, exited: make(chan struct{}), started: time.Now()}
	started := make(chan error)
	go func() {
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		err := cmd.Start()
		started <- err
		if err == nil {
			_ = cmd.Wait()
			close(p.exited)
		}
	}()
	return p, <-started
}

// arguments are the server's settings; none are kept in the data directory.
func (s *Server) arguments() []string {
	args := []string{"-D", s.home.data()}
	set := func(name, value string) { args = append(args, "-c", name+"="+value) }
	set("hba_file", s.home.accessFile())
	set("cluster_name", "sillbook")
	set("max_connections", "200")
	set("lc_messages", "C")
	set("timezone", "UTC")
	set("log_timezone", "UTC")
	if s.port == 0 {
		set("listen_addresses", "")
		set("unix_socket_directories", s.home.socket())
		set("port", socketPort)
	} else {
		set("listen_addresses", "127.0.0.1")
		set("unix_socket_directories", "")
		set("port", strconv.Itoa(s.port))
	}
	if !s.durable {
		set("fsync", "off")
		set("full_page_writes", "off")
		set("max_wal_size", "4GB")
	}
	return args
}

// awaitReady waits until the server writes "ready" into its pid file, or ends.
func (s *Server) awaitReady(ctx context.Context, p *process) error {
	for {
		file, ok := readPidFile(s.home)
		if ok && file.pid == p.cmd.Process.Pid && file.ready {
			return nil
		}
		select {
		case <-p.exited:
			return fmt.Errorf("it ended at once (%s)", p.cmd.ProcessState)
		case <-ctx.Done():
			return context.Cause(ctx)
		case <-time.After(pollEvery):
		}
	}
}

// keepUp brings the server back when it ends without being asked to.
func (s *Server) keepUp() {
	defer close(s.done)
	for {
		s.mu.Lock()
		p := s.current
		s.mu.Unlock()
		<-p.exited
		if s.isClosing() {
			return
		}
		s.log.Warn("the private PostgreSQL ended by itself and is started again", "how", p.cmd.ProcessState.String())
		ctx, cancel := context.WithTimeout(context.Background(), restartTimeout)
		if time.Since(p.started) < steadyAfter {
			pause(ctx, time.Second)
		}
		p, err := s.launch(ctx)
		cancel()
		if err != nil {
			s.log.Error("the private PostgreSQL could not be started again", "error", err.Error())
			return
		}
		s.mu.Lock()
		s.current = p
		s.mu.Unlock()
		if s.isClosing() {
			p.stop()
			return
		}
	}
}

func (s *Server) isClosing() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.closing
}

// stop ends the server: fast (open sessions are ended, everything is written), then immediate, then by force.
func (p *process) stop() {
	for _, step := range []struct {
		signal   syscall.Signal
		patience time.Duration
	}{{syscall.SIGINT, fastStopFor}, {syscall.SIGQUIT, immediateFor}, {syscall.SIGKILL, immediateFor}} {
		_ = p.cmd.Process.Signal(step.signal)
		select {
		case <-p.exited:
			return
		case <-time.After(step.patience):
		}
	}
}

// pidFile is what is read of postmaster.pid.
type pidFile struct {
	pid      int
	memoryID string // of the System V shared memory that marks the data directory as in use
	ready    bool
}

// readPidFile reads postmaster.pid: process id, data directory, start time, port, socket directory, listen
// address, shared memory key and id, status, a line each.
func readPidFile(h home) (pidFile, bool) {
	content, err := os.ReadFile(filepath.Join(h.data(), "postmaster.pid"))
	if err != nil {
		return pidFile{}, false
	}
	lines := strings.Split(string(content), "\n")
	pid, err := strconv.Atoi(strings.TrimSpace(lines[0]))
	if err != nil {
		return pidFile{}, false
	}
	f := pidFile{pid: pid}
	if len(lines) > 6 {
		if ids := strings.Fields(lines[6]); len(ids) == 2 {
			f.memoryID = ids[1]
		}
	}
	f.ready = len(lines) > 7 && strings.TrimSpace(lines[7]) == "ready"
	return f, true
}

// freePort finds a loopback port that nothing uses now.
func freePort() (int, error) {
	l, err := net.Listen("tcp4", "127.0.0.1:0")
	if err != nil {
		return 0, err
	}
	defer l.Close()
	return l.Addr().(*net.TCPAddr).Port, nil
}

func pause(ctx context.Context, d time.Duration) {
	select {
	case <-ctx.Done():
	case <-time.After(d):
	}
}
