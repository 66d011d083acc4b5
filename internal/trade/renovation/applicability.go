package renovation

import (
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/practice"
)

// Applicability is an answer, small enough to make a million of in a second; Explain finds the words.
type Applicability struct {
	Outcome Outcome
	Total   measure.Number // ft2 disturbed within any 30 consecutive days that contain the job, this job included
	Limit   measure.Number // ft2 up to which a job is minor
	HUD     HUD            // what the housing rule says beside it
	why     why
	lacks   lacks
}

// HUD is what the de minimis test of 24 CFR 35.1350(d) says, which differs from EPA's at its boundary and has no
// aggregation: "not more than", job by job.
type HUD uint8

// The answers of the de minimis test.
const (
	HUDNotAsked   HUD = iota // the home is not assisted
	HUDDeMinimis             // not above the de minimis
	HUDApplies               // above it: safe work practices and clearance
	HUDIfAssisted            // above it, and whether the home is assisted is not known
)

type (
	why   uint16
	lacks uint8
)

const (
	homeNotCovered why = 1 << iota
	noPaint
	unpaid
	allLeadFree
	withinLimit
	overLimit
	overLimitTogether
	methodNeverMinor
	methodUnknown
	windowReplaced
	paintDemolished
	areaUnknown
	otherUnknown
	emergencyAlone
	rentIsCompensation
)

const (
	lackArea lacks = 1 << iota
	lackMethod
	lackDoer
	lackHome
	lackAssisted
	lackOtherArea
	lackPaint
)

// Rules are the parameters that applicability and notices read, found once.
type Rules struct {
	book                     *law.Book
	interior, exterior       law.Handle
	days                     law.Handle
	hudInterior, hudExterior law.Handle
	noticeDays, mailDays     law.Handle
}

// NewRules finds the parameters.
func NewRules(book *law.Book) (Rules, error) {
	r := Rules{book: book}
	for name, handle := range map[string]*law.Handle{
		"minor_repair_interior": &r.interior, "minor_repair_exterior": &r.exterior, "minor_repair_days": &r.days,
		"hud_de_minimis_interior": &r.hudInterior, "hud_de_minimis_exterior": &r.hudExterior,
		"notice_days_before": &r.noticeDays, "notice_mailing_days": &r.mailDays,
	} {
		var err error
		if *handle, err = book.Handle(name); err != nil {
			return r, err
		}
	}
	return r, nil
}

// RuleSet is the version of the law that answers.
func (r Rules) RuleSet() string { return r.book.RuleSet() }

// Apply decides whether a piece of work is a covered renovation (40 CFR 745.82, 745.83). others are the other jobs at the
// same place, in any order. A fact that is not known gets the protective answer. It does not allocate unless areas have
// very large denominators.
func (r Rules) Apply(w Work, others []Other) (Applicability, error) {
	limit, days, err := r.minor(w.Exterior, w.On)
	if err != nil {
		return Applicability{}, err
	}
	a := Applicability{Limit: limit.Number(), HUD: r.deMinimis(w)}
	if a.HUD == HUDIfAssisted {
		a.lacks |= lackAssisted
	}
	if w.HomeCovered == law.Unknown {
		a.lacks |= lackHome
	}
	switch {
	case w.HomeCovered == law.No:
		a.Outcome, a.why = NotCovered, homeNotCovered
	case disturbsNoPaint(w):
		a.Outcome, a.why = NoPaintDisturbed, noPaint
	case !forCompensation(w):
		a.Outcome, a.why = NotForCompensation, unpaid
	case w.LeadFree == law.Yes:
		a.Outcome, a.why = LeadFree, allLeadFree
	default:
		a.judge(w, others, days)
	}
	if a.Outcome < Minor {
		a.lacks &^= lackAssisted | lackHome
	}
	return a, nil
}

// minor is the limit of minor repair and the days over which jobs are added.
func (r Rules) minor(exterior bool, on calendar.Date) (*law.Value, int, error) {
	handle := r.interior
	if exterior {
		handle = r.exterior
	}
	limit, ok := r.book.On(handle, on, law.Required, law.Scope{})
	days, dated := r.book.On(r.days, on, law.Required, law.Scope{})
	if !ok || !dated {
		return nil, 0, r.book.TooEarly(handle, "/on", on)
	}
	return limit, days.Int(), nil
}

