package form_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sillbook/internal/fault"
	"sillbook/internal/form"
)

// now is noon of 20 April 2026 in London, and already the 21st on Kiritimati.
var now = time.Date(2026, 4, 20, 11, 0, 0, 0, time.UTC)

const (
	one = `"018f0000-0000-7000-8000-000000000001"`
	two = `"018f0000-0000-7000-8000-000000000002"`
)

// places gives where something is wrong and its code, in order; the code alone of an error that names no place.
func places(err error) []string {
	var list []string
	if err != nil {
		for _, f := range fault.As(err).Fields {
			list = append(list, f.Pointer+" "+f.Code)
		}
		if len(list) == 0 {
			list = []string{fault.As(err).Code}
		}
	}
	return list
}

func TestCheckRefusesWhatCannotBe(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		kind form.Kind
		text string
		want []string
	}{
		{"property: an IANA zone", form.Property, `{"time_zone": "America/New_York"}`, nil},
		{"property: a zone that does not exist", form.Property, `{"time_zone": "America/Millbrook"}`, []string{"/time_zone no_such_time_zone"}},
		{"property: the server's zone is nobody's", form.Property, `{"time_zone": "Local"}`, []string{"/time_zone no_such_time_zone"}},
		{"property: no zone", form.Property, `{"time_zone": ""}`, []string{"/time_zone no_such_time_zone"}},
		{"property: a path is not a zone", form.Property, `{"time_zone": "../etc/passwd"}`, []string{"/time_zone no_such_time_zone"}},
		{"building: built this year", form.Building, `{"build_year": {"year": 2026, "certainty": "recorded"}}`, nil},
		{"building: built next year", form.Building, `{"build_year": {"year": 2027, "certainty": "recorded"}}`, []string{"/build_year/year in_the_future"}},
		{"building: a year called unknown", form.Building, `{"build_year": {"year": 1931, "certainty": "unknown"}}`, []string{"/build_year/certainty contradiction"}},
		{"building: recorded, but no year", form.Building, `{"build_year": {"certainty": "recorded"}}`, []string{"/build_year/year contradiction"}},
		{"building: not known and said so", form.Building, `{"build_year": {"certainty": "unknown"}}`, nil},
		{"unit: lived in by its owner and rented", form.Unit, `{"owner_occupied": "yes", "rented": "yes"}`, []string{"/rented contradiction"}},
		{"unit: an area in feet", form.Unit, `{"floor_area": {"value": "700", "unit": "ft"}}`, []string{"/floor_area/unit wrong_unit"}},
		{"unit: no area at all", form.Unit, `{"floor_area": {"value": "0", "unit": "ft2"}}`, []string{"/floor_area/value zero"}},
		{"unit: found free of lead the day after tomorrow", form.Unit, `{"found_lead_free": {"found_on": "2026-04-22"}}`, []string{"/found_lead_free/found_on in_the_future"}},
		{"room: of a unit and of a building", form.Room, `{"unit_id": ` + one + `, "building_id": ` + two + `}`, []string{"/unit_id one_of_two"}},
		{"room: of nothing", form.Room, `{}`, []string{"/unit_id one_of_two"}},
		{"side: a letter for a roof", form.ExteriorSide, `{"kind": "roof", "side": "A"}`, []string{"/side contradiction"}},
		{"side: on the property line", form.ExteriorSide, `{"kind": "wall_side", "side": "A", "to_property_line": {"value": "0", "unit": "ft"}}`, nil},
		{"stay: of a day", form.Occupancy, `{"from": "2026-04-01", "to": "2026-04-01"}`, nil},
		{"stay: ends before it begins", form.Occupancy, `{"from": "2026-04-01", "to": "2026-03-31"}`, []string{"/to contradiction"}},
		{"repair: today, where today is tomorrow", form.SmallRepair, `{"room_id": ` + one + `, "done_on": "2026-04-21"}`, nil},
		{"repair: a day that has come nowhere", form.SmallRepair, `{"room_id": ` + one + `, "done_on": "2026-04-22"}`, []string{"/done_on in_the_future"}},
		{"repair: all that is wrong, at once", form.SmallRepair,
			`{"done_on": "2027-01-01", "area": {"value": "-4", "unit": "ft2"}, "share": {"value": "101", "unit": "%"}, "paint_disturbed": "no", "painted_surface_demolished": true}`,
			[]string{"/room_id one_of_two", "/area/value negative", "/share/value over_the_whole", "/paint_disturbed contradiction", "/done_on in_the_future"}},
		{"renovation: the second item has no place", form.Renovation, `{"work_items": [{"room_id": ` + one + `}, {}]}`, []string{"/work_items/1/room_id one_of_two"}},
		{"renovation: an item of no area", form.Renovation, `{"work_items": [{"room_id": ` + one + `, "area": {"value": "0.0", "unit": "ft2"}}]}`, []string{"/work_items/0/area/value zero"}},
		{"renovation: ends before it begins", form.Renovation, `{"planned_start": "2026-05-04", "planned_end": "2026-05-03"}`, []string{"/planned_end contradiction"}},
		{"notice: an occupant of no unit", form.Notice, `{"recipient": "occupant", "given_on": "2026-04-01"}`, []string{"/unit_id missing"}},
		{"notice: an owner needs no unit", form.Notice, `{"recipient": "owner", "given_on": "2026-04-01"}`, nil},
		{"notice: handed over, and attempted", form.Notice, `{"recipient": "owner", "how": "by_hand", "given_on": "2026-04-01", "attempt": {"certified_on": "2026-04-01"}}`, []string{"/attempt contradiction"}},
		{"container: sealed in a minute's time", form.Container, `{"sealed_at": "2026-04-20T11:01:00Z"}`, []string{"/sealed_at in_the_future"}},
		{"container: weighed, but no weight", form.Container, `{"sealed_at": "2026-04-20T10:00:00Z", "weighed": true}`, []string{"/weight missing"}},
		{"trip: arrives as it leaves", form.Trip, `{"departed_at": "2026-04-20T10:00:00Z", "arrival": {"arrived_at": "2026-04-20T10:00:00Z"}}`, []string{"/arrival/arrived_at arrived_before_it_left"}},
		{"trip: a bag listed twice", form.Trip, `{"departed_at": "2026-04-20T10:00:00Z", "container_ids": [` + one + `,` + two + `,` + one + `]}`, []string{"/container_ids/2 listed_twice"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			require.Equal(t, c.want, places(c.kind.Check([]byte(c.text), now)))
		})
	}
}

