package renovation

import (
	"sillbook/internal/fault"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/practice"
)

// Contradictions are the facts of one piece of work that cannot all be true, each named as a request names it. Facts that only
// pull apart, such as an owner-occupant in a rented home, are no contradiction: they get the protective answer.
func Contradictions(w Work) error {
	var f fault.Faults
	if w.PaintDisturbed == law.No && w.Demolished {
		f.Add("/paint_disturbed", "contradiction", "A painted surface is demolished, so paint is disturbed; correct one of the two.")
	}
	if w.Method == practice.PaintedOnly && w.Demolished {
		f.Add("/painted_surface_demolished", "contradiction", "A surface that is only painted is not demolished; correct method or painted_surface_demolished.")
	}
	if w.Method == practice.PaintedOnly && w.WindowReplaced {
		f.Add("/window_replaced", "contradiction", "Where a window is replaced, more is done than painting; correct method or window_replaced.")
	}
	if w.WindowReplaced && !besideWindow(w.Component) {
		f.Add("/window_replaced", "contradiction", "The work is told to be on the %s, which is no part of a window or what surrounds one; correct component, or tell the window as work of its own.", w.Component)
	}
	if w.OptedOut == law.Yes && w.Rented == law.Yes {
		f.Add("/opted_out", "contradiction", "Only an owner who lived in the home could opt out, and this one is rented; correct rented or opted_out.")
	}
	return f.Err()
}

// besideWindow reports whether a window may be replaced in work on a component: the window, its parts, and what it is set in.
func besideWindow(c home.Component) bool {
	switch c {
	case home.Unlisted, home.Window, home.WindowSash, home.WindowSill, home.WindowTrim, home.WindowTrough, home.Wall, home.Siding, home.Trim, home.Flashing:
		return true
	}
	return false
}
