package postgres

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/fault"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/practice"
	"sillbook/internal/trade/renovation"
)

// observationForm is what the book reads back from an observation's written form.
type observationForm struct {
	ID             uuid.UUID                  `json:"id"`
	Kind           renovation.ObservationKind `json:"kind"`
	HappenedAt     time.Time                  `json:"happened_at"`
	RoomID         *uuid.UUID                 `json:"room_id"`
	ExteriorSideID *uuid.UUID                 `json:"exterior_side_id"`
	Withdrawn      bool                       `json:"withdrawn"`
	MethodUsed     *usedForm                  `json:"method_used"`
	Containment    struct {
		Intact string `json:"intact"`
	} `json:"containment"`
	People struct {
		WithChild  string `json:"with_child"`
		InWorkArea string `json:"in_work_area"`
	} `json:"people"`
	Presence struct {
		Moment renovation.Moment `json:"moment"`
	} `json:"presence"`
}

// usedForm is a method as it was used.
type usedForm struct {
	Method      practice.Method `json:"method"`
	Component   string          `json:"component"`
	Temperature *toldQuantity   `json:"temperature"`
	Charring    string          `json:"charring"`
	WithHeatGun bool            `json:"with_heat_gun"`
	Shroud      string          `json:"shroud"`
	HEPA        string          `json:"hepa"`
	DustOutside string          `json:"visible_dust_outside"`
	Ventilated  string          `json:"well_ventilated"`
	Volatile    string          `json:"volatile_stripper"`
	Outlet      *toldQuantity   `json:"outlet_distance"`
	SpotArea    *toldQuantity   `json:"spot_area"`
}

type toldQuantity struct {
	Value     string            `json:"value"`
	Unit      string            `json:"unit"`
	Qualifier measure.Qualifier `json:"qualifier"`
}

// of reads a quantity; what cannot be read is not known.
func (q *toldQuantity) of(want measure.Dimension) measure.Quantity {
	if q == nil {
		return measure.Quantity{}
	}
	read, err := measure.New(q.Value, q.Qualifier, q.Unit, want)
	if err != nil {
		return measure.Quantity{}
	}
	return read
}

// place is the room or exterior side; uuid.Nil for the job as a whole.
func (f observationForm) place() uuid.UUID {
	switch {
	case f.RoomID != nil:
		return *f.RoomID
	case f.ExteriorSideID != nil:
		return *f.ExteriorSideID
	}
	return uuid.Nil
}

// observation is the observation as the rules see it.
func (f observationForm) observation(places map[uuid.UUID]seenPlace) renovation.Observation {
	o := renovation.Observation{ID: f.ID.String(), Kind: f.Kind, At: f.HappenedAt, Withdrawn: f.Withdrawn, Intact: law.TriOf(f.Containment.Intact),
		InArea: law.TriOf(f.People.InWorkArea), WithChild: law.TriOf(f.People.WithChild), Moment: f.Presence.Moment}
	o.Spot.Name = places[f.place()].name
	if f.RoomID != nil {
		o.Spot.Room = f.RoomID.String()
	}
	if f.ExteriorSideID != nil {
		o.Spot.Side = f.ExteriorSideID.String()
	}
	if m := f.MethodUsed; m != nil {
		o.Component = m.Component
		o.Used = practice.Facts{Method: m.Method, Charring: law.TriOf(m.Charring), WithHeatGun: m.WithHeatGun, Shroud: law.TriOf(m.Shroud), HEPA: law.TriOf(m.HEPA),
			DustOutside: law.TriOf(m.DustOutside), Ventilated: law.TriOf(m.Ventilated), Volatile: law.TriOf(m.Volatile), Temperature: m.Temperature.of(measure.Temperature),
			OutletDistance: m.Outlet.of(measure.Length), SpotArea: m.SpotArea.of(measure.Area)}
	}
	return o
}

// seenPlace is a place that an observation may name.
type seenPlace struct {
	property uuid.UUID
	side     bool   // an exterior side, otherwise a room
	name     string // "Kitchen, 2B"
}

