package postgres

import (
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/renovation"
)

// disturbance is paint disturbed at one place on one day by one job. Every job that counts towards the running total of
// minor repair has its rows; a job that is covered, minor or in doubt counts, one that disturbs no paint does not.
type disturbance struct {
	SourceKind string
	SourceID   uuid.UUID
	Item       int
	Place      uuid.UUID // the room, or the building for the exterior
	Exterior   bool
	On         calendar.Date
	AreaValue  string // as told; empty when not known
	AreaUnit   string
	NeverMinor bool // whatever its area: a restricted method, a window replaced, a demolition
	Emergency  bool
	Outcome    string // of the small repair; empty for a renovation
}

const deleteDisturbances = `
delete from disturbance
where organization_id = $1
  and source_kind = $2
  and source_id = $3`

const insertDisturbance = `
insert into disturbance (organization_id, source_kind, source_id, item, place_id, exterior, on_date, area_value, area_unit, never_minor, emergency)
values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)`

// disturb replaces the rows of a job.
func (t *Tx) disturb(kind string, id uuid.UUID, rows []disturbance) {
	t.later(deleteDisturbances, t.organization(), kind, id)
	for _, d := range rows {
		t.later(insertDisturbance, t.organization(), kind, id, d.Item, d.Place, d.Exterior, d.On.Time(), d.AreaValue, d.AreaUnit, d.NeverMinor, d.Emergency)
	}
}

const selectDisturbances = `
select d.source_kind, d.source_id, d.item, d.place_id, d.exterior, d.on_date, d.area_value, d.area_unit, d.never_minor, d.emergency,
  coalesce(s.outcome, '')
from disturbance d
left join small_repair s on s.organization_id = d.organization_id and s.id = d.source_id
where d.organization_id = $1
  and d.place_id = $2
  and d.on_date between $3 and $4
order by d.on_date, d.source_id, d.item`

// disturbances are the rows of a place that can share a run of 30 days with a date.
func (t *Tx) disturbances(place uuid.UUID, on calendar.Date) ([]disturbance, error) {
	var list []disturbance
	err := t.query(rowsOf(&list, func(row pgx.CollectableRow) (d disturbance, err error) {
		var date time.Time
		err = row.Scan(&d.SourceKind, &d.SourceID, &d.Item, &d.Place, &d.Exterior, &date, &d.AreaValue, &d.AreaUnit, &d.NeverMinor, &d.Emergency, &d.Outcome)
		d.On = calendar.LocalDate(date, time.UTC)
		return d, err
	}), selectDisturbances, t.organization(), place, on.AddDays(1-widestWindow).Time(), on.AddDays(widestWindow-1).Time())
	return list, err
}

// widestWindow is at least the days over which jobs are added; the rule itself reads the number from the law.
const widestWindow = 60

// other is the row as the rule sees it.
func (d disturbance) other() renovation.Other {
	o := renovation.Other{On: d.On, NeverMinor: d.NeverMinor, Emergency: d.Emergency}
	if area, err := measure.New(d.AreaValue, measure.Exactly, d.AreaUnit, measure.Area); err == nil {
		o.Area, o.Known = area.In(measure.SquareFoot), true
	}
	return o
}

// othersThan gives the rows that are not of one piece of work: the other items of the same job are other jobs to it.
func othersThan(id uuid.UUID, item int, rows []disturbance) (others []renovation.Other) {
	for _, d := range rows {
		if d.SourceID != id || d.Item != item {
			others = append(others, d.other())
		}
	}
	return others
}
