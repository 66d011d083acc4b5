package waste

import "fmt"

// follower takes one container's facts in the order of time. What contradicts its position is noted and passed over.
type follower struct {
	*builder
	container Container
	positions []Position
	open      *Finding // the discrepancy not settled yet
}

func (f *follower) take(s step) {
	now := f.positions[len(f.positions)-1]
	switch s.kind {
	case loaded:
		f.load(s, now)
	case received:
		f.receive(s, now)
	case missing:
		f.miss(s, now)
	case placed:
		f.place(s, now)
	case given:
		f.giveUp(s, now)
	}
}

// load puts it on a trip. A container missed at an earlier arrival, or given up, is thereby found.
func (f *follower) load(s step, now Position) {
	if f.afterDelivery(s, now) || f.elsewhere(s, now) {
		return
	}
	f.move(Position{Where: InTransit, Since: s.at, Trip: s.trip.ID})
}

func (f *follower) receive(s step, now Position) {
	switch {
	case now.Where == Delivered && now.Facility != s.trip.Facility:
		f.contradict(s, ReceivedElsewhere, "Container %s was received by another facility at %s; it cannot have been received again at %s.",
			f.container.Label, f.say(now.Since), f.say(s.at))
		return
	case now.Where == Delivered:
		f.find(ReceivedTwice, s, "The same facility counted container %s at two arrivals.", f.container.Label)
		return
	case now.Trip != s.trip.ID && f.elsewhere(s, now):
		return
	case now.Trip != s.trip.ID:
		f.over[s.trip.ID] = append(f.over[s.trip.ID], f.container.Label)
		f.find(NeverLoaded, s, "Container %s was received and never loaded on that trip.", f.container.Label)
	}
	f.move(Position{Where: Delivered, Since: s.at, Trip: s.trip.ID, Facility: s.trip.Facility})
}

// miss leaves it in transit with an open discrepancy, unless it was taken off the trip before.
func (f *follower) miss(s step, now Position) {
	if now.Where != InTransit || now.Trip != s.trip.ID {
		return
	}
	f.short[s.trip.ID] = append(f.short[s.trip.ID], f.container.Label)
	f.positions = append(f.positions, Position{Where: InTransit, Since: s.at, Trip: s.trip.ID, Unaccounted: true})
	f.open = &Finding{Code: NotReceived, Container: f.container.ID, Trip: s.trip.ID, Since: s.at,
		Detail: fmt.Sprintf("Container %s was loaded and did not arrive.", f.container.Label)}
}

func (f *follower) place(s step, now Position) {
	if f.afterDelivery(s, now) {
		return
	}
	if now.Where == InStorage && now.Since.Equal(s.at) && now.Place != s.event.Where && len(f.positions) > 1 {
		f.contradict(s, InTwoPlaces, "Container %s cannot have been in %s and in %s at %s.",
			f.container.Label, named(now.Place), named(s.event.Where), f.say(s.at))
		return
	}
	f.move(Position{Where: InStorage, Since: s.at, Place: s.event.Where})
}

func (f *follower) giveUp(s step, now Position) {
	if f.afterDelivery(s, now) {
		return
	}
	if s.event.Reason == "" {
		f.contradict(s, LossWithoutReason, "The loss of container %s is not accounted for: say what is known and who accounts for it.",
			f.container.Label)
		return
	}
	f.move(Position{Where: GivenUp, Since: s.at, Reason: s.event.Reason})
}

// move ends the position, and with it an open discrepancy.
func (f *follower) move(to Position) {
	f.positions = append(f.positions, to)
	if f.open != nil {
		f.open.Settled = to.Since
		f.note(*f.open)
		f.open = nil
	}
}

func (f *follower) afterDelivery(s step, now Position) bool {
	if now.Where != Delivered {
		return false
	}
	f.contradict(s, AfterDelivery, "Container %s was delivered at %s; it cannot have been %s at %s.",
		f.container.Label, f.say(now.Since), s.verb(), f.say(s.at))
	return true
}

// elsewhere is the case of a container on a trip that has not arrived.
func (f *follower) elsewhere(s step, now Position) bool {
	if now.Where != InTransit || now.Unaccounted {
		return false
	}
	f.contradict(s, InTwoPlaces, "Container %s left on another trip at %s and had not arrived; it cannot have been %s at %s.",
		f.container.Label, f.say(now.Since), s.verb(), f.say(s.at))
	return true
}

func (f *follower) contradict(s step, code, format string, args ...any) {
	c := Contradiction{Code: code, Container: f.container.ID, At: s.at, Detail: fmt.Sprintf(format, args...)}
	if s.trip != nil {
		c.Trip = s.trip.ID
	}
	f.builder.contradict(c)
}

func (f *follower) find(code Code, s step, format string, args ...any) {
	f.note(Finding{Code: code, Container: f.container.ID, Trip: s.trip.ID, Since: s.at, Detail: fmt.Sprintf(format, args...)})
}

func named(place string) string {
	if place == "" {
		return "an unnamed place"
	}
	return place
}
