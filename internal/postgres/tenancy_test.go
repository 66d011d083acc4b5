package postgres_test

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"reflect"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"sillbook/internal/credential"
	"sillbook/internal/fault"
	"sillbook/internal/pgtest"
	"sillbook/internal/postgres"
	"sillbook/internal/trade/law"
)

// book is a store and one organization in it, whose owner calls.
type book struct {
	*postgres.Store
	call postgres.Call
	key  string
}

var testTime = time.Date(2026, time.April, 20, 16, 0, 0, 0, time.UTC)

func newStore(t testing.TB, db pgtest.URLs) *postgres.Store {
	t.Helper()
	book, err := law.Embedded()
	require.NoError(t, err)
	s, err := postgres.Open(t.Context(), postgres.Options{URL: db.Super, Connections: 4, Law: book, Now: func() time.Time { return testTime }})
	require.NoError(t, err)
	t.Cleanup(s.Close)
	return s
}

func openBook(t testing.TB, s *postgres.Store) book {
	t.Helper()
	all := []credential.Scope{credential.RestrictedRead, credential.RestrictedWrite}
	outcome, key, text, err := s.OpenOrganization(t.Context(), postgres.Call{Operation: "test", RequestID: "test"}, "Fernhill Homes",
		postgres.Key{Name: "Owner", Role: credential.Owner, Scopes: all})
	require.NoError(t, err)
	id := outcome.Record.ID
	return book{s, postgres.Call{Operation: "Test", RequestID: "test",
		Caller: credential.Caller{Organization: id, Home: id, Key: key.ID, Role: credential.Owner, Scopes: all}}, text}
}

// specimens are the members that a record of each kind needs; references are filled in from the specimens before.
var specimens = map[string]string{
	"property": `{"name":"Alder Court","time_zone":"America/New_York"}`, "building": `{"name":"House A"}`,
	"unit": `{"name":"2B","kind":"dwelling","external_ids":[{"system":"rentals","value":"U-1"}]}`, "room": `{"name":"Kitchen","kind":"room"}`,
	"exterior_side": `{"name":"Side A","kind":"wall_side"}`,
	"occupancy":     `{"from":"2025-09-01","pregnant_residents":1,"under_six_until":"2029-11"}`,
	"facility":      `{"name":"Transfer station"}`, "overlay": `{"jurisdiction":"us-zz","title":"Ordinance"}`,
	"firm": `{"name":"Fernhill Repairs"}`, "person": `{"name":"R. Example"}`,
	"certificate": `{"discipline":"renovator","basis":"initial","issuer":"epa","issued_on":"2024-02-01"}`, "renovation": `{"name":"Sills","state":"drafted"}`,
	"small_repair": `{"done_on":"2026-04-01","outcome":"minor"}`, "notice": `{}`, "protection": `{}`, "verification": `{}`,
	"clearance": `{"sampled_at":"2026-04-01T15:00:00Z","outcome":"passed"}`, "container": `{"label":"B-1"}`, "trip": `{}`,
	"observation": `{"kind":"sign_posted","happened_at":"2026-04-01T15:00:00Z","told_at":"2026-04-01T15:00:00Z","by":"K. Example"}`,
	"finding":     `{"code":"no_notice","detail":"No notice was given.","subject_kind":"unit","state":"open","blocks":false,"opened_on":"2026-04-01","steps":[]}`,
	"attachment":  `{"subject_kind":"unit","kind":"photo","title":"Sills","content_type":"image/jpeg","restricted":false}`,
}

// inOrder are the kinds, each after those it refers to.
var inOrder = []string{"property", "building", "unit", "room", "exterior_side", "occupancy", "facility", "overlay", "firm", "person",
	"certificate", "renovation", "observation", "small_repair",
	"notice", "protection", "verification", "clearance", "container", "trip", "finding", "attachment"}

