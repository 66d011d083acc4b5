package home

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"sillbook/internal/trade/law"
)

// pointer is a JSON pointer to an item of a list.
func pointer(list string, i int, rest string) string { return list + "/" + strconv.Itoa(i) + rest }

func (r VisitRules) explain(f VisitFacts, m measures, a Facility) law.Determination {
	d := law.NewDetermination("facility_visits", f.AsOf, r.book.RuleSet())
	d.Outcome = string(a.Outcome)
	m.explainYear(&d, f)
	for _, v := range a.Visitors {
		m.explainVisitor(&d, v)
	}
	if ages := f.untold(a); len(ages) > 0 {
		d.Miss("under_six", fmt.Sprintf("Only the visits of a child under six count, and of %s it is not known.", some(ages)), "Visitors who are not under six would be left out.")
	}
	if len(f.Visits) > 0 {
		d.Because("facility_log_reading", "visits", strconv.Itoa(len(f.Visits))+" visits", m.cite, fmt.Sprintf(
			"The visits of one day are added, and those of any %d months in a row that hold %s: the definition does not say which year, and this protects most. All of its conditions must hold together.", m.months, f.AsOf))
	}
	d.Use("visits", strconv.Itoa(len(f.Visits)))
	if f.LogComplete != law.Unknown {
		d.Use("log_complete", f.LogComplete.String())
	}
	if a.Outcome != IsFacility && f.LogComplete != law.Yes && !f.recordedAfter(m) {
		d.Because("facility_log_open", "log_complete", f.LogComplete.String(), protectiveVisits, "It is not known that the log holds every visit of those months, so more are presumed.")
		d.Miss("log_complete", "Visits that are not in the log could make the place a child-occupied facility.", "A log that is known to hold every visit would make it one only where the visits in it do.")
	}
	return d
}

var protectiveVisits = law.Citation{Clause: facilityRule.Clause, Source: law.Derived, Note: "A fact that is not known gets the protective answer."}

func (f VisitFacts) recordedAfter(m measures) bool {
	return f.Certainty == Recorded && f.BuildYear >= m.year.Int()
}

func (m measures) explainYear(d *law.Determination, f VisitFacts) {
	first := m.year.Int()
	told := CoverageFacts{BuildYear: f.BuildYear, Certainty: f.Certainty}.value("build_year")
	switch {
	case f.recordedAfter(m):
		d.Because("facility_built_after", "build_year", told, facilityRule, fmt.Sprintf("It was built in or after %d; the definition covers what was built before that year.", first))
	case f.builtBefore(first):
		d.Because("facility_built_before", "build_year", told, facilityRule, fmt.Sprintf("It was built before %d.", first))
	default:
		d.Because("facility_year_presumed", "build_year", told, protectiveVisits, fmt.Sprintf("No build year on record takes it out, so it is presumed to have been built before %d.", first))
		d.Miss("build_year", "Only a recorded build year takes a place out.", fmt.Sprintf("A recorded build year of %d or later would make it no child-occupied facility.", first))
		return
	}
	d.Use("build_year", told)
}

func (m measures) explainVisitor(d *law.Determination, v Visiting) {
	who, fact := "Visitor "+v.Visitor, "visits of "+v.Visitor
	if v.Visitor == "" {
		who, fact = "Whoever the log does not name", "visits of which it is not told who came"
	}
	found := fmt.Sprintf("%s h in the week of %s, %s h from %s to %s", v.InWeek.Value, v.Week, v.InYear.Value, v.From, v.To)
	if v.Week.IsZero() {
		found = fmt.Sprintf("no visit from %s to %s", v.From, v.To)
	}
	needs := fmt.Sprintf("%d different days of one week from Sunday to Saturday, %s h each and %s h together, and %s h in the year", m.days, m.visit, m.week, m.long)
	switch {
	case v.UnderSix == law.No.String():
		d.Because("visitor_not_under_six", fact, found, facilityRule, who+" is not under six and does not count.")
	case v.meets == law.Yes:
		d.Because("facility_visits", fact, found, facilityRule, fmt.Sprintf("%s came on %d such days of the week of %s and %s h in the year; the definition asks for %s.", who, v.Days, v.Week, v.InYear.Value, needs))
	case v.meets == law.Unknown && m.short(v):
		d.Because("facility_visits_unnamed", fact, found, protectiveVisits, fmt.Sprintf("With the visits of which it is not told who came, %s could have come as often as the definition asks: %s.", lower(who), needs))
		d.Miss("visitor", "Visits of which it is not told who came count for every child.", "Knowing whose they are could make the place no child-occupied facility.")
	case v.meets == law.Unknown:
		d.Because("facility_visits", fact, found, protectiveVisits, fmt.Sprintf("%s came as often as the definition asks (%s), and counts as under six as long as that is not known.", who, needs))
	default:
		d.Because("facility_visits_short", fact, found, facilityRule, fmt.Sprintf("%s is short of the definition by %s; it asks for %s.", who, v.Short.words(), needs))
	}
}

