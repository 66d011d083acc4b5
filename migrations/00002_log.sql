-- The one log and what stands around it: changes, their positions, idempotency, restricted values, recorded reads.
-- organization_id leads every key, so that every table can be spread over nodes by it.

-- +goose Up
set local role sillbook_owner;
set local search_path = sillbook;
set local lock_timeout = '5s';

create table organization (
  organization_id uuid not null,
  id uuid not null check (id = organization_id),
  version integer not null check (version > 0),
  ended boolean not null,
  body bytea not null,
  primary key (organization_id, id),
  unique (organization_id)
);

-- One row per mutation. body is the canonical form (RFC 8785) of the record as it stood then, restricted fields as
-- salted hashes. Rows are only ever added.
create table change (
  organization_id uuid not null,
  id uuid not null,
  subject_kind text not null,
  subject_id uuid not null,
  subject_version integer not null check (subject_version > 0),
  property_ids uuid[] not null,
  restricted boolean not null,
  action text not null,
  actor_kind text not null check (actor_kind in ('key', 'book')),
  actor_id uuid,
  actor_organization_id uuid,
  grant_id uuid,
  request_id text not null,
  recorded_at timestamptz not null,
  schema_version integer not null,
  rule_set text not null,
  body bytea not null,
  primary key (organization_id, id)
) partition by range (id);
create index change_subject on change (organization_id, subject_kind, subject_id, subject_version);
create table change_other partition of change default;

-- Changes committed and not yet given a position.
create table change_pending (
  organization_id uuid not null,
  change_id uuid not null,
  subject_version integer not null,
  primary key (organization_id, change_id)
);

-- The order of the log: dense within an organization, given by the sequencer and never changed.
create table change_position (
  organization_id uuid not null,
  position bigint not null check (position > 0),
  change_id uuid not null,
  sequenced_at timestamptz not null,
  primary key (organization_id, position),
  unique (organization_id, change_id)
);

-- What a restricted field said, beside the salt of its hash in change.body. It can be erased alone.
create table restricted_value (
  organization_id uuid not null,
  subject_kind text not null,
  subject_id uuid not null,
  field text not null,
  commitment text not null,
  salt bytea not null,
  value bytea not null,
  primary key (organization_id, subject_kind, subject_id, field, commitment)
);

create table external_id (
  organization_id uuid not null,
  kind text not null,
  system text not null,
  value text not null,
  record_id uuid not null,
  primary key (organization_id, kind, system, value)
);
create index external_id_record on external_id (organization_id, kind, record_id);

-- What a request with an Idempotency-Key came to. Kept seven days, then its day is dropped.
create table idempotency (
  organization_id uuid not null,
  credential_id uuid not null,
  operation text not null,
  key text not null,
  day date not null,
  fingerprint bytea not null,
  status integer not null,
  subject_kind text not null,
  subject_id uuid,
  subject_version integer,
  items bytea,
  primary key (organization_id, credential_id, operation, key, day)
) partition by range (day);
create table idempotency_other partition of idempotency default;

-- Reads of restricted facts, and reads under grants.
create table access_log (
  organization_id uuid not null,
  id uuid not null,
  at timestamptz not null,
  operation text not null,
  subject_kind text not null,
  subject_id uuid,
  actor_id uuid not null,
  actor_organization_id uuid not null,
  grant_id uuid,
  restricted boolean not null,
  request_id text not null,
  primary key (organization_id, id)
);

create table api_key (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  ended boolean not null,
  body bytea not null,
  primary key (organization_id, id)
);

-- The SHA-256 of a key's 256-bit secret. The secret itself is shown once and not kept.
create table key_secret (
  organization_id uuid not null,
  key_id uuid not null,
  hash bytea not null check (length(hash) = 32),
  primary key (organization_id, key_id),
  foreign key (organization_id, key_id) references api_key (organization_id, id)
);

-- When a key was last used; written by the worker at most once a minute.
create table key_use (
  organization_id uuid not null,
  key_id uuid not null,
  last_used_at timestamptz not null,
  primary key (organization_id, key_id)
);

create table access_grant (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  ended boolean not null,
  body bytea not null,
  grantee_organization_id uuid not null,
  primary key (organization_id, id)
);
create index access_grant_grantee on access_grant (grantee_organization_id, id);

-- +goose StatementBegin
-- First version 7 UUID that can be made at an instant.
create function first_id_at(at timestamptz) returns uuid
language sql immutable
return (lpad(to_hex((extract(epoch from at at time zone 'UTC') * 1000)::bigint), 12, '0') || repeat('0', 20))::uuid;
-- +goose StatementEnd

