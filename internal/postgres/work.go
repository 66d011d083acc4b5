package postgres

import (
	"strings"

	"github.com/google/uuid"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/practice"
	"sillbook/internal/trade/renovation"
)

// WorkForm is a piece of work as it stands in written forms: of small repairs, and of renovations' work items.
type WorkForm struct {
	RoomID         *uuid.UUID      `json:"room_id"`
	ExteriorSideID *uuid.UUID      `json:"exterior_side_id"`
	Component      string          `json:"component"`
	Area           *measureForm    `json:"area"`
	Share          *measureForm    `json:"share"`
	PaintDisturbed string          `json:"paint_disturbed"`
	Method         practice.Method `json:"method"`
	WindowReplaced bool            `json:"window_replaced"`
	Demolished     bool            `json:"painted_surface_demolished"`
	Found          *struct {
		Route string `json:"route"`
	} `json:"lead_free"`
}

type measureForm struct {
	Value string `json:"value"`
	Unit  string `json:"unit"`
}

// in reads a measure in a unit; false where none was told.
func (m *measureForm) in(want measure.Dimension, unit measure.Unit) (measure.Number, bool) {
	if m == nil {
		return measure.Number{}, false
	}
	q, err := measure.New(m.Value, measure.Exactly, m.Unit, want)
	if err != nil {
		return measure.Number{}, false
	}
	return q.In(unit), true
}

// work is the piece of work as the rule sees it.
func (f WorkForm) work(p Place, covered home.Coverage, on calendar.Date) renovation.Work {
	w := renovation.Work{On: on, HomeCovered: law.Yes, Exterior: p.Exterior, Shared: p.UnitKind == home.CommonArea && !p.Exterior,
		Component: home.ComponentOf(f.Component), PaintDisturbed: law.TriOf(f.PaintDisturbed), Method: f.Method,
		WindowReplaced: f.WindowReplaced, Demolished: f.Demolished, Rented: p.Rented}
	switch covered.Outcome {
	case home.NotCovered:
		w.HomeCovered = law.No
	case home.Presumed:
		w.HomeCovered = law.Unknown
	}
	w.Area, w.AreaKnown = f.Area.in(measure.Area, measure.SquareFoot)
	w.Share, w.ShareKnown = f.Share.in(measure.Fraction, measure.Percent)
	if f.Found != nil {
		w.LeadFree = law.Yes
	}
	return w
}

// disturbs gives the row of a piece of work that counts towards the running total of its place; none where it adds nothing.
func (f WorkForm) disturbs(item int, p Place, w renovation.Work) []disturbance {
	o := w.AsOther()
	if w.HomeCovered == law.No || o.Known && o.Area.IsZero() && !o.NeverMinor {
		return nil
	}
	d := disturbance{Item: item, Place: p.ID, Exterior: p.Exterior, On: o.On, NeverMinor: o.NeverMinor, Emergency: o.Emergency}
	if f.Area != nil && o.Known {
		d.AreaValue, d.AreaUnit = f.Area.Value, f.Area.Unit
	}
	return []disturbance{d}
}

// placeOfWork finds and holds the place of a piece of work, so that its running total is added up by one request at a time.
func (t *Tx) placeOfWork(f WorkForm) (Place, error) {
	kind, id, pointer := "room", f.RoomID, "/room_id"
	if f.ExteriorSideID != nil {
		kind, id, pointer = "exterior_side", f.ExteriorSideID, "/exterior_side_id"
	}
	missing := func(err error) error {
		if !fault.Is(err, fault.NotFound) {
			return err
		}
		var faults fault.Faults
		faults.Add(pointer, "no_such_reference", "There is no %s with this identifier that this credential may see.", strings.ReplaceAll(kind, "_", " "))
		return faults.Err()
	}
	if kind == "room" {
		if _, err := t.Hold(kind, *id); err != nil {
			return Place{}, missing(err)
		}
		p, err := t.RoomPlace(*id)
		return p, missing(err)
	}
	p, err := t.SidePlace(*id)
	if err != nil {
		return p, missing(err)
	}
	_, err = t.Hold("building", p.ID)
	return p, err
}
