package duty

import (
	"strconv"

	"sillbook/internal/fault"
	"sillbook/internal/trade/assistance"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/crew"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/renovation"
)

// Facts are what happened or is planned in and around one home. A date that is not told has not come; one after the day asked
// about counts as a plan, and what was to be done by then as not done.
type Facts struct {
	AsOf          calendar.Date
	Jurisdictions []string
	Soon          int // days before its last day in which a duty is due soon, or AsUsual
	Home          Home
	Jobs          []Job
	Evaluations   []Evaluation
	Dealings      []Dealing
	Events        []Event       // for local law
	Holders       []crew.Holder // firms and people, with their certificates
	Upkeep        *Upkeep       // none: no ongoing maintenance
}

// Home is the home.
type Home struct {
	Label                         string
	Kind                          home.UnitKind
	Covered, OwnerThere, Occupied law.Tri
	Assisted                      law.Tri
}

// Job is one job in the home.
type Job struct {
	Label          string
	Covered        law.Tri // a covered renovation
	AboveDeMinimis law.Tri // more is disturbed than the housing rule leaves free
	Abatement      bool
	Emergency      bool
	Indoors        law.Tri

	PlannedStart, StartedOn, EndedOn, CalledOffOn calendar.Date
	InvoicedOn                                    calendar.Date
	Notices                                       []renovation.Notice
	SignsOn, SignsOffOn                           calendar.Date // warning signs up, and down
	OccupantsOutOn, OccupantsBackOn               calendar.Date
	Exception                                     bool // one of the exceptions to relocation holds
	Days                                          []WorkDay
	CleanedOn, VerifiedOn, ClearedOn              calendar.Date
	InformationOn, DustReportOn                   calendar.Date // given to owner and occupants
	HazardReduction                               law.Tri
	ReductionNoticeOn                             calendar.Date
	WasteOffOn                                    calendar.Date
	AuthorityToldOn                               calendar.Date // of an abatement
}

// WorkDay is a day of work on a job.
type WorkDay struct {
	On      calendar.Date
	Cleaned law.Tri
}

// Evaluation is one report about lead-based paint or hazards, or the presumption of them.
type Evaluation struct {
	Label      string
	Visual     bool          // a visual assessment, which is no evaluation and has no notice
	ReceivedOn calendar.Date // the report, or the day of presuming
	Found      law.Tri       // lead-based paint or hazards; a presumption is yes
	NoticeOn   calendar.Date
}

// Dealing is a sale or lease.
type Dealing struct {
	Label string
	home.DisclosureFacts
}

// Upkeep is what is known of ongoing maintenance.
type Upkeep struct {
	assistance.UpkeepFacts
	EndedOn calendar.Date
}

func (f Facts) check() error {
	var faults fault.Faults
	seen := map[string]bool{}
	label := func(at, text string) {
		if seen[text] {
			faults.Add(at+"/label", "duplicate", "There is already something called %q; give each a label of its own.", text)
		}
		seen[text] = true
	}
	for i, j := range f.Jobs {
		at := "/jobs/" + strconv.Itoa(i)
		label(at, j.Label)
		j.check(&faults, at, f.Home)
	}
	for i, e := range f.Evaluations {
		label("/evaluations/"+strconv.Itoa(i), e.Label)
		if !e.NoticeOn.IsZero() && e.NoticeOn.Before(e.ReceivedOn) {
			faults.Add("/evaluations/"+strconv.Itoa(i)+"/notice_given_on", "contradiction", "A notice of %s cannot tell of what came on %s; correct one of the two.", e.NoticeOn, e.ReceivedOn)
		}
	}
	for i, d := range f.Dealings {
		label("/dealings/"+strconv.Itoa(i), d.Label)
	}
	for i, e := range f.Events {
		label("/events/"+strconv.Itoa(i), e.Label)
	}
	for i, h := range f.Holders {
		at := "/holders/" + strconv.Itoa(i)
		if seen[h.Name] {
			faults.Add(at+"/name", "duplicate", "There is already something called %q; tell all certificates of one holder together.", h.Name)
		}
		seen[h.Name] = true
		if mixed(h) {
			faults.Add(at+"/certificates", "contradiction", "Firms have certificates of firms, and people those of people.")
		}
	}
	return faults.Err()
}

func (j Job) check(faults *fault.Faults, at string, h Home) {
	if h.Covered == law.No && j.Covered == law.Yes {
		faults.Add(at+"/covered", "contradiction", "The home is not covered, so the job is no covered renovation; correct one of the two.")
	}
	if !j.CalledOffOn.IsZero() && !j.StartedOn.IsZero() {
		faults.Add(at+"/called_off_on", "contradiction", "A job that has begun is not called off; tell when it ended.")
	}
	for _, order := range []struct {
		name        string
		then, first calendar.Date
	}{{"ended_on", j.EndedOn, j.StartedOn}, {"verified_on", j.VerifiedOn, j.StartedOn}, {"cleared_on", j.ClearedOn, j.StartedOn}, {"signs_removed_on", j.SignsOffOn, j.SignsOn}, {"occupants_back_on", j.OccupantsBackOn, j.OccupantsOutOn}} {
		if !order.then.IsZero() && order.then.Before(order.first) {
			faults.Add(at+"/"+order.name, "contradiction", "%s lies before %s, when it cannot have been; correct one of the two.", order.then, order.first)
		}
	}
	if !j.EndedOn.IsZero() && j.StartedOn.IsZero() {
		faults.Add(at+"/started_on", "missing", "A job that ended began; tell when.")
	}
}
