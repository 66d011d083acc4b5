package demo

import (
	"sync/atomic"
	"time"

	"github.com/oapi-codegen/runtime/types"
)

// clock is the service's clock. The story takes seven weeks, so the clock is set back at its beginning, moved on from
// chapter to chapter, and right again at the end. It never goes back.
type clock struct {
	behind atomic.Int64 // nanoseconds
	zone   *time.Location
	today  time.Time // midnight of the day on which the story ends
}

// beginning is how many days before today the story begins.
const beginning = 50

func newClock(zone *time.Location) *clock {
	now := time.Now().In(zone)
	return &clock{zone: zone, today: time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, zone)}
}

// Now is the time in the story.
func (c *clock) Now() time.Time { return time.Now().Add(-time.Duration(c.behind.Load())) }

// day is the local date so many days before today.
func (c *clock) day(before int) types.Date {
	y, m, d := c.today.AddDate(0, 0, -before).Date()
	return types.Date{Time: time.Date(y, m, d, 0, 0, 0, 0, time.UTC)}
}

// at is an instant so many days before today.
func (c *clock) at(before, hour, minute int) time.Time {
	d := c.today.AddDate(0, 0, -before)
	return time.Date(d.Year(), d.Month(), d.Day(), hour, minute, 0, 0, c.zone).UTC()
}

// moveTo moves the clock to an instant so many days before today.
func (c *clock) moveTo(before, hour, minute int) {
	c.behind.Store(int64(time.Since(c.at(before, hour, minute))))
}

// right sets the clock right.
func (c *clock) right() { c.behind.Store(0) }
