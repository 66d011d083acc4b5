package localdb

import (
	"context"
	"crypto/rand"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"

	"sillbook/internal/fault"
)

// accessRules lets nobody in without the password: the user that runs the server may be shared.
const accessRules = `local all all scram-sha-256
host  all all 127.0.0.1/32 scram-sha-256
`

func (h home) accessFile() string { return filepath.Join(string(h), "access.conf") }

// initialize makes the cluster unless it is there, and returns the superuser's password. The cluster is made
// beside its final place and renamed, so that one cut short is never mistaken for a whole one.
func initialize(ctx context.Context, install installation, h home, as account, durable bool) (string, error) {
	if err := write(h, h.accessFile(), accessRules, 0o644); err != nil {
		return "", startFault(h, err)
	}
	if _, err := os.Stat(filepath.Join(h.data(), "PG_VERSION")); err == nil {
		password, err := os.ReadFile(h.password())
		if err != nil {
			return "", startFault(h, fmt.Errorf("the data are there but their password file is not readable: %w", err))
		}
		return string(password), nil
	}
	password := rand.Text()
	made := h.data() + ".new"
	if err := makeCluster(ctx, install, as, made, password, durable); err != nil {
		return "", startFault(h, err)
	}
	if err := write(h, h.password(), password, 0o600); err != nil {
		return "", startFault(h, err)
	}
	if err := os.Rename(made, h.data()); err != nil {
		return "", startFault(h, err)
	}
	return password, nil
}

// makeCluster runs initdb in an empty directory, then sets the password and makes the database in
// PostgreSQL's single-user mode, which needs neither a client program nor a running server.
func makeCluster(ctx context.Context, install installation, as account, dir, password string, durable bool) error {
	run := func(stdin, program string, args ...string) error {
		cmd := as.command(ctx, dir, install.program(program), args...)
		cmd.Stdin = strings.NewReader(stdin)
		out, err := cmd.CombinedOutput()
		if err == nil && strings.Contains(string(out), "ERROR:") {
			err = fmt.Errorf("%s reported an error", program)
		}
		if err != nil {
			return fmt.Errorf("%s: %w\n%s", program, err, lastLines(string(out)))
		}
		return nil
	}
	initdb := func(locale string) error {
		if err := emptyDir(as, dir); err != nil {
			return err
		}
		args := []string{"-D", dir, "-U", Superuser, "-E", "UTF8", "--locale=" + locale, "-A", "reject", "--data-checksums"}
		if !durable {
			args = append(args, "--no-sync")
		}
		return run("", "initdb", args...)
	}
	if err := initdb("C.UTF-8"); err != nil {
		if initdb("C") != nil { // where C.UTF-8 does not exist; any other trouble is told by the first error
			return err
		}
	}
	args := []string{"--single", "-D", dir}
	if !durable {
		args = append(args, "-F")
	}
	statements := fmt.Sprintf("alter role %s password '%s'\ncreate database %s\n", Superuser, password, Database)
	return run(statements, "postgres", append(args, "postgres")...)
}

// emptyDir makes a directory of the account's own, without what an interrupted start left there.
func emptyDir(as account, dir string) error {
	if err := os.RemoveAll(dir); err != nil {
		return err
	}
	if err := os.Mkdir(dir, 0o700); err != nil {
		return err
	}
	return as.give(dir)
}

// write replaces a small file whole and durably.
func write(h home, path, content string, mode os.FileMode) error {
	f, err := openOwn(h, path+".new", os.O_WRONLY|os.O_TRUNC)
	if err != nil {
		return err
	}
	defer f.Close()
	if _, err := f.WriteString(content); err != nil {
		return err
	}
	if err := f.Chmod(mode); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	return os.Rename(path+".new", path)
}

// lockDir takes the directory for this process. The lock goes when the process ends, however it ends.
func lockDir(h home) (*os.File, error) {
	f, err := openOwn(h, h.lock(), os.O_RDWR)
	if err != nil {
		return nil, startFault(h, err)
	}
	if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		holder, _ := os.ReadFile(h.lock())
		f.Close()
		return nil, fault.New(fault.Unavailable, "database_locked",
			"Another sillbook (process %s) is using the database in %s.", strings.TrimSpace(string(holder)), h).
			Fix("Stop that process first, or give this one its own directory with --data-dir (SILLBOOK_DATA_DIR).").
			Because(err)
	}
	_ = f.Truncate(0)
	_, _ = fmt.Fprintf(f, "%d\n", os.Getpid())
	return f, nil
}

// lastLines is the end of a program's output, for a person to read.
func lastLines(text string) string {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	return strings.Join(lines[max(0, len(lines)-8):], "\n")
}

func startFault(h home, err error) error {
	return fault.New(fault.Unavailable, "database_start", "The private PostgreSQL in %s could not be started: %v", h, err).
		Fix("Read the end of %s for what PostgreSQL said.", h.log()).Because(err)
}
