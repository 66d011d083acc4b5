package waste

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
)

// at is an hour of 16 April 2026, local time of the invented property.
func at(hour int) time.Time { return time.Date(2026, 4, 16, hour, 0, 0, 0, zone) }

var zone = time.FixedZone("five hours behind", -5*60*60)

func sealed(id string, hour int, events ...Event) Container {
	return Container{ID: id, Label: "bag " + id, Kind: Bag, SealedAt: at(hour), StoredIn: "shed", Events: events}
}

func trip(id, facility string, departed int, loaded ...string) Trip {
	return Trip{ID: id, Facility: facility, CargoArea: CoveredBed, DepartedAt: at(departed), Loaded: loaded}
}

func (t Trip) arrived(hour int, received ...string) Trip {
	t.Arrival = &Arrival{At: at(hour), Received: received, Vacuumed: calendar.Of(2026, 4, 16)}
	return t
}

func account(containers []Container, trips ...Trip) Ledger {
	return Account(History{Containers: containers, Trips: trips, Zone: zone})
}

func codes(l Ledger) (open, settled []Code) {
	for _, f := range l.Findings {
		if f.Open() {
			open = append(open, f.Code)
		} else {
			settled = append(settled, f.Code)
		}
	}
	return open, settled
}

func contradictions(l Ledger) (codes []string) {
	for _, c := range l.Contradictions {
		codes = append(codes, c.Code)
	}
	return codes
}

// A trip arrives one bag short, and is put right. What counts as what is common practice.
func TestABagThatDoesNotArriveStaysInTheBalanceUntilItIsAccountedFor(t *testing.T) {
	t.Parallel()
	first := trip("t1", "transfer station", 10, "a", "b", "c").arrived(11, "a", "b")

	short := account([]Container{sealed("a", 8), sealed("b", 8), sealed("c", 9)}, first)
	require.NoError(t, short.Err())
	require.Equal(t, Balance{Sealed: 3, Delivered: 2, InTransit: 1, Unaccounted: 1}, short.Balance())
	require.Equal(t, Balance{Sealed: 2, Stored: 2}, short.BalanceAt(at(8)))
	require.Equal(t, Balance{Sealed: 3, InTransit: 3}, short.BalanceAt(at(10)))
	require.Equal(t, []string{"c"}, short.NotDelivered())
	open, _ := codes(short)
	require.Equal(t, []Code{ArrivalShort, NotReceived}, open)
	require.Equal(t, "Container bag c was loaded and did not arrive.", short.Findings[1].Detail)
	require.Equal(t, "1 loaded did not arrive: bag c.", short.Findings[0].Detail)

	for name, c := range map[string]struct {
		events []Event
		trips  []Trip
		want   Balance
	}{
		"found in the shed":          {[]Event{{What: Found, At: at(12), Where: "shed"}}, nil, Balance{Sealed: 3, Delivered: 2, Stored: 1}},
		"given up with a reason":     {[]Event{{What: Lost, At: at(12), Reason: "Fell off on the highway; reported."}}, nil, Balance{Sealed: 3, Delivered: 2, Lost: 1}},
		"simply taken the next time": {nil, []Trip{trip("t2", "transfer station", 13, "c").arrived(14, "c")}, Balance{Sealed: 3, Delivered: 3}},
		"found and then taken": {[]Event{{What: Found, At: at(12), Where: "shed"}}, []Trip{trip("t2", "transfer station", 13, "c").arrived(14, "c")},
			Balance{Sealed: 3, Delivered: 3}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			l := account([]Container{sealed("a", 8), sealed("b", 8), sealed("c", 9, c.events...)}, append(c.trips, first)...)
			require.NoError(t, l.Err())
			require.Equal(t, c.want, l.Balance())
			open, settled := codes(l)
			require.Equal(t, []Code{ArrivalShort}, open)
			require.Equal(t, []Code{NotReceived}, settled)
			require.Equal(t, Balance{Sealed: 3, Delivered: 2, InTransit: 1, Unaccounted: 1}, l.BalanceAt(at(11)))
		})
	}
}

