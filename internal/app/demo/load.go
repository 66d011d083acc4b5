package demo

import (
	"fmt"
	"slices"
	"strings"

	"github.com/google/uuid"

	"sillbook/api"
)

// unitOf is a unit on record, with what the story needs to speak of it.
type unitOf struct {
	id             uuid.UUID
	external, name string // name: building and home, such as Juniper House 2C
	property       uuid.UUID
	rooms          map[string]uuid.UUID
	told           api.UnitCreate
	home           home
	children       string
}

// portfolio is what was loaded, in the order of the scenario.
type portfolio struct {
	properties map[string]uuid.UUID
	names      map[uuid.UUID]string // of properties
	units      []*unitOf
	rooms      []placed // in the order of the units
	counts     map[string]int
}

// placed is a room on record.
type placed struct {
	id         uuid.UUID
	unit, name string // external identifier of its unit, and its name
}

func (p *portfolio) unit(external string) *unitOf {
	i := slices.IndexFunc(p.units, func(u *unitOf) bool { return u.external == external })
	if i < 0 {
		stopf("the scenario has no unit %s", external)
	}
	return p.units[i]
}

// load tells the service the whole portfolio.
func (s *story) load() {
	s.book = &portfolio{properties: map[string]uuid.UUID{}, names: map[uuid.UUID]string{}, counts: map[string]int{}}
	for _, p := range s.homes.Properties {
		record := made(s.owner.CreatePropertyWithResponse(s.ctx, &api.CreatePropertyParams{IdempotencyKey: once("load-%s", p.ID)}, api.PropertyCreate{
			Name: p.Name, TimeZone: s.homes.TimeZone, Jurisdictions: &s.homes.Jurisdictions, ExternalIds: s.external(p.ID),
			Address: api.Address{Street: p.Street, City: s.homes.Town, Region: s.homes.Region}}))
		s.book.properties[p.ID], s.book.names[record.Id] = record.Id, p.Name
		for _, b := range p.Buildings {
			s.loadBuilding(record.Id, b)
		}
	}
	s.loadUnits()
	s.loadRooms()
	s.loadOccupancies()
}

func (s *story) external(id string) *[]api.ExternalID {
	return &[]api.ExternalID{{System: s.homes.RentSystem, Value: id}}
}

func (s *story) loadBuilding(property uuid.UUID, b building) {
	year := &api.BuildYear{Certainty: b.BuildYear.Certainty}
	if b.BuildYear.Year != 0 {
		year.Year, year.Source = &b.BuildYear.Year, &b.BuildYear.Source
	}
	record := made(s.owner.CreateBuildingWithResponse(s.ctx, &api.CreateBuildingParams{IdempotencyKey: once("load-%s", b.ID)}, api.BuildingCreate{
		PropertyId: property, Name: b.Name, BuildYear: year, Storeys: &b.Storeys, ExternalIds: s.external(b.ID)}))
	s.book.counts["buildings"]++
	for _, side := range []api.WallSide{api.WallSideA, api.WallSideB, api.WallSideC, api.WallSideD} {
		made(s.owner.CreateExteriorSideWithResponse(s.ctx, &api.CreateExteriorSideParams{IdempotencyKey: once("load-%s-side-%s", b.ID, side)}, api.ExteriorSideCreate{
			BuildingId: record.Id, Name: "Wall " + string(side), Kind: api.SideKindWallSide, Side: &side, ExternalIds: s.external(b.ID + "-wall-" + string(side))}))
		s.book.counts["exterior sides"]++
	}
	for _, f := range b.Units {
		for _, name := range f.names() {
			s.plan(b, property, api.UnitCreate{BuildingId: record.Id, Name: name, Kind: api.UnitKindDwelling, Bedrooms: f.Bedrooms,
				HousingFor: &f.HousingFor, Rented: new(api.TriYes), OwnerOccupied: new(api.TriNo), FoundLeadFree: s.finding(f)}, f.Rooms, f.Children)
		}
	}
	for _, name := range b.Common {
		s.plan(b, property, api.UnitCreate{BuildingId: record.Id, Name: name, Kind: api.UnitKindCommonArea}, []string{name}, "")
	}
	for _, name := range b.Facilities {
		s.plan(b, property, api.UnitCreate{BuildingId: record.Id, Name: name, Kind: api.UnitKindChildOccupiedFacility}, []string{"Play room", "Nap room"}, "")
	}
}

