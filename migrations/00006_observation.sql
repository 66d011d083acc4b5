-- What was seen and done on a job, told by devices that make the identifiers.

-- +goose Up
set local role sillbook_owner;
set local search_path = sillbook;
set local lock_timeout = '5s';

create table observation (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  property_id uuid not null,
  ended boolean not null,
  body bytea not null,
  renovation_id uuid not null,
  kind text not null,
  happened_at timestamptz not null,
  primary key (organization_id, id),
  foreign key (organization_id, property_id) references property (organization_id, id),
  foreign key (organization_id, renovation_id) references renovation (organization_id, id)
);
create index observation_property on observation (organization_id, property_id, id);
create index observation_renovation on observation (organization_id, renovation_id, happened_at, id);

alter table observation enable row level security;
alter table observation force row level security;
create policy tenant on observation to sillbook_app
  using (organization_id = nullif(current_setting('app.organization', true), '')::uuid)
  with check (organization_id = nullif(current_setting('app.organization', true), '')::uuid);
grant select, insert, update on observation to sillbook_app;
grant select on observation to sillbook_backup;
reset role;
