package assistance

import (
	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
)

// Programme is a kind of federal help, by its subpart of 24 CFR part 35.
type Programme string

// The programmes.
const (
	FederalSale         Programme = "federal_sale"                    // C: an agency other than HUD sells housing
	FederalProjectAid   Programme = "federal_project_aid"             // D: project-based aid of an agency other than HUD
	HUDSingleFamilySale Programme = "hud_single_family_sale"          // F: sale with a mortgage that HUD insures
	MortgageInsurance   Programme = "multifamily_mortgage_insurance"  // G
	ProjectBased        Programme = "project_based"                   // H
	HUDMultifamily      Programme = "hud_owned_multifamily"           // I
	Rehabilitating      Programme = "rehabilitation"                  // J
	Services            Programme = "acquisition_leasing_or_services" // K: also support services and operation
	PublicHousing       Programme = "public_housing"                  // L
	TenantBased         Programme = "tenant_based"                    // M
)

// ProgrammeFacts are what is known of one programme's help to a home. Each programme reads its own.
type ProgrammeFacts struct {
	Programme      Programme
	On             calendar.Date // the closing, firm commitment, move-in or first help before which something must be done
	PerUnitYear    Money         // project-based: a year, for each assisted unit
	PerProjectYear Money         // aid of another agency: a year, for the project
	PerUnit        Money         // rehabilitation: the amount for each assisted unit (24 CFR 35.915)
	Major          law.Tri       // mortgage insurance: conversion, or major rehabilitation
	LeftToBuyer    law.Tri       // housing that HUD owns: the buyer is to do the controls
	Continuing     law.Tri       // services: the help goes on
}

// ProgrammesFacts are what it turns on what a home owes under its programmes.
type ProgrammesFacts struct {
	AsOf             calendar.Date
	BuildYear        int
	Certainty        home.Certainty
	Exempt           law.Tri // by 24 CFR 35.115(a), as a question of its own
	Units            int     // of the property; 0 when not known
	Occupied         law.Tri
	ChildUnderSix    law.Tri // one lives there or is expected to
	ChildMovedIn     calendar.Date
	Presumed         bool          // lead-based paint or hazards are presumed instead of evaluated
	PamphletGiven    law.Tri       // and shown to have been
	RiskAssessmentOn calendar.Date // the last one
	EvaluatedOn      calendar.Date // the report of the evaluation was received, or the presumption made
	DeteriorationOn  calendar.Date // deteriorated paint was found by a visual assessment
	ReducedOn        calendar.Date // hazard reduction was completed
	Programmes       []ProgrammeFacts
}

// ProgrammesOutcome is the most that a home's programmes ask for.
type ProgrammesOutcome string

// The outcomes, the most protective last.
const (
	ExemptFromRule    ProgrammesOutcome = "exempt"
	NothingRequired   ProgrammesOutcome = "nothing_required"
	MaintenanceOnly   ProgrammesOutcome = "maintenance"
	EvaluationOnly    ProgrammesOutcome = "evaluation"
	SafeWork          ProgrammesOutcome = "safe_work"
	Stabilisation     ProgrammesOutcome = "paint_stabilisation"
	ControlsOfHazards ProgrammesOutcome = "interim_controls"
	AbateHazards      ProgrammesOutcome = "abate_hazards"
	AbateAll          ProgrammesOutcome = "abate_all_lead_paint"
)

// ProgrammeAnswer is what one programme asks of the home.
type ProgrammeAnswer struct {
	Programme    Programme     `json:"programme"`
	Subpart      string        `json:"subpart"`
	Applies      string        `json:"applies"` // yes, no or unknown; unknown counts as yes
	Why          string        `json:"why"`
	Requirements []Requirement `json:"requirements"`

	applies law.Tri
	cite    law.Citation
	lacks   []lacking
}

// lacking is a fact that a programme's answer lacks.
type lacking struct{ fact, why, change string }

// CurrentUntil says whether a risk assessment is current on the day asked about.
type CurrentUntil struct {
	On      calendar.Date `json:"on"`
	Through calendar.Date `json:"through"`
	Current bool          `json:"current"`
}

