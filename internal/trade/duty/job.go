package duty

import (
	"fmt"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/renovation"
)

// site is a job with what follows from its home.
type site struct {
	Job
	h       Home
	covered law.Tri // the renovation rule holds
	hud     law.Tri // the housing rule's work standards hold
	start   calendar.Date
	l       *ledger
}

var (
	signs       = law.Cite("40 CFR 745.85(a)(1); 24 CFR 35.1345(b)", law.Text)
	relocation  = law.Cite("24 CFR 35.1345(a)", law.Text)
	dailyClean  = law.Cite("40 CFR 745.85(a)(4), (a)(5)", law.Text)
	verifying   = law.Cite("40 CFR 745.85(b), (c)", law.Text)
	clearing    = law.Cite("24 CFR 35.1340; 40 CFR 745.227(e)(8)", law.Text)
	tellingAll  = law.Cite("40 CFR 745.84(b), (c)", law.Text)
	pamphletFor = law.Cite("40 CFR 745.84(a), (d)", law.Text)
	wasteOff    = law.Citation{Clause: "household waste at the end of a job", Source: law.CommonPractice}
)

// job lists the duties of one job, in the order of its course.
func (r Rules) job(l *ledger, f Facts, j Job) error {
	s := site{Job: j, h: f.Home, covered: all(f.Home.Covered, j.Covered), hud: all(f.Home.Assisted, j.AboveDeMinimis), start: j.StartedOn, l: l}
	if s.start.IsZero() || s.start.After(f.AsOf) {
		s.start = j.PlannedStart
		if s.start.IsZero() {
			s.start = j.StartedOn
		}
	}
	if err := r.telling(s); err != nil {
		return err
	}
	s.preparing()
	if !j.StartedOn.IsZero() && !j.StartedOn.After(f.AsOf) {
		s.working()
	}
	if err := r.abating(s); err != nil {
		return err
	}
	return r.finished(s, f)
}

// owe adds a duty of the job; one that was called off before it began owes nothing more.
func (s site) owe(d draft) {
	d.subject = s.Label
	d.void = !s.CalledOffOn.IsZero() && !s.CalledOffOn.After(s.l.asOf)
	d.why = "The job was called off before it began."
	s.l.owe(d)
}

// telling are the pamphlets, and the notices in common areas and facilities (40 CFR 745.84).
func (r Rules) telling(s site) error {
	because := all(s.covered, yes(!s.Emergency))
	if because == law.No {
		return nil
	}
	var window, up calendar.Window
	if !s.start.IsZero() {
		var err error
		if window, _, err = r.jobs.NoticeWindow(renovation.Handed, s.start); err != nil {
			return err
		}
		if up, _, err = r.jobs.NoticeWindow(renovation.Signs, s.start); err != nil {
			return err
		}
	}
	for _, owed := range renovation.Duties([]renovation.Site{{Unit: s.h.Label, Kind: s.h.Kind, OwnerThere: s.h.OwnerThere, Occupied: s.h.Occupied}}) {
		metOn, err := r.given(s, owed.Recipient)
		if err != nil {
			return err
		}
		s.owe(draft{code: "give_pamphlet", detail: string(owed.Recipient), window: window, metOn: metOn, because: because, metBy: []string{"notice"}, cite: pamphletFor,
			text: fmt.Sprintf("Give the pamphlet to the %s before the work, with its proof.", words[owed.Recipient])})
	}
	recipient := map[home.UnitKind]renovation.Recipient{home.CommonArea: renovation.AffectedUnits, home.ChildOccupiedFacility: renovation.ParentsAndGuardians}[s.h.Kind]
	if recipient == "" {
		return nil
	}
	var metOn calendar.Date
	for _, n := range s.Notices {
		w := window
		if n.How == renovation.Signs {
			w = up
		}
		if n.Recipient == recipient && !s.start.IsZero() && w.Contains(n.On) {
			metOn = earliest(metOn, n.On)
		}
	}
	s.owe(draft{code: "tell_affected_units", detail: string(recipient), window: up, metOn: metOn, because: because, metBy: []string{"notice", "observation"}, cite: tellingAll,
		text: fmt.Sprintf("Tell the %s in writing before the work, or put up signs while it lasts; sign a statement of the steps taken.", words[recipient])})
	return nil
}

