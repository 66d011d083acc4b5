// Package archtest holds the shape of the house: who may import whom, what the ground floor may touch, what lies where.
package archtest

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"path"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

const module = "sillbook/"

// ground is the ground floor: what each of its packages may import of ours and of others. A package that is not here
// may not lie under internal/trade.
var ground = map[string][]string{
	"internal/fault": nil,
	"internal/evidence": {
		"golang.org/x/mod/sumdb/tlog", "golang.org/x/mod/sumdb/note",
		// The canonical form (RFC 8785) is the first thing that is hashed; the library that writes it is the one that
		// parses JSON everywhere else.
		"github.com/go-json-experiment/json/jsontext",
	},
	"internal/trade/measure": {
		"internal/fault", // and no decimal library: rationals of the standard library are exact, and enough
	},
	"internal/trade/calendar": {"internal/fault"},
	"internal/trade/law": {
		"internal/trade/measure", "internal/trade/calendar",
		"internal/fault", // a parameter file that cannot be read is the one error type, as everywhere
		// one YAML decoder, with the syntax tree that tells a refused file's line
		"github.com/goccy/go-yaml", "github.com/goccy/go-yaml/ast", "github.com/goccy/go-yaml/parser",
	},
	"internal/trade/home":       above("internal/trade/law"),
	"internal/trade/practice":   above("internal/trade/law"),
	"internal/trade/crew":       above("internal/trade/law"),
	"internal/trade/clearance":  above("internal/trade/law"),
	"internal/trade/waste":      above("internal/trade/law"),
	"internal/trade/assistance": above("internal/trade/law", "internal/trade/home"),
	"internal/trade/bloodlead":  above("internal/trade/law", "internal/trade/home"),
	"internal/trade/renovation": above("internal/trade/law", "internal/trade/home", "internal/trade/practice", "internal/trade/crew",
		"internal/trade/clearance", "internal/trade/waste", "internal/trade/assistance"),
	"internal/trade": above("internal/trade/law", "internal/trade/home", "internal/trade/practice", "internal/trade/crew", "internal/trade/clearance",
		"internal/trade/waste", "internal/trade/assistance", "internal/trade/bloodlead", "internal/trade/renovation", "internal/trade/duty"),
	"internal/trade/duty": above("internal/trade/law", "internal/trade/home", "internal/trade/practice", "internal/trade/crew",
		"internal/trade/clearance", "internal/trade/waste", "internal/trade/assistance", "internal/trade/bloodlead", "internal/trade/renovation"),
}

// above are the imports of a package that stands on others: the vocabulary of the law is theirs too.
func above(packages ...string) []string {
	return append(packages, "internal/fault", "internal/trade/measure", "internal/trade/calendar")
}

// unclean are the packages of the standard library that do I/O, tell the time of day or keep global state. "x/" stands
// for x and all below it.
var unclean = []string{"net/", "database/", "os/", "io/fs", "io/ioutil", "syscall/", "log/", "plugin", "embed", "crypto/rand", "math/rand/",
	"path/filepath", "runtime/", "unsafe", "expvar", "flag", "testing/"}

// unpure are the exceptions, with the reason.
var unpure = map[string][]string{
	"internal/trade/law": {"embed", "io/fs"}, // the parameter files are part of the program; reading them is no I/O at run time
	"internal/evidence":  {"crypto/rand"},    // a salt must be random, and everything hashed with one takes it as an argument
}

// sole are the packages that only some may import, tests included.
var sole = []struct {
	what    string // a path, or with a slash at the end everything below it
	who     []string
	inTests []string // beside who
}{
	{what: "github.com/jackc/pgx/", who: []string{"internal/postgres",
		"internal/app/bench", // measures the store against what is not the store
		"internal/pgtest"},   // makes and drops the tests' databases; no part of the program
		inTests: []string{"internal/localdb"}}, // asks the server it started whether it answers
	{what: "github.com/pressly/goose/", who: []string{"internal/postgres"}},
	{what: "database/sql", who: []string{"internal/postgres"}}, // what goose takes
	{what: "github.com/labstack/echo/", who: []string{"internal/httpapi", "api"}},
	{what: "cel.dev/", who: []string{"internal/overlay"}},
	{what: "github.com/minio/", who: []string{"internal/object"}},
	{what: "github.com/gabriel-vasile/", who: []string{"internal/object"}},
	{what: "github.com/testcontainers/", who: []string{"internal/pgtest"}},
	{what: module + "api", who: []string{"api/client", "internal/httpapi", "internal/form",
		"internal/contracttest", // decodes answers as a client would
		"internal/app/demo"},    // is a client: it tells its story through the generated one
		inTests: []string{"internal/archtest"}}, // lints the contract's text
	{what: module + "internal/pgtest", who: []string{"internal/contracttest", "internal/pgtest/withpostgres"},
		inTests: []string{"internal/postgres", "internal/httpapi", "internal/feed", "internal/worker", "internal/app", "internal/app/bench", "cmd/sillbook"}},
	{what: module + "internal/contracttest", inTests: []string{"internal/httpapi", "internal/form", "internal/app"}},
}

// pack is what the go command says of a package.
type pack struct {
	ImportPath, Name, Dir              string
	Standard                           bool
	Imports, TestImports, XTestImports []string
	Deps                               []string
}

