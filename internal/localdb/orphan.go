package localdb

import (
	"context"
	"fmt"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// endOrphan stops a server that an earlier process left running on the directory: killed with -9, it had no
// time to stop its server, or the server is still stopping. The lock is held, so nobody uses it any more.
func endOrphan(ctx context.Context, h home, log *slog.Logger) error {
	file, ok := readPidFile(h)
	if !ok || !alive(file.pid) {
		return nil
	}
	if serves(ctx, file.pid, h) {
		log.InfoContext(ctx, "stopping the PostgreSQL that an earlier start left running", "pid", file.pid)
		if err := endProcess(ctx, file.pid, h); err != nil {
			return startFault(h, err)
		}
	}
	return dropStalePidFile(ctx, h)
}

// endProcess stops a server that is not our child, fast and then immediately. Never by force: that would let
// its sessions go on writing.
func endProcess(ctx context.Context, pid int, h home) error {
	for _, step := range []struct {
		signal   syscall.Signal
		patience time.Duration
	}{{syscall.SIGINT, fastStopFor}, {syscall.SIGQUIT, immediateFor}} {
		if err := syscall.Kill(pid, step.signal); err != nil && err != syscall.ESRCH {
			return fmt.Errorf("the PostgreSQL already running there (process %d) belongs to somebody else: %w", pid, err)
		}
		for end := time.Now().Add(step.patience); time.Now().Before(end); pause(ctx, pollEvery) {
			if ctx.Err() != nil {
				return context.Cause(ctx)
			}
			if !serves(ctx, pid, h) {
				return nil
			}
		}
	}
	return fmt.Errorf("the PostgreSQL already running there (process %d) does not stop", pid)
}

// dropStalePidFile removes postmaster.pid when the number in it now belongs to some other program (or to a
// dead process that its parent has not collected): PostgreSQL would take that for a running server and refuse
// to start. It waits until the old server's shared memory is let go, so that no old session still writes. Where
// that cannot be seen the file is left to PostgreSQL.
func dropStalePidFile(ctx context.Context, h home) error {
	for end := time.Now().Add(retryFor); time.Now().Before(end); pause(ctx, pollEvery) {
		file, ok := readPidFile(h)
		if !ok || !alive(file.pid) || serves(ctx, file.pid, h) {
			return nil
		}
		attached, known := memoryInUse(file.memoryID)
		if !known {
			return nil
		}
		if !attached {
			return os.Remove(filepath.Join(h.data(), "postmaster.pid"))
		}
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
	}
	return nil
}

func alive(pid int) bool {
	err := syscall.Kill(pid, 0)
	return err == nil || err == syscall.EPERM
}

// serves reports whether the process is a postgres started on this data directory.
func serves(ctx context.Context, pid int, h home) bool {
	command, err := os.ReadFile(filepath.Join("/proc", strconv.Itoa(pid), "cmdline"))
	if os.IsNotExist(err) && !hasProc() {
		command, err = exec.CommandContext(ctx, "ps", "-ww", "-o", "command=", "-p", strconv.Itoa(pid)).Output()
	}
	words := strings.ReplaceAll(string(command), "\x00", " ")
	return err == nil && strings.Contains(words, "postgres") && strings.Contains(words, "-D "+h.data()+" ")
}

func hasProc() bool {
	_, err := os.Stat("/proc/self/cmdline")
	return err == nil
}

// memoryInUse reports whether any process is attached to a System V shared memory segment, where the system
// shows that (Linux).
func memoryInUse(id string) (attached, known bool) {
	table, err := os.ReadFile("/proc/sysvipc/shm")
	if err != nil {
		return false, false
	}
	for _, line := range strings.Split(string(table), "\n")[1:] {
		// key shmid perms size cpid lpid nattch ...
		if columns := strings.Fields(line); len(columns) > 6 && columns[1] == id {
			return columns[6] != "0", true
		}
	}
	return false, true
}
