package law

import (
	"slices"

	"sillbook/internal/trade/calendar"
)

// Effect is what a local value does beside federal law, over a stretch of time in which neither changes.
type Effect struct {
	Parameter string
	Value     string // the local one, in the parameter's unit
	From      calendar.Date
	Until     calendar.Date // the first day after the stretch; none: it lasts
	Effect    string        // governs, same or federal_minimum_governs
	Federal   string        // the federal value; empty where there is none
	Citation  Citation      // of the federal value
}

// The effects.
const (
	LocalGoverns   = "governs"
	SameAsFederal  = "same"
	FederalGoverns = "federal_minimum_governs"
)

// Effects lays each value of an overlay beside federal law, in the order of its values and then of time. Values that cannot be
// read are left out. The federal value is the strictest of its programmes' that holds everywhere: EPA's.
func (b *Book) Effects(o Overlay) []Effect {
	var list []Effect
	for _, told := range o.Values {
		v, n, err := b.read(o.Jurisdiction, told)
		if err != nil {
			continue
		}
		until := v.Until
		for _, w := range o.Values { // a later value of the same parameter takes its place
			later := w.Required
			if later.IsZero() {
				later = w.Effective
			}
			if w.Parameter == told.Parameter && later.After(v.Required) && (until.IsZero() || later.Before(until)) {
				until = later
			}
		}
		list = append(list, b.beside(Handle(n+1), v, until)...)
	}
	return list
}

// beside cuts the time in which a local value holds where federal law changes.
func (b *Book) beside(h Handle, v Value, until calendar.Date) []Effect {
	cuts := []calendar.Date{v.Required}
	for _, w := range b.parameters[h-1].Values {
		if w.Jurisdiction == Federal && w.Programme != Local && w.Required.After(v.Required) && (until.IsZero() || w.Required.Before(until)) {
			cuts = append(cuts, w.Required)
		}
	}
	slices.Sort(cuts)
	cuts = slices.Compact(cuts)
	var list []Effect
	for i, from := range cuts {
		e := Effect{Parameter: b.parameters[h-1].Name, Value: v.Value, From: from, Until: until, Effect: LocalGoverns}
		if i+1 < len(cuts) {
			e.Until = cuts[i+1]
		}
		if federal, ok := b.federal(h, from); ok {
			e.Federal, e.Citation = federal.Value, federal.Cite()
			e.Effect = b.compare(h, &v, federal)
		}
		if n := len(list); n > 0 && list[n-1].Effect == e.Effect && list[n-1].Federal == e.Federal {
			list[n-1].Until = e.Until
			continue
		}
		list = append(list, e)
	}
	return list
}

// federal is the federal value that holds for everybody: EPA's where EPA has one, else the strictest of the others.
func (b *Book) federal(h Handle, date calendar.Date) (*Value, bool) {
	if v, ok := b.On(h, date, Required, Scope{Programmes: []string{"epa"}}); ok {
		return v, true
	}
	return b.On(h, date, Required, Scope{})
}

func (b *Book) compare(h Handle, local, federal *Value) string {
	c := local.number.Cmp(federal.number)
	switch {
	case c == 0:
		return SameAsFederal
	case (c < 0) == (b.parameters[h-1].Stricter == "lower"):
		return LocalGoverns
	}
	return FederalGoverns
}

// Weaker are the values of the jurisdictions named that would have to be met on a date and are weaker than the federal one,
// which governs.
func (b *Book) Weaker(h Handle, date calendar.Date, jurisdictions []string) (weaker []*Value, federal *Value) {
	federal, ok := b.federal(h, date)
	if !ok {
		return nil, nil
	}
	for i := range b.lines[h-1] {
		l := &b.lines[h-1][i]
		if l.programme != Local || !contains(jurisdictions, l.jurisdiction) {
			continue
		}
		if v := l.on(date, Required); v != nil && b.compare(h, v, federal) == FederalGoverns {
			weaker = append(weaker, v)
		}
	}
	return weaker, federal
}