// fill records one of each kind.
func (b book) fill(t testing.TB) map[string]uuid.UUID {
	t.Helper()
	made := map[string]uuid.UUID{}
	for _, kind := range inOrder {
		draft, err := postgres.DraftOf([]byte(specimens[kind]))
		require.NoError(t, err)
		for field, target := range postgres.ReferencesOf(kind) {
			if kind == "room" && field == "building_id" || kind == "small_repair" && field == "exterior_side_id" {
				continue // one of the two places
			}
			if kind == "certificate" && field == "firm_id" {
				continue // one of the two holders
			}
			require.NoError(t, draft.Set(field, made[target]))
		}
		switch kind {
		case "building":
			require.NoError(t, draft.Set("property_id", made["property"]))
		case "renovation", "finding", "trip", "attachment":
			draft.Properties = []uuid.UUID{made["property"]}
		}
		if kind == "finding" || kind == "attachment" {
			require.NoError(t, draft.Set("subject_id", made["unit"]))
		}
		call := b.call
		call.IdempotencyKey, call.Fingerprint = "make "+kind, []byte(kind)
		outcome, err := b.Create(t.Context(), call, kind, draft)
		require.NoError(t, err, kind)
		made[kind] = outcome.Record.ID
	}
	return made
}

func TestEveryKindHasASpecimen(t *testing.T) {
	t.Parallel()
	for _, kind := range postgres.Kinds() {
		switch kind {
		case "organization", "key", "grant":
		default:
			require.Contains(t, inOrder, kind)
			require.NotEmpty(t, specimens[kind], kind)
		}
	}
}

// asAnother calls a store method as another organization, with what the first has; finds is what came back that it
// should not.
type asAnother func(t *testing.T, s *postgres.Store, call postgres.Call, first book, made map[string]uuid.UUID)

func refused(t *testing.T, err error) {
	t.Helper()
	require.True(t, fault.Is(err, fault.NotFound), "%v", err)
}

