package duty

import (
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// Event is something that local rules may ask for something because of: what happened, or is planned, and what is known of it.
type Event struct {
	Label   string
	Trigger law.Trigger
	On      calendar.Date
	Facts   law.LocalFacts
	Met     []LocalMet
}

// LocalMet says when a local requirement that the event brings was met.
type LocalMet struct {
	Jurisdiction, Code string
	On                 calendar.Date
}

// local lists what the places named ask because of an event. A requirement whose facts are not all known is presumed.
func (r Rules) local(l *ledger, f Facts, e Event) {
	a := r.book.LocalDuties(law.LocalEvent{AsOf: f.AsOf, Jurisdictions: f.Jurisdictions, Trigger: e.Trigger, On: e.On, Facts: e.Facts})
	for _, owed := range a.Requirements {
		d := draft{code: "local_requirement", subject: e.Label, detail: owed.Jurisdiction + "/" + owed.Code, text: owed.Text, window: calendar.Window{From: owed.From, To: owed.By},
			because: law.Yes, metBy: owed.MetBy, cite: owed.Citation}
		if owed.Applies != "yes" {
			d.because = law.Unknown
		}
		for _, m := range e.Met {
			if m.Jurisdiction == owed.Jurisdiction && m.Code == owed.Code && !m.On.Before(owed.From) {
				d.metOn = earliest(d.metOn, m.On)
			}
		}
		l.owe(d)
	}
}
