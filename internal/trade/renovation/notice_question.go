package renovation

import (
	"fmt"
	"slices"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
)

// NoticeFacts are what the dates of one notice turn on.
type NoticeFacts struct {
	Recipient  Recipient
	How        How
	Start, End calendar.Date // of the work; no End where it is not known
	Given      calendar.Date // given, mailed, tried or put up; none where it has not been
	Place      home.UnitKind
	PlaceKnown bool
	Changed    calendar.Date // when work of a changed scope, place or date begins, after units were told in writing
	Emergency  bool
}

// NoticeOutcome is the answer to a notice's dates.
type NoticeOutcome struct {
	Outcome       string            `json:"outcome"`
	From          calendar.Date     `json:"valid_from,omitzero"`
	To            calendar.Date     `json:"valid_to,omitzero"`
	KeepUntil     calendar.Date     `json:"keep_until,omitzero"` // of signs
	Counts        *bool             `json:"counts,omitempty"`
	Proof         Proof             `json:"proof,omitempty"`
	MustHold      []string          `json:"must_hold"`
	Determination law.Determination `json:"determination"`
}

// The outcomes of a notice's dates.
const (
	noticeWindow  = "window"
	noticeCounts  = "counts"
	noticeFails   = "does_not_count"
	noticeNotOwed = "not_owed"
	noticeNoDay   = "no_valid_date"
)

var (
	commonAreas   = law.Cite("40 CFR 745.84(b)(2)", law.Text)
	facilities    = law.Cite("40 CFR 745.84(c)(2)", law.Text)
	changedWork   = law.Cite("40 CFR 745.84(b)(4)", law.Text)
	mustHold      = law.Cite("40 CFR 745.84(a)(2)(i), (b)(2), (c)(2), (d)", law.Text)
	emergencyFree = law.Cite("40 CFR 745.82(b)", law.Text)
)

// ways are how each recipient may be told.
var ways = map[Recipient][]How{
	Owner:                  {Handed, Mailed, AttemptedDelivery}, // an attempt does not count, and is answered so
	AdultOccupant:          {Handed, Mailed, AttemptedDelivery},
	FacilityRepresentative: {Handed, Mailed, AttemptedDelivery},
	AffectedUnits:          {WrittenNotice, Signs},
	ParentsAndGuardians:    {Handed, Mailed, Signs},
}

// places are where each recipient is told; the owner is told everywhere.
var places = map[Recipient]home.UnitKind{AdultOccupant: home.Dwelling, AffectedUnits: home.CommonArea, FacilityRepresentative: home.ChildOccupiedFacility, ParentsAndGuardians: home.ChildOccupiedFacility}

var placeWords = map[home.UnitKind]string{home.Dwelling: "a dwelling", home.CommonArea: "a common area", home.ChildOccupiedFacility: "a child-occupied facility"}

// Dates says when a notice may be given, whether one given counts, and what it must hold.
func (r Rules) Dates(f NoticeFacts) (NoticeOutcome, error) {
	a := NoticeOutcome{MustHold: contents(f), Determination: law.NewDetermination("notice_window", f.Start, r.RuleSet())}
	if err := f.check(); err != nil {
		return a, err
	}
	f.use(&a.Determination)
	window, cite, err := r.NoticeWindow(f.How, f.begins())
	if err != nil {
		return a, err
	}
	a.Proof = proofOf[f.How]
	switch {
	case f.Emergency:
		a.notOwed("notice_emergency", "emergency", "yes", emergencyFree, "An emergency renovation escapes the notice.")
	case !f.Changed.IsZero() && (f.Recipient != AffectedUnits || f.How != WrittenNotice):
		a.notOwed("notice_of_change", "changed_start", f.Changed.String(), changedWork, "A new notice of changed work is owed where units were told of work in common areas in writing; elsewhere signs are changed, and the pamphlet is not given again.")
	case window.IsEmpty():
		a.Outcome = noticeNoDay
		a.Determination.Because("notice_window", "start", f.Start.String(), cite, "The days before the start that must be left, and those that may, leave no valid day; plan a later start or give it another way.")
	default:
		if err := r.judge(&a, f, window, cite); err != nil {
			return a, err
		}
	}
	a.Determination.Outcome = a.Outcome
	if a.Outcome == noticeFails || a.Outcome == noticeNoDay {
		law.Otherwise(&a.Determination, f, r.noticeAlternatives(f, window), func(f NoticeFacts) string { return r.noticeOutcome(f) })
	}
	return a, nil
}

