package bloodlead

import (
	"fmt"
	"slices"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// course is the run of a case's deadlines, one of which starts another.
type course struct {
	r Rules
	f Facts
	s law.Scope

	start      calendar.Date // of the notice, or of its verification
	unverified bool          // the report is from elsewhere and is not verified
	report     calendar.Date // from which hazards are reduced
	awaited    bool          // it has not come
	free       string        // why nothing is owed in the child's home and beside it, if nothing is
	list       []Deadline
}

// deadlines are those of a case, in the order in which they come up.
func (r Rules) deadlines(f Facts) []Deadline {
	c := course{r: r, f: f, s: scope(f), start: f.NotifiedOn}
	if f.Source == Elsewhere {
		c.start, c.unverified = max(f.NotifiedOn, f.VerifiedOn), f.VerifiedOn.IsZero()
	}
	c.report, c.awaited = max(f.ReportOn, c.start), f.ReportOn.IsZero()
	if f.Programme == TenantBased && f.LivesThere == law.No && f.Another == law.No {
		c.free = "The child no longer lives in the unit, and no other assisted household lives there or will."
	}
	c.verify()
	c.tell()
	c.investigate()
	c.reduce()
	c.others()
	c.complete()
	c.match()
	return c.list
}

// add puts a task on the list with the days of a parameter, unless the law had none such on the day of the notice.
func (c *course) add(h law.Handle, t task) {
	if days := c.r.value(h, c.f.NotifiedOn, c.s); days != nil {
		t.days, t.cite = days.Int(), cite(days, c.f)
		c.list = append(c.list, t.deadline(c.f.AsOf))
	}
}

// verify: a report from elsewhere is verified at once, and counts as the notice when it is.
func (c *course) verify() {
	attempts := c.r.value(c.r.attempts, c.f.NotifiedOn, c.s)
	if c.f.Source == HealthDepartment || c.f.Source == MedicalProvider || attempts == nil {
		return
	}
	t := task{what: "verify_report", rule: "verification", from: c.f.NotifiedOn, cite: cite(attempts, c.f), done: c.f.VerifiedOn, aside: c.f.Source == "",
		text: fmt.Sprintf("Verify the report with the health department or a medical provider at once, with at least %s attempts, and keep a record of them. Verified, it counts as the notice.", attempts.Value)}
	if c.f.Source == "" {
		t.text = "It is not known where the report came from; this is for one that came from elsewhere. " + t.text
		t.presumed = true
	}
	if c.f.givenUp(attempts) {
		t.done = c.f.UnverifiedOn
	}
	c.list = append(c.list, t.deadline(c.f.AsOf))
}

// givenUp reports whether a report could not be verified after the attempts that the rule asks for.
func (f Facts) givenUp(least *law.Value) bool {
	return f.Source == Elsewhere && !f.UnverifiedOn.IsZero() && f.AttemptsKnown && least != nil && f.Attempts >= least.Int()
}

// tell: the health department, unless it told of the case; and HUD.
func (c *course) tell() {
	unless := ""
	if c.f.Source == HealthDepartment {
		unless = "The health department told of it."
	}
	c.add(c.r.department, task{what: "tell_health_department", rule: "telling", business: true, from: c.start, presumed: c.unverified, done: c.f.ToldDepartmentOn, unless: unless,
		text: "Tell the health department of the case {within}, counted from the notice."})
	if c.f.Programme != OtherAgency {
		c.add(c.r.hud, task{what: "tell_hud", rule: "telling", business: true, from: c.start, presumed: c.unverified, done: c.f.ToldHUDOn,
			text: "Tell HUD's field office and its lead office of the case {within}, counted from the notice."})
	}
}

// since reports whether something was done between the last blood draw and the notice.
func (c *course) since(on calendar.Date) bool {
	drawn := c.f.drawnOn()
	return !on.IsZero() && !drawn.IsZero() && !on.Before(drawn) && !on.After(c.start)
}

// investigate: the child's home and the common areas that serve it. Before the rule of 2017 it was called risk assessment.
func (c *course) investigate() {
	what, name := "environmental_investigation", "The environmental investigation"
	if c.r.value(c.r.level, c.f.NotifiedOn, c.s) == nil {
		what, name = "risk_assessment", "The risk assessment"
	}
	t := task{what: what, rule: "investigation", from: c.start, presumed: c.unverified, done: c.f.ReportOn, unless: c.free,
		text: name + " of the child's unit and of the common areas that serve it is complete, its report received, {within}, counted from the notice, even if the child has moved."}
	switch {
	case c.free != "":
	case c.since(c.f.InvestigatedOn):
		t.unless = fmt.Sprintf("It was done on %s, after the blood was drawn and before the notice.", c.f.InvestigatedOn)
	case c.since(c.f.DepartmentOn):
		t.unless = fmt.Sprintf("The health department evaluated the home on %s, after the blood was drawn and before the notice.", c.f.DepartmentOn)
	case c.since(c.f.AssessedOn) && what == "risk_assessment":
		t.unless = fmt.Sprintf("It was done on %s, after the blood was drawn and before the notice.", c.f.AssessedOn)
	case c.since(c.f.AssessedOn):
		t.text += fmt.Sprintf(" A risk assessment was done on %s, after the blood was drawn, so only what it lacks is left to do.", c.f.AssessedOn)
	}
	c.add(c.r.investigation, t)
	if c.f.Programme == TenantBased || c.f.Programme == "" {
		c.list = append(c.list, task{what: "give_report_to_owner", rule: "report_to_owner", cite: reportToOwner, from: c.report, presumed: c.awaited, done: c.f.OwnerGivenOn, unless: c.free,
			text: "Give the owner the report {within} when it is received."}.deadline(c.f.AsOf))
	}
}

// reduce: hazards that the investigation found.
func (c *course) reduce() {
	unless := c.free
	if unless == "" && c.f.Hazards == law.No {
		unless = "The investigation found no hazards."
	}
	c.add(c.r.reduction, task{what: "reduce_hazards", rule: "hazard_reduction", from: c.report, presumed: c.awaited, done: first(c.f.ClearedOn, c.f.CertifiedOn), unless: unless,
		text: "Reduce the hazards {within}, counted from the day on which the report is received: clearance is achieved and the report says that every hazard was treated, or the health department certifies it."})
}

// first is the earlier of two dates that there are.
func first(a, b calendar.Date) calendar.Date {
	if a.IsZero() || !b.IsZero() && b.Before(a) {
		return b
	}
	return a
}

// others: the other assisted units of the property with a child under six, where the child's home had hazards.
func (c *course) others() {
	unless := c.free
	switch {
	case unless != "":
	case c.f.Hazards == law.No:
		unless = "The child's unit had no hazards."
	case c.f.Others.none():
		unless = "No other assisted unit of the property has a child under six."
	}
	assess := c.r.others
	if c.more(c.f.Others) {
		assess = c.r.othersMany
	}
	c.add(assess, task{what: "assess_other_units", rule: "other_units", from: c.report, presumed: c.awaited, done: c.f.OthersAssessedOn, unless: unless,
		text: "Have risk assessments of the other assisted units with a child under six {within}, counted from the day on which the investigation's report is received."})
	assessed, none := max(c.f.OthersAssessedOn, c.report), unless
	if none == "" && c.f.OthersHazards.none() {
		none = "The other units had no hazards."
	}
	reduce := c.r.othersReduction
	if c.more(c.f.OthersLarge) {
		reduce = c.r.othersReductionMany
	}
	c.add(reduce, task{what: "reduce_hazards_in_other_units", rule: "other_units", from: assessed, presumed: c.f.OthersAssessedOn.IsZero(), done: c.f.OthersClearedOn, unless: none,
		text: "Reduce the hazards in the other units {within}, counted from the day on which their assessments are received."})
	if unless == "" && c.f.OthersHazards.none() {
		c.add(c.r.residents, task{what: "tell_residents", rule: "no_hazards_in_other_units", from: assessed, presumed: c.f.OthersAssessedOn.IsZero(), done: c.f.ResidentsToldOn,
			text: "Tell the residents of the other units {within} that they have no hazards, and HUD's field office."})
	}
}

// more reports whether a count is known to be more than the number from which the longer times hold.
func (c *course) more(units Count) bool {
	many := c.r.value(c.r.many, c.f.NotifiedOn, c.s)
	return many != nil && units.Known && units.N > many.Int()
}

// hazardRules are those whose deadlines are met before HUD is told that it is done.
var hazardRules = []string{"investigation", "hazard_reduction", "other_units"}

// complete: HUD is told when all is done.
func (c *course) complete() {
	if c.f.Programme == OtherAgency {
		return
	}
	done := max(first(c.f.ClearedOn, c.f.CertifiedOn), c.f.OthersClearedOn, c.report)
	// where it is not known whether the other units have hazards, neither is it when all was done
	waits := c.f.Hazards != law.No && !c.f.Others.none() && !c.f.OthersHazards.Known && c.f.OthersClearedOn.IsZero()
	for _, d := range c.list {
		waits = waits || slices.Contains(hazardRules, d.Rule) && !d.settled()
	}
	if waits {
		done = c.report
	}
	c.add(c.r.completion, task{what: "tell_hud_it_is_done", rule: "completion", business: true, from: done, presumed: waits, done: c.f.ToldCompletionOn, unless: c.free,
		text: "Tell HUD's field office {within} that hazard reduction is complete, or that there was nothing to reduce."})
}

// match: in tenant-based assistance addresses are matched with the health department from time to time, whatever the case.
func (c *course) match() {
	months := c.r.value(c.r.matching, c.f.NotifiedOn, c.s)
	if c.f.Programme != TenantBased && c.f.Programme != "" || months == nil {
		return
	}
	from := c.f.AddressesMatchedOn
	t := task{what: "match_addresses", rule: "matching_addresses", cite: months.Cite(), from: c.f.AsOf, presumed: from.IsZero(), aside: true,
		text: fmt.Sprintf("Ask the health department for the names and addresses of children with an elevated level, and send it the assisted addresses, every %s months.", months.Value)}
	if !from.IsZero() {
		t.from = from.AddMonths(months.Int())
	}
	c.list = append(c.list, t.deadline(c.f.AsOf))
}

// reportToOwner is the clause on giving the owner the report.
var reportToOwner = law.Citation{Clause: sections[TenantBased], Source: law.Secondary, Note: "Read in HUD's training slides."}