// words say what a log is short of.
func (s VisitShort) words() string {
	var parts []string
	if s.Days > 0 {
		parts = append(parts, fmt.Sprintf("%d days of the week", s.Days))
	}
	if s.WeekHours.Value != "0" {
		parts = append(parts, s.WeekHours.Value+" h in the week")
	}
	if s.YearHours.Value != "0" {
		parts = append(parts, s.YearHours.Value+" h in the year")
	}
	return strings.Join(parts, ", ")
}

// short reports whether a visitor's own log falls short.
func (m measures) short(v Visiting) bool {
	return v.Visitor == "" || v.Short.Days > 0 || v.Short.WeekHours.Value != "0" || v.Short.YearHours.Value != "0"
}

func lower(sentence string) string {
	if len(sentence) > 0 && sentence[0] >= 'A' && sentence[0] <= 'Z' {
		return string(sentence[0]+'a'-'A') + sentence[1:]
	}
	return sentence
}

// alternatives are the facts of a log that are not known, with what would take the place out. A child's staying away is none.
func (m measures) alternatives(f VisitFacts, a Facility) []law.Alternative[VisitFacts] {
	list := []law.Alternative[VisitFacts]{}
	if f.Certainty != Recorded {
		year := m.year.Int()
		list = append(list, law.Alternative[VisitFacts]{Fact: "build_year", Value: fmt.Sprintf("%d or later, recorded", year), Set: func(f *VisitFacts) { f.BuildYear, f.Certainty = year, Recorded }})
	}
	if f.LogComplete != law.Yes {
		list = append(list, law.Alternative[VisitFacts]{Fact: "log_complete", Value: "yes", Set: func(f *VisitFacts) { f.LogComplete = law.Yes }})
	}
	if slices.ContainsFunc(f.Visits, func(v Visit) bool { return v.Visitor == "" }) {
		list = append(list, law.Alternative[VisitFacts]{Fact: "visitor", Value: "nobody under six", Set: func(f *VisitFacts) {
			f.Visits = slices.DeleteFunc(slices.Clone(f.Visits), func(v Visit) bool { return v.Visitor == "" })
		}})
	}
	ages := f.untold(a)
	if len(ages) > 3 {
		ages = nil // all of them would have to be otherwise, and a set names at most three things
	}
	for _, label := range ages {
		list = append(list, law.Alternative[VisitFacts]{Fact: "under_six of " + label, Value: "no", Set: func(f *VisitFacts) { f.Visitors = f.without(label) }})
	}
	return list
}

// untold are the visitors who might make the place a facility and of whom it is not known whether they are under six.
func (f VisitFacts) untold(a Facility) (labels []string) {
	for _, v := range a.Visitors {
		if v.meets == law.Unknown && v.Visitor != "" && v.UnderSix == law.Unknown.String() {
			labels = append(labels, v.Visitor)
		}
	}
	return labels
}

// some names the first few of a list.
func some(names []string) string {
	short := []string{}
	for _, name := range names[:min(len(names), 5)] {
		short = append(short, clip(name, 50))
	}
	list := strings.Join(short, ", ")
	if len(names) > len(short) {
		list += fmt.Sprintf(" and %d more", len(names)-len(short))
	}
	return list
}

// without is a copy of the visitors in which one is not under six.
func (f VisitFacts) without(label string) []Visitor {
	visitors := slices.DeleteFunc(slices.Clone(f.Visitors), func(v Visitor) bool { return v.Label == label })
	return append(visitors, Visitor{Label: label, UnderSix: law.No})
}
