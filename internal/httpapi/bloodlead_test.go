package httpapi_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/internal/contracttest"
	"sillbook/internal/credential"
	"sillbook/internal/postgres"
)

// aBloodLeadCase has markers in it: a level, an attempt count and a year that nothing else here says by chance.
const aBloodLeadCase = `{"as_of":"2026-04-20","programme":"public_housing","source":"elsewhere","notified_on":"2026-04-08","verification_attempts":73,
	"tests":[{"drawn_on":"2026-04-01","level":{"value":"36.73","unit":"ug/dL"}}],"build_year":1873}`

func TestS8BloodLeadCasesAreAnsweredToThoseWithTheScopeOnly(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	rehearsed := `{"calculation":"blood-lead-case","under":{"rule_set":"` + ruleSet(t, s) + `"},"facts":` + aBloodLeadCase + `}`
	for path, body := range map[string]string{"/v1/calculations/blood-lead-case": aBloodLeadCase, "/v1/calculations/rehearsal": rehearsed} {
		a := s.Owner().Post(path, body).Is(200)
		require.Contains(t, string(a.Body), "36.73", "who has the scope is told")
		require.Equal(t, "no-store", a.Header.Get("Cache-Control"), path)
		for _, role := range everyRole {
			refused := s.Client(s.Key(postgres.Key{Name: string(role), Role: role})).Post(path, body)
			require.Equal(t, 403, refused.Status, "%s as %s: %s", path, role, refused.Body)
			for _, marker := range []string{"36.73", "1873", "73"} {
				require.NotContains(t, refused.JSON()["detail"], marker)
			}
			if role == credential.Owner {
				require.Equal(t, "no-store", refused.Header.Get("Cache-Control"), path)
				refused.Problem(403, "restricted")
			}
		}
		require.Equal(t, 403, s.Client(s.Key(postgres.Key{Name: "Crew", Role: credential.Crew, Scopes: everyScope})).Post(path, body).Status, "crews see no cases")
	}
	wrong := s.Owner().Post("/v1/calculations/blood-lead-case", `{"as_of":"2026-04-20","notified_on":"2026-04-08","tests":[{"drawn_on":"2026-04-01","level":{"value":"36.73","unit":"ug/m3"}}]}`)
	wrong.Problem(422, "implausible")
	require.Equal(t, "no-store", wrong.Header.Get("Cache-Control"))
	for _, marker := range []string{"36.73", "ug/dL", "1873", "public_housing"} {
		require.NotContains(t, s.Log.String(), marker, "nothing of a case is logged")
	}
	require.Empty(t, s.Owner().Post("/v1/calculations/coverage", `{"as_of":"2026-03-02","kind":"dwelling"}`).Is(200).Header.Get("Cache-Control"), "what is not restricted is as before")
}

func TestAGrantReachesBloodLeadCasesOnlyIfItIsRestricted(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	for name, restricted := range map[string]bool{"County": true, "Shop": false} {
		other, key := s.Open(name)
		s.Owner().Post("/v1/grants", map[string]any{"name": name, "grantee_organization_id": other, "access": "read", "restricted": restricted}).Is(201)
		a := s.Client(key).With("Sillbook-Organization", s.Organization.String()).Post("/v1/calculations/blood-lead-case", aBloodLeadCase)
		if restricted {
			a.Is(200)
		} else {
			a.Problem(403, "restricted")
		}
	}
}

func ruleSet(t *testing.T, s *contracttest.Service) string {
	t.Helper()
	set, ok := s.Owner().Get("/v1/law/rules").Is(200).JSON()["rule_set"].(string)
	require.True(t, ok)
	return set
}