var words = map[renovation.Recipient]string{renovation.Owner: "owner", renovation.AdultOccupant: "adult occupant", renovation.FacilityRepresentative: "facility's representative",
	renovation.AffectedUnits: "affected units", renovation.ParentsAndGuardians: "parents and guardians"}

// given is when a recipient was first given the pamphlet in a way that counts.
func (r Rules) given(s site, to renovation.Recipient) (on calendar.Date, err error) {
	for _, n := range s.Notices {
		if n.Recipient != to || s.start.IsZero() {
			continue
		}
		a, err := r.jobs.JudgeNotice(n, s.start)
		if err != nil {
			return 0, err
		}
		if a.Counts {
			on = earliest(on, n.On)
		}
	}
	return on, nil
}

// earliest is the earlier of two dates that there are.
func earliest(a, b calendar.Date) calendar.Date {
	if a.IsZero() || !b.IsZero() && b.Before(a) {
		return b
	}
	return a
}

// preparing is what is done before the work.
func (s site) preparing() {
	by := calendar.Window{To: s.start}
	s.owe(draft{code: "post_warning_signs", window: by, metOn: s.SignsOn, because: some(s.covered, s.hud), metBy: []string{"observation"}, cite: signs,
		text: "Post signs that define the work area before work starts; they stay until the cleaning is verified or cleared."})
	relocate := draft{code: "relocate_occupants", window: by, metOn: s.OccupantsOutOn, because: all(s.hud, s.Indoors, s.h.Occupied), metBy: []string{"relocation record", "the conditions of an exception"}, cite: relocation,
		text: "Move the occupants out before work starts, or meet one of the exceptions."}
	if s.Exception {
		relocate.because = law.No
	}
	s.owe(relocate)
}

// working is what is done while work goes on and at its end.
func (s site) working() {
	either := some(s.covered, s.hud)
	for _, d := range s.workDays() {
		metOn := calendar.Date(0)
		if d.Cleaned == law.Yes {
			metOn = d.On
		}
		s.owe(draft{code: "clean_daily", detail: d.On.String(), window: calendar.Window{From: d.On, To: d.On}, metOn: metOn, because: either, metBy: []string{"observation"}, cite: dailyClean,
			text: fmt.Sprintf("At the end of %s store the waste and clean up.", d.On)})
	}
	s.owe(draft{code: "clean", window: calendar.Window{To: s.EndedOn}, metOn: s.CleanedOn, because: either, metBy: []string{"observation"}, cite: dailyClean,
		text: "Clean the work area at the end of the job, until no dust, debris or residue remains."})
	s.owe(draft{code: "verify_or_clear", window: calendar.Window{From: s.CleanedOn, To: s.SignsOffOn}, metOn: earliest(s.VerifiedOn, s.ClearedOn), because: s.covered, metBy: []string{"verification", "clearance"}, cite: verifying,
		text: "Verify the cleaning, or clear the worksite, before the signs come down."})
	s.owe(draft{code: "clear", window: calendar.Window{To: s.OccupantsBackOn}, metOn: s.ClearedOn, because: some(s.hud, yes(s.Abatement)), metBy: []string{"clearance"}, cite: clearing,
		text: "Clear the worksite, with a report, before anybody uses it again."})
}

// workDays are the days of work told, and the first one, each once.
func (s site) workDays() []WorkDay {
	cleaned := map[calendar.Date]law.Tri{s.StartedOn: law.Unknown}
	for _, d := range s.Days {
		if !d.On.After(s.l.asOf) && (cleaned[d.On] == law.Unknown || d.Cleaned == law.Yes) {
			cleaned[d.On] = d.Cleaned
		}
	}
	var days []WorkDay
	for on, c := range cleaned {
		days = append(days, WorkDay{on, c})
	}
	return days
}

