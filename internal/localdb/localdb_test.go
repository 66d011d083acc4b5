package localdb_test

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/url"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"sillbook/internal/fault"
	"sillbook/internal/localdb"
)

// told is what a process that runs a server says about it on its standard output.
type told struct {
	URL, URLAsMonitor, Dir, Code, Detail string
	Fixes                                []string
}

// TestMain lets the test program stand in for a service: with serveEnv set it runs a server on that directory
// until its standard input ends.
func TestMain(m *testing.M) {
	dir := os.Getenv(serveEnv)
	if dir == "" {
		os.Exit(withProgram(m.Run))
	}
	server, err := localdb.Start(context.Background(), localdb.Options{Dir: dir, Log: slog.New(slog.NewTextHandler(os.Stderr, nil))})
	if err != nil {
		f := fault.As(err)
		_ = json.NewEncoder(os.Stdout).Encode(told{Code: f.Code, Detail: f.Detail, Fixes: f.Fixes})
		os.Exit(0)
	}
	_ = json.NewEncoder(os.Stdout).Encode(told{
		URL: server.URL(localdb.Database, ""), URLAsMonitor: server.URL(localdb.Database, "pg_monitor"), Dir: server.Dir()})
	_, _ = io.Copy(io.Discard, os.Stdin)
	if server.Close() != nil {
		os.Exit(1)
	}
}

// program is a copy of the test program that any user can run. It is written before the first test starts another process: one
// that is started while a file is open for writing keeps it open, and what is open for writing cannot be run.
var program string

// withProgram runs the tests with the copy in place.
func withProgram(run func() int) int {
	dir, err := os.MkdirTemp("", "localdb-program-")
	if err != nil {
		panic(err)
	}
	defer func() { _ = os.RemoveAll(dir) }()
	program = filepath.Join(dir, "service")
	if err := copyProgram(dir); err != nil {
		panic(err)
	}
	return run()
}

func copyProgram(dir string) error {
	own, err := os.Executable()
	if err != nil {
		return err
	}
	content, err := os.ReadFile(own)
	if err != nil {
		return err
	}
	if err := os.Chmod(dir, 0o755); err != nil {
		return err
	}
	return os.WriteFile(program, content, 0o755)
}

const serveEnv = "SILLBOOK_LOCALDB_TEST_SERVE"

// account is a user to run the stand-in service as.
type account struct {
	name       string
	credential *syscall.Credential
}

// accounts are the user that the tests run as, and for root an ordinary user too.
func accounts(t *testing.T) []account {
	if os.Geteuid() != 0 {
		return []account{{name: "ordinary user"}}
	}
	nobody, err := user.Lookup("nobody")
	require.NoError(t, err)
	uid, err := strconv.ParseUint(nobody.Uid, 10, 32)
	require.NoError(t, err)
	gid, err := strconv.ParseUint(nobody.Gid, 10, 32)
	require.NoError(t, err)
	return []account{{name: "root"}, {"ordinary user", &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}}}
}

// bench is one test's directory and the account to run the program as in it.
type bench struct {
	account
	dir string
}

func setup(t *testing.T, as account) *bench {
	dir, err := os.MkdirTemp("", "localdb-")
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, os.RemoveAll(dir)) })
	require.NoError(t, os.Chmod(dir, 0o755))
	b := &bench{account: as, dir: dir}
	if as.credential != nil {
		require.NoError(t, os.Chown(dir, int(as.credential.Uid), int(as.credential.Gid)))
	}
	return b
}

// service is a running stand-in.
type service struct {
	told
	cmd   *exec.Cmd
	stdin io.Closer
}

// start runs the stand-in on a directory and reads what it tells.
func (b *bench) start(t *testing.T, dir string, env ...string) *service {
	cmd := exec.Command(program)
	cmd.Env = append(append(os.Environ(), serveEnv+"="+dir), env...)
	cmd.Dir, cmd.Stderr = b.dir, os.Stderr
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: b.credential}
	stdin, err := cmd.StdinPipe()
	require.NoError(t, err)
	stdout, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	s := &service{cmd: cmd, stdin: stdin}
	t.Cleanup(func() { s.stop() })
	line, err := bufio.NewReader(stdout).ReadBytes('\n')
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(line, &s.told))
	return s
}

