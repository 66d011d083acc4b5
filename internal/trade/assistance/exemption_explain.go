package assistance

import (
	"fmt"

	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
)

// exemptionFacts are the facts that each exemption reads, by its code; the first one speaks for it.
var exemptionFacts = map[string][]string{
	"built_after": {"build_year"}, "zero_bedroom": {"bedrooms"}, "set_aside": {"housing_for", "child_under_six"}, "found_lead_free": {"found_lead_free"},
	"lead_paint_removed": {"lead_paint_removed", "removal_cleared", "enclosed_or_encapsulated"}, "to_be_demolished": {"to_be_demolished", "unoccupied"},
	"non_residential": {"non_residential", "shared_with_dwellings"}, "no_paint_disturbed": {"rehabilitation", "paint_disturbed"}, "emergency_action": {"emergency_action"},
	"seized": {"seized_on"}, "emergency_aid": {"first_payment_on"}, "weather": {"exterior_in_bad_weather"}, "historic": {"historic", "preservation_office_asks"},
}

func (r ExemptionRules) explain(f ExemptionFacts, n exemptions, a ExemptionAnswer) law.Determination {
	d := law.NewDetermination("housing_rule_exemption", f.AsOf, r.book.RuleSet())
	d.Outcome = string(a.Outcome)
	for _, e := range a.Exemptions {
		fact := exemptionFacts[e.Code][0]
		if e.holds == law.Yes {
			d.Because("exempt_"+e.Code, fact, f.value(fact), e.Citation, e.words())
			continue
		}
		for _, open := range exemptionFacts[e.Code] {
			if f.value(open) == "unknown" || open == "build_year" {
				d.Miss(open, "An exemption that rests on a fact that is not known does not hold.", "It could hold: "+e.Why)
			}
		}
	}
	for _, e := range n.timed(f) {
		if e.holds == law.No {
			fact := exemptionFacts[e.Code][0]
			d.Because("exempt_"+e.Code+"_ended", fact, f.value(fact), e.Citation, fmt.Sprintf("The exemption ended after %s.", e.Through))
		}
	}
	if a.Outcome == NotExempt || a.Outcome == PresumedNotExempt {
		d.Because("no_exemption", "build_year", f.value("build_year"), law.Cite("24 CFR 35.115(a)", law.Text), "No exemption of the housing rule is shown to hold.")
	}
	if a.Outcome != Exempt && f.FoundLeadFree == law.Unknown {
		d.Miss("found_lead_free", "A home that a lead-based paint inspection found free of lead-based paint is exempt.", "Such a finding would make it exempt.")
	}
	r.differ(&d, f)
	for _, fact := range []string{"build_year", "bedrooms", "housing_for", "seized_on", "first_payment_on"} {
		if v := f.value(fact); v != "" && v != "unknown" {
			d.Use(fact, v)
		}
	}
	for _, t := range f.facts() {
		if t.told != law.Unknown {
			d.Use(t.name, t.told.String())
		}
	}
	return d
}

// words say what an exemption takes out, and until when.
func (e Exemption) words() string {
	if e.Through.IsZero() {
		return e.Why
	}
	return fmt.Sprintf("%s It holds through %s.", e.Why, e.Through)
}

// differ says where the renovation rule goes on to cover what the housing rule exempts.
func (r ExemptionRules) differ(d *law.Determination, f ExemptionFacts) {
	if f.Bedrooms != 0 || f.ChildUnderSix == law.No {
		return
	}
	if v, ok := r.book.On(r.zeroBedroomChild, f.AsOf, law.Required, r.scope); ok && v.Int() != 0 {
		d.Differences = append(d.Differences, "The housing rule exempts a dwelling without bedrooms ("+clause(2).String()+"); the renovation rule covers it where a child under six lives or is expected to live there, or where that is not known ("+v.Cite().String()+"), so the renovation rule goes on to hold.")
	}
}

// alternatives are facts that are not known, with what would make something exempt, and the one thing that people can do: take
// all lead-based paint away.
func (n exemptions) alternatives(f ExemptionFacts) []law.Alternative[ExemptionFacts] {
	list := []law.Alternative[ExemptionFacts]{}
	find := func(open bool, fact, value string, set func(*ExemptionFacts)) {
		if open {
			list = append(list, law.Alternative[ExemptionFacts]{Fact: fact, Value: value, Set: set})
		}
	}
	find(n.builtAfter(f) == law.Unknown, "build_year", fmt.Sprintf("%d or later, recorded", n.year), func(f *ExemptionFacts) { f.BuildYear, f.Certainty = n.year, home.Recorded })
	find(f.Bedrooms == home.BedroomsUnknown, "bedrooms", "0", func(f *ExemptionFacts) { f.Bedrooms = 0 })
	find(f.HousingFor == home.ForUnknown, "housing_for", "older_people", func(f *ExemptionFacts) { f.HousingFor = home.OlderPeople })
	find(f.ChildUnderSix == law.Unknown, "child_under_six", "no", func(f *ExemptionFacts) { f.ChildUnderSix = law.No })
	find(f.FoundLeadFree == law.Unknown, "found_lead_free", "yes", func(f *ExemptionFacts) { f.FoundLeadFree = law.Yes })
	find(f.RemovalCleared == law.Unknown, "removal_cleared", "yes", func(f *ExemptionFacts) { f.RemovalCleared = law.Yes })
	find(f.EnclosedOrCoated == law.Unknown, "enclosed_or_encapsulated", "no", func(f *ExemptionFacts) { f.EnclosedOrCoated = law.No })
	find(f.Unoccupied == law.Unknown, "unoccupied", "yes", func(f *ExemptionFacts) { f.Unoccupied = law.Yes })
	find(f.SharedWithHomes == law.Unknown, "shared_with_dwellings", "no", func(f *ExemptionFacts) { f.SharedWithHomes = law.No })
	find(f.PaintDisturbed == law.Unknown, "paint_disturbed", "no", func(f *ExemptionFacts) { f.PaintDisturbed = law.No })
	find(f.PreservationOffice == law.Unknown, "preservation_office_asks", "yes", func(f *ExemptionFacts) { f.PreservationOffice = law.Yes })
	if f.FoundLeadFree != law.Yes {
		list = append(list, law.Alternative[ExemptionFacts]{Fact: "lead_paint_removed", Value: "all of it, and cleared", Action: true, Set: func(f *ExemptionFacts) {
			f.LeadPaintRemoved, f.RemovalCleared, f.EnclosedOrCoated = law.Yes, law.Yes, law.No
		}})
	}
	return list
}