// ProgrammesAnswer is what a home owes under its programmes, one by one and together.
type ProgrammesAnswer struct {
	Outcome        ProgrammesOutcome `json:"outcome"`
	Programmes     []ProgrammeAnswer `json:"programmes"`
	Together       []Requirement     `json:"requirements"` // the most protective of them
	RiskAssessment *CurrentUntil     `json:"risk_assessment,omitempty"`
	Why            law.Determination `json:"determination"`

	superseded []string // sentences: what gave way to what
}

// ProgrammeRules are the parameters that programmes read, found once.
type ProgrammeRules struct {
	tiers TierRules
	h     map[string]law.Handle // by name; never changed
}

// programmeNumbers are the parameters of the programmes, beside those of rehabilitation.
var programmeNumbers = []string{"housing_rule_year", "older_housing_year", "multifamily_least_units", "project_aid_amount", "project_based_amount",
	"major_rehabilitation_share", "interim_control_days_child", "interim_control_months", "buyer_control_days_child", "buyer_control_days",
	"hud_owned_evaluation_days", "stabilise_days", "stabilise_extension_days", "risk_assessment_months", "screen_dust_floor", "screen_dust_sill"}

func newProgrammeRules(book *law.Book) (ProgrammeRules, error) {
	r := ProgrammeRules{h: map[string]law.Handle{}}
	var err error
	if r.tiers, err = newTierRules(book); err != nil {
		return r, err
	}
	for _, name := range programmeNumbers {
		if r.h[name], err = book.Handle(name); err != nil {
			return r, err
		}
	}
	return r, nil
}

// In is the rules as they hold in a property's jurisdictions, beside the federal one.
func (r ProgrammeRules) In(jurisdictions []string) ProgrammeRules {
	r.tiers = r.tiers.In(jurisdictions)
	return r
}

// numbers are the parameters of a date.
type numbers struct {
	tiers tiers
	value map[string]*law.Value
}

func (n numbers) whole(name string) int { return n.value[name].Int() }

func (r ProgrammeRules) on(date calendar.Date) (numbers, error) {
	n := numbers{value: make(map[string]*law.Value, len(r.h))}
	l := r.tiers.book.Lookup(date, "/as_of", r.tiers.scope)
	for _, name := range programmeNumbers {
		n.value[name] = l.Value(r.h[name])
	}
	if err := l.Err(); err != nil {
		return n, err
	}
	var err error
	n.tiers, err = r.tiers.on(date)
	return n, err
}

// Require says what a home owes under its programmes, by the rows of 24 CFR part 35, subparts C to M, and what of it governs where
// several are combined: the most protective (35.155(b)). A fact that is not known gets the protective answer.
func (r ProgrammeRules) Require(f ProgrammesFacts) (ProgrammesAnswer, error) {
	if err := f.check(); err != nil {
		return ProgrammesAnswer{}, err
	}
	n, err := r.on(f.AsOf)
	if err != nil {
		return ProgrammesAnswer{}, err
	}
	a := n.require(f)
	a.Why = n.explain(r.tiers.book.RuleSet(), f, a)
	law.Otherwise(&a.Why, f, n.programmeAlternatives(f), func(f ProgrammesFacts) string { return string(n.require(f).Outcome) })
	return a, nil
}

// check refuses facts that contradict each other.
func (f ProgrammesFacts) check() error {
	var faults fault.Faults
	seen := map[Programme]bool{}
	for i, p := range f.Programmes {
		if seen[p.Programme] {
			faults.Add(at("/programmes", i, "/programme"), "told_twice", "The programme %s is told twice; send one entry for each.", p.Programme)
		}
		seen[p.Programme] = true
	}
	if f.ChildUnderSix == law.No && !f.ChildMovedIn.IsZero() {
		faults.Add("/child_moved_in_on", "contradiction", "A child under six is told to have moved in on %s, and none to live or be expected there; correct one of the two.", f.ChildMovedIn)
	}
	for _, d := range []struct {
		pointer string
		on      calendar.Date
	}{{"/risk_assessment_on", f.RiskAssessmentOn}, {"/evaluation_received_on", f.EvaluatedOn}, {"/deterioration_found_on", f.DeteriorationOn}, {"/hazard_reduction_completed_on", f.ReducedOn}, {"/child_moved_in_on", f.ChildMovedIn}} {
		if d.on.After(f.AsOf) {
			faults.Add(d.pointer, "in_the_future", "%s is after the day asked about, %s; correct one of the two.", d.on, f.AsOf)
		}
	}
	return faults.Err()
}
