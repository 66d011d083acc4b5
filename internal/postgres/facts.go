package postgres

import (
	"time"

	"github.com/go-json-experiment/json"
	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
)

// Place is a place of work with the facts that determinations about it need.
type Place struct {
	ID            uuid.UUID // of the room, or of the building for the exterior: where disturbed paint is added up
	Exterior      bool
	Property      uuid.UUID
	Zone          *time.Location
	Jurisdictions []string
	Unit          uuid.UUID // uuid.Nil for a common place or the exterior
	UnitName      string
	UnitKind      home.UnitKind
	Rented        law.Tri

	unit, building bodyOfPlace
	stays          []home.Stay
}

// bodyOfPlace is what facts are read out of the written forms of properties, buildings and units.
type bodyOfPlace struct {
	Name          string   `json:"name"`
	TimeZone      string   `json:"time_zone"`
	Jurisdictions []string `json:"jurisdictions"`
	Kind          string   `json:"kind"`
	Bedrooms      *int     `json:"bedrooms"`
	HousingFor    string   `json:"housing_for"`
	OwnerOccupied string   `json:"owner_occupied"`
	Rented        string   `json:"rented"`
	BuildYear     *struct {
		Year      *int   `json:"year"`
		Certainty string `json:"certainty"`
	} `json:"build_year"`
	FoundLeadFree *struct {
		Route string `json:"route"`
	} `json:"found_lead_free"`
}

const selectRoomPlace = `
select p.id, p.body, b.body, u.id, u.body
from room r
left join unit u on u.organization_id = r.organization_id and u.id = r.unit_id
join building b on b.organization_id = r.organization_id and b.id = coalesce(u.building_id, r.building_id)
join property p on p.organization_id = r.organization_id and p.id = r.property_id
where r.organization_id = $1
  and r.id = $2`

const selectBuildingPlace = `
select p.id, p.body, b.body, null::uuid, null::bytea
from building b
join property p on p.organization_id = b.organization_id and p.id = b.property_id
where b.organization_id = $1
  and b.id = $2`

const selectUnitPlace = `
select p.id, p.body, b.body, u.id, u.body
from unit u
join building b on b.organization_id = u.organization_id and b.id = u.building_id
join property p on p.organization_id = u.organization_id and p.id = u.property_id
where u.organization_id = $1
  and u.id = $2`

const selectSideBuilding = `
select building_id
from exterior_side
where organization_id = $1
  and id = $2`

// RoomPlace finds a room's facts.
func (t *Tx) RoomPlace(room uuid.UUID) (Place, error) {
	p, err := t.place(selectRoomPlace, room)
	p.ID = room
	return p, err
}

// UnitPlace finds a unit's facts.
func (t *Tx) UnitPlace(unit uuid.UUID) (Place, error) {
	p, err := t.place(selectUnitPlace, unit)
	p.ID = unit
	return p, err
}

// BuildingPlace finds the facts of a building's exterior.
func (t *Tx) BuildingPlace(building uuid.UUID) (Place, error) {
	p, err := t.place(selectBuildingPlace, building)
	p.ID, p.Exterior = building, true
	return p, err
}

// SidePlace finds the facts of the exterior that a side belongs to.
func (t *Tx) SidePlace(side uuid.UUID) (Place, error) {
	var building uuid.UUID
	err := t.query(func(rows pgx.Rows) (err error) {
		building, err = pgx.CollectExactlyOneRow(rows, pgx.RowTo[uuid.UUID])
		return err
	}, selectSideBuilding, t.organization(), side)
	if err != nil {
		return Place{}, settle(err)
	}
	return t.BuildingPlace(building)
}

func (t *Tx) place(sql string, id uuid.UUID) (p Place, err error) {
	var property, building, unit []byte
	var unitID *uuid.UUID
	err = t.query(func(rows pgx.Rows) error {
		if !rows.Next() {
			return notFound()
		}
		return rows.Scan(&p.Property, &property, &building, &unitID, &unit)
	}, sql, t.organization(), id)
	if err != nil {
		return p, settle(err)
	}
	if !t.call.Caller.Sees([]uuid.UUID{p.Property}) {
		return p, notFound()
	}
	var site bodyOfPlace
	if err := json.Unmarshal(property, &site); err != nil {
		return p, err
	}
	if p.Zone, err = time.LoadLocation(site.TimeZone); err != nil {
		return p, err
	}
	p.Jurisdictions, p.UnitKind = site.Jurisdictions, home.CommonArea
	if err := json.Unmarshal(building, &p.building); err != nil || unitID == nil {
		return p, err
	}
	p.Unit = *unitID
	if err := json.Unmarshal(unit, &p.unit); err != nil {
		return p, err
	}
	p.UnitName, p.Rented = p.unit.Name, law.TriOf(p.unit.Rented)
	p.UnitKind = map[string]home.UnitKind{"common_area": home.CommonArea, "child_occupied_facility": home.ChildOccupiedFacility}[p.unit.Kind]
	p.stays, err = t.stays(p.Unit)
	return p, err
}

