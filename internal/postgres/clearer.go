package postgres

import (
	"fmt"
	"slices"

	"github.com/google/uuid"

	"sillbook/internal/fault"
	"sillbook/internal/trade/clearance"
	"sillbook/internal/trade/crew"
	"sillbook/internal/trade/law"
)

// clearers are the disciplines that clear, those that may clear most first.
var clearers = []crew.Discipline{crew.RiskAssessor, crew.Inspector, crew.SamplingTechnician}

// Codes of the findings about who cleared; see also notCertified.
const (
	independenceBroken = "independence_broken"
	mayNotClear        = "may_not_clear"
)

// clearedBy is what a clearance says of whoever made it beside their name.
type clearedBy struct {
	inHouse bool                      // an employee designated for it
	told    *clearance.AuthorityFacts // of the examiner, taken where the records do not say; nil: nothing
	again   bool                      // looked at again: told is what was settled then, their relation to the work included
}

// weighAuthority asks whether somebody might clear the job. That they might not is found; what is not shown either way is listed
// as missing, and counts: a clearance tells nothing of who supervised.
func (t *Tx) weighAuthority(did deed, who *holder, s *standing) error {
	rules, err := t.rules()
	if err != nil {
		return err
	}
	var f clearance.AuthorityFacts
	if did.told != nil {
		f = *did.told
	}
	f.AsOf, f.Jurisdictions, f.Work, f.Assisted = did.on, did.sites.jurisdictions, clearance.Renovation, law.TriOf(did.job.Assisted)
	f.Discipline, f.Certified, f.Relation = string(s.held.Discipline), law.No, did.relationOf(who, f.Relation)
	if f.SingleUnit == law.Unknown {
		f.SingleUnit = did.sites.single()
	}
	if did.job.Outcome == "abatement" {
		f.Work = clearance.Abatement
	}
	switch s.held.Outcome {
	case crew.Valid:
		f.Certified = law.Yes
	case crew.NotShown:
		f.Discipline = ""
	}
	answer, err := rules.Clearances.Authorities.Judge(f)
	if fault.Is(err, fault.Implausible) {
		return nil // before there was a rule on it
	}
	if err != nil {
		return err
	}
	rules.Localize(&answer.Determination, "clearance-authority", did.sites.jurisdictions)
	s.authority = &answer.Determination
	switch {
	case answer.Independence == clearance.Required:
		why := aboutRelation(answer.Determination)
		s.findings = append(s.findings, did.finding(independenceBroken, why.Citation, fmt.Sprintf("%s %s", did.tie(who, f.Relation), why.Text)))
	case answer.Outcome == clearance.MayNot && f.Certified == law.Yes:
		why := answer.Forbids()[0]
		s.findings = append(s.findings, did.finding(mayNotClear, why.Citation, fmt.Sprintf("%s cleared as a %s. %s", who.name, s.held.Discipline, why.Text)))
	}
	return nil
}

// aboutRelation is the reason that rests on how somebody stands to the work.
func aboutRelation(d law.Determination) law.Reason {
	i := slices.IndexFunc(d.Reasons, func(r law.Reason) bool { return r.Fact == "relation" })
	return d.Reasons[i]
}

// relationOf is how whoever cleared stands to whoever did the work: by the records, else as told.
func (did deed) relationOf(who *holder, told clearance.Relation) clearance.Relation {
	worked := slices.ContainsFunc(did.job.Crew, func(m crewMember) bool { return m.PersonID == who.id && m.Part != "sampler" })
	employed := who.employer != uuid.Nil && did.job.FirmID != uuid.Nil
	switch {
	case did.again:
		return told
	case worked:
		return clearance.SamePerson
	case did.inHouse:
		return clearance.OwnStaff
	case employed && who.employer == did.job.FirmID:
		return clearance.SameFirm
	case told == "" && employed:
		return clearance.AnotherFirm
	}
	return told
}

// tie says what binds somebody to the work that they cleared.
func (did deed) tie(who *holder, r clearance.Relation) string {
	switch r {
	case clearance.SamePerson:
		return who.name + " is on the crew of the job."
	case clearance.OwnStaff:
		return who.name + " is in-house staff."
	}
	return who.name + " is of the firm that does the job and is not told to be a qualified employee designated for clearance."
}

// single reports whether all the work is in one unit; not known where there is none.
func (s worksites) single() law.Tri {
	switch n := len(s.units()); {
	case n == 1 && !slices.ContainsFunc(s.places, func(p Place) bool { return p.Unit == uuid.Nil }):
		return law.Yes
	case n > 1:
		return law.No
	}
	return law.Unknown
}
