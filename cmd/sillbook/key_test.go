package main

import (
	"bytes"
	"context"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/spf13/cobra"
	"github.com/stretchr/testify/require"

	"sillbook/internal/credential"
	"sillbook/internal/pgtest"
	"sillbook/internal/postgres"
	"sillbook/internal/trade/law"
)

// run calls the command line as a person would, and gives what it printed.
func run(t *testing.T, command *cobra.Command, args ...string) (string, error) {
	t.Helper()
	var out bytes.Buffer
	command.SetArgs(args)
	command.SetOut(&out)
	command.SilenceUsage, command.SilenceErrors = true, true
	command.PersistentPreRunE = fromEnvironment
	err := command.ExecuteContext(t.Context())
	return out.String(), err
}

func TestKeysAreMadeAndRevokedAtTheDatabase(t *testing.T) {
	t.Parallel()
	url := pgtest.Database(t).Super
	printed, err := run(t, key(), "first", "Fernhill Homes", "--database-url", url)
	require.NoError(t, err)
	first := parse(t, printed)
	require.Equal(t, credential.Owner, caller(t, url, first).Role)
	require.True(t, caller(t, url, first).Has(credential.OrganizationsWrite))

	printed, err = run(t, key(), "make", first.Organization.String(), "--role", "manager", "--scope", "restricted:read", "--database-url", url)
	require.NoError(t, err)
	second := parse(t, printed)
	require.Equal(t, first.Organization, second.Organization)
	require.Equal(t, []credential.Scope{credential.RestrictedRead}, caller(t, url, second).Scopes)

	_, err = run(t, key(), "revoke", first.Organization.String(), second.Key.String(), "--database-url", url)
	require.NoError(t, err)
	_, err = open(t, url).Authenticate(t.Context(), second, uuid.Nil)
	require.ErrorContains(t, err, "credential_refused")

	for says, args := range map[string][]string{
		"--database-url":                   {"first", "Nowhere"},
		"no organization":                  {"make", uuid.NewString(), "--database-url", url},
		"not owner, manager":               {"make", first.Organization.String(), "--role", "king", "--database-url", url},
		"not restricted:read":              {"make", first.Organization.String(), "--scope", "all", "--database-url", url},
		"not a key's identifier":           {"revoke", first.Organization.String(), "12", "--database-url", url},
		"not an organization's identifier": {"make", "12", "--database-url", url},
	} {
		_, err := run(t, key(), args...)
		require.ErrorContains(t, err, says)
	}
}

func TestMigrateSaysWhatItDid(t *testing.T) {
	t.Parallel()
	url := pgtest.Empty(t).Super
	printed, err := run(t, migrate(), "--database-url", url)
	require.NoError(t, err)
	require.Regexp(t, `The schema is current; [1-9]\d* steps were taken`, printed)
	printed, err = run(t, migrate(), "--database-url", url)
	require.NoError(t, err)
	require.Contains(t, printed, "0 steps were taken")
	_, err = run(t, migrate())
	require.ErrorContains(t, err, "--database-url")
}

func parse(t *testing.T, printed string) credential.Presented {
	t.Helper()
	p, err := credential.Parse("Bearer " + string(bytes.TrimSpace([]byte(printed))))
	require.NoError(t, err)
	return p
}

func caller(t *testing.T, url string, p credential.Presented) credential.Caller {
	t.Helper()
	c, err := open(t, url).Authenticate(context.WithoutCancel(t.Context()), p, uuid.Nil)
	require.NoError(t, err)
	return c
}

func open(t *testing.T, url string) *postgres.Store {
	t.Helper()
	book, err := law.Embedded()
	require.NoError(t, err)
	store, err := postgres.Open(t.Context(), postgres.Options{URL: url, Connections: 2, Law: book, Now: time.Now})
	require.NoError(t, err)
	t.Cleanup(store.Close)
	return store
}
