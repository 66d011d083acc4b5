package postgres

import (
	"slices"

	"github.com/google/uuid"

	"sillbook/internal/trade/waste"
)

// settle brings what is stored in step with the ledger: findings are opened, or say what settled them; containers are
// where the ledger has them; trips say what came short. Only what differs gets a new version.
func (a *account) settle(l waste.Ledger) error {
	if err := a.settleFindings(l); err != nil {
		return err
	}
	for _, c := range a.containers {
		if err := a.settleContainer(c, l); err != nil {
			return err
		}
	}
	for _, p := range a.trips {
		if err := a.settleTrip(p, l); err != nil {
			return err
		}
	}
	return nil
}

// positionActions name the change of a container that got to a place by a trip, or back by its voiding.
var positionActions = map[waste.Where]string{
	waste.InStorage: "returned", waste.InTransit: "loaded", waste.Delivered: "delivered", waste.GivenUp: "lost",
}

func (a *account) settleContainer(c *heldContainer, l waste.Ledger) error {
	if c.record.Ended {
		return nil
	}
	was, is := c.form.Position, a.position(c, l)
	moved := was == nil || was.Where != is.Where || was.Unaccounted != is.Unaccounted || !was.Since.Equal(is.Since)
	if moved {
		if err := a.watchClosed(c, is); err != nil {
			return err
		}
	}
	switch {
	case c.action != "":
	case moved && is.Unaccounted:
		c.action = "missed"
	case moved:
		c.action = positionActions[is.Where]
	case c.found:
		c.action = "noted"
	default:
		return nil
	}
	fields, err := c.record.Fields()
	if err != nil {
		return err
	}
	d := Draft{Fields: fields.Told()}
	for name, value := range map[string]any{"position": is, "events": c.form.Events, "finding_ids": c.form.FindingIDs} {
		if err := d.Set(name, value); err != nil {
			return err
		}
	}
	c.record, err = a.Replace(c.record, c.action, d)
	return err
}

// position writes down where the ledger has a container.
func (a *account) position(c *heldContainer, l waste.Ledger) containerPosition {
	course, _ := l.Course(c.record.ID.String()) // each of the account's containers has one
	last := course.Last()
	p := containerPosition{Where: last.Where, Since: last.Since.UTC(), Unaccounted: last.Unaccounted, Detail: last.Place + last.Reason}
	for _, trip := range a.trips {
		if trip.record.ID.String() != last.Trip {
			continue
		}
		p.TripID, p.Detail = &trip.record.ID, trip.form.Vehicle
		if last.Where == waste.Delivered {
			p.FacilityID, p.Detail = &trip.form.FacilityID, trip.facility
		}
	}
	return p
}

func (a *account) settleTrip(p *heldTrip, l waste.Ledger) error {
	short := a.short(p, l)
	if p.action == "" && !p.found && slices.Equal(short, p.form.Short) {
		return nil
	}
	d := Draft{ID: p.record.ID, Fields: p.fields}
	if !p.fresh {
		fields, err := p.record.Fields()
		if err != nil {
			return err
		}
		d.Fields = fields.Told()
	}
	for name, value := range map[string]any{"arrival": p.form.Arrival, "short": short, "finding_ids": p.form.FindingIDs} {
		if err := d.Set(name, value); err != nil {
			return err
		}
	}
	var err error
	switch {
	case p.fresh:
		d.Properties = a.propertiesOf(p)
		p.record, err = a.Insert("trip", p.action, d)
	case p.action != "":
		d.Properties = a.propertiesOf(p)
		p.record, err = a.Replace(p.record, p.action, d)
	default:
		p.record, err = a.beyondReach(p.record, d)
	}
	return err
}

// beyondReach writes a trip that another fact changes. It may have carried containers of properties that the caller does
// not see; the book keeps it in step all the same.
func (a *account) beyondReach(trip Record, d Draft) (Record, error) {
	reach := a.call.Caller.Properties
	defer func() { a.call.Caller.Properties = reach }()
	a.call.Caller.Properties = nil
	return a.Replace(trip, "recounted", d)
}

// short are the containers that were missed at a trip's arrival. Those outside the account stay as they were.
func (a *account) short(p *heldTrip, l waste.Ledger) []uuid.UUID {
	short := []uuid.UUID{}
	for _, id := range p.form.ContainerIDs {
		missed := slices.Contains(p.form.Short, id)
		if course, ours := l.Course(id.String()); ours {
			missed = slices.ContainsFunc(course.Positions, func(at waste.Position) bool {
				return at.Unaccounted && at.Trip == p.record.ID.String()
			})
		}
		if missed {
			short = append(short, id)
		}
	}
	return short
}

// propertiesOf are the properties that a trip's containers come from, in the order of their identifiers.
func (a *account) propertiesOf(p *heldTrip) []uuid.UUID {
	var ids []uuid.UUID
	for _, id := range p.form.containers() {
		if c := a.container(id); c != nil {
			ids = append(ids, c.record.Properties...)
		}
	}
	return inHoldingOrder(ids)
}