func TestWhatShouldNotHaveHappenedIsFound(t *testing.T) {
	t.Parallel()
	passenger := trip("t1", "landfill", 10, "a").arrived(11, "a")
	passenger.CargoArea = PassengerArea
	late := trip("t1", "landfill", 10, "a").arrived(11, "a")
	late.Arrival.Vacuumed = calendar.Of(2026, 4, 17)
	never := trip("t1", "landfill", 10, "a").arrived(11, "a")
	never.Arrival.Vacuumed = 0
	for name, c := range map[string]struct {
		container Container
		trips     []Trip
		want      []Code
		balance   Balance
	}{
		"nothing wrong": {sealed("a", 8), []Trip{trip("t1", "landfill", 10, "a").arrived(11, "a")}, nil, Balance{Sealed: 1, Delivered: 1}},
		"received and never loaded": {sealed("a", 8), []Trip{trip("t1", "landfill", 10).arrived(11, "a")},
			[]Code{ArrivalOver, NeverLoaded}, Balance{Sealed: 1, Delivered: 1}},
		"taken off the trip is no discrepancy": {sealed("a", 8, Event{What: Stored, At: at(10).Add(time.Minute), Where: "yard"}),
			[]Trip{trip("t1", "landfill", 10, "a").arrived(11)}, nil, Balance{Sealed: 1, Stored: 1}},
		"in the passenger area": {sealed("a", 8), []Trip{passenger}, []Code{InPassengerArea}, Balance{Sealed: 1, Delivered: 1}},
		"vacuumed the next day": {sealed("a", 8), []Trip{late}, []Code{VehicleNotCleaned}, Balance{Sealed: 1, Delivered: 1}},
		"never vacuumed":        {sealed("a", 8), []Trip{never}, []Code{VehicleNotCleaned}, Balance{Sealed: 1, Delivered: 1}},
		"counted by one facility at two arrivals": {sealed("a", 8),
			[]Trip{trip("t1", "landfill", 10, "a").arrived(11, "a"), trip("t2", "landfill", 12).arrived(13, "a")},
			[]Code{ReceivedTwice}, Balance{Sealed: 1, Delivered: 1}},
		"given up, and then received after all": {sealed("a", 8, Event{What: Lost, At: at(9), Reason: "not in the shed"}),
			[]Trip{trip("t1", "landfill", 10).arrived(11, "a")}, []Code{ArrivalOver, NeverLoaded}, Balance{Sealed: 1, Delivered: 1}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			l := account([]Container{c.container}, c.trips...)
			require.NoError(t, l.Err())
			open, settled := codes(l)
			require.Equal(t, c.want, open)
			require.Empty(t, settled)
			require.Equal(t, c.balance, l.Balance())
			for _, f := range l.Findings {
				require.NotEmpty(t, f.Clear)
			}
		})
	}
}

func TestAVehicleHasTheDayOfItsArrivalToBeCleaned(t *testing.T) {
	t.Parallel()
	h := History{Containers: []Container{sealed("a", 8)}, Trips: []Trip{trip("t1", "landfill", 21, "a").arrived(23, "a")}, Zone: zone}
	h.Trips[0].Arrival.Vacuumed = 0
	h.AsOf = calendar.Of(2026, 4, 16) // in UTC the arrival is on the 17th already
	require.Empty(t, Account(h).Findings)
	h.AsOf = calendar.Of(2026, 4, 17)
	require.Len(t, Account(h).Findings, 1)
}