// abating is the notice of abatement to the authority (40 CFR 745.227(e)(4)). A late one does not meet it.
func (r Rules) abating(s site) error {
	if !s.Abatement {
		return nil
	}
	d := draft{code: "abatement_notice", because: law.Yes, metBy: []string{"notice"}, cite: law.Cite("40 CFR 745.227(e)(4)", law.Text), text: "Tell the authority of the abatement before it starts."}
	if !s.start.IsZero() {
		v, ok := r.book.On(r.abatement, s.start, law.Required, r.scope)
		if !ok {
			return r.book.TooEarly(r.abatement, "/planned_start", s.start)
		}
		d.window.To, d.cite = s.start.AddBusinessDays(-v.Int()), v.Cite()
		d.text = fmt.Sprintf("See that the authority has the notice of the abatement at least %s business days before it starts on %s.", v.Value, s.start)
		if !s.AuthorityToldOn.After(d.window.To) {
			d.metOn = s.AuthorityToldOn
		}
	}
	s.owe(d)
	return nil
}

// finished is what follows the end of the work.
func (r Rules) finished(s site, f Facts) error {
	if s.EndedOn.IsZero() || s.EndedOn.After(f.AsOf) {
		return nil
	}
	clearance := some(s.hud, yes(s.Abatement), yes(!s.ClearedOn.IsZero()))
	maintained := yes(f.Upkeep != nil)
	a, err := r.jobs.Records(renovation.RecordFacts{Completed: s.EndedOn, Invoiced: s.InvoicedOn, Covered: s.covered, Assisted: f.Home.Assisted, Abatement: s.Abatement, Emergency: s.Emergency && s.covered != law.No,
		Place: s.h.Kind, OwnerThere: s.h.OwnerThere, Clearance: clearance, Workers: law.No, Maintenance: maintained, Ended: f.ended()})
	if err != nil {
		return err
	}
	for _, g := range a.Give {
		d := draft{code: "give_" + g.Code, window: calendar.Window{To: g.By}, metOn: s.InformationOn, because: s.covered, metBy: []string{"notice"}, cite: g.Citation, text: g.Text}
		if g.Code == "dust_report" {
			d.metOn, d.because = s.DustReportOn, all(s.covered, clearance)
		}
		s.owe(d)
	}
	kept := map[string]string{"work_practices": "keep_job_records", "abatement_report": "keep_abatement_records", "housing_records": "keep_housing_records"}
	because := map[string]law.Tri{"work_practices": s.covered, "abatement_report": law.Yes, "housing_records": f.Home.Assisted}
	for _, k := range a.Records {
		if code := kept[k.Code]; code != "" {
			s.owe(draft{code: code, window: calendar.Window{From: s.EndedOn, To: k.Until}, because: because[k.Code], kept: true, metBy: []string{"the records"}, cite: k.Citation, text: "Keep the job's records: " + k.Text})
		}
	}
	return r.reported(s, f)
}

// reported is the notice of hazard reduction and the household waste.
func (r Rules) reported(s site, f Facts) error {
	v, ok := r.book.On(r.notice, s.EndedOn, law.Required, r.scope)
	if !ok && f.Home.Assisted != law.No {
		return r.book.TooEarly(r.notice, "/ended_on", s.EndedOn)
	}
	if ok {
		reduced := some(s.HazardReduction, yes(!s.ClearedOn.IsZero()))
		s.owe(draft{code: "notice_of_hazard_reduction", window: calendar.Window{From: s.EndedOn, To: s.EndedOn.AddDays(v.Int())}, metOn: s.ReductionNoticeOn, metBy: []string{"notice"}, cite: law.Cite("24 CFR 35.125(b)", law.Text),
			because: all(f.Home.Assisted, some(s.AboveDeMinimis, yes(s.Abatement)), reduced), text: fmt.Sprintf("Tell the occupants of the hazard reduction and its clearance within %s calendar days of its end.", v.Value)})
	}
	s.owe(draft{code: "take_household_waste_off", window: calendar.Window{To: s.EndedOn}, metOn: s.WasteOffOn, because: all(s.covered, yes(s.h.Kind != home.ChildOccupiedFacility)), metBy: []string{"trips"}, cite: wasteOff,
		text: "Take the waste of the job off the property by its end."})
	return nil
}

// ended is when ongoing maintenance ended.
func (f Facts) ended() calendar.Date {
	if f.Upkeep == nil {
		return 0
	}
	return f.Upkeep.EndedOn
}
