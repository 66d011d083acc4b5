package form

import (
	"fmt"
	"time"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/renovation"
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
	checkEmergency(f, r.Emergency)
	checkCrew(list(r.Crew), f)
	if r.PlannedStart != nil && r.PlannedEnd != nil && r.PlannedEnd.Before(r.PlannedStart.Time) {
		f.Add("/planned_end", "contradiction", "The work ends before it begins; send an end on or after %s.", r.PlannedStart)
	}
}

// checkEmergency refuses what an emergency does not lift, and words where the kind of emergency says all that is said.
func checkEmergency(f *fault.Faults, e *api.Emergency) {
	if e == nil {
		return
	}
	kind := renovation.SuddenEvent
	if e.Kind != nil {
		kind = renovation.EmergencyKind(*e.Kind)
	}
	word := func(at string, told bool, missing string) {
		if kind == renovation.SuddenEvent && !told {
			f.Add("/emergency"+at, "missing", "%s", missing)
		}
		if kind == renovation.HazardResponse && told {
			f.Add("/emergency"+at, "not_said", "Leave it out: of a hazard_response the kind says all that is said here, because the ground may be a restricted fact.")
		}
	}
	word("/event", e.Event != nil, "Say what happened.")
	seen := map[api.RuleProvision]bool{}
	for i, n := range list(e.NotFollowed) {
		at := fmt.Sprintf("/not_followed/%d", i)
		if p, stays := kind.Stays(string(n.Provision)); stays {
			f.Add("/emergency"+at+"/provision", p.Status, "The emergency does not lift it. %s (%s) Leave it out here and tell what was done as it was.", p.Text, p.Citation)
		}
		if seen[n.Provision] {
			f.Add("/emergency"+at+"/provision", "duplicate", "The provision is told twice; give all that made it necessary in one.")
		}
		seen[n.Provision] = true
		word(at+"/why", n.Why != nil, "Say why responding to the emergency made it necessary not to follow this.")
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
	if v.Detail != nil {
		_, err := VerificationFacts(api.VerificationFacts{Items: v.Detail.Items, Events: &v.Detail.Events})
		f.Merge("/detail", err)
		return
	}
	missing := func(at string, untold bool) {
		if untold {
			f.Add(at, "missing", "Tell it, or tell detail, from which it is worked out.")
		}
	}
	missing("/all_passed", v.AllPassed == nil)
	missing("/wet_cloths", v.WetCloths == nil)
	missing("/dry_cloths", v.DryCloths == nil)
}
