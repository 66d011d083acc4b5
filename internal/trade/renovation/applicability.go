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
	HUDNotAsked   HUD = iota // the home is not assisted, or its rule does not apply to the work
	HUDDeMinimis             // not above the de minimis
	HUDApplies               // above it: safe work practices and clearance
	HUDIfAssisted            // above it, and whether the home is assisted is not known
)

// String is the answer's name in the contract.
func (h HUD) String() string {
	return [...]string{"not_asked", "de_minimis", "applies", "if_assisted"}[h]
}

type (
	why   uint32
	lacks uint16
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
	otherNeverMinor
	emergencyAlone
	rentIsCompensation
	aboveDeMinimis
	shareUnknown
	abatementTold
	abatementSmall
	hiredFirm
	optedOut
	optOutEnded
	certificationNotYet
)

const (
	lackArea lacks = 1 << iota
	lackMethod
	lackDoer
	lackHome
	lackAssisted
	lackOtherArea
	lackPaint
	lackShare
	lackLeadFree
)

// Rules are the parameters that applicability and notices read, found once.
type Rules struct {
	book                     *law.Book
	scope                    law.Scope
	said                     map[string]law.Handle // parameters that the sentences of steps name; never changed
	interior, exterior       law.Handle
	days                     law.Handle
	hudInterior, hudExterior law.Handle
	hudShare                 law.Handle
	noticeDays, mailDays     law.Handle
	leastDays                law.Handle
	optOut, certified        law.Handle
	abatement                [3]law.Handle   // in a room, outside, percent of a small component
	practices                *practice.Rules // for the guards in sentences; a pointer, because rules are passed by value
}

// NewRules finds the parameters.
func NewRules(book *law.Book) (Rules, error) {
	r := Rules{book: book}
	err := book.Handles(map[string]*law.Handle{
		"minor_repair_interior": &r.interior, "minor_repair_exterior": &r.exterior, "minor_repair_days": &r.days,
		"hud_de_minimis_interior": &r.hudInterior, "hud_de_minimis_exterior": &r.hudExterior, "hud_de_minimis_component": &r.hudShare,
		"notice_days_before": &r.noticeDays, "notice_mailing_days": &r.mailDays, "notice_least_days": &r.leastDays, "opt_out": &r.optOut, "certified_work_required": &r.certified,
		"abatement_practice_interior": &r.abatement[0], "abatement_practice_exterior": &r.abatement[1], "abatement_practice_component": &r.abatement[2],
	})
	if err != nil {
		return r, err
	}
	practices, err := practice.NewRules(book)
	if err != nil {
		return r, err
	}
	r.practices = &practices
	return r, r.readSaid()
}

// In is the rules as they hold in a property's jurisdictions, beside the federal one. It does not allocate.
func (r Rules) In(jurisdictions []string) Rules {
	r.scope.Jurisdictions = jurisdictions
	return r
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
	a := Applicability{Limit: limit.Number()}
	r.deMinimis(&a, w)
	if w.HomeCovered == law.Unknown {
		a.lacks |= lackHome
	}
	switch {
	case w.HomeCovered == law.No:
		a.Outcome, a.why = NotCovered, homeNotCovered
	case disturbsNoPaint(w):
		a.Outcome, a.why = NoPaintDisturbed, noPaint
	case w.Abatement && w.LeadFree != law.Yes:
		a.Outcome = Abatement
		a.why |= abatementTold | r.smallAbatement(w)
	case !forCompensation(w):
		a.Outcome, a.why = NotForCompensation, unpaid
	case w.LeadFree == law.Yes:
		a.Outcome, a.why = LeadFree, allLeadFree
	default:
		a.judge(w, others, days)
	}
	switch {
	case a.Outcome == NotCovered, a.Outcome == NoPaintDisturbed, w.LeadFree == law.Yes: // 35.115(a)(4), (8)
		a.HUD, a.lacks, a.why = HUDNotAsked, 0, a.why&^(aboveDeMinimis|shareUnknown)
	case a.Outcome == NotForCompensation: // part 35 does not ask who is paid
		a.lacks &= lackAssisted | lackShare
	}
	if a.Outcome == CoveredRenovation {
		a.why |= r.dated(w)
		if w.LeadFree == law.Unknown {
			a.lacks |= lackLeadFree
		}
	}
	return a, nil
}

// dated is what the date of a covered renovation changes: before certified work was required only the notices were owed
// (745.81), and until the opt-out ended an owner who lived there could sign the work practices away.
func (r Rules) dated(w Work) why {
	if v, ok := r.book.On(r.certified, w.On, law.Required, r.scope); ok && v.Int() == 0 {
		return certificationNotYet
	}
	if w.OptedOut != law.Yes {
		return 0
	}
	if v, ok := r.book.On(r.optOut, w.On, law.Required, r.scope); ok && v.Int() == 1 {
		return optedOut
	}
	return optOutEnded
}

// smallAbatement reads 745.65(d): "less than", where the housing rule says "not more than".
func (r Rules) smallAbatement(w Work) why {
	handle := r.abatement[0]
	if w.Exterior {
		handle = r.abatement[1]
	}
	limit, ok := r.book.On(handle, w.On, law.Required, r.scope)
	share, dated := r.book.On(r.abatement[2], w.On, law.Required, r.scope)
	small := w.Component.Small() != law.No
	if ok && dated && w.AreaKnown && w.Area.Cmp(limit.Number()) < 0 && (!small || w.ShareKnown && w.Share.Cmp(share.Number()) < 0) {
		return abatementSmall
	}
	return 0
}

