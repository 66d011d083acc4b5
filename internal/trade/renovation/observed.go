package renovation

import (
	"cmp"
	"slices"
	"time"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/practice"
)

// Asked is how much of the work practices the rules ask of a job.
type Asked uint8

// The steps.
const (
	AskedAll     Asked = iota // a covered renovation, an assisted home, or a job of which it is not known what it is
	AskedLittle               // by its plan minor or without paint disturbed: nothing that would make it more, and nothing gets out
	AskedNothing              // the rules do not reach it
)

// AskedOf is how much is asked of a job with an outcome; known is false where it has no work to tell by. hud says that the
// home is assisted and the work above the de minimis.
func AskedOf(o Outcome, known, hud bool) Asked {
	switch {
	case !known || hud || o == CoveredRenovation || o == Abatement:
		return AskedAll
	case o == Minor || o == NoPaintDisturbed:
		return AskedLittle
	}
	return AskedNothing
}

// WorkSite is what the observations of a job are judged by beside themselves.
type WorkSite struct {
	Zone      *time.Location // of the property, in which days are counted
	Asked     Asked
	Abatement law.Tri
	Assisted  law.Tri // not known counts as assisted
	Practices practice.Rules
}

// Observed is what the observations of a job come to. It follows from the set of them alone: in which order they were told,
// in how many parts, and how often, makes no difference.
type Observed struct {
	Causes []Cause `json:"-"` // of findings, by what they are about and code

	SignsUp        law.Tri       `json:"-"` // not known where none was ever told
	OccupantsOut   law.Tri       `json:"-"`
	VentilationOff law.Tri       `json:"-"`
	Containments   []Containment `json:"containments"`
	Days           []WorkDay     `json:"days"`
	Present        []Moment      `json:"renovator_present"`
}

// Containment is how the containment of a spot stands.
type Containment struct {
	Spot
	State ContainmentState `json:"state"`
	Since time.Time        `json:"since"`
}

// ContainmentState is how a containment stands.
type ContainmentState string

// The states. A breach is over when the containment was mended and then found intact.
const (
	Built    ContainmentState = "built"
	Breached ContainmentState = "breached"
	Mended   ContainmentState = "mended"
	Intact   ContainmentState = "intact"
)

// WorkDay is a local date on which paint was disturbed.
type WorkDay struct {
	On          calendar.Date `json:"on"`
	Cleaned     bool          `json:"cleaned"`      // after the last work of the day (40 CFR 745.85(a)(5); daily: 24 CFR 35.1345(a)(2)(iv), common practice elsewhere)
	WasteStored bool          `json:"waste_stored"` // after the last work of the day (40 CFR 745.85(a)(4)(ii))
	lastWork    time.Time
}

// Observe says what a set of observations comes to.
func Observe(site WorkSite, set []Observation) Observed {
	w := &walk{site: site, signs: map[Spot]bool{}, days: map[calendar.Date]*WorkDay{}, bare: map[Spot]bool{}}
	order := inOrderOfTime(set)
	w.widen(order)
	for _, o := range order {
		w.see(o)
	}
	w.closeDays(order)
	w.out.Causes = w.causes()
	w.out.Containments = slices.SortedFunc(slices.Values(w.containments), func(a, b Containment) int {
		return cmp.Or(cmp.Compare(a.Room, b.Room), cmp.Compare(a.Side, b.Side))
	})
	if w.out.Containments == nil {
		w.out.Containments = []Containment{}
	}
	if w.out.Present == nil {
		w.out.Present = []Moment{}
	}
	slices.Sort(w.out.Present)
	return w.out
}

// walk goes through a job's observations in the order in which they happened.
type walk struct {
	site WorkSite
	out  Observed

	signs        map[Spot]bool // that are up, by where they were told
	unsigned     bool          // work goes on without a sign, and that was said
	containments []Containment
	bare         map[Spot]bool // where work goes on without containment, and that was said
	breaches     []*breach
	found        []Cause
	days         map[calendar.Date]*WorkDay
}

// breach is a breach of containment and what was done about it.
type breach struct {
	by             Observation
	mended, intact time.Time
}

func (b breach) open() bool { return b.intact.IsZero() }

// widen asks everything of a job that was taken for minor, where a method was used that a minor repair never has.
func (w *walk) widen(order []Observation) {
	for _, o := range order {
		if w.site.Asked == AskedLittle && o.Kind == MethodUsed && (practice.RuleOf(o.Used.Method).NeverMinor() || o.Used.WithHeatGun) {
			w.site.Asked = AskedAll
		}
	}
}

func (w *walk) see(o Observation) {
	switch o.Kind {
	case SignPosted:
		w.signs[Spot{Room: o.Spot.Room, Side: o.Spot.Side}] = true
		w.unsigned, w.out.SignsUp = false, law.Yes
	case SignRemoved:
		w.takeDown(o.Spot)
	case ContainmentBuilt, ContainmentMended, ContainmentChecked, ContainmentBreached:
		w.contain(o)
	case MethodUsed:
		w.work(o)
	case OccupantMovedOut:
		w.out.OccupantsOut = law.Yes
	case OccupantBack:
		w.out.OccupantsOut = law.No
	case OccupantInWorkArea, Visitor:
		w.enter(o)
	case VentilationOff:
		w.out.VentilationOff = law.Yes
	case VentilationOn:
		w.out.VentilationOff = law.No
	case RenovatorPresent:
		if !slices.Contains(w.out.Present, o.Moment) {
			w.out.Present = append(w.out.Present, o.Moment)
		}
	}
}

