// Package trade bundles what the packages below it know, so that what is stored, what is only asked and what is rehearsed
// are answered by the same functions.
package trade

import (
	"errors"
	"slices"
	"sync"

	"sillbook/internal/trade/assistance"
	"sillbook/internal/trade/bloodlead"
	"sillbook/internal/trade/clearance"
	"sillbook/internal/trade/crew"
	"sillbook/internal/trade/duty"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/practice"
	"sillbook/internal/trade/renovation"
	"sillbook/internal/trade/waste"
)

// Rules are the trade's rules under one book of law. They never change; they are safe for concurrent use.
type Rules struct {
	Law         *law.Book
	Homes       home.Rules
	Visits      home.VisitRules
	Components  home.ComponentRules
	Hazards     home.HazardRules
	Assistance  assistance.Rules
	Jobs        renovation.Rules
	Clearances  *clearance.Rules
	Practices   practice.Rules
	Exposures   practice.Exposures
	Wastes      waste.Classes
	Crews       crew.Rules
	BloodLead   bloodlead.Rules
	Disclosures home.DisclosureRules
	Standings   duty.StandingRules
	Duties      duty.Rules
}

// New finds what every rule reads in a book; an error names a parameter that is not there.
func New(book *law.Book) (*Rules, error) {
	r := &Rules{Law: book}
	return r, errors.Join(
		find(book, &r.Homes, home.NewRules),
		find(book, &r.Visits, home.NewVisitRules),
		find(book, &r.Components, home.NewComponentRules),
		find(book, &r.Hazards, home.NewHazardRules),
		find(book, &r.Disclosures, home.NewDisclosureRules),
		find(book, &r.Assistance, assistance.NewRules),
		find(book, &r.Jobs, renovation.NewRules),
		find(book, &r.Clearances, clearance.NewRules),
		find(book, &r.Practices, practice.NewRules),
		find(book, &r.Exposures, practice.NewExposures),
		find(book, &r.Wastes, waste.NewClasses),
		find(book, &r.Crews, crew.NewRules),
		find(book, &r.BloodLead, bloodlead.NewRules),
		find(book, &r.Standings, duty.NewStandingRules),
		find(book, &r.Duties, duty.NewRules),
	)
}

// find finds what one question reads.
func find[R any](book *law.Book, rules *R, read func(*law.Book) (R, error)) (err error) {
	*rules, err = read(book)
	return err
}

// Catalogue is every rule that is applied here.
func Catalogue() []law.Rule {
	return slices.Concat(
		bloodlead.Catalogue(),
		crew.Catalogue(),
		clearance.Catalogue(),
		home.Catalogue(),
		law.Catalogue(),
		assistance.Catalogue(),
		duty.Catalogue(),
		practice.Catalogue(),
		renovation.Catalogue(),
		waste.Catalogue(),
	)
}

// Localize adds to an answer of a calculation what the places named have to do with it: values of theirs that are weaker than
// the federal ones and have no effect, and places whose rules are not on record.
func (r *Rules) Localize(d *law.Determination, calculation string, jurisdictions []string) {
	if len(jurisdictions) == 0 {
		return
	}
	r.Law.Localize(d, read()[calculation], jurisdictions)
}

// read are the parameters that each calculation reads.
var read = sync.OnceValue(func() map[string][]string {
	parameters := map[string][]string{}
	for _, rule := range Catalogue() {
		parameters[rule.Calculation] = append(parameters[rule.Calculation], rule.Parameters...)
	}
	return parameters
})
