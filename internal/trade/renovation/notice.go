package renovation

import (
	"fmt"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
)

// Recipient is who is told before work.
type Recipient string

// The recipients of the pamphlet (40 CFR 745.84).
const (
	Owner                  Recipient = "owner"
	AdultOccupant          Recipient = "adult_occupant"
	FacilityRepresentative Recipient = "facility_representative"

	// Who is told of work in common areas and in child-occupied facilities, (b)(2) and (c)(2).
	AffectedUnits       Recipient = "affected_units"
	ParentsAndGuardians Recipient = "parents_and_guardians"
)

// How is the way a pamphlet was given.
type How string

// The ways.
const (
	Handed            How = "handed"
	Mailed            How = "mailed"
	AttemptedDelivery How = "attempted_delivery"
	WrittenNotice     How = "written_notice" // to each affected unit
	Signs             How = "signs"          // while the work lasts
)

// Proof is what proves it.
type Proof string

// The proofs.
const (
	Acknowledgement      Proof = "written_acknowledgement"
	CertificateOfMailing Proof = "certificate_of_mailing"
	AttemptCertification Proof = "attempted_delivery_certification"
	NoProof              Proof = "none"
)

// Notice is a pamphlet given, as told.
type Notice struct {
	Recipient Recipient
	How       How
	Proof     Proof
	On        calendar.Date
	Attempt   bool // the certification of an attempt is complete
}

// NoticeAnswer says whether a notice counts for a start, and when it might have been given.
type NoticeAnswer struct {
	Counts bool
	Window calendar.Window // first and last valid date for this way of giving it
	Why    string
	Cite   law.Citation
}

var (
	noticeTiming  = law.Cite("40 CFR 745.84(a), (b), (c)", law.Text)
	mailTiming    = law.Citation{Clause: "40 CFR 745.84(a)(1)(ii), (a)(2)(ii)", Source: law.Derived, Note: "The least days of a mailing and the most days of any notice before the start, read together."}
	attemptClause = law.Cite("40 CFR 745.84(a)(2)(i)", law.Text)
)

// NoticeWindow is when a notice may be given for a start: from so many days before it, to so many days before it, more of them
// by mail. Signs may go up until the work begins. Where a place's own numbers leave no day, the window is empty.
func (r Rules) NoticeWindow(how How, start calendar.Date) (calendar.Window, law.Citation, error) {
	most, ok := r.book.On(r.noticeDays, start, law.Required, r.scope)
	mail, mailed := r.book.On(r.mailDays, start, law.Required, r.scope)
	least, dated := r.book.On(r.leastDays, start, law.Required, r.scope)
	if !ok || !mailed || !dated {
		return calendar.Window{}, law.Citation{}, r.book.TooEarly(r.noticeDays, "/start", start)
	}
	w := calendar.Window{From: start.AddDays(-most.Int()), To: start.AddDays(-least.Int())}
	switch how {
	case Mailed:
		return w.And(calendar.Window{To: start.AddDays(-mail.Int())}), mailTiming, nil
	case Signs:
		w.To = start
	}
	return w, noticeTiming, nil
}

// JudgeNotice decides whether a notice counts for a start. Without a start nothing counts yet.
func (r Rules) JudgeNotice(n Notice, start calendar.Date) (NoticeAnswer, error) {
	if start.IsZero() {
		return NoticeAnswer{Why: "The job has no planned start yet, so it cannot be said whether the notice falls into its window.", Cite: noticeTiming}, nil
	}
	window, cite, err := r.NoticeWindow(n.How, start)
	if err != nil {
		return NoticeAnswer{}, err
	}
	a := NoticeAnswer{Window: window, Cite: cite}
	switch {
	case n.How == AttemptedDelivery && n.Recipient == Owner:
		a.Why, a.Cite = "An attempted delivery counts for an occupant or a facility's representative only, not for the owner.", attemptClause
	case n.How == AttemptedDelivery && !n.Attempt:
		a.Why, a.Cite = "The certification of the attempt is missing: address, method, who tried, why there is no acknowledgement, signature and date.", attemptClause
	case n.Proof != proofOf[n.How]:
		a.Why = fmt.Sprintf("Given this way it needs the proof %s.", proofOf[n.How])
	case n.On.Before(window.From):
		a.Why = fmt.Sprintf("It was given on %s, more than the allowed days before the start on %s.", n.On, start)
	case n.On.After(window.To):
		a.Why = fmt.Sprintf("It was given on %s; the last valid date for a start on %s is %s.", n.On, start, window.To)
	default:
		a.Counts = true
		a.Why = fmt.Sprintf("It was given on %s, between %s and %s, with its proof.", n.On, window.From, window.To)
	}
	return a, nil
}

var proofOf = map[How]Proof{Handed: Acknowledgement, Mailed: CertificateOfMailing, AttemptedDelivery: AttemptCertification}

// Told is a notice and the place it concerns.
type Told struct {
	Notice
	Unit string // empty for the owner
}

// Site is a unit in which a job does work, as the duty to tell people sees it.
type Site struct {
	Unit, Name string
	Kind       home.UnitKind
	OwnerThere law.Tri // the owner lives there, or runs the facility
	Occupied   law.Tri // somebody lives there
}

// Duties are the pamphlets that a covered renovation owes (40 CFR 745.84(a), (c)): one to the owner, and one to an adult
// occupant of each dwelling, or a representative of each facility, where that is somebody else. What is not known owes one.
// In common areas it is one to the owner; the units around are told by notices or signs, (b)(2), which are a step of the job.
func Duties(sites []Site) []Duty {
	duties := []Duty{{Recipient: Owner}}
	for _, s := range sites {
		if s.OwnerThere == law.Yes || s.Kind == home.CommonArea || s.Kind == home.Dwelling && s.Occupied == law.No {
			continue
		}
		recipient := AdultOccupant
		if s.Kind == home.ChildOccupiedFacility {
			recipient = FacilityRepresentative
		}
		duties = append(duties, Duty{Recipient: recipient, Unit: s.Unit, UnitName: s.Name})
	}
	return duties
}

// Duty is a pamphlet owed for a job.
type Duty struct {
	Recipient Recipient
	Unit      string // the unit whose occupant is told; empty for the owner
	UnitName  string
}

// Unmet are the duties that no notice told meets, each with the last date on which handing the pamphlet over would.
func (r Rules) Unmet(duties []Duty, told []Told, start calendar.Date) ([]Duty, calendar.Window, error) {
	var unmet []Duty
	var window calendar.Window
	if !start.IsZero() {
		var err error
		if window, _, err = r.NoticeWindow(Handed, start); err != nil {
			return nil, window, err
		}
	}
	for _, d := range duties {
		met := false
		for _, n := range told {
			if n.Recipient != d.Recipient || n.Unit != d.Unit && d.Recipient != Owner {
				continue
			}
			a, err := r.JudgeNotice(n.Notice, start)
			if err != nil {
				return nil, window, err
			}
			met = met || a.Counts
		}
		if !met {
			unmet = append(unmet, d)
		}
	}
	return unmet, window, nil
}

// Proved is a notice given with the proof that its way asks for.
func Proved(to Recipient, how How, on calendar.Date) Notice {
	return Notice{Recipient: to, How: how, Proof: proofOf[how], On: on, Attempt: how == AttemptedDelivery}
}
