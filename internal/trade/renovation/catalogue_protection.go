package renovation

import "sillbook/internal/trade/law"

func protectionRules() []law.Rule {
	const question = "occupant-protection"
	return []law.Rule{
		{Name: "relocation", Title: "Relocation of occupants", Calculation: question, Citation: relocation,
			Text:   "Occupants of assisted homes are relocated while more than the de minimis is disturbed, unless one of four exceptions holds in all its conditions. A condition that is not known is not met.",
			Inputs: []string{"assisted", "above_de_minimis", "occupied"}},
		{Name: "relocation_not_asked", Title: "Where relocation is not asked for", Calculation: question, Citation: relocation,
			Text: "Relocation is not asked for where nobody lives, in homes without assistance, and where not more than the de minimis is disturbed.", Inputs: []string{"assisted", "above_de_minimis", "occupied"}},
		{Name: "stay_nothing_leaded", Title: "Staying where nothing leaded is disturbed", Calculation: question, Citation: relocation,
			Text: "Occupants may stay where no leaded paint is disturbed and no leaded dust or soil made.", Inputs: []string{"lead_disturbed"}},
		{Name: "stay_exterior_sealed", Title: "Staying during exterior work", Calculation: question, Citation: relocation,
			Text: "Occupants may stay during exterior work where the openings in and near the worksite are sealed and cleaned after it, and there is a safe entry.", Inputs: []string{"indoors", "openings_sealed", "safe_entry"}},
		{Name: "stay_one_period", Title: "Staying for one period of daytime hours", Calculation: question, Citation: relocation,
			Text:   "Occupants may stay where the interior work is completed within one period of so many daytime hours, contained, and makes no other hazard.",
			Inputs: []string{"one_period_hours", "contained", "other_hazard"}, Parameters: []string{"relocation_one_period_hours"}},
		{Name: "stay_few_days", Title: "Staying for a few days", Calculation: question, Citation: fewDays,
			Text:       "Occupants may stay where the interior work is completed within so many calendar days, contained, makes no other hazard, is cleaned daily so far around the worksite, and leaves safe access to sleeping areas, bathroom and kitchen.",
			Inputs:     []string{"days", "contained", "other_hazard", "cleaned_daily", "access_to_sleeping_areas", "access_to_bathroom", "access_to_kitchen"},
			Parameters: []string{"relocation_days", "relocation_cleaning_distance"}},
		{Name: "keep_out", Title: "Everybody else stays out", Calculation: question, Citation: renovationSign,
			Text: "Whoever does not do the work stays out of the work area until the work is cleaned and checked.", Inputs: []string{"covered"}},
		{Name: "warning_signs", Title: "Warning signs", Calculation: question, Citation: housingSigns,
			Text:   "Signs mark the work area; in assisted homes a warning sign stands at each room entry while the dwelling is occupied, at the building's entries when it is not, and can be read from a distance outdoors, with the wording of the lead standard for construction.",
			Inputs: []string{"covered", "assisted", "indoors", "occupied"}, Parameters: []string{"sign_readable_distance"}},
		{Name: "relocation_advised", Title: "More protection where staying is allowed", Calculation: question, Citation: protectMore,
			Text: "Where the rules would let occupants stay, relocation is advised unless it is known that nobody there needs more protection. It loosens nothing.", Inputs: []string{"protected_occupants"}},
	}
}
