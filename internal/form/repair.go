package form

import (
	"time"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/practice"
	"sillbook/internal/trade/renovation"
)

// SmallRepair is told once; it is not changed, but voided and told again.
var SmallRepair = kindOf("small_repair", "small-repairs", "SmallRepair", checkSmallRepair)

func checkSmallRepair(r api.SmallRepairCreate, now time.Time, f *fault.Faults) {
	if told(r.RoomId, r.ExteriorSideId) != 1 {
		f.Add("/room_id", "one_of_two", "Give room_id for work in a room, or exterior_side_id for work outside: one of the two.")
	}
	checkWork(f, "", r.Area, r.Share, workTold(&r.Component, r.Method, r.PaintDisturbed, r.WindowReplaced, r.PaintedSurfaceDemolished))
	checkLeadFree(f, "/lead_free", r.LeadFree, now)
	checkEmergency(f, r.Emergency)
	NotTomorrow(f, "/done_on", r.DoneOn.Time, now)
}

// checkWork refuses an area that is not one, and work that contradicts itself.
func checkWork(f *fault.Faults, at string, area, share *api.Measure, w renovation.Work) {
	notNegative(f, at+"/area", area, measure.Area)
	if q, ok := notNegative(f, at+"/share", share, measure.Fraction); ok && q.In(measure.Percent).Cmp(measure.Int(100)) > 0 {
		f.Add(at+"/share/value", "over_the_whole", "A share of a component is at most 100 %%.")
	}
	if area != nil && area.Qualifier != nil {
		f.Add(at+"/area/qualifier", "contradiction", "An area is told as it is, without a qualifier.")
	}
	f.Merge(at, renovation.Contradictions(w))
}

// workTold reads what is done to what.
func workTold(component *string, method api.Method, paint *api.Tri, window, demolished *bool) renovation.Work {
	w := renovation.Work{Method: practice.Method(method), PaintDisturbed: Tri(paint), WindowReplaced: is(window, true), Demolished: is(demolished, true)}
	if component != nil {
		w.Component = home.ComponentOf(*component)
	}
	return w
}

func checkLeadFree(f *fault.Faults, at string, l *api.LeadFree, now time.Time) {
	if l != nil && l.FoundOn != nil {
		NotTomorrow(f, at+"/found_on", l.FoundOn.Time, now)
	}
}

// NotTomorrow refuses a local date that has not come anywhere on earth yet.
func NotTomorrow(f *fault.Faults, pointer string, date, now time.Time) {
	if date.After(now.UTC().Add(14 * time.Hour)) {
		f.Add(pointer, "in_the_future", "%s has not come yet; tell what happened, when it has happened.", date.Format(time.DateOnly))
	}
}
