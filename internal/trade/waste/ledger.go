package waste

import (
	"cmp"
	"slices"
	"time"

	"sillbook/internal/fault"
)

// Where is the kind of place a container is at.
type Where string

// Where a container can be. It is at exactly one of them from the moment it is sealed.
const (
	InStorage Where = "stored"
	InTransit Where = "in_transit" // on a trip, or loaded and not received and not accounted for since
	Delivered Where = "delivered"
	GivenUp   Where = "lost" // an accounted loss
)

// Position is where a container is, and since when.
type Position struct {
	Where       Where
	Since       time.Time
	Place       string // in storage: where
	Trip        string // in transit or delivered: the trip's ID
	Facility    string // delivered: to which
	Reason      string // given up: why
	Unaccounted bool   // in transit: the trip arrived without it, and nobody has found it or accounted for it
}

// Course is the positions of one container in the order of time.
type Course struct {
	Container string
	Label     string
	Positions []Position
}

// At is the container's position at an instant; false before it was sealed.
func (c Course) At(instant time.Time) (Position, bool) {
	for _, p := range slices.Backward(c.Positions) {
		if !p.Since.After(instant) {
			return p, true
		}
	}
	return Position{}, false
}

// Last is the position after everything told.
func (c Course) Last() Position { return c.Positions[len(c.Positions)-1] }

// Balance counts containers by where they are.
type Balance struct {
	Sealed, Stored, InTransit, Delivered, Lost int

	Unaccounted int // of those in transit: their trip arrived without them
}

// Closes reports whether every container is somewhere.
func (b Balance) Closes() bool { return b.Sealed == b.Stored+b.InTransit+b.Delivered+b.Lost }

func (b *Balance) count(p Position) {
	b.Sealed++
	switch p.Where {
	case InStorage:
		b.Stored++
	case InTransit:
		b.InTransit++
		if p.Unaccounted {
			b.Unaccounted++
		}
	case Delivered:
		b.Delivered++
	case GivenUp:
		b.Lost++
	}
}

// Contradiction is something told that cannot have happened beside the rest of what was told. It has no effect on the
// positions; whoever told it last is asked to correct it.
type Contradiction struct {
	Code      string
	Container string // empty if it concerns the trip alone
	Trip      string // empty if it concerns the container alone
	At        time.Time
	Detail    string
}

// Ledger is the account of a history.
type Ledger struct {
	Courses        []Course  // by container ID
	Findings       []Finding // what happened and should not have; by instant
	Contradictions []Contradiction
}

// Course finds a container's course.
func (l Ledger) Course(container string) (Course, bool) {
	i, ok := slices.BinarySearchFunc(l.Courses, container, func(c Course, id string) int { return cmp.Compare(c.Container, id) })
	if !ok {
		return Course{}, false
	}
	return l.Courses[i], true
}

// Balance is the balance after everything told.
func (l Ledger) Balance() Balance {
	var b Balance
	for _, c := range l.Courses {
		b.count(c.Last())
	}
	return b
}

// BalanceAt is the balance at an instant, over the containers sealed by then.
func (l Ledger) BalanceAt(instant time.Time) Balance {
	var b Balance
	for _, c := range l.Courses {
		if p, sealed := c.At(instant); sealed {
			b.count(p)
		}
	}
	return b
}

// NotDelivered lists the containers that nobody has received and nobody has accounted for, by ID: while there is one, a job
// is not done with its waste.
func (l Ledger) NotDelivered() []string {
	var ids []string
	for _, c := range l.Courses {
		if w := c.Last().Where; w == InStorage || w == InTransit {
			ids = append(ids, c.Container)
		}
	}
	return ids
}

// Err is an Implausible fault with every contradiction, at "/containers/{id}" or "/trips/{id}"; nil if there is none.
func (l Ledger) Err() error {
	var faults fault.Faults
	for _, c := range l.Contradictions {
		pointer := "/containers/" + c.Container
		if c.Container == "" {
			pointer = "/trips/" + c.Trip
		}
		faults.Add(pointer, c.Code, "%s", c.Detail)
	}
	return faults.Err()
}
