package localdb

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/internal/fault"
)

func TestDataKeepTheMajorVersionThatMadeThem(t *testing.T) {
	t.Parallel()
	installed := []installation{{"/newer", "17.2", 17}, {"/older", "15.9", 15}}
	for _, c := range []struct{ name, made, bin, code string }{
		{"no data yet: the preferred one", "", "/newer", ""},
		{"made by 15: the older one", "15\n", "/older", ""},
		{"made by 16: neither will do", "16\n", "", "database_version"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			h := home(t.TempDir())
			if c.made != "" {
				require.NoError(t, os.Mkdir(h.data(), 0o700))
				require.NoError(t, os.WriteFile(filepath.Join(h.data(), "PG_VERSION"), []byte(c.made), 0o600))
			}
			got, err := choose(installed, h)
			require.Equal(t, c.bin, got.bin)
			if c.code != "" {
				require.Equal(t, c.code, fault.As(err).Code)
				require.Contains(t, fault.As(err).Detail, "PostgreSQL 16")
			} else {
				require.NoError(t, err)
			}
		})
	}
}

func TestNewestVersionComesFirst(t *testing.T) {
	t.Parallel()
	dirs := []string{"/usr/lib/postgresql/9.6/bin", "/usr/lib/postgresql/15/bin", "/usr/lib/postgresql/17/bin"}
	slices.SortFunc(dirs, newestFirst)
	require.Equal(t, "/usr/lib/postgresql/17/bin", dirs[0])
}

func TestOldPostgresIsNamedInTheMessage(t *testing.T) {
	t.Parallel()
	f := fault.As(missing([]string{"/usr/lib/postgresql/14/bin has 14.11"}))
	require.Equal(t, fault.Unavailable, f.Kind)
	require.Contains(t, f.Detail, "14.11; 15 or newer is needed")
}
