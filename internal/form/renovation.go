package form

import (
	"fmt"
	"time"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/measure"
)

// A job and the facts told about it. Facts are not changed, but voided and told again.
var (
	Renovation   = kindOf("renovation", "renovations", "Renovation", checkRenovation)
	Notice       = kindOf("notice", "notices", "Notice", checkNotice)
	Protection   = kindOf("protection", "protections", "Protection", checkProtection)
	Verification = kindOf("verification", "verifications", "Verification", checkVerification)
)

func checkRenovation(r api.RenovationCreate, now time.Time, f *fault.Faults) {
	for i, w := range r.WorkItems {
		at := fmt.Sprintf("/work_items/%d", i)
		if told(w.RoomId, w.ExteriorSideId) != 1 {
			f.Add(at+"/room_id", "one_of_two", "Give room_id for work in a room, or exterior_side_id for work outside: one of the two.")
		}
		checkWork(f, at, w.Area, w.Share, workTold(&w.Component, w.Method, w.PaintDisturbed, w.WindowReplaced, w.PaintedSurfaceDemolished))
		if w.Area != nil {
			if q, err := measure.New(w.Area.Value, measure.Exactly, w.Area.Unit, measure.Area); err == nil && q.Number().IsZero() {
				f.Merge(at+"/area", q.Positive())
			}
		}
		checkLeadFree(f, at+"/lead_free", w.LeadFree, now)
	}
	if r.PlannedStart != nil && r.PlannedEnd != nil && r.PlannedEnd.Before(r.PlannedStart.Time) {
		f.Add("/planned_end", "contradiction", "The work ends before it begins; send an end on or after %s.", r.PlannedStart)
	}
}

func checkNotice(n api.NoticeCreate, now time.Time, f *fault.Faults) {
	if n.UnitId == nil && n.Recipient != api.NoticeRecipientOwner {
		f.Add("/unit_id", "missing", "Name the unit whose %s was told.", n.Recipient)
	}
	if n.Attempt != nil && n.How != api.NoticeHowAttemptedDelivery {
		f.Add("/attempt", "contradiction", "The notice was %s, so there is no attempt to certify; leave it out, or correct how.", n.How)
	}
	NotTomorrow(f, "/given_on", n.GivenOn.Time, now)
	if n.Attempt != nil {
		NotTomorrow(f, "/attempt/certified_on", n.Attempt.CertifiedOn.Time, now)
	}
}

func checkProtection(p api.ProtectionCreate, _ time.Time, f *fault.Faults) {
	if p.To != nil && p.To.Before(p.From.Time) {
		f.Add("/to", "contradiction", "The protection ends before it begins.")
	}
}

func checkVerification(v api.VerificationCreate, now time.Time, f *fault.Faults) {
	NotTomorrow(f, "/verified_on", v.VerifiedOn.Time, now)
}
