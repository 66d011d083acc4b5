package calendar

// Window is the days from From to To, both included. A missing end is open: an occupancy without To still lasts.
type Window struct{ From, To Date }

// Contains reports whether d is in the window. No date is in no window.
func (w Window) Contains(d Date) bool {
	return !d.IsZero() && !d.Before(w.From) && (w.To.IsZero() || !d.After(w.To))
}

// IsEmpty reports whether no day is in the window.
func (w Window) IsEmpty() bool { return !w.To.IsZero() && w.To.Before(w.From) }

// Overlaps reports whether a day is in both windows.
func (w Window) Overlaps(o Window) bool { return !w.And(o).IsEmpty() && !w.IsEmpty() && !o.IsEmpty() }

// And is the days in both windows.
func (w Window) And(o Window) Window {
	both := Window{From: max(w.From, o.From), To: w.To}
	if w.To.IsZero() || !o.To.IsZero() && o.To.Before(w.To) {
		both.To = o.To
	}
	return both
}
