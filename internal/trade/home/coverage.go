// Package home knows homes: which are covered by the lead-safe rules, and who in them must be protected.
package home

import (
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// UnitKind is what a unit is.
type UnitKind uint8

// The kinds of unit.
const (
	Dwelling              UnitKind = iota
	CommonArea                     // a hall, stair or other shared place of a building with dwellings
	ChildOccupiedFacility          // 40 CFR 745.83: day care, preschool, a classroom
)

// Certainty is how sure a build year is.
type Certainty uint8

// The certainties. Only a recorded year takes a home out of coverage.
const (
	YearUnknown Certainty = iota
	Estimated
	Recorded
)

// HousingFor is whom housing is set aside for.
type HousingFor uint8

// Whom housing is set aside for. 40 CFR 745.103: older people are households of one or more persons 62 or older at initial
// occupancy.
const (
	ForUnknown HousingFor = iota
	General
	OlderPeople
	PeopleWithDisabilities
)

// BedroomsUnknown is the number of bedrooms that is not known. 0 means a dwelling whose living area is not separated from
// its sleeping area: a studio, a dormitory, a rented room.
const BedroomsUnknown = -1

// CoverageFacts are what coverage turns on.
type CoverageFacts struct {
	AsOf           calendar.Date
	BuildYear      int // 0 when not known
	Certainty      Certainty
	Kind           UnitKind
	Bedrooms       int
	HousingFor     HousingFor
	ChildUnderSix  law.Tri // one lives here or is expected to
	VisitedByChild law.Tri // for a facility: the same child under six comes regularly, as 745.83 defines it
	FoundLeadFree  law.Tri // a certified inspector found the whole unit free of lead-based paint
}

// Outcome is the answer to "is it covered".
type Outcome uint8

// The outcomes. Presumed means covered, unless a fact that is not known says otherwise.
const (
	NotCovered Outcome = iota
	Presumed
	Covered
)

// String is not_covered, presumed_covered or covered.
func (o Outcome) String() string { return [...]string{"not_covered", "presumed_covered", "covered"}[o] }

// Coverage is an answer, small enough to make a million of in a second; Explain finds the words.
type Coverage struct {
	Outcome Outcome
	reasons reasons
	missing missing
	year    int // the first year that is not covered
}

// reasons and missing are sets, one bit each.
type (
	reasons uint16
	missing uint8
)

const (
	builtAfter reasons = 1 << iota
	builtBefore
	yearNotKnown
	yearOnlyEstimated
	leadFree
	setAside
	setAsideButChild
	noBedrooms
	noBedroomsButChild
	commonArea
	facilityVisited
	facilityNotVisited
)

const (
	missYear missing = 1 << iota
	missBedrooms
	missChild
	missVisits
	missSetAside
	missLeadFree
)

// Rules are the parameters that coverage reads, found once.
type Rules struct {
	book      *law.Book
	scope     law.Scope
	year      law.Handle
	childRule law.Handle
}

// NewRules finds the parameters.
func NewRules(book *law.Book) (Rules, error) {
	r := Rules{book: book}
	var err error
	if r.year, err = book.Handle("target_housing_year"); err != nil {
		return r, err
	}
	r.childRule, err = book.Handle("zero_bedroom_child_rule")
	return r, err
}

// Cover decides whether a unit is target housing or a child-occupied facility (40 CFR 745.103, 745.83). A fact that is not
// known gets the protective answer. A date before the law is a fault. It does not allocate.
func (r Rules) Cover(f CoverageFacts) (Coverage, error) {
	year, ok := r.book.On(r.year, f.AsOf, law.Required, r.scope)
	if !ok {
		return Coverage{}, r.book.TooEarly(r.year, "/as_of", f.AsOf)
	}
	first := year.Int()
	c := Coverage{Outcome: Covered, year: first}
	switch {
	case f.Certainty == Recorded && f.BuildYear >= first:
		c.Outcome, c.reasons = NotCovered, builtAfter
		return c, nil
	case f.Certainty == YearUnknown || f.BuildYear == 0:
		c.reasons |= yearNotKnown
		c.presume(missYear)
	case f.BuildYear >= first:
		c.reasons |= yearOnlyEstimated
		c.presume(missYear)
	default:
		c.reasons |= builtBefore
	}
	if f.FoundLeadFree == law.Yes {
		c.except(leadFree)
		return c, nil
	}
	switch f.Kind {
	case Dwelling:
		r.dwelling(&c, f)
	case CommonArea:
		c.reasons |= commonArea
	case ChildOccupiedFacility:
		facility(&c, f)
	}
	if c.Outcome != NotCovered && f.FoundLeadFree == law.Unknown {
		c.missing |= missLeadFree // the outcome rests on no finding, but one would change it
	}
	return c, nil
}

// presume notes that the answer rests on a fact that is not known.
func (c *Coverage) presume(m missing) {
	c.Outcome = Presumed
	c.missing |= m
}

// except takes the unit out of coverage, whatever else is not known.
func (c *Coverage) except(why reasons) {
	c.Outcome, c.missing = NotCovered, 0
	c.reasons |= why
}

func (r Rules) dwelling(c *Coverage, f CoverageFacts) {
	childCounts := true // whether a child under six brings a dwelling without bedrooms into coverage
	if v, ok := r.book.On(r.childRule, f.AsOf, law.Required, r.scope); ok {
		childCounts = v.Int() != 0
	}
	aside := f.HousingFor == OlderPeople || f.HousingFor == PeopleWithDisabilities
	switch {
	case aside && f.ChildUnderSix == law.No:
		c.except(setAside)
		return
	case f.Bedrooms == 0 && (!childCounts || f.ChildUnderSix == law.No):
		c.except(noBedrooms)
		return
	}
	if aside {
		c.reasons |= setAsideButChild
	}
	if f.Bedrooms == 0 {
		c.reasons |= noBedroomsButChild
	}
	childMatters := f.ChildUnderSix != law.Yes
	if (aside || f.Bedrooms == 0) && f.ChildUnderSix == law.Unknown {
		c.presume(missChild)
	}
	if f.Bedrooms == BedroomsUnknown && (childMatters || !childCounts) {
		c.presume(missBedrooms)
	}
	if f.HousingFor == ForUnknown && childMatters {
		c.presume(missSetAside)
	}
}

func facility(c *Coverage, f CoverageFacts) {
	switch f.VisitedByChild {
	case law.Yes:
		c.reasons |= facilityVisited
	case law.No:
		c.except(facilityNotVisited)
	default:
		c.presume(missVisits)
	}
}

// In is the rules as they hold in a property's jurisdictions, beside the federal one. It does not allocate.
func (r Rules) In(jurisdictions []string) Rules {
	r.scope.Jurisdictions = jurisdictions
	return r
}

// RuleSet is the version of the law that answers.
func (r Rules) RuleSet() string { return r.book.RuleSet() }
