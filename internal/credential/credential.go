// Package credential says who calls and how far they reach: keys, roles, scopes and grants.
package credential

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"math/big"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"

	"sillbook/internal/fault"
)

// Role is what a key may do; the contract lists the roles of each operation in x-roles.
type Role string

// The roles. Auditors are not a role: they come by a grant.
const (
	Owner   Role = "owner"
	Manager Role = "manager"
	Crew    Role = "crew"
	Sampler Role = "sampler"
	Reader  Role = "reader"
)

// Scope is a permission beside the role.
type Scope string

// The scopes. The restricted ones guard facts about pregnant residents and blood-lead cases.
const (
	RestrictedRead     Scope = "restricted:read"
	RestrictedWrite    Scope = "restricted:write"
	OrganizationsWrite Scope = "organizations:write"
)

// Presented is what a request brought: which key of which organization, and the hash of its secret.
type Presented struct {
	Organization uuid.UUID
	Key          uuid.UUID
	Hash         [sha256.Size]byte
}

// Caller is a checked credential: whose records the request works in, on whose behalf, and how far it reaches.
type Caller struct {
	Organization uuid.UUID // whose records
	Home         uuid.UUID // the organization the key belongs to
	Key          uuid.UUID
	Grant        uuid.UUID // the grant acted under, or uuid.Nil at home
	Role         Role
	Scopes       []Scope
	Properties   []uuid.UUID // nil: all
	Kinds        []string    // nil: all
	Until        time.Time   // zero: no end
}

// Has reports whether the caller has the scope.
func (c Caller) Has(s Scope) bool { return slices.Contains(c.Scopes, s) }

// Narrowed reports whether the caller is narrowed to some properties.
func (c Caller) Narrowed() bool { return c.Properties != nil }

// Sees reports whether a record of these properties lies within the caller's reach: all of them must. A record of no
// property belongs to the organization at large and is within everyone's reach.
func (c Caller) Sees(properties []uuid.UUID) bool {
	if c.Properties == nil {
		return true
	}
	for _, p := range properties {
		if !slices.Contains(c.Properties, p) {
			return false
		}
	}
	return true
}

// Covers reports whether records of the kind lie within the caller's reach.
func (c Caller) Covers(kind string) bool { return c.Kinds == nil || slices.Contains(c.Kinds, kind) }

// New makes a key for an organization: its text, shown once, and what of it is kept.
func New(organization, key uuid.UUID) (text string, kept Presented) {
	secret := make([]byte, 32)
	rand.Read(secret) // never fails: crypto/rand stops the program instead
	text = "sb_" + base62(organization[:]) + "_" + base62(key[:]) + "_" + base62(secret)
	return text, Presented{Organization: organization, Key: key, Hash: sha256.Sum256(secret)}
}

// Parse reads an Authorization header. It says nothing of whether the key exists.
func Parse(header string) (Presented, error) {
	scheme, text, ok := strings.Cut(header, " ")
	if header == "" || !ok || !strings.EqualFold(scheme, "Bearer") {
		return Presented{}, unauthenticated("no_credential", "The request has no credential.")
	}
	parts := strings.Split(text, "_")
	if len(parts) != 4 || parts[0] != "sb" {
		return Presented{}, unauthenticated("bad_credential", "The credential is not in the form of a key.")
	}
	var p Presented
	var secret [32]byte
	if !unbase62(parts[1], p.Organization[:]) || !unbase62(parts[2], p.Key[:]) || !unbase62(parts[3], secret[:]) {
		return Presented{}, unauthenticated("bad_credential", "The credential is not in the form of a key.")
	}
	p.Hash = sha256.Sum256(secret[:])
	return p, nil
}

// Matches compares hashes in constant time.
func (p Presented) Matches(hash []byte) bool { return subtle.ConstantTimeCompare(p.Hash[:], hash) == 1 }

// Refused is the answer to a credential that is unknown, expired or revoked: the same words for each.
func Refused() error {
	return unauthenticated("credential_refused", "The credential is not valid: it is unknown, expired or revoked.")
}

func unauthenticated(code, detail string) *fault.Error {
	return fault.New(fault.Unauthenticated, code, "%s", detail).
		Fix("Send Authorization: Bearer with a key of this service. An owner makes keys at POST /v1/keys.")
}

func base62(b []byte) string { return new(big.Int).SetBytes(b).Text(62) }

func unbase62(text string, into []byte) bool {
	if len(text) == 0 || len(text) > 44 || strings.ContainsAny(text, "+-") {
		return false
	}
	n, ok := new(big.Int).SetString(text, 62)
	if !ok || n.BitLen() > 8*len(into) {
		return false
	}
	n.FillBytes(into)
	return true
}

// Known reports whether there is such a role.
func (r Role) Known() bool { return slices.Contains([]Role{Owner, Manager, Crew, Sampler, Reader}, r) }

// Known reports whether there is such a scope.
func (s Scope) Known() bool {
	return slices.Contains([]Scope{RestrictedRead, RestrictedWrite, OrganizationsWrite}, s)
}
