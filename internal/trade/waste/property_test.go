package waste

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
)

// history draws anything a caller could send, sensible or not.
func history(t *rapid.T) History {
	hour := rapid.IntRange(0, 12)
	h := History{Zone: zone, AsOf: calendar.Of(2026, 4, 17)}
	var ids []string
	for i := range rapid.IntRange(0, 4).Draw(t, "containers") {
		id := fmt.Sprint("c", i)
		ids = append(ids, id)
		c := sealed(id, hour.Draw(t, "sealed"))
		for range rapid.IntRange(0, 3).Draw(t, "events") {
			c.Events = append(c.Events, Event{
				What:   rapid.SampledFrom([]What{Stored, Found, Lost}).Draw(t, "what"),
				At:     at(hour.Draw(t, "at")),
				Where:  rapid.SampledFrom([]string{"", "shed", "yard"}).Draw(t, "where"),
				Reason: rapid.SampledFrom([]string{"", "stolen"}).Draw(t, "reason"),
			})
		}
		h.Containers = append(h.Containers, c)
	}
	ids = append(ids, "of another job")
	some := rapid.SliceOfN(rapid.SampledFrom(ids), 0, 4)
	for i := range rapid.IntRange(0, 4).Draw(t, "trips") {
		trip := trip(fmt.Sprint("t", i), rapid.SampledFrom([]string{"x", "y"}).Draw(t, "facility"), hour.Draw(t, "departed"), some.Draw(t, "loaded")...)
		trip.CargoArea = rapid.SampledFrom([]CargoArea{CoveredBed, PassengerArea}).Draw(t, "cargo area")
		if rapid.Bool().Draw(t, "arrived") {
			trip = trip.arrived(hour.Draw(t, "arrival"), some.Draw(t, "received")...)
		}
		h.Trips = append(h.Trips, trip)
	}
	return h
}

func TestTheBalanceClosesAtEveryInstantOfAnyHistory(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		h := history(t)
		l := Account(h)
		require.Equal(t, len(h.Containers), l.Balance().Sealed)
		require.True(t, l.Balance().Closes())
		require.Equal(t, l.Balance(), l.BalanceAt(at(24)))
		before := 0
		for hour := range 13 {
			b := l.BalanceAt(at(hour))
			require.True(t, b.Closes())
			require.GreaterOrEqual(t, b.Sealed, before, "a sealed container never leaves the account")
			require.LessOrEqual(t, b.Unaccounted, b.InTransit)
			before = b.Sealed
		}
		require.Len(t, l.NotDelivered(), l.Balance().Stored+l.Balance().InTransit)
	})
}

func TestTheAccountDependsOnTheSetOfFactsAlone(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		h := history(t)
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "shuffle"), 0))
		other := History{Zone: h.Zone, AsOf: h.AsOf, Containers: shuffled(random, h.Containers), Trips: shuffled(random, h.Trips)}
		for i := range other.Containers {
			other.Containers[i].Events = shuffled(random, other.Containers[i].Events)
		}
		for i, trip := range other.Trips {
			other.Trips[i].Loaded = shuffled(random, trip.Loaded)
			if trip.Arrival != nil {
				arrival := *trip.Arrival
				arrival.Received = shuffled(random, arrival.Received)
				other.Trips[i].Arrival = &arrival
			}
		}
		one, two := Account(h), Account(other)
		require.Equal(t, one.Courses, two.Courses)
		require.Equal(t, one.Findings, two.Findings)
		require.ElementsMatch(t, one.Contradictions, two.Contradictions)
	})
}

// A delivered container stays delivered, a discrepancy is open exactly while the container is unaccounted for, and positions
// follow one another in time.
func TestCoursesKeepTheirPromises(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		l := Account(history(t))
		open := map[string]bool{}
		for _, f := range l.Findings {
			if f.Code == NotReceived && f.Open() {
				require.False(t, open[f.Container], "one discrepancy open at a time")
				open[f.Container] = true
			}
		}
		for _, c := range l.Courses {
			require.Equal(t, c.Last().Unaccounted, open[c.Container])
			for i := 1; i < len(c.Positions); i++ {
				require.False(t, c.Positions[i].Since.Before(c.Positions[i-1].Since))
				require.NotEqual(t, Delivered, c.Positions[i-1].Where)
			}
		}
	})
}

func TestTheCallersHistoryIsLeftAlone(t *testing.T) {
	t.Parallel()
	impossible := trip("t1", "x", 10, "a").arrived(9, "a")
	h := History{Containers: []Container{sealed("b", 8), sealed("a", 8)}, Trips: []Trip{impossible}}
	Account(h)
	require.Equal(t, "b", h.Containers[0].ID)
	require.NotNil(t, h.Trips[0].Arrival)
}

func shuffled[T any](random *rand.Rand, told []T) []T {
	if told == nil {
		return nil
	}
	mixed := append([]T{}, told...)
	random.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
	return mixed
}