// crossings has every method of the Store. A new one has to say here what it does when another organization calls it.
var crossings = map[string]asAnother{
	"Get": func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		for kind, id := range made {
			for version := range 2 {
				_, _, err := s.Get(t.Context(), call, kind, id, version)
				refused(t, err)
			}
		}
	},
	"List": func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		for kind := range made {
			page, err := s.List(t.Context(), call, kind, postgres.Listing{Limit: 10, IncludeEnded: true, Count: "exact"})
			require.NoError(t, err)
			require.Empty(t, page.Bodies)
			require.Zero(t, page.Count)
		}
	},
	"Create": func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		draft, err := postgres.DraftOf([]byte(specimens["room"]))
		require.NoError(t, err)
		require.NoError(t, draft.Set("unit_id", made["unit"]))
		_, err = s.Create(t.Context(), call, "room", draft)
		require.True(t, fault.Is(err, fault.Implausible), "%v", err)
		require.Equal(t, "no_such_reference", fault.As(err).Fields[0].Code)
	},
	"Change": func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		for kind, id := range made {
			_, err := s.Change(t.Context(), call, kind, id, nil, func(f postgres.Fields) (postgres.Draft, error) { return postgres.Draft{Fields: f}, nil })
			refused(t, err)
		}
	},
	"Put": func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		star := "*"
		_, err := s.Put(t.Context(), call, "unit", "rentals", "U-1", &star, func(postgres.Fields) (postgres.Draft, error) {
			require.FailNow(t, "another organization's unit was found")
			return postgres.Draft{}, nil
		})
		require.True(t, fault.Is(err, fault.Stale), "%v", err)
	},
	"End": func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		for kind, id := range made {
			_, err := s.End(t.Context(), call, kind, id, nil, postgres.Ending{How: "ended", Reason: "test"})
			refused(t, err)
		}
	},
	"Revoke": func(t *testing.T, s *postgres.Store, call postgres.Call, first book, _ map[string]uuid.UUID) {
		_, err := s.Revoke(t.Context(), call, "key", first.call.Caller.Key)
		refused(t, err)
	},
	"RulesOf": func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, _ map[string]uuid.UUID) {
		rules, err := s.RulesOf(t.Context(), call)
		require.NoError(t, err)
		require.False(t, rules.Law.Knows("us-zz"), "another organization's overlay is not read")
	},
	"OverlaysOf": func(t *testing.T, s *postgres.Store, call postgres.Call, first book, _ map[string]uuid.UUID) {
		overlays, err := s.OverlaysOf(t.Context(), call)
		require.NoError(t, err)
		require.Empty(t, overlays)
		overlays, err = s.OverlaysOf(t.Context(), first.call)
		require.NoError(t, err)
		require.Len(t, overlays, 1)
	},
	"RehearseClearance": func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		_, _, err := s.RehearseClearance(t.Context(), call, made["clearance"], postgres.Sampling{Renovation: made["renovation"]}, s.Rules())
		refused(t, err)
	},
	"RehearseRepair": func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		_, err := s.RehearseRepair(t.Context(), call, made["small_repair"], s.Rules())
		refused(t, err)
	},
	"RehearseRenovation": func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		_, err := s.RehearseRenovation(t.Context(), call, made["renovation"], s.Rules())
		refused(t, err)
	},
	"RehearseUnit": func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		_, err := s.RehearseUnit(t.Context(), call, made["unit"], s.Rules())
		refused(t, err)
	},
	"AddFindingStep": func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		_, err := s.AddFindingStep(t.Context(), call, made["finding"], postgres.FindingStep{What: "corrected"})
		refused(t, err)
	},
	"Changes": func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, _ map[string]uuid.UUID) {
		list, _, err := s.Changes(t.Context(), call, 0, 100, postgres.ChangeFilter{})
		require.NoError(t, err)
		require.Len(t, list, 2, "its own organization and key")
	},
	"Accesses": func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, _ map[string]uuid.UUID) {
		list, err := s.Accesses(t.Context(), call, uuid.Nil, 100)
		require.NoError(t, err)
		require.Empty(t, list)
	},
	"GrantsReceived": func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, _ map[string]uuid.UUID) {
		page, err := s.GrantsReceived(t.Context(), call, uuid.Nil, 100)
		require.NoError(t, err)
		require.Empty(t, page.Bodies)
	},
	"Authenticate": func(t *testing.T, s *postgres.Store, call postgres.Call, first book, _ map[string]uuid.UUID) {
		presented, err := credential.Parse("Bearer " + first.key)
		require.NoError(t, err)
		_, err = s.Authenticate(t.Context(), presented, call.Caller.Organization)
		require.True(t, fault.Is(err, fault.Forbidden), "%v", err)
		presented.Organization = call.Caller.Organization
		_, err = s.Authenticate(t.Context(), presented, uuid.Nil)
		require.True(t, fault.Is(err, fault.Unauthenticated), "%v", err)
	},
	"Write": func(t *testing.T, s *postgres.Store, call postgres.Call, first book, _ map[string]uuid.UUID) {
		call.IdempotencyKey, call.Fingerprint = "make unit", []byte("unit")
		call.Caller.Key = first.call.Caller.Key // the very key whose outcome is remembered elsewhere
		outcome, err := s.Write(t.Context(), call, func(*postgres.Tx) (postgres.Outcome, error) { return postgres.Outcome{Status: 200}, nil })
		require.NoError(t, err)
		require.False(t, outcome.Replayed)
	},
	"Show": func(t *testing.T, s *postgres.Store, call postgres.Call, first book, made map[string]uuid.UUID) {
		record, _, err := first.Get(t.Context(), first.call, "occupancy", made["occupancy"], 0)
		require.NoError(t, err)
		body, err := s.Show(t.Context(), call, record)
		require.NoError(t, err)
		require.NotContains(t, string(body), "2029-11", "the values behind the commitments are not found")
	},
}