func disturbsNoPaint(w Work) bool {
	if w.WindowReplaced || w.Demolished {
		return w.PaintDisturbed == law.No
	}
	return w.PaintDisturbed == law.No || w.Method == practice.PaintedOnly || w.AreaKnown && w.Area.IsZero()
}

// forCompensation reads 745.82(a): rent is compensation, and so is whatever is not known.
func forCompensation(w Work) bool {
	switch w.DoneBy {
	case OwnerOccupant:
		return w.Rented == law.Yes
	case Volunteer:
		return false
	}
	return true
}

// judge decides between minor repair and a covered renovation.
func (a *Applicability) judge(w Work, others []Other, days int) {
	a.Outcome = CoveredRenovation
	if w.DoneBy == DoerUnknown {
		a.lacks |= lackDoer
	}
	if w.DoneBy == Landlord || w.DoneBy == LandlordEmployee || w.DoneBy == OwnerOccupant {
		a.why |= rentIsCompensation
	}
	if practice.RuleOf(w.Method).NeverMinor() {
		a.why |= methodNeverMinor
	}
	if w.Method == practice.Unknown || w.Method == "" {
		a.why = a.why&^methodNeverMinor | methodUnknown
		a.lacks |= lackMethod
	}
	if w.WindowReplaced {
		a.why |= windowReplaced
	}
	if w.Demolished {
		a.why |= paintDemolished
	}
	a.sum(w, others, days)
	const never = methodNeverMinor | methodUnknown | windowReplaced | paintDemolished | areaUnknown | otherUnknown | overLimit | overLimitTogether
	if a.why&never == 0 {
		a.Outcome = Minor
		a.why |= withinLimit
	}
}

func (a *Applicability) sum(w Work, others []Other, days int) {
	if !w.AreaKnown {
		a.why |= areaUnknown
		a.lacks |= lackArea
		if w.PaintDisturbed == law.Unknown {
			a.lacks |= lackPaint
		}
		return
	}
	if w.Emergency {
		a.why |= emergencyAlone
		others = nil
	}
	var unknown bool
	a.Total, unknown = running(w.On, w.Area, others, days)
	switch {
	case w.Area.Cmp(a.Limit) > 0:
		a.why |= overLimit
	case a.Total.Cmp(a.Limit) > 0:
		a.why |= overLimitTogether
	case unknown:
		a.why |= otherUnknown
		a.lacks |= lackOtherArea
	}
}

// running is the largest sum of own and the other jobs over any run of days in a row that contains the date. unknown says
// that a job without an area falls into such a run. Only runs that begin on the date or on an earlier job need a look.
func running(on calendar.Date, own measure.Number, others []Other, days int) (total measure.Number, unknown bool) {
	total = sumFrom(on, on, own, others, days, &unknown)
	for i := range others {
		from := others[i].On
		if others[i].Emergency || from.After(on) || on.Sub(from) >= days {
			continue
		}
		if sum := sumFrom(from, on, own, others, days, &unknown); sum.Cmp(total) > 0 {
			total = sum
		}
	}
	return total, unknown
}

func sumFrom(from, on calendar.Date, own measure.Number, others []Other, days int, unknown *bool) measure.Number {
	sum := own
	for i := range others {
		o := &others[i]
		if o.Emergency || o.On.Before(from) || o.On.Sub(from) >= days {
			continue
		}
		if !o.Known {
			*unknown = true
			continue
		}
		sum = sum.Add(o.Area)
	}
	return sum
}

func (r Rules) deMinimis(w Work) HUD {
	if w.Assisted == law.No {
		return HUDNotAsked
	}
	handle := r.hudInterior
	if w.Exterior {
		handle = r.hudExterior
	}
	limit, ok := r.book.On(handle, w.On, law.Required, law.Scope{})
	above := ok && (!w.AreaKnown || w.Area.Cmp(limit.Number()) > 0)
	switch {
	case !above:
		return HUDDeMinimis
	case w.Assisted == law.Yes:
		return HUDApplies
	}
	return HUDIfAssisted
}
