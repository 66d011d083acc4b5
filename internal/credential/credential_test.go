package credential_test

import (
	"bytes"
	"crypto/sha256"
	"math/big"
	"strings"
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/credential"
	"sillbook/internal/fault"
)

func TestKeyIsReadBackAsItWasMade(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		organization := uuid.UUID(rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "organization"))
		key := uuid.UUID(rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "key"))
		text, kept := credential.New(organization, key)

		read, err := credential.Parse("Bearer " + text)
		require.NoError(t, err)
		require.Equal(t, kept, read)
		require.Equal(t, organization, read.Organization)
		require.Equal(t, key, read.Key)
		require.True(t, kept.Matches(read.Hash[:]))
	})
}

// A secret has 256 bits and is kept as their SHA-256; neither the secret nor its text is in what is kept.
func TestSecretIsKeptHashed(t *testing.T) {
	t.Parallel()
	text, kept := credential.New(uuid.New(), uuid.New())
	parts := strings.Split(text, "_")
	require.Len(t, parts, 4)

	n, ok := new(big.Int).SetString(parts[3], 62)
	require.True(t, ok)
	secret := n.FillBytes(make([]byte, 32))
	require.Equal(t, sha256.Sum256(secret), kept.Hash)
	require.False(t, bytes.Contains(kept.Hash[:], secret[:8]))
}

func TestTwoKeysHaveTwoSecrets(t *testing.T) {
	t.Parallel()
	organization, key := uuid.New(), uuid.New()
	_, first := credential.New(organization, key)
	_, second := credential.New(organization, key)

	require.False(t, first.Matches(second.Hash[:]))
	require.False(t, first.Matches(nil))
	require.False(t, first.Matches(first.Hash[:31]))
}

func TestParseTakesTheSchemeInAnyCase(t *testing.T) {
	t.Parallel()
	text, kept := credential.New(uuid.New(), uuid.New())
	for _, scheme := range []string{"Bearer", "bearer", "BEARER"} { // RFC 9110 section 11.1: case-insensitive
		read, err := credential.Parse(scheme + " " + text)
		require.NoError(t, err, scheme)
		require.Equal(t, kept, read, scheme)
	}
}

func TestParseRefusesWhatIsNotAKey(t *testing.T) {
	t.Parallel()
	text, _ := credential.New(uuid.New(), uuid.New())
	parts := strings.Split(text, "_")
	longest := strings.Repeat("Z", 22) // over 128 bits in base 62
	for name, c := range map[string]struct{ header, code string }{
		"no header":                        {"", "no_credential"},
		"a key without a scheme":           {text, "no_credential"},
		"another scheme":                   {"Basic " + text, "no_credential"},
		"a scheme alone":                   {"Bearer ", "bad_credential"},
		"another prefix":                   {"Bearer sk_" + strings.Join(parts[1:], "_"), "bad_credential"},
		"a part missing":                   {"Bearer " + strings.Join(parts[:3], "_"), "bad_credential"},
		"a part too many":                  {"Bearer " + text + "_0", "bad_credential"},
		"an empty secret":                  {"Bearer " + strings.Join(parts[:3], "_") + "_", "bad_credential"},
		"a sign in a number":               {"Bearer sb_+" + parts[1][1:] + "_" + parts[2] + "_" + parts[3], "bad_credential"},
		"a negative secret":                {"Bearer " + strings.Join(parts[:3], "_") + "_-1", "bad_credential"},
		"a character outside base 62":      {"Bearer " + text[:len(text)-1] + "!", "bad_credential"},
		"two spaces":                       {"Bearer  " + text, "bad_credential"},
		"an organization over 128 bits":    {"Bearer sb_" + longest + "_" + parts[2] + "_" + parts[3], "bad_credential"},
		"a secret over 256 bits":           {"Bearer " + strings.Join(parts[:3], "_") + "_" + strings.Repeat("Z", 43), "bad_credential"},
		"a secret of a million digits":     {"Bearer " + strings.Join(parts[:3], "_") + "_" + strings.Repeat("1", 1_000_000), "bad_credential"},
		"a digit of another script":        {"Bearer " + strings.Join(parts[:3], "_") + "_\u0663", "bad_credential"},
		"an underscore between two digits": {"Bearer sb_1_000_2_3", "bad_credential"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := credential.Parse(c.header)
			require.True(t, fault.Is(err, fault.Unauthenticated))
			require.Equal(t, c.code, fault.As(err).Code)
			require.NotEmpty(t, fault.As(err).Fixes, "it says where keys come from")
		})
	}
}

// Whoever guesses must not learn whether a key exists, was revoked or has ended.
func TestRefusedSaysTheSameOfEach(t *testing.T) {
	t.Parallel()
	err := fault.As(credential.Refused())

	require.Equal(t, fault.Unauthenticated, err.Kind)
	require.Equal(t, "credential_refused", err.Code)
	require.Contains(t, err.Detail, "unknown, expired or revoked")
}

func TestCallerReaches(t *testing.T) {
	t.Parallel()
	mine, also, theirs := uuid.New(), uuid.New(), uuid.New()
	all := credential.Caller{}
	narrowed := credential.Caller{Properties: []uuid.UUID{mine, also}, Kinds: []string{"unit", "renovation"}}
	none := credential.Caller{Properties: []uuid.UUID{}, Kinds: []string{}}

	for _, c := range []struct {
		name       string
		caller     credential.Caller
		properties []uuid.UUID
		sees       bool
	}{
		{"a caller that is not narrowed sees every property", all, []uuid.UUID{theirs}, true},
		{"a narrowed one sees its own", narrowed, []uuid.UUID{also}, true},
		{"a narrowed one does not see another", narrowed, []uuid.UUID{theirs}, false},
		{"a record of two properties needs both", narrowed, []uuid.UUID{mine, theirs}, false},
		{"a record of no property is the organization's", narrowed, nil, true},
		{"narrowed to nothing sees no property", none, []uuid.UUID{mine}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			require.Equal(t, c.sees, c.caller.Sees(c.properties))
		})
	}
	require.False(t, all.Narrowed())
	require.True(t, none.Narrowed(), "no property is not every property")
	require.True(t, all.Covers("blood_lead_case"))
	require.True(t, narrowed.Covers("renovation"))
	require.False(t, narrowed.Covers("occupancy"))
	require.False(t, none.Covers("unit"), "no kind is not every kind")
}

// To write restricted facts is not to read them, and no role brings a scope.
func TestScopesAreGivenOneByOne(t *testing.T) {
	t.Parallel()
	c := credential.Caller{Role: credential.Owner, Scopes: []credential.Scope{credential.RestrictedWrite}}

	require.True(t, c.Has(credential.RestrictedWrite))
	require.False(t, c.Has(credential.RestrictedRead))
	require.False(t, c.Has(credential.OrganizationsWrite))
}

func TestOnlyRolesAndScopesOfTheBookAreKnown(t *testing.T) {
	t.Parallel()
	for _, r := range []credential.Role{credential.Owner, credential.Manager, credential.Crew, credential.Sampler, credential.Reader} {
		require.True(t, r.Known(), r)
	}
	for _, r := range []credential.Role{"", "Owner", "auditor"} {
		require.False(t, r.Known(), r)
	}
	for _, s := range []credential.Scope{credential.RestrictedRead, credential.RestrictedWrite, credential.OrganizationsWrite} {
		require.True(t, s.Known(), s)
	}
	for _, s := range []credential.Scope{"", "restricted", "restricted_read"} {
		require.False(t, s.Known(), s)
	}
}