-- +goose StatementBegin
-- Makes a partition over a range of its table's key, unless it is there. Rows of the range that came early wait in the
-- table's partition for all else, where a new partition may not leave them: they move.
create function make_partition(parent text, name text, key text, low text, high text) returns void
language plpgsql
as $$
begin
  if to_regclass(format('sillbook.%I', name)) is not null then
    return;
  end if;
  execute format('lock table %I in access exclusive mode', parent || '_other');
  execute format('create temporary table early as select * from %I where %I >= %L and %I < %L', parent || '_other', key, low, key, high);
  execute format('delete from %I where %I >= %L and %I < %L', parent || '_other', key, low, key, high);
  execute format('create table %I partition of %I for values from (%L) to (%L)', name, parent, low, high);
  execute format('insert into %I select * from early', parent);
  drop table early;
end
$$;
-- +goose StatementEnd
revoke execute on function make_partition(text, text, text, text, text) from public;

-- +goose StatementBegin
-- Makes the partitions that the coming weeks need and drops idempotency days older than a week. Run at migration and
-- by the service every hour; running it again changes nothing. A new partition needs its table to itself for an instant:
-- rather than make requests queue behind a long transaction, it gives up and is tried again.
create function keep_partitions(today date) returns void
language plpgsql security definer set search_path = sillbook, pg_temp set lock_timeout = '2s'
as $$
declare
  month date;
  day date;
  old record;
begin
  for n in -1..3 loop
    month := date_trunc('month', today)::date + make_interval(months => n);
    perform make_partition('change', 'change_' || to_char(month, 'YYYY_MM'), 'id',
      first_id_at(month::timestamp at time zone 'UTC')::text,
      first_id_at((month + interval '1 month')::timestamp at time zone 'UTC')::text);
  end loop;
  for n in -1..3 loop
    day := today + n;
    perform make_partition('idempotency', 'idempotency_' || to_char(day, 'YYYY_MM_DD'), 'day', day::text, (day + 1)::text);
  end loop;
  for old in
    select c.relname
    from pg_inherits i
    join pg_class c on c.oid = i.inhrelid
    where i.inhparent = 'sillbook.idempotency'::regclass
      and c.relname ~ '^idempotency_\d{4}_\d\d_\d\d$'
      and to_date(right(c.relname, 10), 'YYYY_MM_DD') < today - 8
  loop
    execute format('drop table %I', old.relname);
  end loop;
  delete from idempotency_other where idempotency_other.day < today - 8;
end
$$;
-- +goose StatementEnd
revoke execute on function keep_partitions(date) from public;
grant execute on function keep_partitions(date) to sillbook_worker;
select keep_partitions((now() at time zone 'UTC')::date);

-- +goose StatementBegin
do $$
declare
  t text;
begin
  foreach t in array array['organization', 'change', 'change_pending', 'change_position', 'restricted_value', 'external_id',
    'idempotency', 'access_log', 'api_key', 'key_secret', 'key_use', 'access_grant'] loop
    execute format('alter table %I enable row level security', t);
    execute format('alter table %I force row level security', t);
    execute format($p$create policy tenant on %I to sillbook_app
      using (organization_id = nullif(current_setting('app.organization', true), '')::uuid)
      with check (organization_id = nullif(current_setting('app.organization', true), '')::uuid)$p$, t);
    execute format('grant select on %I to sillbook_backup', t);
  end loop;
  foreach t in array array['change', 'change_pending', 'change_position', 'key_use', 'api_key'] loop
    execute format('create policy worker on %I to sillbook_worker using (true) with check (true)', t);
  end loop;
end
$$;
-- +goose StatementEnd
-- An organization sees the grants given to it, to use and to list them.
create policy grantee on access_grant for select to sillbook_app
  using (grantee_organization_id = nullif(current_setting('app.organization', true), '')::uuid);

grant select, insert, update on organization, api_key, access_grant to sillbook_app;
grant select, insert on change, restricted_value, idempotency, access_log, key_secret to sillbook_app;
grant insert on change_pending to sillbook_app;
grant select on change_position, key_use to sillbook_app;
grant select, insert, delete on external_id to sillbook_app;
grant select on change, api_key to sillbook_worker;
grant select, delete on change_pending to sillbook_worker;
grant select, insert on change_position to sillbook_worker;
grant select, insert, update on key_use to sillbook_worker;
reset role;