func TestWhatCannotHaveHappenedIsRefused(t *testing.T) {
	t.Parallel()
	stored := func(hour int, where string) Event { return Event{What: Stored, At: at(hour), Where: where} }
	for name, c := range map[string]struct {
		container Container
		trips     []Trip
		want      []string
		says      string
	}{
		"loaded while on another trip": {sealed("a", 8), []Trip{trip("t1", "x", 10, "a"), trip("t2", "x", 11, "a")},
			[]string{InTwoPlaces}, "Container bag a left on another trip at 2026-04-16 10:00:00"},
		"loaded on two trips at one instant": {sealed("a", 8), []Trip{trip("t1", "x", 10, "a"), trip("t2", "x", 10, "a")},
			[]string{InTwoPlaces}, "left on another trip"},
		"received from a trip while on another": {sealed("a", 8), []Trip{trip("t1", "x", 10, "a"), trip("t2", "x", 9).arrived(11, "a")},
			[]string{InTwoPlaces}, "received by a facility"},
		"loaded before it was sealed":          {sealed("a", 12), []Trip{trip("t1", "x", 10, "a")}, []string{BeforeSealed}, "it cannot have been loaded at"},
		"stored before it was sealed":          {sealed("a", 12, stored(9, "yard")), nil, []string{BeforeSealed}, "it cannot have been stored at"},
		"in two storage places at one instant": {sealed("a", 8, stored(9, "yard"), stored(9, "garage")), nil, []string{InTwoPlaces}, "in garage and in yard"},
		"received by two facilities":           {sealed("a", 8), []Trip{trip("t1", "x", 10, "a").arrived(11, "a"), trip("t2", "y", 12).arrived(13, "a")}, []string{ReceivedElsewhere}, "another facility"},
		"loaded after it was delivered":        {sealed("a", 8), []Trip{trip("t1", "x", 10, "a").arrived(11, "a"), trip("t2", "x", 12, "a")}, []string{AfterDelivery}, "was delivered at"},
		"stored after it was delivered":        {sealed("a", 8, stored(12, "yard")), []Trip{trip("t1", "x", 10, "a").arrived(11, "a")}, []string{AfterDelivery}, "it cannot have been stored"},
		"lost after it was delivered":          {sealed("a", 8, Event{What: Lost, At: at(12), Reason: "?"}), []Trip{trip("t1", "x", 10, "a").arrived(11, "a")}, []string{AfterDelivery}, "it cannot have been lost"},
		"given up without a reason":            {sealed("a", 8, Event{What: Lost, At: at(12)}), nil, []string{LossWithoutReason}, "who accounts for it"},
		"a trip that arrived before it left":   {sealed("a", 8), []Trip{trip("t1", "x", 10, "a").arrived(9, "a")}, []string{ArrivedBeforeLeft}, "The trip left at"},
		"a container listed twice as loaded":   {sealed("a", 8), []Trip{trip("t1", "x", 10, "a", "a")}, []string{ListedTwice}, "those loaded"},
		"a container listed twice as received": {sealed("a", 8), []Trip{trip("t1", "x", 10, "a").arrived(11, "a", "a")}, []string{ListedTwice}, "those received"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			l := account([]Container{c.container}, c.trips...)
			require.Equal(t, c.want, contradictions(l))
			require.True(t, fault.Is(l.Err(), fault.Implausible))
			require.ErrorContains(t, l.Err(), c.says)
			require.True(t, l.Balance().Closes())
		})
	}
}

func TestAContainerListedTwiceCountsOnce(t *testing.T) {
	t.Parallel()
	l := account([]Container{sealed("a", 8), sealed("a", 9)})
	require.Equal(t, []string{ListedTwice}, contradictions(l))
	require.Equal(t, Balance{Sealed: 1, Stored: 1}, l.Balance())
}

func TestOtherPeoplesContainersArePassedOver(t *testing.T) {
	t.Parallel()
	l := account([]Container{sealed("a", 8)}, trip("t1", "x", 10, "a", "of another job").arrived(11, "a"))
	require.NoError(t, l.Err())
	require.Empty(t, l.Findings)
	_, ok := l.Course("of another job")
	require.False(t, ok)
}

func TestTheCourseOfOneBag(t *testing.T) {
	t.Parallel()
	l := account([]Container{sealed("a", 8, Event{What: Stored, At: at(9), Where: "yard"})}, trip("t1", "landfill", 10, "a").arrived(11, "a"))
	course, ok := l.Course("a")
	require.True(t, ok)
	require.Equal(t, []Position{
		{Where: InStorage, Since: at(8), Place: "shed"},
		{Where: InStorage, Since: at(9), Place: "yard"},
		{Where: InTransit, Since: at(10), Trip: "t1"},
		{Where: Delivered, Since: at(11), Trip: "t1", Facility: "landfill"},
	}, course.Positions)
	_, before := course.At(at(8).Add(-time.Second))
	require.False(t, before)
	p, _ := course.At(at(10).Add(time.Minute))
	require.Equal(t, InTransit, p.Where)
	require.Equal(t, Delivered, course.Last().Where)
}