const selectSeenPlaces = `
select r.id, r.property_id, false, convert_from(r.body, 'UTF8')::jsonb ->> 'name', coalesce(convert_from(u.body, 'UTF8')::jsonb ->> 'name', '')
from room r
left join unit u on u.organization_id = r.organization_id and u.id = r.unit_id
where r.organization_id = $1
  and r.id = any($2)
union all
select s.id, s.property_id, true, convert_from(s.body, 'UTF8')::jsonb ->> 'name', ''
from exterior_side s
where s.organization_id = $1
  and s.id = any($2)`

// seenPlaces finds places by their identifiers, wherever they are and whether or not they have ended.
func (t *Tx) seenPlaces(ids []uuid.UUID) (map[uuid.UUID]seenPlace, error) {
	found := map[uuid.UUID]seenPlace{}
	if len(ids) == 0 {
		return found, nil
	}
	return found, t.query(func(rows pgx.Rows) error {
		for rows.Next() {
			var id uuid.UUID
			var p seenPlace
			var unit string
			if err := rows.Scan(&id, &p.property, &p.side, &p.name, &unit); err != nil {
				return err
			}
			if unit != "" {
				p.name += ", " + unit
			}
			found[id] = p
		}
		return rows.Err()
	}, selectSeenPlaces, t.organization(), ids)
}

const selectObservations = `
select body
from observation
where organization_id = $1
  and renovation_id = $2
  and ($3::text[] is null or kind = any($3))
  and not ended
order by happened_at, id`

// observations are the live observations of a job as the rules see them; of some kinds, or of all where none is named.
func (t *Tx) observations(job uuid.UUID, kinds ...renovation.ObservationKind) ([]renovation.Observation, error) {
	var forms []observationForm
	err := t.query(rowsOf(&forms, func(row pgx.CollectableRow) (f observationForm, err error) {
		var body []byte
		if err := row.Scan(&body); err != nil {
			return f, err
		}
		return f, json.Unmarshal(body, &f)
	}), selectObservations, t.organization(), job, kinds)
	if err != nil || len(forms) == 0 {
		return nil, err
	}
	var ids []uuid.UUID
	for _, f := range forms {
		if id := f.place(); id != uuid.Nil && !slices.Contains(ids, id) {
			ids = append(ids, id)
		}
	}
	places, err := t.seenPlaces(ids)
	list := make([]renovation.Observation, len(forms))
	for i, f := range forms {
		list[i] = f.observation(places)
	}
	return list, err
}

// workSite is what a job's observations are judged by.
func (t *Tx) workSite(r Record, j job) (renovation.WorkSite, error) {
	at, err := t.siteOf(r)
	if err != nil {
		return renovation.WorkSite{}, err
	}
	rules, err := t.rules()
	if err != nil {
		return renovation.WorkSite{}, err
	}
	site := renovation.WorkSite{Zone: at.zone, Assisted: law.TriOf(j.Assisted), Abatement: law.No, Practices: rules.Practices.In(at.jurisdictions)}
	outcome, known := renovation.OutcomeOf(j.Outcome)
	if known && outcome == renovation.Abatement {
		site.Abatement = law.Yes
	}
	site.Asked = renovation.AskedOf(outcome, known, false)
	if site.Asked != renovation.AskedAll && site.Assisted == law.Yes {
		sites, err := t.sitesOf(j, false)
		if err != nil {
			return site, err
		}
		v, err := t.judgeJob(j, sites, r.ID)
		site.Asked = renovation.AskedOf(outcome, known, v.hud)
		return site, err
	}
	return site, nil
}

// Observed is what a job's observations come to, as the caller is told it.
type Observed struct {
	RenovationID   uuid.UUID      `json:"renovation_id"`
	Observations   int            `json:"observations"`
	Stopped        bool           `json:"stopped"`
	Stops          []ObservedStop `json:"stops"`
	SignsUp        string         `json:"signs_up"`
	OccupantsOut   string         `json:"occupants_out"`
	VentilationOff string         `json:"ventilation_off"`
	renovation.Observed
}

// ObservedStop is something observed that stops the work.
type ObservedStop struct {
	FindingID     uuid.UUID `json:"finding_id"`
	Code          string    `json:"code"`
	ObservationID string    `json:"observation_id"`
	Since         time.Time `json:"since"`
	Detail        string    `json:"detail"`
}

// Observed says what the observations of a job come to.
func (s *Store) Observed(ctx context.Context, call Call, job uuid.UUID) (is Observed, err error) {
	err = s.read(ctx, call, func(t *Tx) error {
		r, err := t.Load("renovation", job)
		if err != nil {
			return err
		}
		if call.Caller.Grant != uuid.Nil {
			t.RecordAccess("observation", nil, false)
		}
		is, err = t.observed(r)
		return err
	})
	return is, err
}

