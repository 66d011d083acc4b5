-- Firms, the people who do the work and check it, and their certificates; and where jobs name them.

-- +goose Up
set local role sillbook_owner;
set local search_path = sillbook;
set local lock_timeout = '5s';

create table firm (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  ended boolean not null,
  body bytea not null,
  primary key (organization_id, id),
  foreign key (organization_id) references organization (organization_id)
);

create table person (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  ended boolean not null,
  body bytea not null,
  firm_id uuid,
  primary key (organization_id, id),
  foreign key (organization_id) references organization (organization_id),
  foreign key (organization_id, firm_id) references firm (organization_id, id)
);
create index person_firm on person (organization_id, firm_id, id);

create table certificate (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  ended boolean not null,
  body bytea not null,
  firm_id uuid,
  person_id uuid,
  discipline text not null,
  check ((firm_id is null) <> (person_id is null)),
  check ((firm_id is null) = (discipline <> 'firm')),
  primary key (organization_id, id),
  foreign key (organization_id) references organization (organization_id),
  foreign key (organization_id, firm_id) references firm (organization_id, id),
  foreign key (organization_id, person_id) references person (organization_id, id)
);
create index certificate_firm on certificate (organization_id, firm_id, id);
create index certificate_person on certificate (organization_id, person_id, id);

alter table renovation add column firm_id uuid;
alter table renovation add foreign key (organization_id, firm_id) references firm (organization_id, id);
create index renovation_firm on renovation (organization_id, firm_id, id);

-- Who is on the crew of which job; an index over what the jobs say.
create table crew_member (
  organization_id uuid not null,
  renovation_id uuid not null,
  person_id uuid not null,
  part text not null,
  primary key (organization_id, renovation_id, person_id, part),
  foreign key (organization_id, renovation_id) references renovation (organization_id, id),
  foreign key (organization_id, person_id) references person (organization_id, id)
);
create index crew_member_person on crew_member (organization_id, person_id, renovation_id);

-- What was told before anybody asked who had done it counts.
alter table verification add column person_id uuid;
alter table verification add column counts boolean not null default true;
alter table verification add foreign key (organization_id, person_id) references person (organization_id, id);
create index verification_person on verification (organization_id, person_id, id);

alter table clearance add column person_id uuid;
alter table clearance add column counts boolean not null default true;
alter table clearance add foreign key (organization_id, person_id) references person (organization_id, id);
create index clearance_person on clearance (organization_id, person_id, id);

-- +goose StatementBegin
do $$
declare
  t text;
begin
  foreach t in array array['firm', 'person', 'certificate', 'crew_member'] loop
    execute format('alter table %I enable row level security', t);
    execute format('alter table %I force row level security', t);
    execute format($p$create policy tenant on %I to sillbook_app
      using (organization_id = nullif(current_setting('app.organization', true), '')::uuid)
      with check (organization_id = nullif(current_setting('app.organization', true), '')::uuid)$p$, t);
    execute format('grant select, insert, update on %I to sillbook_app', t);
    execute format('grant select on %I to sillbook_backup', t);
  end loop;
end
$$;
-- +goose StatementEnd
grant delete on crew_member to sillbook_app;
reset role;
