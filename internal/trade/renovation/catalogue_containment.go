package renovation

import "sillbook/internal/trade/law"

func containmentRules() []law.Rule {
	const question = "containment"
	return []law.Rule{
		{Name: "containment_indoors", Title: "Plastic on the floor", Calculation: question, Citation: containIndoors,
			Text:   "Indoors objects are taken out or covered, ducts closed and covered, windows closed, doors closed and covered, and plastic goes a set distance beyond the surfaces worked on, or as far as it takes, whichever is greater. The housing guidance's smaller distance has no effect.",
			Inputs: []string{"rooms", "surfaces", "enough_distance"}, Parameters: []string{"containment_floor_distance"}},
		{Name: "containment_outdoors", Title: "Plastic on the ground", Calculation: question, Citation: containOutdoors,
			Text:   "Outdoors plastic goes a set distance beyond the surfaces worked on, or as far as it takes, whichever is greater, unless the property line stops it. It is fastened to the building and weighted.",
			Inputs: []string{"exterior", "enough_distance"}, Parameters: []string{"containment_ground_distance"}},
		{Name: "containment_openings", Title: "Windows and doors near exterior work", Calculation: question, Citation: floorsBelow,
			Text:   "Windows and doors within a set distance are closed on the same floor, and on all floors below at the same horizontal distance; on floors above only where conditions ask for it. An opening of which distance or floor is not known is closed.",
			Inputs: []string{"exterior", "openings", "floor", "distance", "above_too"}, Parameters: []string{"containment_openings_distance"}},
		{Name: "containment_property_line", Title: "Vertical barrier near the property line", Calculation: question, Citation: containOutdoors,
			Text:   "Where surfaces within a set distance of the property line are worked on, a vertical barrier or an equivalent stands. A distance that is not known counts as within it.",
			Inputs: []string{"property_line_distance"}, Parameters: []string{"containment_property_line_distance"}},
		{Name: "containment_barrier", Title: "Plastic that ends at a barrier", Calculation: question, Citation: containIndoors,
			Text: "Plastic may end at a sealed vertical barrier, indoors from floor to ceiling. A barrier of which it is not known whether it is sealed cuts nothing short.", Inputs: []string{"barrier"}},
		{Name: "containment_egress", Title: "Ways out stay free", Calculation: question, Citation: leaving,
			Text: "Containment must not block the ways out in an emergency.", Inputs: []string{"blocks_egress"}},
		{Name: "containment_impossible", Title: "A step that cannot be done", Calculation: question, Citation: impossible,
			Text: "A step that cannot be done, such as covering a floor that is being taken out, is excused, and why is recorded; every other step stays. A slippery floor is no such reason.", Inputs: []string{"impossible", "slippery_floor"}},
		{Name: "containment_sheeting", Title: "The plastic", Calculation: question, Citation: sheeting,
			Text: "The thickness of the plastic, and the layers for dusty work.", Inputs: []string{"dusty_work"}, Parameters: []string{"plastic_thickness", "plastic_layers_dusty"}},
		{Name: "containment_wind", Title: "Wind", Calculation: question, Citation: windy,
			Text: "Exterior work stops when the wind is faster than a set speed.", Inputs: []string{"wind"}, Parameters: []string{"exterior_wind_speed"}},
	}
}
