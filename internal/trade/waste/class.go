package waste

import (
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Classes are the parameters of waste classes, found once.
type Classes struct {
	book  *law.Book
	scope law.Scope

	contractor, intermediate, landfill           law.Handle
	leachLimit, leachRatio                       law.Handle
	verySmall, large, acute                      law.Handle
	verySmallCap, smallCap                       law.Handle
	largeDays, smallDays, smallDaysFar, distance law.Handle
	extension                                    law.Handle
}

// NewClasses finds the parameters.
func NewClasses(book *law.Book) (Classes, error) {
	c := Classes{book: book}
	return c, book.Handles(map[string]*law.Handle{
		"household_exclusion_contractor": &c.contractor, "household_waste_intermediate_generator": &c.intermediate,
		"household_lead_waste_cd_landfill": &c.landfill, "tclp_lead_limit": &c.leachLimit, "tclp_liquid_ratio": &c.leachRatio,
		"generator_very_small_mass": &c.verySmall, "generator_large_mass": &c.large, "generator_acute_mass": &c.acute,
		"generator_very_small_cap": &c.verySmallCap, "generator_small_cap": &c.smallCap, "generator_large_days": &c.largeDays,
		"generator_small_days": &c.smallDays, "generator_small_days_far": &c.smallDaysFar, "generator_far_distance": &c.distance,
		"generator_extension_days": &c.extension,
	})
}

// In is the rules as they hold in a place's jurisdictions, beside the federal one.
func (c Classes) In(jurisdictions []string) Classes {
	c.scope.Jurisdictions = jurisdictions
	return c
}

// reading is the rules' numbers on a date.
type reading struct {
	Classes
	on calendar.Date
}

// value is a number of the date; one that is not there yet is zero.
func (r reading) value(h law.Handle) law.Value {
	if v, ok := r.book.On(h, r.on, law.Required, r.scope); ok {
		return *v
	}
	return law.Value{}
}

// quantity is a number of the date in its unit.
func (r reading) quantity(h law.Handle) measure.Quantity {
	v := r.value(h)
	return r.book.Quantity(h, &v)
}

func (r reading) days(h law.Handle) int { return r.value(h).Int() }

// say is a number with its unit.
func (r reading) say(h law.Handle) string {
	v := r.value(h)
	return v.Value + " " + r.book.Quantity(h, &v).Unit.String()
}

// toxicity is whether waste shows the toxicity characteristic for lead.
type toxicity uint8

const (
	toxic      toxicity = iota // at or above the limit
	notKnown                   // counts as toxic
	belowLimit                 // by the leaching procedure
	cannotFail                 // the total is too low for any extract to reach the limit
)

func (t toxicity) String() string {
	return [...]string{"hazardous", "not_known", "not_hazardous", "cannot_fail"}[t]
}

func (t toxicity) hazardous() bool { return t == toxic || t == notKnown }

// toxicity judges by the extract where it decides, and by the total where that is too low to fail. A total that is not decides nothing.
func (r reading) toxicity(f ClassFacts) toxicity {
	limit := r.quantity(r.leachLimit)
	switch {
	case f.Extract.Known() && below(f.Extract, limit):
		return belowLimit
	case f.Extract.Known() && f.Extract.Qualifier == measure.Exactly:
		return toxic
	case f.Total.Known() && below(f.Total, r.screen()):
		return cannotFail
	}
	return notKnown
}

// screen is the total below which no extract can reach the limit: the limit times the liquid in which a weight is leached.
func (r reading) screen() measure.Quantity {
	return measure.Of(r.quantity(r.leachLimit).In(measure.MilligramPerLitre).Mul(r.value(r.leachRatio).Number()), measure.MilligramPerKilogram)
}

// below reports whether a quantity is surely below a limit; "less than the limit" is.
func below(q, limit measure.Quantity) bool {
	c := q.Cmp(limit)
	return c < 0 || c == 0 && q.Qualifier == measure.LessThan
}

// household reports whether the waste is household waste, which is no hazardous waste.
func (r reading) household(f ClassFacts) bool {
	byContractor := f.Contractor != law.No
	return f.Origin == Residence && (!byContractor || r.days(r.contractor) != 0) && !r.lost(f)
}

// lost reports whether the exclusion is lost at an intermediate place, where the jurisdiction reads it so.
func (r reading) lost(f ClassFacts) bool { return r.days(r.intermediate) != 0 && f.Held != OnProperty }

// class is a generator's in a calendar month.
type class uint8

const (
	verySmall class = iota
	small
	large
)

func (c class) String() string {
	return [...]string{"very_small_quantity", "small_quantity", "large_quantity"}[c]
}

// month is what a generator made in the calendar month of a date.
type month struct {
	mass, acute measure.Number // kg
	known       bool           // every mass of the month was told
}

func monthOf(f ClassFacts) month {
	m := month{known: len(f.Generated) > 0}
	year, in, _ := f.AsOf.Civil()
	for _, g := range f.Generated {
		if y, on, _ := g.On.Civil(); y != year || on != in {
			continue
		}
		if !g.Mass.Known() {
			m.known = false
			continue
		}
		kg := g.Mass.In(measure.Kilogram)
		m.mass = m.mass.Add(kg)
		if g.Acute {
			m.acute = m.acute.Add(kg)
		}
	}
	return m
}

// class is that of a month; one that is not known counts as large.
func (r reading) class(m month) class {
	kg := func(h law.Handle) measure.Number { return r.quantity(h).In(measure.Kilogram) }
	switch {
	case !m.known, m.mass.Cmp(kg(r.large)) >= 0, m.acute.Cmp(kg(r.acute)) > 0:
		return large
	case m.mass.Cmp(kg(r.verySmall)) > 0:
		return small
	}
	return verySmall
}

// holding is under which time and cap waste is held.
type holding struct {
	class    class
	bound    class // whose rules hold: a very small generator above its cap is bound by a small one's
	days     int   // 0: no limit
	far      bool  // the longer time
	from     calendar.Date
	deadline calendar.Date
	late     bool
	overCap  bool
}

func (r reading) holding(f ClassFacts, c class) holding {
	h := holding{class: c, bound: c, from: f.Start}
	kg := func(handle law.Handle) measure.Number { return r.quantity(handle).In(measure.Kilogram) }
	if c == verySmall && f.OnSite.Known() && f.OnSite.In(measure.Kilogram).Cmp(kg(r.verySmallCap)) >= 0 {
		h.bound = small
		if !f.CapReachedOn.IsZero() {
			h.from = f.CapReachedOn
		}
	}
	switch h.bound {
	case large:
		h.days = r.days(r.largeDays)
	case small:
		h.days = r.days(r.smallDays)
		if f.Distance.Known() && f.Distance.Qualifier == measure.Exactly && f.Distance.Cmp(r.quantity(r.distance)) > 0 {
			h.days, h.far = r.days(r.smallDaysFar), true
		}
		h.overCap = f.OnSite.Known() && f.OnSite.In(measure.Kilogram).Cmp(kg(r.smallCap)) > 0
	}
	if h.days > 0 && !h.from.IsZero() {
		h.deadline = h.from.AddDays(h.days + f.Extension)
		sent := f.ShipOn
		if sent.IsZero() {
			sent = f.AsOf
		}
		h.late = sent.After(h.deadline)
	}
	return h
}

// outcome is what the waste is, in a word.
func (r reading) outcome(f ClassFacts) string {
	switch {
	case r.household(f):
		return "household_waste"
	case !r.toxicity(f).hazardous():
		return "not_hazardous"
	}
	h := r.holding(f, r.class(monthOf(f)))
	switch {
	case h.overCap:
		return "over_the_cap"
	case h.late:
		return "held_too_long"
	}
	return h.class.String()
}
