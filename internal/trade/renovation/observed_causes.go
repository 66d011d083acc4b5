package renovation

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/practice"
)

// Codes of the findings that observations open.
const (
	ProhibitedPractice = "prohibited_practice"
	UnguardedPractice  = "restricted_practice_without_guard"
	ContainmentBreach  = "containment_breach"
	OccupantEntry      = "occupant_entry"
	MissingSign        = "missing_sign"
	MissingContainment = "missing_containment"
	LateFact           = "late_fact"
)

// Cause is why a finding must be open. There is one for each code and observation.
type Cause struct {
	Code        string
	Observation string // that it is about
	Detail      string // sentences for the person who must act
	Citation    law.Citation
	At          time.Time // it happened
	Stops       bool      // work is to stop
	Over        time.Time // for a breach: mended and found intact; no time: not yet
	Why         *law.Determination
}

// StopsNow reports whether by what was observed the work is still to stop.
func (c Cause) StopsNow() bool { return c.Stops && c.Over.IsZero() }

var (
	citeSigns       = law.Cite("40 CFR 745.85(a)(1); 24 CFR 35.1345(b)", law.Text)
	citeContainment = law.Cite("40 CFR 745.85(a)(2)", law.Text)
	citeOccupants   = law.Cite("40 CFR 745.85(a)(1); 24 CFR 35.1345(a)", law.Text)
)

// causes gives all that was found, in an order that does not depend on when it was told.
func (w *walk) causes() []Cause {
	causes := append([]Cause{}, w.found...)
	for _, b := range w.breaches {
		if w.site.Asked != AskedNothing {
			causes = append(causes, w.breached(*b))
		}
	}
	slices.SortFunc(causes, func(a, b Cause) int {
		return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.Observation, b.Observation), cmp.Compare(a.Code, b.Code))
	})
	return causes
}

// when says an instant by the property's clock.
func (w *walk) when(t time.Time) string { return t.In(w.site.Zone).Format("2006-01-02 15:04 MST") }

func (w *walk) missingSign(o Observation) Cause {
	return Cause{Code: MissingSign, Observation: o.ID, At: o.At, Citation: citeSigns,
		Detail: "Work" + o.Spot.in() + " was done at " + w.when(o.At) + ", and no warning sign was told to be up. Signs that mark the work area go up before the work begins, and stay until the cleaning is verified or cleared."}
}

func (w *walk) missingContainment(o Observation) Cause {
	return Cause{Code: MissingContainment, Observation: o.ID, At: o.At, Citation: citeContainment,
		Detail: "Work" + o.Spot.in() + " was done at " + w.when(o.At) + ", and no containment was told to have been built there. The work area is sealed off before the work begins."}
}

func (w *walk) breached(b breach) Cause {
	c := Cause{Code: ContainmentBreach, Observation: b.by.ID, At: b.by.At, Citation: citeContainment, Stops: true, Over: b.intact}
	c.Detail = "The containment" + b.by.Spot.in() + " was breached at " + w.when(b.by.At) + "."
	if b.by.Kind == ContainmentChecked {
		c.Detail = "The containment" + b.by.Spot.in() + " was checked at " + w.when(b.by.At) + " and was not intact."
	}
	if !b.mended.IsZero() {
		c.Detail += " It was mended at " + w.when(b.mended) + "."
	}
	switch {
	case !b.intact.IsZero():
		c.Detail += " It was found intact at " + w.when(b.intact) + ", so that work went on."
	case b.by.Spot.whole():
		c.Detail += " Work stops until it is mended and then checked and found intact. The breach was told without a place, so these must be told without one too."
	default:
		c.Detail += " Work stops until it is mended and then checked and found intact."
	}
	return c
}

// enter looks at somebody in the work area. Of a visitor it may be told that they stayed out of it.
func (w *walk) enter(o Observation) {
	if w.site.Asked != AskedAll || o.Kind == Visitor && o.InArea == law.No {
		return
	}
	who, sure := "Somebody who lives or stays there", " was in the work area"
	if o.Kind == Visitor {
		who = "A visitor"
	}
	if o.WithChild == law.Yes {
		who += ", with a child,"
	}
	if o.Kind == Visitor && o.InArea == law.Unknown {
		sure = " came, and it is not told that they stayed out of the work area, which counts as having been in it"
	}
	w.found = append(w.found, Cause{Code: OccupantEntry, Observation: o.ID, At: o.At, Citation: citeOccupants,
		Detail: who + sure + o.Spot.in() + " at " + w.when(o.At) + ". Only those who do the work are let in until it is cleaned and verified or cleared."})
}