// begins is the day before which the notice is owed.
func (f NoticeFacts) begins() calendar.Date {
	if f.Changed.IsZero() {
		return f.Start
	}
	return f.Changed
}

func (f NoticeFacts) check() error {
	var faults fault.Faults
	if !slices.Contains(ways[f.Recipient], f.How) {
		faults.Add("/how", "contradiction", "The %s is not told by %s; tell how as one of %v, or correct recipient.", f.Recipient, f.How, ways[f.Recipient])
	}
	if place, bound := places[f.Recipient]; bound && f.PlaceKnown && f.Place != place {
		faults.Add("/place", "contradiction", "%s is told of work in %s, not in %s; correct place or recipient.", f.Recipient, placeWords[place], placeWords[f.Place])
	}
	if !f.End.IsZero() && f.End.Before(f.Start) {
		faults.Add("/end", "contradiction", "The work ends before it begins; send an end on or after %s.", f.Start)
	}
	return faults.Err()
}

func (f NoticeFacts) use(d *law.Determination) {
	d.Use("start", f.Start.String())
	d.Use("how", string(f.How))
	d.Use("recipient", string(f.Recipient))
	for _, date := range []struct {
		fact string
		on   calendar.Date
	}{{"given_on", f.Given}, {"end", f.End}, {"changed_start", f.Changed}} {
		if !date.on.IsZero() {
			d.Use(date.fact, date.on.String())
		}
	}
}

func (a *NoticeOutcome) notOwed(rule, fact, value string, cite law.Citation, text string) {
	a.Outcome, a.Proof, a.MustHold = noticeNotOwed, "", []string{}
	a.Determination.Because(rule, fact, value, cite, text)
}

// judge says whether a notice given counts, or when it may be.
func (r Rules) judge(a *NoticeOutcome, f NoticeFacts, w calendar.Window, cite law.Citation) error {
	d := &a.Determination
	a.From, a.To = w.From, w.To
	rule, why := ruleOfNotice(f), fmt.Sprintf("Given this way it counts from %s to %s, with its proof.", w.From, w.To)
	if f.How == Signs {
		why = fmt.Sprintf("Signs go up from %s on, and by the beginning of the work on %s.", w.From, w.To)
		a.keep(f)
	}
	switch {
	case f.Given.IsZero():
		a.Outcome = noticeWindow
		d.Miss("given_on", "Whether a notice counts turns on the date it was given.", "A date within the window counts; any other does not.")
	case f.How == WrittenNotice || f.How == Signs:
		counts := w.Contains(f.Given)
		a.Counts, a.Outcome = &counts, noticeFails
		why = fmt.Sprintf("It was given on %s; valid dates are %s to %s.", f.Given, w.From, w.To)
		if counts {
			a.Outcome = noticeCounts
		}
	default:
		judged, err := r.JudgeNotice(Proved(f.Recipient, f.How, f.Given), f.begins())
		if err != nil {
			return err
		}
		a.Counts, a.Outcome, why, cite = &judged.Counts, noticeFails, judged.Why, judged.Cite
		if judged.Counts {
			a.Outcome = noticeCounts
		}
	}
	switch rule {
	case "common_area_notice":
		cite = commonAreas
	case "facility_notice":
		cite = facilities
	case "notice_of_change":
		cite = changedWork
	}
	d.Because(rule, "start", f.begins().String(), cite, why)
	return nil
}

// keep is how long signs stay up.
func (a *NoticeOutcome) keep(f NoticeFacts) {
	if a.KeepUntil = f.End; f.End.IsZero() {
		a.Determination.Miss("end", "Signs stay up until the work is done.", "The end of the work says until when.")
	}
}

