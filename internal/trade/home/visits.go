package home

import (
	"cmp"
	"slices"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Visit is one visit in a facility's log. The visitor is the caller's own label for one person, never a name; it is empty where
// the log does not say who came.
type Visit struct {
	Visitor string
	On      calendar.Date
	Hours   measure.Number
}

// Visitor is what is known of a label.
type Visitor struct {
	Label    string
	UnderSix law.Tri       // not known counts as yes
	Through  calendar.Date // the last date on which the visitor counts as under six; no date where that is not told
}

// VisitFacts are what it turns on whether a place is a child-occupied facility. Visits after AsOf are planned ones and count
// as if they took place.
type VisitFacts struct {
	AsOf        calendar.Date
	BuildYear   int // 0 when not known
	Certainty   Certainty
	Visits      []Visit
	Visitors    []Visitor
	LogComplete law.Tri // the log holds every visit of the months that are read
}

// FacilityOutcome is the answer to whether a place is a child-occupied facility.
type FacilityOutcome string

// The outcomes. Presumed means yes, unless a fact that is not known says otherwise.
const (
	IsFacility       FacilityOutcome = "child_occupied_facility"
	PresumedFacility FacilityOutcome = "presumed_child_occupied_facility"
	NoFacility       FacilityOutcome = "not_child_occupied_facility"
)

// Facility is the answer, with each visitor's share in it.
type Facility struct {
	Outcome  FacilityOutcome   `json:"outcome"`
	Visitors []Visiting        `json:"visitors"`
	Why      law.Determination `json:"determination"`
}

// Visiting is how one visitor's log stands to the definition: the best week and the best year of it, and what they are short of.
type Visiting struct {
	Visitor  string        `json:"visitor,omitempty"` // empty for the visits of which it is not told who came
	UnderSix string        `json:"under_six"`
	Meets    string        `json:"meets"` // yes, no or unknown
	Week     calendar.Date `json:"week_from,omitzero"`
	Days     int           `json:"days_in_week"`
	InWeek   measure.Shown `json:"hours_in_week"`
	From     calendar.Date `json:"year_from"`
	To       calendar.Date `json:"year_to"`
	InYear   measure.Shown `json:"hours_in_year"`
	Short    VisitShort    `json:"short_of"`

	meets law.Tri
}

// VisitShort is what a log would still need; nothing where it meets the definition.
type VisitShort struct {
	Days      int           `json:"days_in_week"`
	WeekHours measure.Shown `json:"hours_in_week"`
	YearHours measure.Shown `json:"hours_in_year"`
}

// VisitRules are the parameters that the definition of a child-occupied facility reads, found once.
type VisitRules struct {
	book                        *law.Book
	scope                       law.Scope
	year                        law.Handle
	days, visit, week, together law.Handle
	months                      law.Handle
}

// NewVisitRules finds the parameters.
func NewVisitRules(book *law.Book) (VisitRules, error) {
	r := VisitRules{book: book}
	return r, book.Handles(map[string]*law.Handle{
		"target_housing_year": &r.year, "facility_visit_days": &r.days, "facility_visit_hours": &r.visit,
		"facility_week_hours": &r.week, "facility_year_hours": &r.together, "facility_year_months": &r.months,
	})
}

// In is the rules as they hold in a property's jurisdictions, beside the federal one.
func (r VisitRules) In(jurisdictions []string) VisitRules {
	r.scope.Jurisdictions = jurisdictions
	return r
}

// measures are the definition's numbers on a date.
type measures struct {
	year              *law.Value
	days              int
	visit, week, long measure.Number // hours: a day's visit, a week's, a year's
	months            int
	cite              law.Citation
}

func (r VisitRules) measures(on calendar.Date) (measures, error) {
	l := r.book.Lookup(on, "/as_of", r.scope)
	m := measures{year: l.Value(r.year), days: l.Value(r.days).Int(), visit: l.Value(r.visit).Number(), week: l.Value(r.week).Number(),
		long: l.Value(r.together).Number(), months: l.Value(r.months).Int(), cite: l.Value(r.months).Cite()}
	return m, l.Err()
}

// Facility decides whether a place is a child-occupied facility (40 CFR 745.83): built early enough, and visited by the same
// child under six on enough different days of one week that starts on a Sunday, long enough each day, in the week and in the
// year, all together. The visits of one day are added, and the year is any twelve months in a row that hold the day asked
// about: the readings that protect most. A fact that is not known gets the protective answer.
func (r VisitRules) Facility(f VisitFacts) (Facility, error) {
	if err := f.check(); err != nil {
		return Facility{}, err
	}
	m, err := r.measures(f.AsOf)
	if err != nil {
		return Facility{}, err
	}
	a := m.facility(f)
	a.Why = r.explain(f, m, a)
	law.Otherwise(&a.Why, f, m.alternatives(f, a), func(f VisitFacts) string { return string(m.facility(f).Outcome) })
	return a, nil
}

// check refuses a log that contradicts itself.
func (f VisitFacts) check() error {
	var faults fault.Faults
	type day struct {
		visitor string
		on      calendar.Date
	}
	hours := map[day]measure.Number{}
	for i, v := range f.Visits {
		d := day{v.Visitor, v.On}
		if v.Visitor == "" {
			continue // several people may be behind visits without a label
		}
		hours[d] = hours[d].Add(v.Hours)
		if hours[d].Cmp(measure.Int(24)) > 0 {
			faults.Add(pointer("/visits", i, "/length/value"), "more_than_a_day", "The visits of %s on %s last %s hours together, and a day has 24; correct the lengths or the dates.", v.Visitor, v.On, hours[d].Show())
		}
	}
	labels := map[string]bool{}
	for i, v := range f.Visitors {
		if labels[v.Label] {
			faults.Add(pointer("/visitors", i, "/visitor"), "told_twice", "The visitor %s is told twice; send one entry for each.", v.Label)
		}
		labels[v.Label] = true
		if v.UnderSix == law.No && !v.Through.IsZero() {
			faults.Add(pointer("/visitors", i, "/under_six_through"), "contradiction", "%s is told not to be under six, and until when; leave one of the two out.", v.Label)
		}
	}
	return faults.Err()
}

// facility works the outcome out.
func (m measures) facility(f VisitFacts) Facility {
	a := Facility{Outcome: NoFacility, Visitors: []Visiting{}}
	if f.Certainty == Recorded && f.BuildYear >= m.year.Int() {
		for _, label := range f.labels() {
			a.Visitors = append(a.Visitors, m.visiting(f, label))
		}
		return a
	}
	for _, label := range f.labels() {
		v := m.visiting(f, label)
		a.Visitors = append(a.Visitors, v)
		switch {
		case v.meets == law.Yes && f.builtBefore(m.year.Int()):
			a.Outcome = IsFacility
		case v.meets != law.No && a.Outcome == NoFacility:
			a.Outcome = PresumedFacility
		}
	}
	if a.Outcome == NoFacility && f.LogComplete != law.Yes {
		a.Outcome = PresumedFacility
	}
	slices.SortStableFunc(a.Visitors, func(v, w Visiting) int { return cmp.Compare(order[v.meets], order[w.meets]) })
	return a
}

// order puts those that meet the definition first.
var order = [...]int{law.Yes: 0, law.Unknown: 1, law.No: 2}

// builtBefore reports whether it is recorded or estimated to have been built before a year. An estimate takes nothing out.
func (f VisitFacts) builtBefore(year int) bool {
	return f.Certainty != YearUnknown && f.BuildYear != 0 && f.BuildYear < year
}

// labels are the visitors, told of or in the log, in the order in which they come.
func (f VisitFacts) labels() []string {
	var labels []string
	for _, v := range f.Visitors {
		labels = append(labels, v.Label)
	}
	for _, v := range f.Visits {
		if !slices.Contains(labels, v.Visitor) {
			labels = append(labels, v.Visitor)
		}
	}
	return labels
}

func (f VisitFacts) visitor(label string) Visitor {
	for _, v := range f.Visitors {
		if v.Label == label {
			return v
		}
	}
	return Visitor{Label: label}
}
