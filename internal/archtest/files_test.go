package archtest

import (
	"bytes"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const root = "../.."

func TestTopLevelIsTheDrawing(t *testing.T) {
	t.Parallel()
	drawn := []string{"api", "cmd", "internal", "migrations", "deploy", "testdata", "openapi.yaml", "go.mod", "go.sum", "Dockerfile",
		"README.md", "DEVELOPERS.md", "Makefile", "LICENSE"}
	made := []string{"bin", "data"} // by make build and by sillbook serve; .gitignore has them
	entries, err := os.ReadDir(root)
	require.NoError(t, err)
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") {
			require.Contains(t, append(drawn, made...), e.Name())
		}
	}
	for _, needed := range []string{"api", "cmd", "internal", "migrations", "deploy", "testdata", "openapi.yaml", "Makefile", "LICENSE", ".ci"} {
		_, err := os.Stat(filepath.Join(root, needed))
		require.NoError(t, err)
	}
}

func TestFilesFitInAFewScreens(t *testing.T) {
	t.Parallel()
	eachGoFile(t, root, func(name string, text []byte) {
		lines := bytes.Count(text, []byte("\n"))
		if filepath.Base(name) == "main.go" {
			require.Less(t, lines, 100, name)
		}
		require.LessOrEqual(t, lines, 500, "%s: one file is one idea; split it", name)
	})
}

// The ground floor is told the time; it never asks. Sleeping, timers and the environment are refused with it.
func TestGroundFloorNeverAsksForTheTime(t *testing.T) {
	t.Parallel()
	refused := map[string][]string{"time": {"Now", "Since", "Until", "Sleep", "After", "AfterFunc", "Tick", "NewTimer", "NewTicker", "Local", "LoadLocation"}}
	for folder := range ground {
		dir := filepath.Join(root, folder)
		if _, err := os.Stat(dir); err != nil {
			continue // not built yet
		}
		eachGoFile(t, dir, func(name string, text []byte) {
			if strings.HasSuffix(name, "_test.go") {
				return
			}
			file, err := parser.ParseFile(token.NewFileSet(), name, text, 0)
			require.NoError(t, err)
			ast.Inspect(file, func(n ast.Node) bool {
				if s, ok := n.(*ast.SelectorExpr); ok {
					if x, ok := s.X.(*ast.Ident); ok && x.Obj == nil {
						require.NotContains(t, refused[x.Name], s.Sel.Name, "%s uses %s.%s", name, x.Name, s.Sel.Name)
					}
				}
				return true
			})
		})
	}
}

// A ground-floor function's answer depends on its arguments alone: variables of a package are tables filled once, never
// assigned to afterwards.
func TestGroundFloorNeverAssignsToAPackagesVariables(t *testing.T) {
	t.Parallel()
	for folder := range ground {
		dir := filepath.Join(root, folder)
		if _, err := os.Stat(dir); err != nil {
			continue // not built yet
		}
		eachGoFile(t, dir, func(name string, text []byte) {
			if strings.HasSuffix(name, "_test.go") {
				return
			}
			file, err := parser.ParseFile(token.NewFileSet(), name, text, 0)
			require.NoError(t, err)
			ast.Inspect(file, func(n ast.Node) bool {
				if a, ok := n.(*ast.AssignStmt); ok && a.Tok != token.DEFINE {
					for _, left := range a.Lhs {
						require.False(t, packageVariable(file, left), "%s assigns to a variable of the package", name)
					}
				}
				return true
			})
		})
	}
}

// packageVariable reports whether an expression is, or indexes, a variable declared outside functions.
func packageVariable(file *ast.File, e ast.Expr) bool {
	switch e := e.(type) {
	case *ast.IndexExpr:
		return packageVariable(file, e.X)
	case *ast.SelectorExpr:
		return packageVariable(file, e.X)
	case *ast.Ident:
		return e.Obj != nil && e.Obj.Kind == ast.Var && file.Scope.Lookup(e.Name) == e.Obj
	}
	return false
}

// eachGoFile calls do with every Go file of the tree that people wrote.
func eachGoFile(t *testing.T, dir string, do func(name string, text []byte)) {
	t.Helper()
	found := 0
	require.NoError(t, filepath.WalkDir(dir, func(name string, e fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if e.IsDir() && name != dir && (strings.HasPrefix(e.Name(), ".") && e.Name() != ".." || e.Name() == "bin" || e.Name() == "data") {
			return fs.SkipDir
		}
		if e.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, ".gen.go") {
			return nil
		}
		text, err := os.ReadFile(name)
		found++
		do(name, text)
		return err
	}))
	require.Positive(t, found, dir)
}
