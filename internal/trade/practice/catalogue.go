package practice

import (
	"slices"

	"sillbook/internal/trade/law"
)

// Catalogue is every rule of methods and of the workers who use them, question by question.
func Catalogue() []law.Rule {
	return slices.Concat(methodRules(), exposureRules(), medicalRules())
}

func methodRules() []law.Rule {
	const question = "practices"
	return []law.Rule{
		{Name: "epa_renovation_practices", Title: "Methods prohibited and restricted in renovation", Calculation: question, Citation: epaAll,
			Text:       "Flame is prohibited. High-speed machines and blasting need a shroud or containment and a HEPA vacuum, with no dust or air seen outside; heat guns stay below a temperature. Scraping and sanding dry by hand are not named. Water and chips stay inside the containment. What is not known counts as unguarded.",
			Inputs:     []string{"method", "abatement", "temperature", "with_heat_gun", "shroud", "hepa", "visible_dust_outside"},
			Parameters: []string{"heat_gun_temperature"}},
		{Name: "epa_abatement_practices", Title: "Methods restricted in abatement", Calculation: question, Citation: abateAll,
			Text:       "Flame is prohibited; machines and blasting need HEPA exhaust; heat guns stay below a temperature; paint is scraped dry only with a heat gun, around outlets, or on small defective spots.",
			Inputs:     []string{"method", "abatement", "temperature", "with_heat_gun", "hepa", "outlet_distance", "spot_area", "exterior"},
			Parameters: []string{"abatement_heat_gun_temperature", "abatement_dry_scraping_spot_interior", "abatement_dry_scraping_spot_exterior"}},
		{Name: "housing_prohibited_methods", Title: "Methods prohibited in assisted housing", Calculation: question, Citation: hudRemoval,
			Text:       "Flame is prohibited; machines and blasting without HEPA exhaust; heat guns above a temperature or charring; dry sanding, and dry scraping except with a heat gun, near an outlet or on small defective spots; volatile strippers in a poorly ventilated space. Assistance that is not known counts as given.",
			Inputs:     []string{"method", "assisted", "temperature", "charring", "with_heat_gun", "hepa", "outlet_distance", "spot_area", "exterior", "well_ventilated", "volatile_stripper"},
			Parameters: []string{"hud_heat_gun_temperature", "hud_dry_scraping_outlet_distance", "hud_dry_scraping_spot_interior", "hud_dry_scraping_spot_exterior"}},
		{Name: "most_protective_practice", Title: "The most protective rule governs", Calculation: question, Citation: law.Cite("40 CFR 745.85(a)(3), 745.227(e)(6); 24 CFR 35.140", law.Derived),
			Text:   "Each rule that applies, or may, is asked; the strictest stance is the answer, a jurisdiction's own among them, and the answer says where the others differ.",
			Inputs: []string{"method", "abatement", "assisted", "jurisdictions"}, Reasons: []string{"local_practices"}},
	}
}
