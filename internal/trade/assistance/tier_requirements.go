package assistance

import (
	"fmt"

	"sillbook/internal/trade/law"
)

var (
	perUnit     = law.Cite("24 CFR 35.915", law.Text)
	tierClause  = law.Cite("24 CFR 35.930", law.Text)
	homeRental  = law.Cite("24 CFR 35.935", law.Text)
	tellClause  = law.Cite("24 CFR 35.910", law.Text)
	insularRule = law.Citation{Clause: "24 CFR 35.940", Source: law.Memory,
		Note: "That this section takes the place of 35.930 in insular areas was read; what it asks is from memory. Its cross-reference to the de minimis says 35.1350(b), apparently meant (d)."}
)

// tierRequirements are what a tier requires before, during and after the work (24 CFR 35.930, in insular areas 35.940), what
// occupants are told (35.910), what goes on (35.935) and what is kept (35.175).
func (n tiers) tierRequirements(f TierFacts, tier Tier) []Requirement {
	var list []Requirement
	if f.Insular == law.Yes {
		list = n.insular(tier)
	} else {
		list = n.mainland(f, tier)
	}
	list = append(list, n.telling()...)
	if f.HomeRental != law.No {
		list = append(list, Requirement{Code: "ongoing_maintenance", Stage: Ongoing, Citation: homeRental,
			Text: "In a rental that the HOME programme assists, ongoing lead-based paint maintenance is part of the regular maintenance."})
	}
	return append(list, Requirement{Code: "keep_records", Stage: Keeping, Citation: n.records.Cite(),
		Text: fmt.Sprintf("Keep each notice, evaluation, and clearance or abatement report for at least %d years; where maintenance or reevaluation goes on, until %d years after it ends.", n.records.Int(), n.records.Int())})
}

func (n tiers) mainland(f TierFacts, tier Tier) []Requirement {
	list := []Requirement{{Code: "test_or_presume", Stage: Before, Citation: tierClause, Text: "Have the painted surfaces that the work will disturb tested for lead-based paint, or presume that they have it."}}
	if tier != Lowest {
		list = append(list, Requirement{Code: "risk_assessment", Stage: Before, Citation: tierClause, Text: "Have a risk assessment made of the assisted units, of the common areas that serve them, and of the exterior."})
	}
	list = append(list, Requirement{Code: "safe_work_practices", Stage: During, Citation: tierClause, Text: "Use safe work practices where paint is disturbed that was not tested free. " + n.deMinimis("They are not required")})
	switch tier {
	case Lowest:
		list = append(list, Requirement{Code: "repair_disturbed_paint", Stage: During, Citation: tierClause, Text: "Repair the paint that the work disturbs."})
	case Middle:
		list = append(list, Requirement{Code: "interim_controls", Stage: During, Citation: tierClause, Text: "Control the hazards that the risk assessment finds, and those that the work makes, by interim controls."})
	case Highest:
		list = append(list, Requirement{Code: "abate_hazards", Stage: During, Citation: tierClause, Text: "Abate the hazards that the risk assessment finds and those that the work makes. Interim controls are allowed on exterior surfaces that the work does not disturb, and on paint hazards not above the de minimis: " + n.limits() + "."})
	}
	return append(list, n.clearing(f, tier))
}

// clearing is the clearance of a tier.
func (n tiers) clearing(f TierFacts, tier Tier) Requirement {
	clear := Requirement{Code: "clear_worksite", Stage: After, Citation: tierClause, Text: "Clear the worksite before it is used again. " + n.deMinimis("Clearance is not required") + " Nor is it where the surfaces were tested and have no lead-based paint."}
	switch {
	case tier == Lowest && f.TestedFree == law.Yes:
		clear.Text = "No clearance is required: the surfaces were tested and have no lead-based paint. Keep the test."
	case tier == Middle:
		clear.Code, clear.Text = "clear_unit", "Clear the unit before it is lived in again, or the worksite where it was contained (24 CFR 35.1330(a)(3), 35.1340)."
	case tier == Highest:
		clear.Code, clear.Text = "clear_unit", "Clear the unit after abatement before it is lived in again (24 CFR 35.1325, 35.1340)."
	}
	return clear
}

// insular are the requirements of an insular area.
func (n tiers) insular(tier Tier) []Requirement {
	list := []Requirement{}
	if tier != Lowest {
		list = append(list, Requirement{Code: "visual_assessment", Stage: Before, Citation: insularRule, Text: "Look at all painted surfaces for deteriorated paint."})
	}
	list = append(list, Requirement{Code: "safe_work_practices", Stage: During, Citation: insularRule, Text: "Use safe work practices. " + n.deMinimis("They are not required")})
	if tier != Lowest {
		list = append(list, Requirement{Code: "paint_stabilisation", Stage: During, Citation: insularRule, Text: "Stabilise all deteriorated paint."})
	}
	return append(list, Requirement{Code: "clear_worksite", Stage: After, Citation: insularRule, Text: "Clear the worksite before it is used again. " + n.deMinimis("Clearance is not required")})
}

// telling are the notices and the pamphlet.
func (n tiers) telling() []Requirement {
	within := fmt.Sprintf("%d calendar days", n.notice.Int())
	return []Requirement{
		{Code: "pamphlet", Stage: Telling, Citation: tellClause, Text: "Give the lead hazard pamphlet to each occupied unit, unless it is shown to have been given already (24 CFR 35.130)."},
		{Code: "notice_of_evaluation", Stage: Telling, Within: within, Citation: tellClause, Text: "Tell occupants of an evaluation that found lead-based paint or hazards, or of the presumption of them (24 CFR 35.125(a))."},
		{Code: "notice_of_hazard_reduction", Stage: Telling, Within: within, Citation: tellClause, Text: "Tell occupants of the hazard reduction, with the results of clearance and the lead-based paint that remains; not required where no clearance is (24 CFR 35.125(b))."},
	}
}

func (n tiers) deMinimis(what string) string {
	return fmt.Sprintf("%s where not more than %s is disturbed.", what, n.limits())
}

// limits are the de minimis of 24 CFR 35.1350(d) in words.
func (n tiers) limits() string {
	return fmt.Sprintf("%s ft2 in a room, %s ft2 outside, or %s%% of a small component", n.interior.Number(), n.exterior.Number(), n.share.Number())
}