func TestEnding(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, text string
		want       []string
		on         string
	}{
		{"ends today when no date is told", `{"how": "void", "reason": "entered twice"}`, nil, "2026-04-20"},
		{"ends on the date told", `{"how": "ended", "reason": "sold", "on": "2026-03-02"}`, nil, "2026-03-02"},
		{"merged into nothing", `{"how": "merged", "reason": "same home"}`, []string{"/merged_into missing"}, "2026-04-20"},
		{"void, yet carried on", `{"how": "void", "reason": "x", "merged_into": ` + one + `}`, []string{"/merged_into contradiction"}, "2026-04-20"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			ending, err := form.Ending([]byte(c.text), now)
			require.Equal(t, c.want, places(err))
			require.Equal(t, c.on, ending.On)
		})
	}
}

// What can only be voided says how the thing itself leaves the book.
func TestVoidingTakesOnlyVoid(t *testing.T) {
	t.Parallel()
	_, err := form.Voiding([]byte(`{"how": "void", "reason": "typed twice"}`), now, "")
	require.NoError(t, err)

	_, err = form.Voiding([]byte(`{"how": "ended", "reason": "gone"}`), now, "A bag leaves by a trip.")
	require.Equal(t, []string{"/how only_void"}, places(err))
	require.Contains(t, fault.As(err).Detail, "A bag leaves by a trip.")
}

func TestContainerEventSaysWhereOrWhy(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"moved to a place", `{"what": "stored", "at": "2026-04-20T10:00:00Z", "where": "Shed"}`, nil},
		{"moved nowhere", `{"what": "stored", "at": "2026-04-20T10:00:00Z"}`, []string{"/where missing"}},
		{"moved, with a reason for a loss", `{"what": "stored", "at": "2026-04-20T10:00:00Z", "where": "Shed", "reason": "x"}`, []string{"/reason contradiction"}},
		{"lost, and said how", `{"what": "lost", "at": "2026-04-20T10:00:00Z", "reason": "Fell off; the crew lead looks for it."}`, nil},
		{"lost without a word", `{"what": "lost", "at": "2026-04-20T10:00:00Z"}`, []string{"/reason loss_without_reason"}},
		{"lost, yet kept somewhere", `{"what": "lost", "at": "2026-04-20T10:00:00Z", "reason": "x", "where": "Shed"}`, []string{"/where contradiction"}},
		{"tomorrow", `{"what": "stored", "at": "2026-04-21T10:00:00Z", "where": "Shed"}`, []string{"/at in_the_future"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, err := form.ContainerEvent([]byte(c.text), now)
			require.Equal(t, c.want, places(err))
		})
	}
}
