-- The records of the book. Each row holds the record's canonical written form in body; the typed columns beside it are
-- read out of body by the statement that writes the row, and serve keys, filters and the facts of determinations.

-- +goose Up
set local role sillbook_owner;
set local search_path = sillbook;
set local lock_timeout = '5s';

create table property (
  organization_id uuid not null references organization (organization_id),
  id uuid not null,
  version integer not null check (version > 0),
  property_id uuid not null check (property_id = id),
  ended boolean not null,
  body bytea not null,
  time_zone text not null,
  primary key (organization_id, id)
);

create table building (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  property_id uuid not null,
  ended boolean not null,
  body bytea not null,
  primary key (organization_id, id),
  foreign key (organization_id, property_id) references property (organization_id, id)
);
create index building_property on building (organization_id, property_id, id);

create table unit (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  property_id uuid not null,
  ended boolean not null,
  body bytea not null,
  building_id uuid not null,
  kind text not null check (kind in ('dwelling', 'common_area', 'child_occupied_facility')),
  primary key (organization_id, id),
  foreign key (organization_id, property_id) references property (organization_id, id),
  foreign key (organization_id, building_id) references building (organization_id, id)
);
create index unit_property on unit (organization_id, property_id, id);
create index unit_building on unit (organization_id, building_id, id);

create table room (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  property_id uuid not null,
  ended boolean not null,
  body bytea not null,
  unit_id uuid,
  building_id uuid,
  check ((unit_id is null) <> (building_id is null)),
  primary key (organization_id, id),
  foreign key (organization_id, property_id) references property (organization_id, id),
  foreign key (organization_id, unit_id) references unit (organization_id, id),
  foreign key (organization_id, building_id) references building (organization_id, id)
);
create index room_property on room (organization_id, property_id, id);
create index room_unit on room (organization_id, unit_id, id);
create index room_building on room (organization_id, building_id, id);

create table exterior_side (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  property_id uuid not null,
  ended boolean not null,
  body bytea not null,
  building_id uuid not null,
  primary key (organization_id, id),
  foreign key (organization_id, property_id) references property (organization_id, id),
  foreign key (organization_id, building_id) references building (organization_id, id)
);
create index exterior_side_property on exterior_side (organization_id, property_id, id);
create index exterior_side_building on exterior_side (organization_id, building_id, id);

create table occupancy (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  property_id uuid not null,
  ended boolean not null,
  body bytea not null,
  unit_id uuid not null,
  from_date date not null,
  to_date date,
  check (to_date >= from_date),
  primary key (organization_id, id),
  foreign key (organization_id, property_id) references property (organization_id, id),
  foreign key (organization_id, unit_id) references unit (organization_id, id)
);
create index occupancy_property on occupancy (organization_id, property_id, id);
create index occupancy_unit on occupancy (organization_id, unit_id, from_date);

create table facility (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  ended boolean not null,
  body bytea not null,
  primary key (organization_id, id),
  foreign key (organization_id) references organization (organization_id)
);

create table renovation (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  property_id uuid not null,
  ended boolean not null,
  body bytea not null,
  state text not null check (state in ('drafted', 'ready', 'under_way', 'cleaning', 'checking', 'closed', 'called_off')),
  primary key (organization_id, id),
  foreign key (organization_id, property_id) references property (organization_id, id)
);
create index renovation_property on renovation (organization_id, property_id, id);
create index renovation_state on renovation (organization_id, state, id);

create table small_repair (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  property_id uuid not null,
  ended boolean not null,
  body bytea not null,
  room_id uuid,
  exterior_side_id uuid,
  done_on date not null,
  outcome text not null,
  check ((room_id is null) <> (exterior_side_id is null)),
  primary key (organization_id, id),
  foreign key (organization_id, property_id) references property (organization_id, id),
  foreign key (organization_id, room_id) references room (organization_id, id),
  foreign key (organization_id, exterior_side_id) references exterior_side (organization_id, id)
);
create index small_repair_property on small_repair (organization_id, property_id, id);
create index small_repair_room on small_repair (organization_id, room_id, id);
create index small_repair_side on small_repair (organization_id, exterior_side_id, id);