// minor is the limit of minor repair and the days over which jobs are added.
func (r Rules) minor(exterior bool, on calendar.Date) (*law.Value, int, error) {
	handle := r.interior
	if exterior {
		handle = r.exterior
	}
	limit, ok := r.onRecord(handle, on)
	days, dated := r.onRecord(r.days, on)
	if !ok || !dated {
		return nil, 0, r.book.TooEarly(handle, "/on", on)
	}
	return limit, days.Int(), nil
}

// onRecord is a number of the definition of minor repair, which held from when it took effect although the work practices were
// required later only.
func (r Rules) onRecord(h law.Handle, on calendar.Date) (*law.Value, bool) {
	if v, ok := r.book.On(h, on, law.Required, r.scope); ok {
		return v, true
	}
	return r.book.On(h, on, law.InEffect, r.scope)
}

// disturbsNoPaint takes work that is told to disturb paint at its word, whatever else is told of it.
func disturbsNoPaint(w Work) bool {
	switch {
	case w.PaintDisturbed != law.Unknown:
		return w.PaintDisturbed == law.No
	case w.replacesWindow() || w.demolishes():
		return false
	}
	// an area of nothing does not say that an unknown method leaves paint alone: it could be a demolition
	return w.Method == practice.PaintedOnly || w.AreaKnown && w.Area.IsZero() && practice.RuleOf(w.Method).Method != practice.Unknown
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
	switch w.DoneBy {
	case Landlord, LandlordEmployee, PropertyManager, OwnerOccupant:
		a.why |= rentIsCompensation
	case HiredFirm:
		a.why |= hiredFirm
	}
	if practice.RuleOf(w.Method).NeverMinor() {
		a.why |= methodNeverMinor
	}
	if w.Method == practice.Unknown || w.Method == "" {
		a.why = a.why&^methodNeverMinor | methodUnknown
		a.lacks |= lackMethod
	}
	if w.replacesWindow() {
		a.why |= windowReplaced
	}
	if w.demolishes() {
		a.why |= paintDemolished
	}
	a.sum(w, others, days)
	const never = methodNeverMinor | methodUnknown | windowReplaced | paintDemolished | areaUnknown | otherUnknown | otherNeverMinor | overLimit | overLimitTogether
	if a.why&never == 0 {
		a.Outcome = Minor
		a.why |= withinLimit
	}
}

func (a *Applicability) sum(w Work, others []Other, days int) {
	if w.Emergency {
		a.why |= emergencyAlone
		others = nil
	}
	run := running(w.On, w.Area, others, days)
	a.Total = run.total
	if run.neverMinor {
		a.why |= otherNeverMinor
	}
	switch {
	case !w.AreaKnown:
		a.why |= areaUnknown
		a.lacks |= lackArea
		if w.PaintDisturbed == law.Unknown {
			a.lacks |= lackPaint
		}
	case w.Area.Cmp(a.Limit) > 0:
		a.why |= overLimit
	case run.total.Cmp(a.Limit) > 0:
		a.why |= overLimitTogether
	case run.unknown:
		a.why |= otherUnknown
		a.lacks |= lackOtherArea
	}
}

// run is what the jobs of a place come to within days in a row.
type run struct {
	total      measure.Number
	unknown    bool // a job's area is not known
	neverMinor bool // a job is more than minor repair, whatever its area
}

// running is the largest sum of own and the other jobs over any run of days that contains the date. Only runs that begin on
// the date or on an earlier job need a look. The rule makes such jobs the same job, so one that is never minor makes them
// all so.
func running(on calendar.Date, own measure.Number, others []Other, days int) run {
	largest := runFrom(on, own, others, days)
	for i := range others {
		from := others[i].On
		if others[i].Emergency || from.After(on) || on.Sub(from) >= days {
			continue
		}
		r := runFrom(from, own, others, days)
		largest.total = largest.total.Max(r.total)
		largest.unknown = largest.unknown || r.unknown
		largest.neverMinor = largest.neverMinor || r.neverMinor
	}
	return largest
}

func runFrom(from calendar.Date, own measure.Number, others []Other, days int) run {
	r := run{total: own}
	for i := range others {
		o := &others[i]
		if o.Emergency || o.On.Before(from) || o.On.Sub(from) >= days {
			continue
		}
		r.neverMinor = r.neverMinor || o.NeverMinor
		if !o.Known {
			r.unknown = true
			continue
		}
		r.total = r.total.Add(o.Area)
	}
	return r
}

// deMinimis reads 24 CFR 35.1350(d): an area in a room or outside, and a share of a small component, each a test of its own.
// Where the home is assisted and the share is not known, it is taken to be above.
func (r Rules) deMinimis(a *Applicability, w Work) {
	if w.Assisted == law.No {
		return
	}
	handle := r.hudInterior
	if w.Exterior {
		handle = r.hudExterior
	}
	limit, ok := r.book.On(handle, w.On, law.Required, r.scope)
	share, dated := r.book.On(r.hudShare, w.On, law.Required, r.scope)
	small := w.Component.Small() != law.No
	switch {
	case ok && (!w.AreaKnown || w.Area.Cmp(limit.Number()) > 0), dated && small && w.ShareKnown && w.Share.Cmp(share.Number()) > 0:
		a.why |= aboveDeMinimis
	case dated && small && !w.ShareKnown:
		a.why |= shareUnknown
	default:
		a.HUD = HUDDeMinimis
		return
	}
	a.HUD = HUDApplies
	if w.Assisted == law.Unknown {
		a.HUD = HUDIfAssisted
		a.lacks |= lackAssisted
		a.why &^= aboveDeMinimis | shareUnknown
		return
	}
	if a.why&shareUnknown != 0 {
		a.lacks |= lackShare
	}
}
