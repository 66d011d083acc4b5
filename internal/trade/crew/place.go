package crew

import (
	"slices"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// EPA is the issuer of the federal certificates.
const EPA = "epa"

// placed says whether a certificate is accepted where the work is done. EPA runs a rule itself except in states and tribes with
// an authorised programme, whose certificates hold there and nowhere else; EPA's do not hold there (from memory).
type placed struct {
	accepted bool
	unknown  bool       // nobody knows here who runs the rule there; either is accepted
	anywhere bool       // no place was told
	by       *law.Value // what says who runs it
}

func (r Certificates) place(c Certificate, on calendar.Date, jurisdictions []string) placed {
	if len(jurisdictions) == 0 {
		return placed{accepted: true, unknown: true, anywhere: true}
	}
	if c.Issuer != EPA && !slices.Contains(jurisdictions, c.Issuer) {
		return placed{}
	}
	h := r.ownAbatement
	if c.Discipline.ofRenovation() {
		h = r.ownRenovation
	}
	run, ok := r.book.On(h, on, law.Required, law.Scope{Jurisdictions: jurisdictions})
	switch {
	case !ok:
		return placed{accepted: true, unknown: true}
	case run.Number().Sign() == 0:
		return placed{accepted: c.Issuer == EPA, by: run}
	}
	own, ok := r.book.On(h, on, law.Required, law.Scope{Jurisdictions: []string{c.Issuer}})
	return placed{accepted: ok && own.Number().Sign() > 0, by: run}
}