// takeDown takes down the signs of a spot; told without one, all of them.
func (w *walk) takeDown(s Spot) {
	for at := range w.signs {
		if s.covers(at) {
			delete(w.signs, at)
		}
	}
	if len(w.signs) == 0 {
		w.out.SignsUp = law.No
	}
}

// contain follows the containment of a spot.
func (w *walk) contain(o Observation) {
	switch o.Kind {
	case ContainmentBuilt:
		for at := range w.bare {
			if o.Spot.covers(at) {
				delete(w.bare, at)
			}
		}
		w.mend(o)
		w.stands(o, Built)
	case ContainmentMended:
		w.mend(o)
		w.stands(o, Mended)
	case ContainmentBreached:
		w.breaches = append(w.breaches, &breach{by: o})
		w.stands(o, Breached)
	case ContainmentChecked:
		w.check(o)
	}
}

func (w *walk) mend(o Observation) {
	for _, b := range w.breaches {
		if b.open() && o.Spot.covers(b.by.Spot) {
			b.mended = o.At
		}
	}
}

// check ends the breaches that were mended, where the containment is intact. Where it is not, the breaches that are open go
// on, mended in vain; and unless one of them is of the very spot that was checked, this is one more.
func (w *walk) check(o Observation) {
	goesOn := false
	for _, b := range w.breaches {
		if !b.open() || !o.Spot.covers(b.by.Spot) {
			continue
		}
		if o.Intact == law.No {
			b.mended, goesOn = time.Time{}, goesOn || b.by.Spot.is(o.Spot)
		}
		if o.Intact == law.Yes && !b.mended.IsZero() {
			b.intact = o.At
		}
	}
	if o.Intact == law.No {
		if !goesOn {
			w.breaches = append(w.breaches, &breach{by: o})
		}
		w.stands(o, Breached)
	}
	if o.Intact == law.Yes {
		w.stands(o, Intact)
	}
}

// stands notes how the containment stands now: of the spot itself, and of those that it covers. What was told of the whole
// job mends only what was breached, leaves what has a breach that goes on as it is, and breaches nothing else.
func (w *walk) stands(o Observation, state ContainmentState) {
	told := false
	for i, c := range w.containments {
		own := c.Spot.is(o.Spot)
		told = told || own
		switch {
		case !o.Spot.covers(c.Spot),
			state == Breached && !own,
			state == Mended && !own && c.State != Breached,
			state == Intact && w.broken(c.Spot):
		default:
			w.containments[i].State, w.containments[i].Since = state, o.At.UTC()
		}
	}
	if !told && !(state == Intact && w.broken(o.Spot)) {
		w.containments = append(w.containments, Containment{Spot: o.Spot, State: state, Since: o.At.UTC()})
	}
}

// broken reports whether a breach at a spot goes on.
func (w *walk) broken(s Spot) bool {
	return slices.ContainsFunc(w.breaches, func(b *breach) bool { return b.open() && b.by.Spot.is(s) })
}

// contained reports whether something was built around work at a spot. Work told without a spot is taken to be where the
// containment is.
func (w *walk) contained(s Spot) bool {
	return slices.ContainsFunc(w.containments, func(c Containment) bool { return s.whole() || c.Spot.covers(s) })
}

// work looks at a method that was used: whether it may be, and whether the work area was made ready for it.
func (w *walk) work(o Observation) {
	w.useMethod(o)
	if o.Used.Method == practice.PaintedOnly {
		return
	}
	on := calendar.LocalDate(o.At, w.site.Zone)
	if w.days[on] == nil {
		w.days[on] = &WorkDay{On: on}
	}
	w.days[on].lastWork = o.At
	if w.site.Asked != AskedAll {
		return
	}
	if len(w.signs) == 0 && !w.unsigned {
		w.unsigned = true
		w.found = append(w.found, w.missingSign(o))
	}
	at := Spot{Room: o.Spot.Room, Side: o.Spot.Side}
	if !w.contained(o.Spot) && !w.bare[at] {
		w.bare[at] = true
		w.found = append(w.found, w.missingContainment(o))
	}
}

// closeDays says of each day of work whether it was cleaned up and its waste stored after the last work.
func (w *walk) closeDays(order []Observation) {
	w.out.Days = []WorkDay{}
	for _, d := range w.days {
		for _, o := range order {
			after := calendar.LocalDate(o.At, w.site.Zone) == d.On && !o.At.Before(d.lastWork)
			d.Cleaned = d.Cleaned || after && o.Kind == DayCleaned
			d.WasteStored = d.WasteStored || after && o.Kind == WasteStored
		}
		w.out.Days = append(w.out.Days, *d)
	}
	slices.SortFunc(w.out.Days, func(a, b WorkDay) int { return cmp.Compare(a.On, b.On) })
}
