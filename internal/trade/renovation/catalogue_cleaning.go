package renovation

import "sillbook/internal/trade/law"

func cleaningRules() []law.Rule {
	const question = "cleaning"
	return []law.Rule{
		{Name: "cleaning_order", Title: "The order of cleaning", Calculation: question, Citation: cleanAll,
			Text: "Debris is picked up and sealed, sheeting misted, folded in and sealed, and everything cleaned from high to low until no dust, debris or residue is left. Sheeting that isolates clean rooms comes down last.", Inputs: []string{"rooms", "isolated"}},
		{Name: "cleaning_indoors", Title: "Cleaning indoors", Calculation: question, Citation: cleanIndoors,
			Text:   "Everything in the work area and within a set distance of it is cleaned: walls from the ceiling down with a HEPA vacuum or a damp cloth, other surfaces with a HEPA vacuum and then damp, carpet with a beater bar, and uncarpeted floors mopped with wash and rinse water apart.",
			Inputs: []string{"rooms", "surfaces", "carpeted"}, Parameters: []string{"cleaning_beyond_distance", "cleaning_buckets", "containment_floor_distance"}},
		{Name: "cleaning_guidance", Title: "What the housing guidance adds", Calculation: question, Citation: housingClean,
			Text: "The final cleaning waits until dust has settled, the water is changed after so many rooms, and everything is vacuumed once more at the end.", Inputs: []string{"rooms"}, Parameters: []string{"cleaning_wait", "cleaning_water_rooms"}},
		{Name: "cleaning_carpet", Title: "Carpet", Calculation: question, Citation: carpetPasses,
			Text: "Carpet is vacuumed with a beater bar in so many passes at right angles.", Inputs: []string{"carpeted"}, Parameters: []string{"carpet_vacuum_passes"}},
		{Name: "cleaning_bags", Title: "How bags are closed", Calculation: question, Citation: bagging,
			Text: "Bags are twisted, folded over and taped, doubled where what they hold is sharp or wet, not too heavy, and clean outside before they leave.", Inputs: []string{"rooms", "outdoors"}, Parameters: []string{"waste_bag_weight"}},
		{Name: "cleaning_daily", Title: "At the end of each day", Calculation: question, Citation: cleanDaily,
			Text: "At the end of each day debris is bagged, surfaces are cleaned, and waste is stored under containment, in an enclosure or behind a barrier.", Inputs: []string{"days"}},
		{Name: "cleaning_outdoors", Title: "Cleaning outdoors", Calculation: question, Citation: cleanAll,
			Text: "Outdoors chips and debris are picked up, sheeting misted and folded, and surfaces cleaned until nothing is seen.", Inputs: []string{"outdoors"}},
	}
}
