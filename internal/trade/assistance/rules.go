// Package assistance knows what homes owe that the federal government helps to pay for: which are exempt from the housing
// rule (24 CFR part 35, subparts B to R), which tier of rehabilitation a project is in, what each programme asks before,
// during and after, and when a home is looked at again.
package assistance

import "sillbook/internal/trade/law"

// Rules are the questions of the housing rule, each with the parameters that it reads. They never change.
type Rules struct {
	Exemptions ExemptionRules
	Tiers      TierRules
	Programmes ProgrammeRules
	Upkeep     UpkeepRules
}

// NewRules finds what every question reads.
func NewRules(book *law.Book) (r Rules, err error) {
	if r.Exemptions, err = newExemptionRules(book); err != nil {
		return r, err
	}
	if r.Tiers, err = newTierRules(book); err != nil {
		return r, err
	}
	if r.Programmes, err = newProgrammeRules(book); err != nil {
		return r, err
	}
	r.Upkeep, err = newUpkeepRules(book)
	return r, err
}

// protective is the citation of an answer that rests on what is not known.
func protective(clause string) law.Citation {
	return law.Citation{Clause: clause, Source: law.Derived, Note: "A fact that is not known gets the protective answer."}
}