const selectStays = `
select o.id, o.body
from occupancy o
where o.organization_id = $1
  and o.unit_id = $2
  and not o.ended`

type stayForm struct {
	From     calendar.Date `json:"from"`
	To       calendar.Date `json:"to"`
	Children *struct {
		Present  int `json:"present"`
		Expected int `json:"expected"`
		Visiting int `json:"visiting"`
	} `json:"children_under_six"`
	Pregnant string `json:"pregnant_residents"` // its commitment
}

// stays reads who lives in a unit, restricted facts included: the book itself must know them to say what is required.
// They leave it only as "a restricted requirement applies".
func (t *Tx) stays(unit uuid.UUID) ([]home.Stay, error) {
	var records []Record
	err := t.query(rowsOf(&records, func(row pgx.CollectableRow) (Record, error) {
		r := Record{Kind: "occupancy"}
		return r, row.Scan(&r.ID, &r.Body)
	}), selectStays, t.organization(), unit)
	if err != nil || len(records) == 0 {
		return nil, err
	}
	values, err := t.restrictedValues("occupancy", records)
	if err != nil {
		return nil, err
	}
	stays := make([]home.Stay, 0, len(records))
	for _, r := range records {
		var f stayForm
		if err := json.Unmarshal(r.Body, &f); err != nil {
			return nil, err
		}
		s := home.Stay{From: f.From, To: f.To}
		if f.Children != nil {
			s.Told, s.Present, s.Expected, s.Visiting = true, f.Children.Present, f.Children.Expected, f.Children.Visiting
		}
		if row, there := values[f.Pregnant]; there && !isNull(row.Value) {
			if err := json.Unmarshal(row.Value, &s.Pregnant); err != nil {
				return nil, err
			}
		}
		stays = append(stays, s)
	}
	return stays, nil
}

// Today is the local date at the place.
func (p Place) Today(now time.Time) calendar.Date { return calendar.LocalDate(now, p.Zone) }

// Coverage are the facts of coverage on a date. A unit's own build year goes before its building's.
func (p Place) Coverage(on calendar.Date) home.CoverageFacts {
	f := home.CoverageFacts{AsOf: on, Kind: p.UnitKind, Bedrooms: home.BedroomsUnknown, ChildUnderSix: home.ChildLives(p.stays, on)}
	year := p.building.BuildYear
	if own := p.unit.BuildYear; own != nil && own.Year != nil {
		year = own
	}
	if year != nil {
		f.Certainty = map[string]home.Certainty{"recorded": home.Recorded, "estimated": home.Estimated}[year.Certainty]
		if year.Year != nil {
			f.BuildYear = *year.Year
		}
	}
	if p.unit.Bedrooms != nil {
		f.Bedrooms = *p.unit.Bedrooms
	}
	f.HousingFor = map[string]home.HousingFor{"general": home.General, "older_people": home.OlderPeople, "people_with_disabilities": home.PeopleWithDisabilities}[p.unit.HousingFor]
	if p.unit.FoundLeadFree != nil && p.unit.FoundLeadFree.Route == "inspection" {
		f.FoundLeadFree = law.Yes
	}
	if f.Kind == home.ChildOccupiedFacility {
		f.VisitedByChild = home.ChildComes(p.stays, on)
	}
	return f
}

// Protected says who must be kept out of work between two dates.
func (p Place) Protected(from, to calendar.Date) home.Protected {
	return home.ProtectedOn(p.stays, from, to)
}

// covered asks whether the place is covered on a date.
func (t *Tx) covered(p Place, on calendar.Date) (home.Coverage, law.Determination, error) {
	all, err := t.rules()
	if err != nil {
		return home.Coverage{}, law.Determination{}, err
	}
	facts, rules := p.Coverage(on), all.Homes.In(p.Jurisdictions)
	c, err := rules.Cover(facts)
	if err != nil {
		return c, law.Determination{}, err
	}
	d := rules.Explain(facts, c)
	all.Localize(&d, "coverage", p.Jurisdictions)
	return c, d, nil
}