func (s *service) stop() {
	_ = s.stdin.Close()
	_ = s.cmd.Wait()
}

// kill ends the stand-in as kill -9 does.
func (s *service) kill(t *testing.T) {
	require.NoError(t, s.cmd.Process.Kill())
	_ = s.cmd.Wait()
}

func postmaster(t *testing.T, dir string) int {
	content, err := os.ReadFile(filepath.Join(dir, "data", "postmaster.pid"))
	require.NoError(t, err)
	pid, err := strconv.Atoi(strings.SplitN(string(content), "\n", 2)[0])
	require.NoError(t, err)
	return pid
}

// query runs one statement and gives its single value.
func query(t *testing.T, url, statement string) (value string) {
	conn, err := pgx.Connect(t.Context(), url)
	require.NoError(t, err)
	defer conn.Close(context.Background())
	require.NoError(t, conn.QueryRow(t.Context(), statement).Scan(&value))
	return value
}

const remember = "create table kept as select 'the row'::text as value"

// A crashed server recovers within seconds; a busy machine is given a minute.
const (
	eventually = time.Minute
	often      = 50 * time.Millisecond
)

func TestKilledServiceFindsItsRowsAgain(t *testing.T) {
	t.Parallel()
	kills := map[string]func(*testing.T, *service){
		"the service is killed": func(t *testing.T, s *service) { s.kill(t) },
		"the service and then PostgreSQL are killed": func(t *testing.T, s *service) {
			pid := postmaster(t, s.Dir)
			s.kill(t)
			_ = syscall.Kill(pid, syscall.SIGKILL) // it may have gone already
		},
		"PostgreSQL and at once the service are killed": func(t *testing.T, s *service) {
			require.NoError(t, syscall.Kill(postmaster(t, s.Dir), syscall.SIGKILL))
			s.kill(t)
		},
	}
	for _, as := range accounts(t) {
		for name, kill := range kills {
			t.Run(as.name+": "+name, func(t *testing.T) {
				t.Parallel()
				b := setup(t, as)
				first := b.start(t, filepath.Join(b.dir, "db"))
				require.Empty(t, first.Detail)
				execute(t, first.URL, remember)

				kill(t, first)

				second := b.start(t, filepath.Join(b.dir, "db"))
				require.Empty(t, second.Detail)
				require.Equal(t, "the row", query(t, second.URL, "select value from kept"))
			})
		}
	}
}

func execute(t *testing.T, url, statement string) {
	conn, err := pgx.Connect(t.Context(), url)
	require.NoError(t, err)
	defer conn.Close(context.Background())
	_, err = conn.Exec(t.Context(), statement)
	require.NoError(t, err)
}

func TestPostgresThatEndsByItselfComesBackAtTheSameAddress(t *testing.T) {
	t.Parallel()
	for _, as := range accounts(t) {
		t.Run(as.name, func(t *testing.T) {
			t.Parallel()
			b := setup(t, as)
			s := b.start(t, filepath.Join(b.dir, "db"))
			require.Empty(t, s.Detail)
			execute(t, s.URL, remember)

			require.NoError(t, syscall.Kill(postmaster(t, s.Dir), syscall.SIGKILL))

			require.Eventually(t, func() bool {
				conn, err := pgx.Connect(t.Context(), s.URL)
				if err != nil {
					return false
				}
				defer conn.Close(context.Background())
				var value string
				return conn.QueryRow(t.Context(), "select value from kept").Scan(&value) == nil && value == "the row"
			}, eventually, often)
		})
	}
}

func TestSecondServiceOnTheSameDirectoryIsRefused(t *testing.T) {
	t.Parallel()
	b := setup(t, accounts(t)[0])
	first := b.start(t, filepath.Join(b.dir, "db"))
	require.Empty(t, first.Detail)

	second := b.start(t, filepath.Join(b.dir, "db"))

	require.Equal(t, "database_locked", second.Code)
	require.Contains(t, second.Detail, fmt.Sprintf("process %d", first.cmd.Process.Pid))
	require.Contains(t, second.Fixes[0], "--data-dir")
	require.Equal(t, "1", query(t, first.URL, "select 1::text"), "the first goes on")

	first.stop()
	third := b.start(t, filepath.Join(b.dir, "db"))
	require.Empty(t, third.Detail, "the lock went with the first")
}