// own is the package's path within the module.
func (p pack) own() string { return strings.TrimPrefix(p.ImportPath, module) }

// listed asks the go command once for all packages of the module and all that they depend on.
var listed = sync.OnceValues(func() ([]pack, error) {
	cmd := exec.Command("go", "list", "-deps", "-json=ImportPath,Name,Dir,Standard,Imports,TestImports,XTestImports,Deps", "./...")
	cmd.Dir = "../.."
	out, err := cmd.Output()
	if err != nil {
		return nil, err
	}
	var list []pack
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p pack
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return list, nil
		} else if err != nil {
			return nil, err
		}
		list = append(list, p)
	}
})

// ours are the module's packages.
func ours(t *testing.T) []pack {
	t.Helper()
	all, err := listed()
	require.NoError(t, err)
	var list []pack
	for _, p := range all {
		if strings.HasPrefix(p.ImportPath, module) {
			list = append(list, p)
		}
	}
	require.Greater(t, len(list), 10, "the module has been found")
	return list
}

// falls reports whether a path is the pattern, or lies below one with a slash at its end.
func falls(importPath, pattern string) bool {
	return importPath == strings.TrimSuffix(pattern, "/") || strings.HasSuffix(pattern, "/") && strings.HasPrefix(importPath, pattern)
}

func standard(importPath string) bool {
	first, _, _ := strings.Cut(importPath, "/")
	return !strings.Contains(first, ".") && !strings.HasPrefix(importPath, module)
}

func TestGroundFloorImportsOnlyWhatTheDrawingAllows(t *testing.T) {
	t.Parallel()
	for _, p := range ours(t) {
		allowed, onTheGround := ground[p.own()]
		if !onTheGround {
			require.False(t, strings.HasPrefix(p.own(), "internal/trade/"), "%s is not in the drawing", p.own())
			continue
		}
		for _, imported := range p.Imports {
			if standard(imported) {
				continue
			}
			require.Contains(t, allowed, strings.TrimPrefix(imported, module), "%s imports %s", p.own(), imported)
		}
	}
}

func TestGroundFloorDoesNoIOAndKeepsNoState(t *testing.T) {
	t.Parallel()
	for _, p := range ours(t) {
		if _, onTheGround := ground[p.own()]; !onTheGround {
			continue
		}
		for _, imported := range p.Imports {
			for _, pattern := range unclean {
				if falls(imported, pattern) {
					require.Contains(t, unpure[p.own()], imported, "%s imports %s", p.own(), imported)
				}
			}
		}
	}
}

func TestEachTechnologyHasOneAdapter(t *testing.T) {
	t.Parallel()
	for _, rule := range sole {
		for _, p := range ours(t) {
			if falls(p.ImportPath, rule.what) {
				continue
			}
			for _, imported := range p.Imports {
				if falls(imported, rule.what) {
					require.Contains(t, rule.who, p.own(), "%s imports %s", p.own(), imported)
				}
			}
			for _, imported := range slices.Concat(p.TestImports, p.XTestImports) {
				if falls(imported, rule.what) {
					require.Contains(t, slices.Concat(rule.who, rule.inTests), p.own(), "a test of %s imports %s", p.own(), imported)
				}
			}
		}
	}
}

// floors are the packages above the ground, lowest first: none imports one that stands above it. Packages on one line
// may know each other.
var floors = [][]string{
	{"migrations", "api", "internal/credential"},
	{"internal/postgres", "internal/localdb", "internal/overlay", "internal/object"},
	{"internal/form", "internal/feed", "internal/hook", "internal/document"},
	{"internal/httpapi"},
	{"internal/worker"},
	{"internal/app"},
	{"internal/app/bench", "internal/app/demo"},
	{"cmd/sillbook"},
}

func TestImportsRunDownwards(t *testing.T) {
	t.Parallel()
	floor := map[string]int{}
	for level, packages := range floors {
		for _, p := range packages {
			floor[p] = level
		}
	}
	for _, p := range ours(t) {
		level, placed := floor[p.own()]
		for _, imported := range p.Imports {
			if over, there := floor[strings.TrimPrefix(imported, module)]; there && placed {
				require.LessOrEqual(t, over, level, "%s imports %s, which stands above it", p.own(), imported)
			}
		}
	}
}

// The binary carries nothing that only tests and tools need.
func TestBinaryCarriesNoTestCode(t *testing.T) {
	t.Parallel()
	for _, p := range ours(t) {
		if !strings.HasPrefix(p.own(), "cmd/") {
			continue
		}
		for _, dep := range p.Deps {
			for _, unwanted := range []string{"testing/", "net/http/httptest", "github.com/stretchr/", "github.com/testcontainers/", "pgregory.net/",
				module + "internal/pgtest/", module + "internal/contracttest"} {
				require.False(t, falls(dep, unwanted), "%s carries %s", p.own(), dep)
			}
		}
	}
}

func TestNoPackageIsNamedForWhatItIsMadeOf(t *testing.T) {
	t.Parallel()
	for _, p := range ours(t) {
		for part := range strings.SplitSeq(p.own(), "/") {
			require.NotContains(t, []string{"util", "utils", "common", "helper", "helpers", "model", "models", "types", "misc", "shared"}, part, p.own())
		}
		if p.Name != "main" {
			require.Equal(t, path.Base(p.ImportPath), p.Name, "a package is named as its folder")
		}
	}
}
