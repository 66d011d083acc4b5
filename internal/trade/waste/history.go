// Package waste follows every sealed container of waste until somebody has received it, and keeps a balance from which no
// bag can drop out: sealed = stored + in transit + delivered + accounted losses.
package waste

import (
	"time"

	"sillbook/internal/trade/calendar"
)

// History is everything told about some containers and the trips that concern them. It is a set: the order of its parts
// says nothing, so facts may be told late and in any order.
type History struct {
	Containers []Container
	Trips      []Trip // containers they list that are not among Containers belong to another account and are passed over

	// Zone is the time zone of the property; a vehicle is cleaned on the local day of its arrival.
	Zone *time.Location
	// AsOf is the local date of the question. Until the day of an arrival has passed, a vehicle not yet cleaned is in order.
	// No date means that every day asked about has passed.
	AsOf calendar.Date
}

// Container is a sealed bag, drum or bundle, and what happened to it apart from trips.
type Container struct {
	ID       string
	Label    string // what is written on it; names it in sentences
	Kind     ContainerKind
	SealedAt time.Time
	StoredIn string // where it was put once sealed; may be empty
	Events   []Event
}

// What is what happened to a container.
type What string

// What can happen to a container apart from trips.
const (
	Stored What = "stored" // put somewhere; a container on a trip was taken off it
	Found  What = "found"  // turned up again; it is stored where it was found
	Lost   What = "lost"   // given up with a reason: an accounted loss
)

// Event is one thing that happened to a container after it was sealed.
type Event struct {
	What   What
	At     time.Time
	Where  string // for Stored and Found: the place
	Reason string // for Lost: what is known, and who accounts for it
}

// Trip is a vehicle that took containers to a facility.
type Trip struct {
	ID         string
	Facility   string
	CargoArea  CargoArea
	DepartedAt time.Time
	Loaded     []string // container IDs; they were loaded at DepartedAt
	Arrival    *Arrival // nil until told
}

// Arrival is what the facility took in.
type Arrival struct {
	At       time.Time
	Received []string      // container IDs; one of Loaded that is not here was not received, which is a discrepancy
	Vacuumed calendar.Date // local date on which the cargo area was vacuumed afterwards; no date while not told
}

// step is one fact of one container, in the order in which facts of one instant are taken: an arrival before what follows it.
type step struct {
	at    time.Time
	kind  stepKind
	trip  *Trip
	event Event
}

type stepKind int

const (
	received stepKind = iota
	missing
	placed
	loaded
	given
)

// compare is the order of steps. It is total over different facts, so that the answer depends on the set of facts alone.
func (s step) compare(o step) int {
	if c := s.at.Compare(o.at); c != 0 {
		return c
	}
	if s.kind != o.kind {
		return int(s.kind) - int(o.kind)
	}
	return compareText(s.key(), o.key())
}

func (s step) key() [3]string {
	if s.trip != nil {
		return [3]string{s.trip.ID}
	}
	return [3]string{string(s.event.What), s.event.Where, s.event.Reason}
}