func TestMissingPostgresNamesTheCommandThatInstallsIt(t *testing.T) {
	t.Parallel()
	b := setup(t, accounts(t)[0])

	s := b.start(t, filepath.Join(b.dir, "db"), "SILLBOOK_POSTGRES_BIN="+b.dir)

	require.Equal(t, "postgres_missing", s.Code)
	require.Contains(t, s.Detail, "SILLBOOK_POSTGRES_BIN names "+b.dir)
	require.Regexp(t, `To install it: (sudo|brew) .*install.* postgresql`, s.Detail)
	require.NoDirExists(t, filepath.Join(b.dir, "db"), "nothing is left behind")
}

func TestPathTooLongForASocketUsesALoopbackPort(t *testing.T) {
	t.Parallel()
	b := setup(t, accounts(t)[0])

	s := b.start(t, filepath.Join(b.dir, strings.Repeat("d", 100)))

	require.Empty(t, s.Detail)
	u, err := url.Parse(s.URL)
	require.NoError(t, err)
	require.Equal(t, "127.0.0.1", u.Hostname())
	require.NotEqual(t, "5432", u.Port())
	require.Equal(t, "pg_monitor", query(t, s.URLAsMonitor, "select current_user"), "a URL can take a role")
	require.Equal(t, "UTF8 sillbook", query(t, s.URL, "select current_setting('server_encoding') || ' ' || current_user"))
}

func TestDirectoryOutOfReach(t *testing.T) {
	t.Parallel()
	b := setup(t, accounts(t)[0])
	closed := filepath.Join(b.dir, "closed")
	require.NoError(t, os.Mkdir(closed, 0o700))
	if os.Geteuid() != 0 {
		require.NoError(t, os.Chmod(closed, 0))
		s := b.start(t, filepath.Join(closed, "db"))
		require.Equal(t, "database_unreachable_dir", s.Code)
		require.Contains(t, s.Fixes[0], "--data-dir")
		require.NoError(t, os.Chmod(closed, 0o700))
		return
	}

	s := b.start(t, filepath.Join(closed, "db"))

	require.Empty(t, s.Detail, "root's server, run by an ordinary user, goes elsewhere")
	require.NotContains(t, s.Dir, closed)
	require.NoDirExists(t, filepath.Join(closed, "db"))
	require.Equal(t, "1", query(t, s.URL, "select 1::text"))
	s.stop()
	require.NoError(t, os.RemoveAll(s.Dir))
}

func TestPidFileThatNamesAStrangerIsNotBelieved(t *testing.T) {
	t.Parallel()
	for _, as := range accounts(t) {
		t.Run(as.name, func(t *testing.T) {
			t.Parallel()
			b := setup(t, as)
			first := b.start(t, filepath.Join(b.dir, "db"))
			require.Empty(t, first.Detail)
			file := filepath.Join(first.Dir, "data", "postmaster.pid")
			content, err := os.ReadFile(file)
			require.NoError(t, err)
			info, err := os.Stat(file)
			require.NoError(t, err)
			stat := info.Sys().(*syscall.Stat_t)
			first.stop()
			stranger := exec.Command("cat")
			stranger.SysProcAttr = &syscall.SysProcAttr{Credential: b.credential}
			hold, err := stranger.StdinPipe()
			require.NoError(t, err)
			require.NoError(t, stranger.Start())
			lines := strings.SplitN(string(content), "\n", 2)
			require.NoError(t, os.WriteFile(file, []byte(strconv.Itoa(stranger.Process.Pid)+"\n"+lines[1]), 0o600))
			if os.Geteuid() == 0 {
				require.NoError(t, os.Chown(file, int(stat.Uid), int(stat.Gid)))
			}

			second := b.start(t, filepath.Join(b.dir, "db"))

			require.Empty(t, second.Detail)
			require.NoError(t, stranger.Process.Signal(syscall.Signal(0)), "the stranger was left alone")
			require.NoError(t, hold.Close())
			require.NoError(t, stranger.Wait())
		})
	}
}
