package renovation

import (
	"slices"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/practice"
)

// asked is what the question of applicability turns on.
type asked struct {
	work   Work
	others []Other
}

// Otherwise adds what could be found out, or done, that would make a piece of work something else: the counterfactuals of the
// question whether the rule applies.
func (r Rules) Otherwise(d *law.Determination, w Work, others []Other) {
	facts := asked{w, others}
	law.Otherwise(d, facts, r.alternatives(facts), func(f asked) string {
		a, err := r.Apply(f.work, f.others)
		if err != nil {
			return ""
		}
		return a.Outcome.String()
	})
}

// alternatives are the facts of a piece of work that are not known, with what would help, and what people can do differently.
// What is known and cannot be changed is left alone.
func (r Rules) alternatives(f asked) []law.Alternative[asked] {
	w := f.work
	list := []law.Alternative[asked]{}
	find := func(fact, value string, unknown bool, set func(*Work)) {
		if unknown {
			list = append(list, law.Alternative[asked]{Fact: fact, Value: value, Set: func(a *asked) { set(&a.work) }})
		}
	}
	do := func(fact, value string, can bool, set func(*Work)) {
		if can {
			list = append(list, law.Alternative[asked]{Fact: fact, Value: value, Action: true, Set: func(a *asked) { set(&a.work) }})
		}
	}
	find("home_covered", "no", w.HomeCovered == law.Unknown, func(w *Work) { w.HomeCovered = law.No })
	find("lead_free", "yes", w.LeadFree == law.Unknown, func(w *Work) { w.LeadFree = law.Yes })
	find("paint_disturbed", "no", w.PaintDisturbed == law.Unknown && !w.AreaKnown, func(w *Work) { w.PaintDisturbed = law.No })
	find("done_by", OwnerOccupant.String(), w.DoneBy == DoerUnknown && w.Rented != law.Yes, func(w *Work) { w.DoneBy = OwnerOccupant })
	find("rented", "yes", w.DoneBy == OwnerOccupant && w.Rented == law.Unknown, func(w *Work) { w.Rented = law.Yes })
	unknownMethod := w.Method == practice.Unknown || w.Method == ""
	find("method", string(practice.WetScraping), unknownMethod, func(w *Work) { w.Method = practice.WetScraping })
	do("method", string(practice.CutOrRemovedWhole), w.demolishes(), func(w *Work) { w.Method, w.Demolished = practice.CutOrRemovedWhole, false })
	do("method", string(practice.WetScraping), !unknownMethod && !w.demolishes() && practice.RuleOf(w.Method).NeverMinor(), func(w *Work) { w.Method = practice.WetScraping })
	do("window_replaced", "no", w.replacesWindow(), keepWindow)
	if left, some := r.left(f); some {
		set := func(w *Work) { w.Area, w.AreaKnown = left, true }
		find("area", left.String()+" ft2 or less", !w.AreaKnown, set)
		do("area", left.String()+" ft2 or less", w.AreaKnown && w.Area.Cmp(left) > 0, set)
	}
	if day := r.freeDay(f); !day.IsZero() {
		do("on", day.String(), true, func(w *Work) { w.On = day })
	}
	if unknown := unknownAreas(f.others); unknown > 0 {
		list = append(list, law.Alternative[asked]{Fact: "other_jobs", Value: "areas that leave enough", Set: func(a *asked) { a.others = told(a.others) }})
	}
	return list
}

// keepWindow mends a window instead of replacing it.
func keepWindow(w *Work) {
	w.WindowReplaced = false
	if w.Component == home.Window && w.Method == practice.Replaced {
		w.Method = practice.WetScraping
	}
}

// left is how much the work itself could disturb and still be minor beside the other jobs; some is false where it is nothing.
func (r Rules) left(f asked) (left measure.Number, some bool) {
	limit, days, err := r.minor(f.work.Exterior, f.work.On)
	if err != nil {
		return left, false
	}
	others := f.others
	if f.work.Emergency {
		others = nil
	}
	left = limit.Number().Sub(running(f.work.On, measure.Number{}, others, days).total)
	return left, left.Sign() > 0
}

// freeDay is the first later date on which the other jobs leave the work minor, if what stands in its way now is only those.
func (r Rules) freeDay(f asked) calendar.Date {
	limit, days, err := r.minor(f.work.Exterior, f.work.On)
	if err != nil || f.work.Emergency || len(f.others) == 0 {
		return 0
	}
	stands := func(on calendar.Date) bool {
		run := running(on, f.work.Area, f.others, days)
		return run.neverMinor || run.unknown || f.work.AreaKnown && run.total.Cmp(limit.Number()) > 0
	}
	if !stands(f.work.On) {
		return 0
	}
	ends := make([]calendar.Date, 0, len(f.others))
	for _, o := range f.others {
		if day := o.On.AddDays(days); day.After(f.work.On) {
			ends = append(ends, day) // less is near only where a job falls out of every run that holds the day
		}
	}
	slices.Sort(ends)
	for _, day := range slices.Compact(ends) {
		if !stands(day) {
			return day
		}
	}
	return 0
}

func unknownAreas(others []Other) (n int) {
	for _, o := range others {
		if !o.Known && !o.Emergency {
			n++
		}
	}
	return n
}

// told is a copy of the jobs in which every area that was not known is none.
func told(others []Other) []Other {
	list := append([]Other(nil), others...)
	for i := range list {
		list[i].Known = true
	}
	return list
}
