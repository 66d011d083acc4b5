-- What states, tribes and cities ask beyond federal law, as an organization enters it.

-- +goose Up
set local role sillbook_owner;
set local search_path = sillbook;
set local lock_timeout = '5s';

create table overlay (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  ended boolean not null,
  body bytea not null,
  jurisdiction text not null,
  primary key (organization_id, id),
  foreign key (organization_id) references organization (organization_id)
);
create index overlay_jurisdiction on overlay (organization_id, jurisdiction, id);

alter table overlay enable row level security;
alter table overlay force row level security;
create policy tenant on overlay to sillbook_app
  using (organization_id = nullif(current_setting('app.organization', true), '')::uuid)
  with check (organization_id = nullif(current_setting('app.organization', true), '')::uuid);
grant select, insert, update on overlay to sillbook_app;
grant select on overlay to sillbook_backup;
reset role;