// useMethod judges a method as it was used.
func (w *walk) useMethod(o Observation) {
	if w.site.Asked == AskedNothing {
		return
	}
	f := o.Used
	f.AsOf, f.Abatement, f.Assisted, f.Exterior = calendar.LocalDate(o.At, w.site.Zone), w.site.Abatement, w.site.Assisted, o.Spot.Side != ""
	if stance, ok := w.site.Practices.Stance(f); !ok || stance != practice.Prohibited {
		return // before the rules there is nothing to break
	}
	a, err := w.site.Practices.Judge(f)
	if err != nil {
		return
	}
	c := Cause{Code: ProhibitedPractice, Observation: o.ID, At: o.At, Stops: true, Why: &a.Determining}
	if guarded, ok := w.site.Practices.Stance(withGuards(f)); ok && guarded != practice.Prohibited {
		c.Code = UnguardedPractice
	}
	c.Detail = "The method " + strings.ReplaceAll(string(f.Method), "_", " ")
	if o.Component != "" {
		c.Detail += " was used on the " + o.Component
	} else {
		c.Detail += " was used"
	}
	c.Detail += o.Spot.in() + " at " + w.when(o.At) + "."
	for _, s := range a.Stances {
		if s.Applies != law.No.String() && s.Stance == practice.Prohibited.String() {
			if c.Citation.Clause == "" {
				c.Citation = s.Citation
			}
			if !strings.Contains(c.Detail, s.Why) {
				c.Detail += " " + s.Why
			}
		}
	}
	if w.site.Assisted == law.Unknown && c.Citation.Clause != "" && !epaProhibits(a) {
		c.Detail += " It is not told whether the home is assisted, so the housing rule is taken to apply."
	}
	c.Detail += " Work stops until what it left is cleaned up and the work area re-checked."
	w.found = append(w.found, c)
}

// epaProhibits reports whether a rule other than the housing rule prohibits the method.
func epaProhibits(a practice.Answer) bool {
	return slices.ContainsFunc(a.Stances, func(s practice.Judged) bool {
		return s.Rule != "housing_prohibited_methods" && s.Applies != law.No.String() && s.Stance == practice.Prohibited.String()
	})
}

// withGuards puts every guard in place that the method's own name does not rule out, to see whether that would have made it
// lawful.
func withGuards(f practice.Facts) practice.Facts {
	small := func(u measure.Unit) measure.Quantity { return measure.Of(measure.Int(0), u) }
	f.Charring, f.Shroud, f.HEPA, f.DustOutside, f.Ventilated, f.Volatile = law.No, law.Yes, law.Yes, law.No, law.Yes, law.No
	f.Temperature, f.OutletDistance, f.SpotArea = small(measure.Fahrenheit), small(measure.Foot), small(measure.SquareFoot)
	if f.Check() != nil { // the name says that there is no shroud, or no HEPA vacuum
		f.Shroud, f.HEPA = law.Unknown, law.Unknown
	}
	return f
}

// MadeMove is a move of a job as it was made.
type MadeMove struct {
	From, To State
	On       calendar.Date // local date
	Recorded time.Time
}

// Late are the moves that a cause would have stood in the way of and was not known for: those made after it happened and
// before the book knew of it.
func (c Cause) Late(moves []MadeMove, known time.Time, zone *time.Location) []MadeMove {
	var late []MadeMove
	for _, m := range moves {
		stood := m.To == Closed || c.Stops && m.stoppable() && (c.Over.IsZero() || !m.after(c.Over, zone))
		if stood && m.after(c.At, zone) && known.After(m.Recorded) {
			late = append(late, m)
		}
	}
	return late
}

// stoppable reports whether a stop of work stands in the way of the move.
func (m MadeMove) stoppable() bool { return stoppable(m.From, m.To) }

// stoppable are the moves towards the end of a job, from ready on; closing has its own reason for every open finding.
func stoppable(from, to State) bool {
	return to == UnderWay || to == Checking || to == Cleaning && from == UnderWay
}

// after reports whether the move was made after an instant. On the same local date the time at which the move was recorded
// decides, if that was on the day itself; otherwise it is not known and counts as after. What is seen of the work on the day
// it begins counts as after the beginning, whenever that was recorded.
func (m MadeMove) after(t time.Time, zone *time.Location) bool {
	day := calendar.LocalDate(t, zone)
	if day != m.On {
		return day.Before(m.On)
	}
	return m.To != UnderWay && (calendar.LocalDate(m.Recorded, zone) != m.On || !m.Recorded.Before(t))
}

// LateDetail says what a late cause would have stood in the way of.
func (c Cause) LateDetail(late []MadeMove) string {
	var words []string
	for _, m := range late {
		words = append(words, strings.ReplaceAll(string(m.To), "_", " ")+" on "+m.On.String())
	}
	return "The job moved to " + strings.Join(words, ", and to ") + ". What follows happened before that, was told only after it, and would have stood in the way. " + c.Detail
}
