package waste

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"
)

// Codes of contradictions.
const (
	ListedTwice       = "listed_twice"
	ArrivedBeforeLeft = "arrived_before_it_left"
	BeforeSealed      = "before_sealed"
	InTwoPlaces       = "in_two_places"
	AfterDelivery     = "after_delivery"
	ReceivedElsewhere = "received_elsewhere"
	LossWithoutReason = "loss_without_reason"
)

// Account derives where each container was and is, what should not have happened, and what cannot have.
func Account(h History) Ledger {
	b := builder{zone: h.Zone, short: map[string][]string{}, over: map[string][]string{}}
	if b.zone == nil {
		b.zone = time.UTC
	}
	trips := b.trips(h.Trips)
	for _, c := range b.containers(h.Containers) {
		b.follow(c, trips)
	}
	for i := range trips {
		b.judgeTrip(&trips[i], h.AsOf)
	}
	slices.SortStableFunc(b.ledger.Findings, func(f, g Finding) int {
		return cmp.Or(f.Since.Compare(g.Since), cmp.Compare(f.Trip, g.Trip), cmp.Compare(f.Container, g.Container), cmp.Compare(f.Code, g.Code))
	})
	return b.ledger
}

type builder struct {
	ledger      Ledger
	zone        *time.Location
	short, over map[string][]string // by trip: labels of containers not received, and of containers received and never loaded
}

// containers puts them in the order of their IDs, each once.
func (b *builder) containers(told []Container) []Container {
	sorted := slices.SortedStableFunc(slices.Values(told), func(c, d Container) int {
		return cmp.Or(cmp.Compare(c.ID, d.ID), c.SealedAt.Compare(d.SealedAt), cmp.Compare(c.Label, d.Label))
	})
	return slices.CompactFunc(sorted, func(c, d Container) bool {
		if c.ID != d.ID {
			return false
		}
		b.contradict(Contradiction{Code: ListedTwice, Container: c.ID, At: c.SealedAt,
			Detail: fmt.Sprintf("Container %s is in the account twice.", c.Label)})
		return true
	})
}

// trips puts them in the order of their IDs, and leaves out what cannot be.
func (b *builder) trips(told []Trip) []Trip {
	sorted := slices.SortedStableFunc(slices.Values(told), func(t, u Trip) int {
		return cmp.Or(cmp.Compare(t.ID, u.ID), t.DepartedAt.Compare(u.DepartedAt))
	})
	for i := range sorted {
		t := &sorted[i]
		b.once(t, t.Loaded, "loaded", t.DepartedAt)
		if t.Arrival == nil {
			continue
		}
		if !t.Arrival.At.After(t.DepartedAt) {
			b.contradict(Contradiction{Code: ArrivedBeforeLeft, Trip: t.ID, At: t.Arrival.At, Detail: fmt.Sprintf(
				"The trip left at %s and cannot have arrived at %s.", b.say(t.DepartedAt), b.say(t.Arrival.At))})
			t.Arrival = nil
			continue
		}
		b.once(t, t.Arrival.Received, "received", t.Arrival.At)
	}
	return sorted
}

func (b *builder) once(t *Trip, ids []string, what string, at time.Time) {
	seen := make(map[string]bool, len(ids))
	for _, id := range ids {
		if seen[id] {
			b.contradict(Contradiction{Code: ListedTwice, Container: id, Trip: t.ID, At: at,
				Detail: fmt.Sprintf("A container is listed twice among those %s on one trip.", what)})
		}
		seen[id] = true
	}
}

// follow takes down one container's course.
func (b *builder) follow(c Container, trips []Trip) {
	f := follower{builder: b, container: c, positions: []Position{{Where: InStorage, Since: c.SealedAt, Place: c.StoredIn}}}
	for _, s := range stepsOf(c, trips) {
		if s.at.Before(c.SealedAt) {
			f.contradict(s, BeforeSealed, "Container %s was sealed at %s; it cannot have been %s at %s.",
				c.Label, b.say(c.SealedAt), s.verb(), b.say(s.at))
			continue
		}
		f.take(s)
	}
	if f.open != nil {
		b.note(*f.open)
	}
	b.ledger.Courses = append(b.ledger.Courses, Course{Container: c.ID, Label: c.Label, Positions: f.positions})
}

func stepsOf(c Container, trips []Trip) []step {
	var steps []step
	for _, e := range c.Events {
		kind := placed
		if e.What == Lost {
			kind = given
		}
		steps = append(steps, step{at: e.At, kind: kind, event: e})
	}
	for i := range trips {
		t := &trips[i]
		on := slices.Contains(t.Loaded, c.ID)
		if on {
			steps = append(steps, step{at: t.DepartedAt, kind: loaded, trip: t})
		}
		if t.Arrival == nil {
			continue
		}
		if slices.Contains(t.Arrival.Received, c.ID) {
			steps = append(steps, step{at: t.Arrival.At, kind: received, trip: t})
		} else if on {
			steps = append(steps, step{at: t.Arrival.At, kind: missing, trip: t})
		}
	}
	slices.SortFunc(steps, step.compare)
	return steps
}

func (s step) verb() string {
	switch s.kind {
	case received:
		return "received by a facility"
	case loaded:
		return "loaded"
	case missing:
		return "missed"
	}
	return string(s.event.What)
}

func compareText(a, b [3]string) int {
	return cmp.Or(strings.Compare(a[0], b[0]), strings.Compare(a[1], b[1]), strings.Compare(a[2], b[2]))
}

func (b *builder) contradict(c Contradiction) {
	b.ledger.Contradictions = append(b.ledger.Contradictions, c)
}

func (b *builder) say(instant time.Time) string {
	return instant.In(b.zone).Format("2006-01-02 15:04:05 MST")
}
