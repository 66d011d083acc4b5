// Package bloodlead knows what follows when a child in assisted housing has an elevated blood lead level: what must be done by
// when, and how a case is closed. All of it is restricted: it protects a child, and is never for choosing tenants.
package bloodlead

import (
	"fmt"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Programme is the housing assistance of the child's unit. The zero Programme is not known.
type Programme string

// The programmes whose rules have deadlines for cases (24 CFR 35).
const (
	OtherAgency   Programme = "other_federal_agency" // subpart D
	ProjectBased  Programme = "project_based"        // subpart H
	HUDOwned      Programme = "hud_owned"            // subpart I
	PublicHousing Programme = "public_housing"       // subpart L
	TenantBased   Programme = "tenant_based"         // subpart M
	NoProgramme   Programme = "none"                 // none of these
)

// sections of 24 CFR by programme.
var sections = map[Programme]string{OtherAgency: "24 CFR 35.325", ProjectBased: "24 CFR 35.730", HUDOwned: "24 CFR 35.830", PublicHousing: "24 CFR 35.1130",
	TenantBased: "24 CFR 35.1225", "": "24 CFR 35.325, 35.730, 35.830, 35.1130, 35.1225"}

// Source is where the report of a case came from. The zero Source is not known.
type Source string

// The sources. A report from elsewhere is verified first.
const (
	HealthDepartment Source = "health_department"
	MedicalProvider  Source = "medical_provider"
	Elsewhere        Source = "elsewhere"
)

// Test is one blood test.
type Test struct {
	DrawnOn calendar.Date
	Level   measure.Quantity // lead per volume of blood; optional, for told that the threshold is met is enough
	Venous  law.Tri
}

// Facts are what is known of a case on a day. What is of a later day counts as not having happened.
type Facts struct {
	AsOf          calendar.Date
	Jurisdictions []string
	Programme     Programme
	LocalActed    law.Tri // the health department's own level for acting was already as low as HUD's new one

	// the child
	UnderSix   law.Tri
	Tests      []Test
	Threshold  law.Tri // told: at or above the level of the day
	Confirmed  law.Tri
	LivesThere law.Tri // still, when the notice came
	Another    law.Tri // tenant-based: another assisted household lives in the unit or will

	// the report
	Source        Source
	NotifiedOn    calendar.Date
	Attempts      int // to verify a report from elsewhere
	AttemptsKnown bool
	VerifiedOn    calendar.Date
	UnverifiedOn  calendar.Date // given up after the attempts
	VoidOn        calendar.Date // recorded by mistake

	// the child's home
	InvestigatedOn     calendar.Date // a full investigation
	AssessedOn         calendar.Date // a risk assessment
	DepartmentOn       calendar.Date // the health department's own evaluation
	ReportOn           calendar.Date // the responsible party received the report
	OwnerGivenOn       calendar.Date // tenant-based: the owner was given it
	Hazards            law.Tri
	ClearedOn          calendar.Date // clearance achieved, and the report says that every hazard was treated
	CertifiedOn        calendar.Date // the health department certifies the reduction
	ToldDepartmentOn   calendar.Date
	ToldHUDOn          calendar.Date
	ToldCompletionOn   calendar.Date
	AddressesMatchedOn calendar.Date // tenant-based: the latest

	// other assisted units of the property with a child under six
	BuildYear        int // 0 when not known
	Others           Count
	OthersAssessedOn calendar.Date
	OthersHazards    Count // of them with hazards
	OthersLarge      Count // of these, where control disturbs more than the de minimis
	OthersClearedOn  calendar.Date
	ResidentsToldOn  calendar.Date
}

// Count is a number of units, known or not.
type Count struct {
	N     int
	Known bool
}

func (c Count) none() bool { return c.Known && c.N == 0 }

// check refuses what contradicts itself or cannot be.
func (f Facts) check() error {
	var faults fault.Faults
	if f.NotifiedOn.After(f.AsOf) {
		faults.Add("/notified_on", "in_the_future", "The notice of %s had not come on %s; ask for a day on or after it.", f.NotifiedOn, f.AsOf)
	}
	order := func(pointer string, then, first calendar.Date, text string) {
		if !then.IsZero() && !first.IsZero() && then.Before(first) {
			faults.Add(pointer, "contradiction", text, then, first)
		}
	}
	for i, t := range f.Tests {
		order(fmt.Sprintf("/tests/%d/drawn_on", i), f.NotifiedOn, t.DrawnOn, "The notice of %s cannot be of blood drawn on %s; correct one of the two.")
	}
	order("/verified_on", f.VerifiedOn, f.NotifiedOn, "The report cannot have been verified on %s, before it came on %s.")
	order("/not_verified_on", f.UnverifiedOn, f.NotifiedOn, "Verifying cannot have ended on %s, before the report came on %s.")
	order("/other_units_cleared_on", f.OthersClearedOn, f.OthersAssessedOn, "Hazards in other units cannot have been reduced by %s, before they were found on %s.")
	if !f.VerifiedOn.IsZero() && !f.UnverifiedOn.IsZero() {
		faults.Add("/not_verified_on", "contradiction", "A report is not both verified and not; leave out one of verified_on and not_verified_on.")
	}
	if f.Others.Known && f.OthersHazards.Known && f.OthersHazards.N > f.Others.N {
		faults.Add("/other_units_with_hazards", "contradiction", "%d units with hazards are more than the %d other units.", f.OthersHazards.N, f.Others.N)
	}
	if f.OthersHazards.Known && f.OthersLarge.Known && f.OthersLarge.N > f.OthersHazards.N {
		faults.Add("/other_units_above_de_minimis", "contradiction", "%d of them are more than the %d units with hazards.", f.OthersLarge.N, f.OthersHazards.N)
	}
	return faults.Err()
}

// asOf drops what is of a later day.
func (f Facts) asOf() Facts {
	for _, on := range []*calendar.Date{&f.VerifiedOn, &f.UnverifiedOn, &f.VoidOn, &f.InvestigatedOn, &f.AssessedOn, &f.DepartmentOn, &f.ReportOn, &f.OwnerGivenOn,
		&f.ClearedOn, &f.CertifiedOn, &f.ToldDepartmentOn, &f.ToldHUDOn, &f.ToldCompletionOn, &f.AddressesMatchedOn, &f.OthersAssessedOn, &f.OthersClearedOn, &f.ResidentsToldOn} {
		if on.After(f.AsOf) {
			*on = 0
		}
	}
	return f
}

// drawnOn is when blood was last drawn.
func (f Facts) drawnOn() (last calendar.Date) {
	for _, t := range f.Tests {
		last = max(last, t.DrawnOn)
	}
	return last
}