-- Paint disturbed at one place on one day, by a small repair or one work item of a renovation. place_id is the room,
-- or for the exterior the building, because all exterior places of a building count together.
create table disturbance (
  organization_id uuid not null,
  source_kind text not null check (source_kind in ('small_repair', 'renovation')),
  source_id uuid not null,
  item integer not null check (item >= 0),
  place_id uuid not null,
  exterior boolean not null,
  on_date date not null,
  area_value text not null,
  area_unit text not null,
  never_minor boolean not null,
  emergency boolean not null,
  primary key (organization_id, source_kind, source_id, item)
);
create index disturbance_place on disturbance (organization_id, place_id, on_date);

create table notice (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  property_id uuid not null,
  ended boolean not null,
  body bytea not null,
  renovation_id uuid not null,
  primary key (organization_id, id),
  foreign key (organization_id, property_id) references property (organization_id, id),
  foreign key (organization_id, renovation_id) references renovation (organization_id, id)
);
create index notice_property on notice (organization_id, property_id, id);
create index notice_renovation on notice (organization_id, renovation_id, id);

create table protection (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  property_id uuid not null,
  ended boolean not null,
  body bytea not null,
  renovation_id uuid not null,
  primary key (organization_id, id),
  foreign key (organization_id, property_id) references property (organization_id, id),
  foreign key (organization_id, renovation_id) references renovation (organization_id, id)
);
create index protection_property on protection (organization_id, property_id, id);
create index protection_renovation on protection (organization_id, renovation_id, id);

create table verification (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  property_id uuid not null,
  ended boolean not null,
  body bytea not null,
  renovation_id uuid not null,
  primary key (organization_id, id),
  foreign key (organization_id, property_id) references property (organization_id, id),
  foreign key (organization_id, renovation_id) references renovation (organization_id, id)
);
create index verification_property on verification (organization_id, property_id, id);
create index verification_renovation on verification (organization_id, renovation_id, id);

create table clearance (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  property_id uuid not null,
  ended boolean not null,
  body bytea not null,
  renovation_id uuid not null,
  sampled_at timestamptz not null,
  outcome text not null check (outcome in ('passed', 'failed', 'inconclusive')),
  primary key (organization_id, id),
  foreign key (organization_id, property_id) references property (organization_id, id),
  foreign key (organization_id, renovation_id) references renovation (organization_id, id)
);
create index clearance_property on clearance (organization_id, property_id, id);
create index clearance_renovation on clearance (organization_id, renovation_id, id);

create table container (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  property_id uuid not null,
  ended boolean not null,
  body bytea not null,
  renovation_id uuid not null,
  label text not null,
  primary key (organization_id, id),
  foreign key (organization_id, property_id) references property (organization_id, id),
  foreign key (organization_id, renovation_id) references renovation (organization_id, id)
);
create index container_property on container (organization_id, property_id, id);
create index container_renovation on container (organization_id, renovation_id, id);

create table trip (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  property_ids uuid[] not null,
  ended boolean not null,
  body bytea not null,
  facility_id uuid not null,
  primary key (organization_id, id),
  foreign key (organization_id, facility_id) references facility (organization_id, id)
);
create index trip_facility on trip (organization_id, facility_id, id);

-- Which trips a container was loaded on or arrived with.
create table trip_load (
  organization_id uuid not null,
  trip_id uuid not null,
  container_id uuid not null,
  primary key (organization_id, trip_id, container_id),
  foreign key (organization_id, trip_id) references trip (organization_id, id),
  foreign key (organization_id, container_id) references container (organization_id, id)
);
create index trip_load_container on trip_load (organization_id, container_id);

create table finding (
  organization_id uuid not null,
  id uuid not null,
  version integer not null check (version > 0),
  property_id uuid,
  ended boolean not null,
  body bytea not null,
  code text not null,
  subject_kind text not null,
  subject_id uuid not null,
  renovation_id uuid,
  state text not null check (state in ('open', 'corrected', 'rechecked', 'signed_off')),
  primary key (organization_id, id)
);
create index finding_property on finding (organization_id, property_id, id);
create index finding_subject on finding (organization_id, subject_id, id);
create index finding_renovation on finding (organization_id, renovation_id, id);

-- +goose StatementBegin
do $$
declare
  t text;
begin
  foreach t in array array['property', 'building', 'unit', 'room', 'exterior_side', 'occupancy', 'facility', 'renovation',
    'small_repair', 'disturbance', 'notice', 'protection', 'verification', 'clearance', 'container', 'trip', 'trip_load',
    'finding'] loop
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
grant delete on disturbance, trip_load to sillbook_app;
reset role;