func (t *Tx) observed(r Record) (Observed, error) {
	is := Observed{RenovationID: r.ID, Stops: []ObservedStop{}}
	j, err := jobOf(r)
	if err != nil {
		return is, err
	}
	set, err := t.observations(r.ID)
	if err != nil {
		return is, err
	}
	site, err := t.workSite(r, j)
	if err != nil {
		return is, err
	}
	is.Observations, is.Observed = len(set), renovation.Observe(site, set)
	is.SignsUp, is.OccupantsOut, is.VentilationOff = is.Observed.SignsUp.String(), is.Observed.OccupantsOut.String(), is.Observed.VentilationOff.String()
	findings, err := t.observedFindings(r.ID, false)
	if err != nil {
		return is, err
	}
	for _, c := range is.Causes {
		f, there := findings[causeKey{c.Code, c.Observation}]
		if there && f.form.stopsWork() {
			is.Stops = append(is.Stops, ObservedStop{FindingID: f.record.ID, Code: c.Code, ObservationID: c.Observation, Since: c.At.UTC(), Detail: f.form.Detail})
		}
	}
	is.Stopped = len(is.Stops) > 0
	return is, nil
}

const selectObservationPage = `
select id, version, ended, body, happened_at
from observation
where organization_id = $1
  and renovation_id = $2
  and ($3::text is null or kind = $3)
  and (happened_at, id) > ($4, $5)
order by happened_at, id
limit $6`

// ObservationsAsked is what a list of observations asks for.
type ObservationsAsked struct {
	Kind    string // empty: all
	AfterAt time.Time
	AfterID uuid.UUID // of the last one of the page before
	Limit   int
}

// ObservationPage is a page of observations. NextID is uuid.Nil on the last one.
type ObservationPage struct {
	Bodies [][]byte
	NextAt time.Time
	NextID uuid.UUID
}

// Observations reads a page of a job's observations, by when they happened.
func (s *Store) Observations(ctx context.Context, call Call, job uuid.UUID, asked ObservationsAsked) (page ObservationPage, err error) {
	err = s.read(ctx, call, func(t *Tx) error {
		if _, err := t.Load("renovation", job); err != nil {
			return err
		}
		if call.Caller.Grant != uuid.Nil {
			t.RecordAccess("observation", nil, false)
		}
		page, err = t.observationPage(job, asked)
		return err
	})
	return page, err
}

func (t *Tx) observationPage(job uuid.UUID, asked ObservationsAsked) (page ObservationPage, err error) {
	var kind *string
	if asked.Kind != "" {
		kind = &asked.Kind
	}
	var at []time.Time
	var records []Record
	err = t.query(rowsOf(&records, func(row pgx.CollectableRow) (Record, error) {
		r := Record{Kind: "observation"}
		var when time.Time
		err := row.Scan(&r.ID, &r.Version, &r.Ended, &r.Body, &when)
		at = append(at, when)
		return r, err
	}), selectObservationPage, t.organization(), job, kind, asked.AfterAt, asked.AfterID, asked.Limit+1)
	if err != nil {
		return page, err
	}
	if len(records) > asked.Limit {
		records = records[:asked.Limit]
		page.NextAt, page.NextID = at[asked.Limit-1], records[asked.Limit-1].ID
	}
	page.Bodies, err = t.Reveal("observation", records...)
	return page, err
}

// ObservationOf reads one observation of a job, now or at a version.
func (s *Store) ObservationOf(ctx context.Context, call Call, job, id uuid.UUID, version int) (Record, []byte, error) {
	record, body, err := s.Get(ctx, call, "observation", id, version)
	if err != nil {
		return record, nil, err
	}
	var of struct {
		RenovationID uuid.UUID `json:"renovation_id"`
	}
	if err := record.Read(&of); err != nil {
		return record, nil, fmt.Errorf("reading observation %s: %w", id, err)
	}
	if of.RenovationID != job {
		return Record{}, nil, fault.New(fault.NotFound, "not_found", "There is nothing here that this credential may see.").
			Fix("Check the identifiers of the job and of the observation.")
	}
	return record, body, nil
}
