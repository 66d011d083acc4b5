package postgres_test

import (
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"sillbook/internal/pgtest"
)

// The rules that let every table be spread over nodes by organization. Each query gives what breaks a rule.
func TestSchemaCanBeSpreadByOrganization(t *testing.T) {
	t.Parallel()
	conn := connect(t, pgtest.Database(t).Owner)
	for rule, query := range map[string]string{
		"every table has organization_id, of type uuid and not null": `
			select relname::text
			from pg_class c
			where relnamespace = 'sillbook'::regnamespace
			  and relkind in ('r', 'p', 'f', 'm')
			  and relname <> 'goose_db_version'
			  and not exists (
			    select from pg_attribute a
			    where a.attrelid = c.oid
			      and a.attname = 'organization_id'
			      and a.atttypid = 'uuid'::regtype
			      and a.attnotnull)`,
		"every table has a primary key": `
			select relname::text
			from pg_class c
			where relnamespace = 'sillbook'::regnamespace
			  and relkind in ('r', 'p')
			  and not exists (select from pg_constraint where conrelid = c.oid and contype = 'p')`,
		"organization_id leads every primary key, unique key and foreign key, and the key a foreign key points to": `
			select conname::text
			from pg_constraint k
			where connamespace = 'sillbook'::regnamespace
			  and contype in ('p', 'u', 'f')
			  and conrelid <> 'goose_db_version'::regclass
			  and ((select attname from pg_attribute where attrelid = conrelid and attnum = conkey[1]) <> 'organization_id'
			    or contype = 'f'
			      and (select attname from pg_attribute where attrelid = confrelid and attnum = confkey[1]) <> 'organization_id')`,
		"organization_id leads every unique index": `
			select indexrelid::regclass::text
			from pg_index i
			join pg_class c on c.oid = i.indrelid
			where c.relnamespace = 'sillbook'::regnamespace
			  and c.relname <> 'goose_db_version'
			  and indisunique
			  and (select attname from pg_attribute where attrelid = indrelid and attnum = indkey[0]) <> 'organization_id'`,
		"an exclusion constraint has organization_id": `
			select conname::text
			from pg_constraint k
			where connamespace = 'sillbook'::regnamespace
			  and contype = 'x'
			  and not exists (
			    select from pg_attribute
			    where attrelid = conrelid
			      and attnum = any(conkey)
			      and attname = 'organization_id')`,
		"no trigger": `
			select tgname::text
			from pg_trigger g
			join pg_class c on c.oid = g.tgrelid
			where c.relnamespace = 'sillbook'::regnamespace
			  and not tgisinternal`,
		"no sequence and no identity but the list of migrations'": `
			select relname::text
			from pg_class
			where relnamespace = 'sillbook'::regnamespace
			  and relkind = 'S'
			  and relname not like 'goose_db_version%'`,
		"no enum and no domain: text with a check instead": `
			select typname::text
			from pg_type
			where typnamespace = 'sillbook'::regnamespace
			  and typtype in ('e', 'd')`,
		"no subquery in a policy": `
			select polname::text
			from pg_policy
			where pg_get_expr(polqual, polrelid) ilike '%select%'
			  or pg_get_expr(polwithcheck, polrelid) ilike '%select%'`,
		"no floating point: numbers of the trade are kept as told": `
			select attrelid::regclass || '.' || attname
			from pg_attribute a
			join pg_class c on c.oid = a.attrelid
			where c.relnamespace = 'sillbook'::regnamespace
			  and relkind in ('r', 'p')
			  and attnum > 0
			  and atttypid in ('float4'::regtype, 'float8'::regtype, 'money'::regtype)`,
		"no function that runs as its owner but the one that keeps partitions": `
			select proname::text
			from pg_proc
			where pronamespace = 'sillbook'::regnamespace
			  and prosecdef
			  and proname <> 'keep_partitions'`,
	} {
		t.Run(rule, func(t *testing.T) {
			require.Empty(t, rows[string](t, conn, query))
		})
	}
}

// The rules above look at what is there; this looks that they look.
func TestSchemaHasTablesKeysAndPolicies(t *testing.T) {
	t.Parallel()
	conn := connect(t, pgtest.Database(t).Owner)
	var tables, keys, policies int
	require.NoError(t, conn.QueryRow(t.Context(), `
		select (select count(*) from pg_class where relnamespace = 'sillbook'::regnamespace and relkind in ('r', 'p')),
		  (select count(*) from pg_constraint where connamespace = 'sillbook'::regnamespace and contype in ('p', 'u', 'f')),
		  (select count(*) from pg_policy)`).Scan(&tables, &keys, &policies))
	require.Greater(t, tables, 30)
	require.Greater(t, keys, 60)
	require.Greater(t, policies, 30)
}

const tenantExpression = "(organization_id = (NULLIF(current_setting('app.organization'::text, true), ''::text))::uuid)"

type policy struct{ Table, Name, Role, Command, Using, Check string }

// workers are the tables in which the worker sees all organizations, and why.
var workers = map[string]string{
	"change":          "what a change is, for the sequencer",
	"change_pending":  "the sequencer takes from it",
	"change_position": "the sequencer adds to it",
	"key_use":         "notes when keys were used",
	"api_key":         "the first start looks whether there is any",
}