// noTenant are the methods in which no caller reads or changes a record, and why.
var noTenant = map[string]string{
	"Close": "ends connections", "RuleSet": "a constant", "Rules": "the law, not the book", "Stat": "counts connections", "Ready": "asks for the schema's version",
	"Sequence": "the worker's", "KeepPartitions": "the worker's", "Pending": "the worker's, a number", "NoteUses": "the worker's", "Empty": "the first start's, yes or no",
	"Attend":           "which instances serve the book",
	"OpenOrganization": "makes a new tenant", "CreateKey": "adds to the caller's own", "CreateGrant": "adds to the caller's own",
}

func TestS2EveryStoreMethodFindsNothingOfAnotherOrganization(t *testing.T) {
	t.Parallel()
	db := pgtest.Database(t)
	s := newStore(t, db)
	first, second := openBook(t, s), openBook(t, s)
	made := first.fill(t)
	first.sequence(t, db)
	second.sequence(t, db)
	store := reflect.TypeOf(s)
	for i := range store.NumMethod() {
		name := store.Method(i).Name
		if noTenant[name] != "" {
			continue
		}
		t.Run(name, func(t *testing.T) {
			crossing := crossings[name]
			require.NotNil(t, crossing, "say in crossings what another organization gets")
			crossing(t, s, second.call, first, made)
		})
	}
	for name := range crossings {
		_, there := store.MethodByName(name)
		require.True(t, there, name)
	}
}

// sequence gives everything that the organization has committed its position. Others' changes come and go meanwhile.
func (b book) sequence(t testing.TB, db pgtest.URLs) {
	t.Helper()
	worker := connect(t, db.Worker)
	require.Eventually(t, func() bool {
		_, err := b.Sequence(t.Context(), 5000)
		require.NoError(t, err)
		return rows[int](t, worker, `select count(*) from change_pending where organization_id = $1`, b.call.Caller.Organization)[0] == 0
	}, 20*time.Second, 5*time.Millisecond)
}

// Below the store's methods, the database itself keeps organizations apart: every table has rows of the first, and the
// second sees none of them.
func TestS2DatabaseKeepsOrganizationsApart(t *testing.T) {
	t.Parallel()
	db := pgtest.Database(t)
	s := newStore(t, db)
	first, second := openBook(t, s), openBook(t, s)
	made := first.fill(t)
	_, _, err := first.Get(t.Context(), first.call, "occupancy", made["occupancy"], 0) // a recorded read
	require.NoError(t, err)
	_, err = first.CreateGrant(t.Context(), first.call, postgres.Grant{Name: "Somebody", GranteeOrganizationID: uuid.New(), Access: "read"})
	require.NoError(t, err)
	first.sequence(t, db)
	owner, app := connect(t, db.Owner), connect(t, db.App)
	a, b := first.call.Caller.Organization, second.call.Caller.Organization
	_, err = owner.Exec(t.Context(), `insert into key_use values ($1, $2, now())`, a, first.call.Caller.Key)
	require.NoError(t, err)
	_, err = owner.Exec(t.Context(), `insert into trip_load values ($1, $2, $3)`, a, made["trip"], made["container"])
	require.NoError(t, err)
	_, err = owner.Exec(t.Context(), `insert into crew_member values ($1, $2, $3, 'worker')`, a, made["renovation"], made["person"])
	require.NoError(t, err)
	_, err = owner.Exec(t.Context(), `insert into disturbance values ($1, 'small_repair', $2, 0, $3, false, '2026-04-01', '2', 'ft2', false, false)`,
		a, made["small_repair"], made["room"])
	require.NoError(t, err)

	tables := rows[string](t, owner, `
		select relname::text
		from pg_class
		where relnamespace = 'sillbook'::regnamespace
		  and relkind in ('r', 'p')
		  and not relispartition
		  and relname not in ('goose_db_version', 'change_pending')`) // requests may not read what is pending
	count := func(conn pgx.Tx, table string) (n int) {
		require.NoError(t, conn.QueryRow(t.Context(), `select count(*) from `+table+` where organization_id = $1`, a).Scan(&n), table)
		return n
	}
	for _, table := range tables {
		reading, err := owner.Begin(t.Context())
		require.NoError(t, err)
		require.Positive(t, count(reading, table), "%s has nothing to hide", table)
		require.NoError(t, reading.Rollback(t.Context()))

		tx, err := app.Begin(t.Context())
		require.NoError(t, err)
		require.Zero(t, count(tx, table), "%s without a tenant", table)
		_, err = tx.Exec(t.Context(), `set local app.organization = '`+b.String()+`'`)
		require.NoError(t, err)
		require.Zero(t, count(tx, table), "%s as another organization", table)
		_, err = tx.Exec(t.Context(), `set local app.organization = '`+a.String()+`'`)
		require.NoError(t, err)
		require.Positive(t, count(tx, table), "%s as the organization itself", table)
		require.NoError(t, tx.Rollback(t.Context()))
	}
	tx, err := app.Begin(t.Context())
	require.NoError(t, err)
	_, err = tx.Exec(t.Context(), `set local app.organization = '`+b.String()+`'`)
	require.NoError(t, err)
	_, err = tx.Exec(t.Context(), `insert into external_id values ($1, 'unit', 'rentals', 'U-2', $2)`, a, made["unit"])
	require.ErrorContains(t, err, "row-level security", "nobody writes into another organization")
	require.NoError(t, tx.Rollback(t.Context()))
}

