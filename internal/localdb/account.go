package localdb

import (
	"context"
	"crypto/sha256"
	"fmt"
	"log/slog"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"syscall"

	"sillbook/internal/fault"
)

// account is the operating system user that the server runs as.
type account struct {
	name       string
	credential *syscall.Credential // nil: as the user we are
}

// command is a program that the account runs, with an environment that no PG* variable reaches.
func (a account) command(ctx context.Context, dir, program string, args ...string) *exec.Cmd {
	cmd := exec.CommandContext(ctx, program, args...)
	cmd.Dir = dir
	cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "LC_ALL=C"}
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true, Credential: a.credential}
	return cmd
}

// give makes the account the owner of a file or directory.
func (a account) give(path string) error {
	if a.credential == nil {
		return nil
	}
	return os.Lchown(path, int(a.credential.Uid), int(a.credential.Gid))
}

// fallbackRoot is where a durable server's directory goes when the server's user cannot reach the asked-for one.
const fallbackRoot = "/var/lib/sillbook"

// settle makes the directory and decides who runs the server in it. Root cannot run PostgreSQL, and the user
// who runs it for root may be unable to reach the directory (a clone under /root, say): then another place is
// used and the log says which.
func settle(ctx context.Context, opts Options, install installation, log *slog.Logger) (home, account, error) {
	dir, err := filepath.Abs(opts.Dir)
	if err != nil || opts.Dir == "" {
		return "", account{}, startFault(home(opts.Dir), fmt.Errorf("no directory was given: %w", os.ErrInvalid))
	}
	h := home(dir)
	as, err := accountFor(h)
	if err != nil {
		return "", account{}, err
	}
	problem := prepare(ctx, h, as, install)
	if problem == nil {
		return h, as, nil
	}
	if as.credential == nil {
		return "", account{}, unreachable(h, as, problem)
	}
	_ = os.Remove(h.socket())
	_ = os.Remove(string(h)) // only when empty
	other, err := fallback(h, opts.Durable)
	if err != nil {
		return "", account{}, unreachable(h, as, err)
	}
	if as, err = accountFor(other); err != nil {
		return "", account{}, err
	}
	if err := prepare(ctx, other, as, install); err != nil {
		return "", account{}, unreachable(other, as, err)
	}
	log.WarnContext(ctx, fmt.Sprintf("PostgreSQL runs as the user %q, who cannot reach %s; its data are in %s instead", as.name, h, other))
	return other, as, nil
}

// fallback names the other place: the same one each time for data that must be found again.
func fallback(h home, durable bool) (home, error) {
	if !durable {
		dir, err := os.MkdirTemp("", "sillbook-")
		return home(dir), err
	}
	sum := sha256.Sum256([]byte(h))
	dir := filepath.Join(fallbackRoot, fmt.Sprintf("%x", sum[:6]))
	return home(dir), os.MkdirAll(dir, 0o711)
}

// accountFor decides who runs the server: we ourselves, or, for root, the owner of what is there already, or
// the user postgres, or nobody.
func accountFor(h home) (account, error) {
	if os.Geteuid() != 0 {
		return account{name: strconv.Itoa(os.Geteuid())}, nil
	}
	for _, path := range []string{h.data(), string(h)} {
		if uid, gid, ok := owner(path); ok && uid != 0 {
			return account{name: nameOf(uid), credential: &syscall.Credential{Uid: uid, Gid: gid}}, nil
		}
	}
	for _, name := range []string{"postgres", "nobody"} {
		u, err := user.Lookup(name)
		if err != nil {
			continue
		}
		uid, errUID := strconv.ParseUint(u.Uid, 10, 32)
		gid, errGID := strconv.ParseUint(u.Gid, 10, 32)
		if errUID == nil && errGID == nil && uid != 0 {
			return account{name: name, credential: &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}}, nil
		}
	}
	return account{}, fault.New(fault.Unavailable, "database_user",
		"PostgreSQL does not run as root, and there is no user postgres or nobody to run it.").
		Fix("Run sillbook as an ordinary user, or make a user named postgres.")
}

// prepare makes the directories and tries them: the probe changes into the socket directory as the server's
// user and runs a program of the installation, which fails when either cannot be reached.
func prepare(ctx context.Context, h home, as account, install installation) error {
	if err := os.MkdirAll(filepath.Dir(string(h)), 0o755); err != nil {
		return err
	}
	if err := os.MkdirAll(string(h), 0o700); err != nil {
		return err
	}
	uid, _, _ := owner(string(h))
	switch euid := os.Geteuid(); {
	case euid != 0 && int(uid) != euid:
		return fmt.Errorf("the directory belongs to the user %s", nameOf(uid))
	case euid == 0 && uid == 0: // the server's user passes through, and owns only what is made for it inside
		if err := os.Chmod(string(h), 0o711); err != nil {
			return err
		}
	}
	if err := os.Mkdir(h.socket(), 0o700); err != nil && !os.IsExist(err) {
		return err
	}
	if err := as.give(h.socket()); err != nil {
		return err
	}
	return as.command(ctx, h.socket(), install.program("initdb"), "--version").Run()
}

// owner is who owns a path; false when it is not there.
func owner(path string) (uid, gid uint32, ok bool) {
	info, err := os.Lstat(path)
	if err != nil {
		return 0, 0, false
	}
	stat, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return 0, 0, false
	}
	return stat.Uid, stat.Gid, true
}

func nameOf(uid uint32) string {
	id := strconv.FormatUint(uint64(uid), 10)
	if u, err := user.LookupId(id); err == nil {
		return u.Username
	}
	return id
}

// openOwn opens a file in the directory for writing, never through a symbolic link, and leaves it with the
// directory's owner.
func openOwn(h home, path string, flags int) (*os.File, error) {
	f, err := os.OpenFile(path, flags|os.O_CREATE|syscall.O_NOFOLLOW, 0o600)
	if err != nil {
		return nil, err
	}
	if uid, gid, ok := owner(string(h)); ok && os.Geteuid() == 0 {
		if err := f.Chown(int(uid), int(gid)); err != nil {
			f.Close()
			return nil, err
		}
	}
	return f, nil
}

func unreachable(h home, as account, err error) error {
	return fault.New(fault.Unavailable, "database_unreachable_dir",
		"PostgreSQL would run as the user %s, who cannot use the directory %s (%v).", as.name, h, err).
		Fix("Give --data-dir (SILLBOOK_DATA_DIR) a directory that this user owns and whose parents it may pass through.").
		Because(err)
}
