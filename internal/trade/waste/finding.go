package waste

import (
	"fmt"
	"strings"
	"time"

	"sillbook/internal/trade/calendar"
)

// Code names a kind of finding.
type Code string

// What happens with waste and should not. It is recorded, and stays open until somebody has put it right.
const (
	NotReceived       Code = "container_not_received"   // loaded, and not among what arrived
	NeverLoaded       Code = "container_never_loaded"   // arrived, and never loaded
	ReceivedTwice     Code = "container_received_twice" // the same facility counted it at two arrivals
	ArrivalShort      Code = "arrival_short"            // fewer arrived than were loaded
	ArrivalOver       Code = "arrival_over"             // some arrived that were not loaded
	InPassengerArea   Code = "waste_in_passenger_area"
	VehicleNotCleaned Code = "vehicle_not_vacuumed" // not on the day of the arrival
)

// Finding is something that happened and should not have.
type Finding struct {
	Code      Code
	Container string // empty if it concerns the trip as a whole
	Trip      string
	Since     time.Time // the instant that made it one
	Settled   time.Time // NotReceived: when the container was found, loaded again, received or given up; zero while it is open
	Detail    string
	Clear     string // what would put it right, as an instruction
	Citation  string // the clause, "common practice", or empty for the book's own rule that every container is accounted for
}

// Open reports whether what happened has not been settled by a later fact. Only a container that was not received is settled
// by facts; the others are for people to close.
func (f Finding) Open() bool { return f.Settled.IsZero() }

// remedies say what would put a finding right, and on what it rests.
var remedies = map[Code]struct{ clear, citation string }{
	NotReceived:       {"Look for it; record where it was found, or give it up as lost with the reason.", ""},
	NeverLoaded:       {"Correct the trip's list or the arrival, and check the labels.", ""},
	ReceivedTwice:     {"Correct the arrival that counted it by mistake.", ""},
	ArrivalShort:      {"Account for every container that is missing.", ""},
	ArrivalOver:       {"Correct the trip's list or the arrival, and check the labels.", ""},
	InPassengerArea:   {"Clean the passenger area with a HEPA vacuum and damp cloths, and record it; carry waste in a closed cargo area.", "40 CFR 745.85(a)(4); keeping waste out of the passenger area is common practice"},
	VehicleNotCleaned: {"Vacuum the cargo area with a HEPA vacuum and record the day.", "common practice"},
}

func (b *builder) judgeTrip(t *Trip, asOf calendar.Date) {
	if t.CargoArea == PassengerArea {
		b.findTrip(InPassengerArea, t, t.DepartedAt, "The waste rode in the passenger area.")
	}
	if t.Arrival == nil {
		return
	}
	if labels := b.short[t.ID]; len(labels) > 0 {
		b.findTrip(ArrivalShort, t, t.Arrival.At, "%d loaded did not arrive: %s.", len(labels), strings.Join(labels, ", "))
	}
	if labels := b.over[t.ID]; len(labels) > 0 {
		b.findTrip(ArrivalOver, t, t.Arrival.At, "%d arrived that were not loaded: %s.", len(labels), strings.Join(labels, ", "))
	}
	arrived := calendar.LocalDate(t.Arrival.At, b.zone)
	switch vacuumed := t.Arrival.Vacuumed; {
	case vacuumed == arrived:
	case !vacuumed.IsZero():
		b.findTrip(VehicleNotCleaned, t, t.Arrival.At, "The vehicle unloaded on %s and was vacuumed on %s.", arrived, vacuumed)
	case asOf.IsZero() || asOf.After(arrived):
		b.findTrip(VehicleNotCleaned, t, t.Arrival.At, "The vehicle unloaded on %s; no vacuuming on that day is recorded.", arrived)
	}
}

func (b *builder) findTrip(code Code, t *Trip, since time.Time, format string, args ...any) {
	b.note(Finding{Code: code, Trip: t.ID, Since: since, Detail: fmt.Sprintf(format, args...)})
}

func (b *builder) note(f Finding) {
	f.Clear, f.Citation = remedies[f.Code].clear, remedies[f.Code].citation
	b.ledger.Findings = append(b.ledger.Findings, f)
}
