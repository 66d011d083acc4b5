-- Attachments: what is known of the bytes that hang on records. The bytes themselves lie elsewhere, under their hash.

-- +goose Up
set local role sillbook_owner;
set local search_path = sillbook;
set local lock_timeout = '5s';

create table attachment (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  property_ids uuid[] not null,
  ended boolean not null,
  body bytea not null,
  subject_kind text not null,
  subject_id uuid not null,
  kind text not null,
  restricted boolean not null,
  primary key (organization_id, id),
  foreign key (organization_id) references organization (organization_id)
);
create index attachment_subject on attachment (organization_id, subject_id, id);
create index attachment_kind on attachment (organization_id, kind, id);

alter table attachment enable row level security;
alter table attachment force row level security;
create policy tenant on attachment to sillbook_app
  using (organization_id = nullif(current_setting('app.organization', true), '')::uuid)
  with check (organization_id = nullif(current_setting('app.organization', true), '')::uuid);
grant select, insert, update on attachment to sillbook_app;
grant select on attachment to sillbook_backup;
reset role;