// After a transaction its tenant is gone: on a reused connection the setting is ” and not null, and stands for nobody.
func TestS2ReusedConnectionHasNoTenant(t *testing.T) {
	t.Parallel()
	db := pgtest.Database(t)
	b := openBook(t, newStore(t, db))
	b.fill(t)
	app := connect(t, db.App)
	for _, end := range []string{"commit", "rollback"} {
		for _, statement := range []string{"begin", "set local app.organization = '" + b.call.Caller.Organization.String() + "'"} {
			_, err := app.Exec(t.Context(), statement)
			require.NoError(t, err)
		}
		require.NotEmpty(t, rows[uuid.UUID](t, app, `select id from property`))
		_, err := app.Exec(t.Context(), end)
		require.NoError(t, err)
		require.Equal(t, []string{""}, rows[string](t, app, `select current_setting('app.organization', true)`))
		require.Empty(t, rows[uuid.UUID](t, app, `select id from property`))
		require.Empty(t, rows[uuid.UUID](t, app, `select organization_id from organization`))
	}
}

// Restricted values are kept apart, each beside its salt, and the commitment in the record is the hash of the two.
func TestCommitmentsAreOfSaltAndValue(t *testing.T) {
	t.Parallel()
	db := pgtest.Database(t)
	b := openBook(t, newStore(t, db))
	made := b.fill(t)
	type kept struct {
		Field, Commitment string
		Salt, Value       []byte
	}
	owner := connect(t, db.Owner)
	found, err := owner.Query(t.Context(), `
		select field, commitment, salt, value
		from restricted_value
		where organization_id = $1`, b.call.Caller.Organization)
	require.NoError(t, err)
	list, err := pgx.CollectRows(found, pgx.RowToStructByPos[kept])
	require.NoError(t, err)
	require.Len(t, list, 2)
	body := rows[[]byte](t, owner, `select body from change where organization_id = $1 and subject_id = $2`, b.call.Caller.Organization, made["occupancy"])[0]
	var fields map[string]any
	require.NoError(t, json.Unmarshal(body, &fields))
	values := map[string]string{}
	for _, k := range list {
		require.Len(t, k.Salt, 32)
		hash := sha256.Sum256(append(k.Salt, k.Value...))
		require.Equal(t, "sha256:"+hex.EncodeToString(hash[:]), k.Commitment)
		require.Equal(t, k.Commitment, fields[k.Field])
		values[k.Field] = string(k.Value)
	}
	require.Equal(t, map[string]string{"pregnant_residents": "1", "under_six_until": `"2029-11"`}, values)
	require.NotContains(t, string(body), "2029-11")
}