func ruleOfNotice(f NoticeFacts) string {
	switch {
	case !f.Changed.IsZero():
		return "notice_of_change"
	case f.Recipient == AffectedUnits:
		return "common_area_notice"
	case f.Recipient == ParentsAndGuardians, f.Recipient == FacilityRepresentative:
		return "facility_notice"
	case f.How == Mailed:
		return "notice_mailed"
	case f.How == AttemptedDelivery:
		return "notice_attempted"
	}
	return "notice_window"
}

// noticeAlternatives are what can be done where a notice does not count.
func (r Rules) noticeAlternatives(f NoticeFacts, w calendar.Window) []law.Alternative[NoticeFacts] {
	list := []law.Alternative[NoticeFacts]{}
	for _, how := range ways[f.Recipient] {
		if how != f.How && !(how == AttemptedDelivery && f.Recipient == Owner) {
			list = append(list, law.Alternative[NoticeFacts]{Fact: "how", Value: string(how), Action: true, Set: func(f *NoticeFacts) { f.How = how }})
		}
	}
	if f.How != AttemptedDelivery || f.Recipient != Owner {
		if !w.IsEmpty() {
			list = append(list, law.Alternative[NoticeFacts]{Fact: "given_on", Value: fmt.Sprintf("again, between %s and %s", w.From, w.To), Action: true, Set: func(f *NoticeFacts) { f.Given = w.To }})
		}
		if start := r.laterStart(f); !start.IsZero() {
			list = append(list, law.Alternative[NoticeFacts]{Fact: "start", Value: start.String(), Action: true, Set: func(f *NoticeFacts) { f.Start = start }})
		}
	}
	return list
}

// laterStart is the first later start for which a notice given would count.
func (r Rules) laterStart(f NoticeFacts) calendar.Date {
	if f.Given.IsZero() || !f.Changed.IsZero() {
		return 0
	}
	for start := f.Start.AddDays(1); start.Sub(f.Given) <= 366; start = start.AddDays(1) {
		w, _, err := r.NoticeWindow(f.How, start)
		if err == nil && w.Contains(f.Given) && (f.End.IsZero() || !f.End.Before(start)) {
			return start
		}
	}
	return 0
}

func (r Rules) noticeOutcome(f NoticeFacts) string {
	w, cite, err := r.NoticeWindow(f.How, f.begins())
	if err != nil {
		return ""
	}
	if w.IsEmpty() {
		return noticeNoDay
	}
	a := NoticeOutcome{}
	if r.judge(&a, f, w, cite) != nil {
		return ""
	}
	return a.Outcome
}

// contents are what a notice given this way must hold.
func contents(f NoticeFacts) []string {
	switch f.How {
	case Handed:
		if f.Recipient == ParentsAndGuardians {
			return []string{"the pamphlet", "the nature and places of the work, and when it is expected to end", statementOfSteps}
		}
		return []string{"the name of the recipient", "a statement that the pamphlet was received before the work", "the address of the unit", "the recipient's signature, and its date before the start", "the language of the contract, or in a rented unit that of the lease or of the pamphlet"}
	case Mailed:
		if f.Recipient == ParentsAndGuardians {
			return []string{"the pamphlet", "the nature and places of the work, and when it is expected to end", "a certificate of mailing", statementOfSteps}
		}
		return []string{"a certificate of mailing"}
	case AttemptedDelivery:
		return []string{"the address of the unit", "the date and the method of delivery", "the names of those who delivered", "why there is no acknowledgement", "the signature of a representative of the firm, and its date"}
	case WrittenNotice:
		return []string{"the nature and the places of the work", "the expected start and end", "how to get the pamphlet free of charge", "how to get the records of the work free of charge", statementOfSteps}
	}
	return []string{"the nature and the places of the work", "the expected date of completion", "the pamphlet, or how to look at it or get it free of charge", "how to see the records of the work", statementOfSteps}
}

const statementOfSteps = "a statement of the steps taken to tell them, prepared, signed and dated by the firm"
