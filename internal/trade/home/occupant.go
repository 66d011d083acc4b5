package home

import "sillbook/internal/trade/calendar"

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
		p.Restricted = p.Restricted || s.Pregnant > 0
	}
	return p
}