// finding is an inspector's finding that homes are free of lead-based paint, where the scenario has one.
func (s *story) finding(f floors) *api.LeadFree {
	if !f.FoundLeadFree {
		return nil
	}
	return &api.LeadFree{Route: api.LeadFreeRouteInspection, FoundOn: new(s.clock.day(400)), By: new("I. Cobnut, certified inspector"), Record: new("Binder 2")}
}

// plan notes a unit that is to be loaded.
func (s *story) plan(b building, property uuid.UUID, told api.UnitCreate, rooms []string, children string) {
	external := b.ID + "-" + slug(told.Name)
	told.ExternalIds = s.external(external)
	u := &unitOf{external: external, name: spoken(b, told), property: property, told: told, rooms: map[string]uuid.UUID{}, home: b.Homes[told.Name], children: children}
	s.book.units = append(s.book.units, u)
	for _, name := range rooms {
		s.book.rooms = append(s.book.rooms, placed{unit: external, name: name})
	}
}

func (s *story) loadUnits() {
	together(len(s.book.units), func(i int) {
		u := s.book.units[i]
		u.id = made(s.owner.CreateUnitWithResponse(s.ctx, &api.CreateUnitParams{IdempotencyKey: once("load-%s", u.external)}, u.told)).Id
	})
}

func (s *story) loadRooms() {
	together(len(s.book.rooms), func(i int) {
		r := &s.book.rooms[i]
		u, kind := s.book.unit(r.unit), api.RoomKindRoom
		if u.told.Kind == api.UnitKindCommonArea {
			kind = api.RoomKindCommonArea
		}
		r.id = made(s.owner.CreateRoomWithResponse(s.ctx, &api.CreateRoomParams{IdempotencyKey: once("load-%s-%s", r.unit, slug(r.name))}, api.RoomCreate{
			UnitId: &u.id, Name: r.name, Kind: kind, ExternalIds: s.external(r.unit + "-" + slug(r.name))})).Id
	})
	for _, r := range s.book.rooms {
		s.book.unit(r.unit).rooms[r.name] = r.id
	}
}

// loadOccupancies tells the households: counts of children under six where they have been told, and nothing else.
func (s *story) loadOccupancies() {
	var lived []*unitOf
	for _, u := range s.book.units {
		if u.told.Kind == api.UnitKindDwelling && !u.home.Vacant {
			lived = append(lived, u)
		}
	}
	together(len(lived), func(i int) {
		u := lived[i]
		stay := api.OccupancyCreate{UnitId: u.id, From: s.clock.day(500 + i), ExternalIds: s.external(fmt.Sprintf("household-%03d", i+1))}
		if u.children == "none" || u.home.Children > 0 {
			stay.ChildrenUnderSix = &api.ChildCount{Present: new(u.home.Children), Expected: new(int32(0)), Visiting: new(int32(0))}
		}
		if u.home.Pregnant > 0 {
			stay.PregnantResidents = &u.home.Pregnant
		}
		as := s.manager
		if u.home.Pregnant > 0 {
			as = s.owner // whose key may tell restricted facts
		}
		made(as.CreateOccupancyWithResponse(s.ctx, &api.CreateOccupancyParams{IdempotencyKey: once("load-household-%03d", i+1)}, stay))
	})
	s.book.counts["households"] = len(lived)
}

// spoken is what people call a unit: Juniper House 2C; Juniper House, stair hall.
func spoken(b building, told api.UnitCreate) string {
	switch {
	case told.Kind != api.UnitKindDwelling:
		return told.Name + " in " + b.Name
	case len(b.Units) == 1 && b.Units[0].Floors*b.Units[0].Each == 1:
		return b.Name
	}
	return b.Name + " " + told.Name
}

// slug makes a name fit for an identifier.
func slug(name string) string { return strings.ReplaceAll(name, " ", "-") }
