package bloodlead

import (
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// Rules are the parameters that cases read, found once.
type Rules struct {
	book                                             *law.Book
	level, levelFollowed                             law.Handle
	single, repeated, repeatMonths                   law.Handle
	abatementSingle, abatementRepeated               law.Handle
	abatementLeast, abatementMost                    law.Handle
	attempts, investigation, reduction               law.Handle
	others, othersMany, many                         law.Handle
	othersReduction, othersReductionMany             law.Handle
	department, hud, completion, residents, matching law.Handle
	samplingYear, samplingOlder, samplingNewer       law.Handle
}

// NewRules finds the parameters.
func NewRules(book *law.Book) (Rules, error) {
	r := Rules{book: book}
	return r, book.Handles(map[string]*law.Handle{
		"blood_lead_level": &r.level, "blood_lead_level_followed": &r.levelFollowed, "blood_lead_single": &r.single, "blood_lead_repeated": &r.repeated,
		"blood_lead_repeat_months": &r.repeatMonths, "blood_lead_abatement_single": &r.abatementSingle, "blood_lead_abatement_repeated": &r.abatementRepeated,
		"blood_lead_abatement_months_least": &r.abatementLeast, "blood_lead_abatement_months_most": &r.abatementMost,
		"blood_lead_verification_attempts": &r.attempts, "blood_lead_investigation_days": &r.investigation, "blood_lead_reduction_days": &r.reduction,
		"blood_lead_other_units_days": &r.others, "blood_lead_other_units_days_many": &r.othersMany, "blood_lead_many_units": &r.many,
		"blood_lead_other_reduction_days": &r.othersReduction, "blood_lead_other_reduction_days_many": &r.othersReductionMany,
		"blood_lead_health_department_days": &r.department, "blood_lead_hud_days": &r.hud, "blood_lead_completion_days": &r.completion,
		"blood_lead_residents_days": &r.residents, "blood_lead_match_months": &r.matching, "blood_lead_sampling_year": &r.samplingYear,
		"blood_lead_sampling_older": &r.samplingOlder, "blood_lead_sampling_newer": &r.samplingNewer,
	})
}

// scope is whose rules a case is under. Where the programme is not known, and under another agency's, every programme's are
// looked at and the strictest holds.
func scope(f Facts) law.Scope {
	s := law.Scope{Jurisdictions: f.Jurisdictions}
	if f.Programme != "" && f.Programme != OtherAgency {
		s.Programmes = []string{"hud", law.Local}
	}
	return s
}

// value is a parameter that must be met on a day, or nil before its first.
func (r Rules) value(h law.Handle, on calendar.Date, s law.Scope) *law.Value {
	v, ok := r.book.On(h, on, law.Required, s)
	if !ok {
		return nil
	}
	return v
}

// cite is a parameter's citation with the section of the case's programme.
func cite(v *law.Value, f Facts) law.Citation {
	c := v.Cite()
	if v.Jurisdiction == law.Federal {
		c.Clause = sections[f.Programme]
	}
	return c
}
