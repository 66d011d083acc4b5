package localdb

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"

	"sillbook/internal/fault"
)

// oldest is the oldest major version of PostgreSQL that the migrations run on.
const oldest = 15

// installation is one set of PostgreSQL server binaries.
type installation struct {
	bin     string // their directory
	version string // "15.18"
	major   int
}

func (i installation) program(name string) string { return filepath.Join(i.bin, name) }

// installations lists what is installed and new enough, the preferred one first. SILLBOOK_POSTGRES_BIN, when
// set, is the only place looked at.
func installations(ctx context.Context) ([]installation, error) {
	var found []installation
	var tooOld []string
	for _, bin := range binDirs(ctx) {
		i, ok := inspect(ctx, bin)
		switch {
		case !ok || slices.ContainsFunc(found, func(f installation) bool { return f.bin == i.bin }):
		case i.major < oldest:
			tooOld = append(tooOld, fmt.Sprintf("%s has %s", i.bin, i.version))
		default:
			found = append(found, i)
		}
	}
	if len(found) == 0 {
		return nil, missing(tooOld)
	}
	return found, nil
}

// binDirs lists the directories where the binaries may be, most telling first.
func binDirs(ctx context.Context) []string {
	if named := os.Getenv("SILLBOOK_POSTGRES_BIN"); named != "" {
		return []string{named}
	}
	var dirs []string
	if out, err := exec.CommandContext(ctx, "pg_config", "--bindir").Output(); err == nil {
		dirs = append(dirs, strings.TrimSpace(string(out)))
	}
	for _, pattern := range []string{
		"/usr/lib/postgresql/*/bin", "/usr/pgsql-*/bin", "/usr/local/pgsql/bin", "/opt/homebrew/opt/postgresql@*/bin",
		"/opt/homebrew/bin", "/usr/local/opt/postgresql@*/bin",
	} {
		matches, _ := filepath.Glob(pattern)
		slices.SortFunc(matches, newestFirst)
		dirs = append(dirs, matches...)
	}
	if postgres, err := exec.LookPath("postgres"); err == nil {
		dirs = append(dirs, filepath.Dir(postgres))
	}
	return dirs
}

var digits = regexp.MustCompile(`\d+`)

// newestFirst orders directories by the last number in their path, 17 before 9.
func newestFirst(a, b string) int {
	number := func(s string) int {
		all := digits.FindAllString(s, -1)
		if len(all) == 0 {
			return 0
		}
		n, _ := strconv.Atoi(all[len(all)-1])
		return n
	}
	return number(b) - number(a)
}

var versionLine = regexp.MustCompile(`\(PostgreSQL\) ((\d+)[.\w]*)`)

// inspect asks the binaries in a directory for their version; false when there are none.
func inspect(ctx context.Context, bin string) (installation, bool) {
	if _, err := os.Stat(filepath.Join(bin, "initdb")); err != nil {
		return installation{}, false
	}
	out, err := exec.CommandContext(ctx, filepath.Join(bin, "postgres"), "--version").Output()
	m := versionLine.FindSubmatch(out)
	if err != nil || m == nil {
		return installation{}, false
	}
	if real, err := filepath.EvalSymlinks(bin); err == nil {
		bin = real
	}
	major, _ := strconv.Atoi(string(m[2]))
	return installation{bin: bin, version: string(m[1]), major: major}, true
}

// choose picks the installation for a directory: the one of the major version that made its data, or the
// preferred one when there are none yet.
func choose(installed []installation, h home) (installation, error) {
	made, err := os.ReadFile(filepath.Join(h.data(), "PG_VERSION"))
	if os.IsNotExist(err) {
		return installed[0], nil
	}
	if err != nil {
		return installation{}, startFault(h, err)
	}
	major, _ := strconv.Atoi(strings.TrimSpace(string(made)))
	for _, i := range installed {
		if i.major == major {
			return i, nil
		}
	}
	return installation{}, fault.New(fault.Unavailable, "database_version",
		"The data in %s were made by PostgreSQL %d; only %s is installed, in %s.", h, major, installed[0].version, installed[0].bin).
		Fix("Install PostgreSQL %d beside it, or name its binaries with SILLBOOK_POSTGRES_BIN.", major).
		Fix("Or move the data to the newer version with pg_upgrade or pg_dump.")
}

// missing says that no usable PostgreSQL was found, and the one command that installs it.
func missing(tooOld []string) error {
	detail := "No PostgreSQL is installed where it could be found."
	if named := os.Getenv("SILLBOOK_POSTGRES_BIN"); named != "" {
		detail = fmt.Sprintf("SILLBOOK_POSTGRES_BIN names %s, where there is no PostgreSQL server (initdb and postgres).", named)
	}
	if len(tooOld) > 0 {
		detail = fmt.Sprintf("The PostgreSQL installed here is too old: %s; %d or newer is needed.", strings.Join(tooOld, ", "), oldest)
	}
	return fault.New(fault.Unavailable, "postgres_missing", "%s To install it: %s", detail, installCommand()).
		Fix("%s", installCommand()).
		Fix("Or give --database-url (SILLBOOK_DATABASE_URL) of a PostgreSQL %d or newer.", oldest).
		Fix("Or name the directory of its binaries with SILLBOOK_POSTGRES_BIN.")
}

// installCommand is what installs PostgreSQL on this system.
func installCommand() string {
	if runtime.GOOS == "darwin" {
		return "brew install postgresql@17"
	}
	for _, manager := range []struct{ program, command string }{
		{"apt-get", "sudo apt-get install postgresql"},
		{"dnf", "sudo dnf install postgresql-server"},
		{"zypper", "sudo zypper install postgresql-server"},
		{"apk", "sudo apk add postgresql"},
		{"pacman", "sudo pacman -S postgresql"},
	} {
		if _, err := exec.LookPath(manager.program); err == nil {
			return manager.command
		}
	}
	return "sudo apt-get install postgresql (or what your system calls the PostgreSQL server)"
}
