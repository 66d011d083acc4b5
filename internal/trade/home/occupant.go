package home

import (
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// Stay is one household's stay in a unit.
type Stay struct {
	From, To                    calendar.Date // To is no date while it lasts
	Told                        bool          // whether children were told at all
	Present, Expected, Visiting int           // children under six
	Pregnant                    int           // restricted
}

// Holds reports whether the stay is on a date.
func (s Stay) Holds(on calendar.Date) bool {
	return !s.From.After(on) && (s.To.IsZero() || !s.To.Before(on))
}

// Protected says whether somebody on a date must be kept out of the work above all: a child under six who lives, is
// expected or visits there, or a pregnant resident. No federal work rule turns on pregnancy today; treating a pregnant
// resident as a protected occupant is common practice, and it never loosens anything.
type Protected struct {
	Child      bool // a child under six; may be said
	Untold     bool // of some stay it was not told whether there is one, which counts as yes
	Restricted bool // a restricted fact; only "a restricted requirement applies" may be said
}

// ProtectedOn looks through the stays of a unit.
func ProtectedOn(stays []Stay, from, to calendar.Date) Protected {
	var p Protected
	for _, s := range stays {
		if s.From.After(to) || !s.To.IsZero() && s.To.Before(from) {
			continue
		}
		p.Child = p.Child || s.Present+s.Expected+s.Visiting > 0
		p.Untold = p.Untold || !s.Told
		p.Restricted = p.Restricted || s.Pregnant > 0
	}
	return p
}

// ChildLives says whether a child under six lives or is expected to live in a unit on a date. It is no only where every
// stay says so; where no stay is told it is not known.
func ChildLives(stays []Stay, on calendar.Date) law.Tri {
	return childOn(stays, on, func(s Stay) int { return s.Present + s.Expected })
}

// ChildComes says whether a child under six is in a unit on a date in any way, visits included, as it is asked of a
// facility.
func ChildComes(stays []Stay, on calendar.Date) law.Tri {
	return childOn(stays, on, func(s Stay) int { return s.Present + s.Expected + s.Visiting })
}

func childOn(stays []Stay, on calendar.Date, count func(Stay) int) law.Tri {
	told, untold := false, false
	for _, s := range stays {
		if !s.Holds(on) {
			continue
		}
		if count(s) > 0 {
			return law.Yes
		}
		told, untold = told || s.Told, untold || !s.Told
	}
	if told && !untold {
		return law.No
	}
	return law.Unknown
}
