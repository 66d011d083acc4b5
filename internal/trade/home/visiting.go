package home

import (
	"maps"
	"slices"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// visiting reads one visitor's log. Visits of which it is not told who came could be any child's.
func (m measures) visiting(f VisitFacts, label string) Visiting {
	who := f.visitor(label)
	best, meets := m.best(f, who, false)
	v := Visiting{Visitor: label, UnderSix: who.UnderSix.String(), meets: law.No}
	switch {
	case who.UnderSix == law.No:
	case meets && (who.UnderSix == law.Yes || !who.Through.IsZero()):
		v.meets = law.Yes
	case meets:
		v.meets = law.Unknown
	default:
		if _, might := m.best(f, who, true); might {
			v.meets = law.Unknown
		}
	}
	v.Meets = v.meets.String()
	hours := measure.Hour.Shown
	v.From, v.To, v.InYear = best.from, best.to, hours(best.total)
	v.Week, v.Days, v.InWeek = best.week, best.days, hours(best.inWeek)
	v.Short = VisitShort{Days: max(m.days-best.days, 0), WeekHours: hours(m.week.Sub(best.inWeek).Max(measure.Number{})), YearHours: hours(m.long.Sub(best.total).Max(measure.Number{}))}
	return v
}

// span is twelve months of a log, with the best week in them.
type span struct {
	from, to calendar.Date
	total    measure.Number // hours
	week     calendar.Date  // the Sunday of the best week
	days     int            // days of it that are long enough
	inWeek   measure.Number // hours
}

// best is the year that holds the day asked about and comes nearest to the definition, and whether it meets it. others also
// counts the visits of which it is not told who came.
func (m measures) best(f VisitFacts, who Visitor, others bool) (best span, meets bool) {
	days := map[calendar.Date]measure.Number{}
	for _, v := range f.Visits {
		if v.Visitor == who.Label || others && v.Visitor == "" {
			if who.Through.IsZero() || !v.On.After(who.Through) {
				days[v.On] = days[v.On].Add(v.Hours)
			}
		}
	}
	dates := slices.Sorted(maps.Keys(days))
	for i, from := range m.starts(f.AsOf, dates) {
		s := m.span(days, dates, from)
		full := m.metBy(s)
		if i == 0 || full && !meets || full == meets && s.total.Cmp(best.total) > 0 {
			best, meets = s, full
		}
	}
	return best, meets
}

// starts are the first days of the years to look at: one that holds the day starts with a visit, or as early or late as it can.
func (m measures) starts(on calendar.Date, dates []calendar.Date) []calendar.Date {
	earliest := on.AddMonths(-m.months).AddDays(1)
	for m.end(earliest).Before(on) { // twelve months from 29 February end a day early
		earliest = earliest.AddDays(1)
	}
	list := []calendar.Date{earliest, on}
	for _, d := range dates {
		if d.After(earliest) && d.Before(on) {
			list = append(list, d)
		}
	}
	return list
}

func (m measures) end(from calendar.Date) calendar.Date { return from.AddMonths(m.months).AddDays(-1) }

func (m measures) span(days map[calendar.Date]measure.Number, dates []calendar.Date, from calendar.Date) span {
	s := span{from: from, to: m.end(from)}
	week := span{}
	for _, d := range dates {
		if d.Before(s.from) || d.After(s.to) {
			continue
		}
		s.total = s.total.Add(days[d])
		if start := d.WeekStart(); start != week.week {
			week = span{week: start}
		}
		week.inWeek = week.inWeek.Add(days[d])
		if days[d].Cmp(m.visit) >= 0 {
			week.days++
		}
		if m.better(week, s) {
			s.week, s.days, s.inWeek = week.week, week.days, week.inWeek
		}
	}
	return s
}

// better reports whether a week comes nearer to the definition than the one of a year so far.
func (m measures) better(week, so span) bool {
	if a, b := min(week.days, m.days), min(so.days, m.days); a != b {
		return a > b
	}
	return week.inWeek.Cmp(so.inWeek) > 0
}

func (m measures) metBy(s span) bool {
	return s.days >= m.days && s.inWeek.Cmp(m.week) >= 0 && s.total.Cmp(m.long) >= 0
}
