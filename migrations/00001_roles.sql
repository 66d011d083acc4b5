-- Roles are shared by every database of a server, so each is made only where it is missing.
--   sillbook_owner   owns the tables and runs migrations; row-level security does not bind it
--   sillbook_app     serves requests; bound by row-level security
--   sillbook_worker  sequencing and upkeep; sees all organizations, only in the tables it needs
--   sillbook_backup  reads everything, for backups

-- +goose Up
-- +goose StatementBegin
do $$
declare
  r record;
begin
  for r in
    select * from (values
      ('sillbook_owner', 'nologin bypassrls'),
      ('sillbook_app', 'nologin'),
      ('sillbook_worker', 'nologin'),
      ('sillbook_backup', 'nologin bypassrls')) as wanted (name, options)
  loop
    if not exists (select from pg_roles where rolname = r.name) then
      begin
        execute format('create role %I %s', r.name, r.options);
      exception when duplicate_object or unique_violation then
        null; -- another database's migration made it at the same moment
      end;
    end if;
  end loop;
end
$$;
-- +goose StatementEnd
-- +goose StatementBegin
do $$
begin
  execute format('grant create, connect, temporary on database %I to sillbook_owner', current_database());
  execute format('grant connect, temporary on database %I to sillbook_app, sillbook_worker, sillbook_backup', current_database());
end
$$;
-- +goose StatementEnd
-- The schema is there already: it holds the list of steps taken.
create schema if not exists sillbook;
alter schema sillbook owner to sillbook_owner;
grant usage on schema sillbook to sillbook_app, sillbook_worker, sillbook_backup;
-- So is the list itself: the service compares it with what it was built for, and a backup holds it.
alter table sillbook.goose_db_version owner to sillbook_owner;
grant select on sillbook.goose_db_version to sillbook_app, sillbook_worker, sillbook_backup;
grant select on all sequences in schema sillbook to sillbook_backup;
-- Every table to come, partitions made later included, can be backed up: pg_dump stops at the first it cannot read.
alter default privileges for role sillbook_owner in schema sillbook grant select on tables to sillbook_backup;
