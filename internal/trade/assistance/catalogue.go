package assistance

import (
	"slices"

	"sillbook/internal/trade/law"
)

// Catalogue is every rule of assisted housing, question by question.
func Catalogue() []law.Rule {
	return slices.Concat(exemptionRules())
}

func exemptionRules() []law.Rule {
	const question = "housing-rule-exemption"
	rule := func(n int, name, title, text string, inputs []string, parameters ...string) law.Rule {
		return law.Rule{Name: "exempt_" + name, Title: title, Text: text, Calculation: question, Citation: clause(n), Inputs: inputs, Parameters: parameters}
	}
	rules := []law.Rule{
		rule(1, "built_after", "Exempt: built later", "Housing built on or after 1 January of the year is exempt. Only a recorded year shows it.", []string{"as_of", "build_year"}, "housing_rule_year"),
		rule(2, "zero_bedroom", "Exempt: no bedroom", "A dwelling without a bedroom of its own, single rented rooms among them, is exempt from the housing rule, whoever lives there. The renovation rule has covered it since its definition changed, where a child under six lives or is expected to live there; the answer says so.", []string{"bedrooms", "child_under_six"}, "zero_bedroom_child_rule"),
		rule(3, "set_aside", "Exempt: older people or people with disabilities only", "Housing for older people or people with disabilities only is exempt unless a child under six lives or is expected to live there.", []string{"housing_for", "child_under_six"}),
		rule(4, "found_lead_free", "Exempt: found free of lead-based paint", "A property that a lead-based paint inspection found free of it is exempt.", []string{"found_lead_free"}),
		rule(5, "lead_paint_removed", "Exempt: all lead-based paint removed", "A property from which all lead-based paint was removed, and which was cleared, is exempt. Paint that was enclosed or encapsulated is still there.", []string{"lead_paint_removed", "removal_cleared", "enclosed_or_encapsulated"}),
		rule(6, "to_be_demolished", "Exempt: empty and to be demolished", "A property that is not lived in and will be demolished is exempt as long as it stays empty.", []string{"to_be_demolished", "unoccupied"}),
		rule(7, "non_residential", "Exempt: parts not lived in", "A part of a property that is not lived in is exempt; entries, halls and stairs that serve dwellings are not such a part.", []string{"non_residential", "shared_with_dwellings"}),
		rule(8, "no_paint_disturbed", "Exempt: rehabilitation that leaves paint alone", "Rehabilitation that disturbs no painted surface is exempt.", []string{"rehabilitation", "paint_disturbed"}),
		rule(9, "emergency_action", "Exempt: emergency actions", "What must be done at once against danger is exempt, and only that part of the work.", []string{"emergency_action"}),
		rule(10, "seized", "Exempt for a time: seized by law enforcement", "A home that a law enforcement agency has seized is exempt while it has owned it for fewer than a number of days.", []string{"seized_on"}, "seizure_exempt_days"),
		rule(11, "emergency_aid", "Exempt for a time: emergency aid", "Emergency rental help and help against foreclosure are exempt until a number of days after the first payment; the service lets it end on that day.", []string{"first_payment_on"}, "emergency_aid_exempt_days"),
		rule(12, "weather", "Exterior work may wait for weather", "Exterior work may be put off while weather does not allow it.", []string{"exterior_in_bad_weather"}),
		rule(13, "historic", "Historic property: interim controls", "In a historic property interim controls may take the place of abatement at the request of the historic preservation office.", []string{"historic", "preservation_office_asks"}),
		{Name: "no_exemption", Title: "No exemption is presumed", Calculation: question, Citation: protective("24 CFR 35.115(a)"), Text: "An exemption that rests on a fact that is not known does not hold.", Inputs: []string{"build_year", "bedrooms", "housing_for", "child_under_six"}},
	}
	for i, r := range rules {
		if r.Name == "exempt_seized" || r.Name == "exempt_emergency_aid" {
			rules[i].Reasons = []string{r.Name + "_ended"}
		}
	}
	return rules
}
