package crew

import (
	"fmt"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// Certificate is one certificate as told, or a firm's application for one.
type Certificate struct {
	Discipline Discipline
	Basis      Basis
	Issuer     string        // "epa", or the code of the state or tribe: "us-zz"
	IssuedOn   calendar.Date // none while a firm's application is undecided
	ExpiresOn  calendar.Date // as printed; none when it is not told
	Extended   law.Tri       // the issuer put off its end, as 80 FR 20444 did for some renovators
	CopyLost   bool          // a new copy is wanted
	Record     string        // its identifier on record; empty for one that is only told

	// of people
	HandsOn        law.Tri // the course had hands-on training
	CourseMinutes  int     // learning in the course; 0 when it is not told
	HandsOnMinutes int     // hands-on training in it; 0 when it is not told
	EarlierCourse  law.Tri // a renovator's first refresher that rests on an earlier course of EPA or HUD
	Exam           Exam    // for abatement and evaluation

	// of firms
	AppliedOn         calendar.Date // postmark of the application
	RefusedOn         calendar.Date
	SupplementAskedOn calendar.Date
	SupplementSentOn  calendar.Date
	Changes           []Amendment
}

// Amendment is a change of what a firm's application said, and the day on which the certificate was amended.
type Amendment struct{ ChangedOn, AmendedOn calendar.Date }

// CertificateFacts are the certificates of one holder in one discipline, in any order, and the day and place they are asked
// for.
type CertificateFacts struct {
	AsOf          calendar.Date
	Jurisdictions []string // beside the federal one; none when the place is not told
	Certificates  []Certificate
}

// Standing is the answer to whether a holder is certified.
type Standing string

// The standings. NotShown means that what was told does not show it.
const (
	Valid        Standing = "valid"
	Stopped      Standing = "stopped" // a firm that did not tell a change in time
	NotValidHere Standing = "not_valid_here"
	Expired      Standing = "expired"
	NotYetValid  Standing = "not_yet_valid"
	NotShown     Standing = "not_shown"
)

// Certificates are the rules that certificates are judged by.
type Certificates struct {
	book                                                   *law.Book
	firmYears, renewalDays, decisionDays                   law.Handle
	supplementDays, amendmentDays, fee                     law.Handle
	renovatorYears, onlineYears, samplerYears              law.Handle
	courseYears, proficiencyYears, interimMonths           law.Handle
	hour, renovatorHours, renovatorHandsOn, refresherHours law.Handle
	samplerHours, samplerHandsOn                           law.Handle
	samplerRefresherHours, samplerRefresherHandsOn         law.Handle
	ownRenovation, ownAbatement                            law.Handle
}

// NewCertificates finds the parameters.
func NewCertificates(book *law.Book) (Certificates, error) {
	r := Certificates{book: book}
	return r, book.Handles(map[string]*law.Handle{
		"firm_certificate_years": &r.firmYears, "firm_renewal_days": &r.renewalDays, "firm_decision_days": &r.decisionDays,
		"firm_supplement_days": &r.supplementDays, "firm_amendment_days": &r.amendmentDays, "replacement_certificate_fee": &r.fee,
		"renovator_certificate_years": &r.renovatorYears, "renovator_online_years": &r.onlineYears,
		"sampling_technician_certificate_years": &r.samplerYears, "abatement_certificate_years_course": &r.courseYears,
		"abatement_certificate_years_proficiency": &r.proficiencyYears, "interim_certificate_months": &r.interimMonths,
		"training_hour": &r.hour, "renovator_course_hours": &r.renovatorHours, "renovator_course_hands_on_hours": &r.renovatorHandsOn,
		"renovator_refresher_hours": &r.refresherHours, "sampling_technician_course_hours": &r.samplerHours,
		"sampling_technician_course_hands_on_hours": &r.samplerHandsOn, "sampling_technician_refresher_hours": &r.samplerRefresherHours,
		"sampling_technician_refresher_hands_on": &r.samplerRefresherHandsOn,
		"own_renovation_programme":               &r.ownRenovation, "own_abatement_programme": &r.ownAbatement,
	})
}

// CertificateAnswer says whether a holder is certified on a day in a place, and what must be done to stay so.
type CertificateAnswer struct {
	Outcome      Standing          `json:"outcome"`
	ValidFrom    calendar.Date     `json:"valid_from,omitzero"` // of the unbroken run that the day lies in, or of the last one
	ValidTo      calendar.Date     `json:"valid_to,omitzero"`   // its last day; none while a timely application is undecided
	Certificates []Counted         `json:"certificates"`
	Due          []Due             `json:"due"`
	Explained    law.Determination `json:"determination"`
}

// Counted says what one certificate is worth.
type Counted struct {
	Index   int           `json:"index"`                    // in the request, from 0
	Record  string        `json:"certificate_id,omitempty"` // on record
	Counts  bool          `json:"counts"`
	ValidTo calendar.Date `json:"valid_to,omitzero"`
	Why     string        `json:"why"`
}

// Judge decides whether a holder is certified. What contradicts itself is a fault.
func (r Certificates) Judge(f CertificateFacts) (CertificateAnswer, error) {
	if err := r.check(f); err != nil {
		return CertificateAnswer{}, err
	}
	j := r.judge(f)
	return r.explain(f, j), nil
}

// check refuses what contradicts itself or cannot be.
func (r Certificates) check(f CertificateFacts) error {
	var faults fault.Faults
	for i, c := range f.Certificates {
		r.checkOne(&faults, fmt.Sprintf("/certificates/%d", i), c)
		if c.Discipline != f.Certificates[0].Discipline {
			faults.Add(fmt.Sprintf("/certificates/%d/discipline", i), "mixed_disciplines", "One question is about one discipline; ask about %s and %s apart.",
				f.Certificates[0].Discipline, c.Discipline)
		}
	}
	return faults.Err()
}

func (r Certificates) checkOne(f *fault.Faults, at string, c Certificate) {
	c.check(f, at)
	if h := r.termOf(c); !c.IssuedOn.IsZero() && r.value(h, c.IssuedOn, nil) == nil {
		f.Merge("", r.book.TooEarly(h, at+"/issued_on", c.IssuedOn))
	}
}

func (c Certificate) check(f *fault.Faults, at string) {
	if !c.Discipline.takes(c.Basis) {
		f.Add(at+"/basis", "no_such_basis", "A %s is not certified on the basis %q.", c.Discipline, string(c.Basis))
	}
	if c.Discipline == Firm {
		c.checkFirm(f, at)
	} else {
		c.checkPerson(f, at)
	}
	if !c.ExpiresOn.IsZero() && !c.IssuedOn.IsZero() && !c.ExpiresOn.After(c.IssuedOn) {
		f.Add(at+"/expires_on", "contradiction", "A certificate issued on %s does not end on %s; correct one of the two.", c.IssuedOn, c.ExpiresOn)
	}
	if c.Extended == law.Yes && c.ExpiresOn.IsZero() {
		f.Add(at+"/expires_on", "missing", "A certificate whose end was put off needs the date to which it was.")
	}
}

func (c Certificate) checkPerson(f *fault.Faults, at string) {
	if c.IssuedOn.IsZero() {
		f.Add(at+"/issued_on", "missing", "A person's certificate needs the date on which it was issued: the last day of the course.")
	}
	if !c.AppliedOn.IsZero() || !c.RefusedOn.IsZero() || !c.SupplementAskedOn.IsZero() || len(c.Changes) > 0 {
		f.Add(at+"/discipline", "contradiction", "Applications, supplements and changes are told of firms; leave them out for a person.")
	}
	if c.HandsOn == law.No && c.HandsOnMinutes > 0 {
		f.Add(at+"/hands_on_minutes", "contradiction", "A course without hands-on training has no minutes of it; correct one of the two.")
	}
	if c.CourseMinutes > 0 && c.HandsOnMinutes > c.CourseMinutes {
		f.Add(at+"/hands_on_minutes", "contradiction", "Hands-on training of %d minutes does not fit into a course of %d.", c.HandsOnMinutes, c.CourseMinutes)
	}
	if c.EarlierCourse == law.Yes && (c.Discipline != Renovator || c.Basis != Refresher) {
		f.Add(at+"/earlier_course", "contradiction", "Only a renovator's refresher rests on an earlier course of EPA or HUD.")
	}
	if c.Exam != "" && c.Discipline.ofRenovation() {
		f.Add(at+"/exam", "contradiction", "The test decides the term of certificates for abatement and evaluation only; leave it out.")
	}
}

func (c Certificate) checkFirm(f *fault.Faults, at string) {
	if c.HandsOn != law.Unknown || c.CourseMinutes > 0 || c.HandsOnMinutes > 0 || c.EarlierCourse == law.Yes || c.Exam != "" {
		f.Add(at+"/discipline", "contradiction", "Courses and tests are told of people; leave them out for a firm.")
	}
	if c.IssuedOn.IsZero() && c.AppliedOn.IsZero() {
		f.Add(at+"/issued_on", "missing", "A firm's certificate needs issued_on, an undecided application applied_on.")
	}
	if !c.RefusedOn.IsZero() && !c.IssuedOn.IsZero() {
		f.Add(at+"/refused_on", "contradiction", "An application is not both granted and refused; leave out one of issued_on and refused_on.")
	}
	order := func(first, then calendar.Date, field, text string) {
		if !first.IsZero() && !then.IsZero() && then.Before(first) {
			f.Add(at+field, "contradiction", text, then, first)
		}
	}
	order(c.AppliedOn, c.IssuedOn, "/issued_on", "It cannot have been issued on %s, before the application of %s.")
	order(c.AppliedOn, c.RefusedOn, "/refused_on", "It cannot have been refused on %s, before the application of %s.")
	order(c.AppliedOn, c.SupplementAskedOn, "/supplement_asked_on", "No supplement was asked for on %s, before the application of %s.")
	order(c.SupplementAskedOn, c.SupplementSentOn, "/supplement_sent_on", "The supplement cannot have been sent on %s, before it was asked for on %s.")
	for i, change := range c.Changes {
		order(change.ChangedOn, change.AmendedOn, fmt.Sprintf("/changes/%d/amended_on", i), "The certificate cannot have been amended on %s, before the change of %s.")
	}
}