// S2: every table that belongs to organizations is behind forced row-level security; whatever else lets somebody see rows
// is named here.
func TestS2EveryTableIsBehindRowLevelSecurity(t *testing.T) {
	t.Parallel()
	conn := connect(t, pgtest.Database(t).Owner)
	open := rows[string](t, conn, `
		select relname::text
		from pg_class c
		where relnamespace = 'sillbook'::regnamespace
		  and relkind in ('r', 'p')
		  and not relispartition
		  and not (relrowsecurity and relforcerowsecurity)`)
	require.Equal(t, []string{"goose_db_version"}, open, "the list of migrations is the service's, and belongs to no organization")

	tables := rows[string](t, conn, `
		select relname::text
		from pg_class
		where relnamespace = 'sillbook'::regnamespace
		  and relkind in ('r', 'p')
		  and not relispartition
		  and relname <> 'goose_db_version'`)
	want := []policy{{"access_grant", "grantee", "sillbook_app", "r",
		"(grantee_organization_id = (NULLIF(current_setting('app.organization'::text, true), ''::text))::uuid)", ""}} // one sees the grants given to it
	for _, table := range tables {
		want = append(want, policy{table, "tenant", "sillbook_app", "*", tenantExpression, tenantExpression})
		if workers[table] != "" {
			want = append(want, policy{table, "worker", "sillbook_worker", "*", "true", "true"})
		}
	}
	found, err := conn.Query(t.Context(), `
		select c.relname::text, polname::text, array_to_string(array(select rolname from pg_roles where oid = any(polroles)), ','), polcmd::text,
		  coalesce(pg_get_expr(polqual, polrelid), ''), coalesce(pg_get_expr(polwithcheck, polrelid), '')
		from pg_policy p
		join pg_class c on c.oid = p.polrelid`)
	require.NoError(t, err)
	have, err := pgx.CollectRows(found, pgx.RowToStructByPos[policy])
	require.NoError(t, err)
	require.ElementsMatch(t, want, have)
}

func TestS2PartitionsCannotBeReadPastTheirTable(t *testing.T) {
	t.Parallel()
	conn := connect(t, pgtest.Database(t).Owner)
	require.Empty(t, rows[string](t, conn, `
		select relname || ' by ' || role
		from pg_class, unnest(array['sillbook_app', 'sillbook_worker']) as role
		where relnamespace = 'sillbook'::regnamespace
		  and relispartition
		  and relkind = 'r'
		  and has_table_privilege(role, oid, 'select, insert, update, delete, truncate')`))
}

func TestS2OnlyOwnerAndBackupPassRowLevelSecurity(t *testing.T) {
	t.Parallel()
	conn := connect(t, pgtest.Database(t).Owner)
	require.Empty(t, rows[string](t, conn, `
		select rolname::text
		from pg_roles
		where rolname in ('sillbook_app', 'sillbook_worker')
		  and (rolsuper or rolbypassrls or rolcreaterole or rolcreatedb or rolcanlogin
		    or pg_has_role(rolname, 'sillbook_owner', 'member') or pg_has_role(rolname, 'sillbook_backup', 'member'))`))
	require.Empty(t, rows[string](t, conn, `
		select relname || ' of ' || rolname
		from pg_class c
		join pg_roles r on r.oid = c.relowner
		where relnamespace = 'sillbook'::regnamespace
		  and rolname <> 'sillbook_owner'`))
}

// What requests may do to a table beyond reading and adding is the exception.
func TestGrantsToRequestsAreTheFewest(t *testing.T) {
	t.Parallel()
	conn := connect(t, pgtest.Database(t).Owner)
	able := func(role, privilege string) []string {
		return rows[string](t, conn, `
			select relname::text
			from pg_class
			where relnamespace = 'sillbook'::regnamespace
			  and relkind in ('r', 'p')
			  and not relispartition
			  and has_table_privilege($1, oid, $2)
			order by relname`, role, privilege)
	}
	logs := []string{"change", "change_pending", "change_position", "restricted_value", "access_log", "idempotency", "key_secret", "key_use", "external_id"}
	for _, table := range logs {
		require.NotContains(t, able("sillbook_app", "update"), table, "it is only added to")
	}
	require.Equal(t, []string{"crew_member", "disturbance", "external_id", "trip_load"}, able("sillbook_app", "delete"),
		"indexes over what the records say, made anew with them; nothing else is ever deleted")
	require.NotContains(t, able("sillbook_app", "select"), "change_pending")
	require.NotContains(t, able("sillbook_app", "insert"), "change_position")
	for _, privilege := range []string{"truncate", "references", "trigger"} {
		require.Empty(t, able("sillbook_app", privilege), privilege)
		require.Empty(t, able("sillbook_worker", privilege), privilege)
	}
	require.Equal(t, []string{"change_pending"}, able("sillbook_worker", "delete"))
	require.Equal(t, []string{"key_use"}, able("sillbook_worker", "update"))
	require.Equal(t, []string{"change_position", "key_use"}, able("sillbook_worker", "insert"))
	require.Equal(t, []string{"api_key", "change", "change_pending", "change_position", "goose_db_version", "key_use"}, able("sillbook_worker", "select"))
}
