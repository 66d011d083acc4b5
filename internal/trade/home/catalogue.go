package home

import (
	"slices"

	"sillbook/internal/trade/law"
)

// Catalogue is every rule of a home, question by question.
func Catalogue() []law.Rule {
	return slices.Concat(coverageRules(), visitRules(), leadFreeRules(), hazardRules(), disclosureRules())
}

func coverageRules() []law.Rule {
	const question = "coverage"
	return []law.Rule{
		{Name: "target_housing", Title: "Housing built before the year", Calculation: question, Citation: targetHousing,
			Text:   "Housing built before the year is covered, with the exceptions below. An exception that rests on a fact that is not known does not hold.",
			Inputs: []string{"as_of", "build_year", "kind"}, Parameters: []string{"target_housing_year"}, Reasons: []string{"built_before", "built_after"}},
		{Name: "build_year_presumed", Title: "An unknown or estimated year takes nothing out", Calculation: question, Citation: protective,
			Text:   "Where the build year is not known, or only estimated at or after the year, the home is presumed to have been built before it.",
			Inputs: []string{"build_year"}, Parameters: []string{"target_housing_year"}, Reasons: []string{"year_not_known", "year_only_estimated"}},
		{Name: "unit_found_lead_free", Title: "Not a unit found free of lead-based paint", Calculation: question, Citation: leadFreeRule,
			Text:   "A unit that a certified inspector found free of lead-based paint as a whole, in writing, is not covered.",
			Inputs: []string{"found_lead_free"}, Reasons: []string{"found_lead_free"}},
		{Name: "set_aside_housing", Title: "Not housing for older people or people with disabilities", Calculation: question, Citation: targetHousing,
			Text:   "Housing set aside for households of one or more persons 62 or older at first occupancy, or for people with disabilities, is not covered unless a child under six lives or is expected to live there.",
			Inputs: []string{"housing_for", "child_under_six"}, Reasons: []string{"set_aside", "set_aside_with_child"}},
		{Name: "zero_bedroom_dwelling", Title: "Not a dwelling without bedrooms", Calculation: question, Citation: zeroBedroom,
			Text:   "A dwelling whose living area is not separated from its sleeping area is not covered. Since the definition changed it is, where a child under six lives or is expected to live there.",
			Inputs: []string{"as_of", "bedrooms", "child_under_six"}, Parameters: []string{"zero_bedroom_child_rule"}, Reasons: []string{"no_bedrooms", "no_bedrooms_with_child"}},
		{Name: "common_area_covered", Title: "Common areas go with the dwellings", Calculation: question, Citation: law.Cite("40 CFR 745.103 with 745.84(b)", law.Derived),
			Text:   "A hall, stair or other shared place of a building with dwellings is covered with them.",
			Inputs: []string{"kind"}, Reasons: []string{"common_area"}},
		{Name: "facility_covered", Title: "Child-occupied facilities", Calculation: question, Citation: facilityRule,
			Text:   "A facility built before the year is covered where the same child under six visits it regularly, as the definition asks; visits that are not known are presumed.",
			Inputs: []string{"kind", "regularly_visited_by_child"}, Reasons: []string{"child_occupied_facility", "not_child_occupied"}},
	}
}

func visitRules() []law.Rule {
	const question = "facility-visits"
	return []law.Rule{
		{Name: "facility_visits", Title: "Child-occupied facility from a log of visits", Calculation: question, Citation: facilityRule,
			Text:   "The same child under six visits on enough different days of one week that starts on a Sunday, long enough on each of them, long enough in that week and long enough in the year: all of it together, by one child. Websites that join the weekly and the yearly hours by \"or\" are wrong.",
			Inputs: []string{"visits", "visitors"}, Parameters: []string{"facility_visit_days", "facility_visit_hours", "facility_week_hours", "facility_year_hours"},
			Reasons: []string{"facility_visits_short", "visitor_not_under_six"}},
		{Name: "facility_built_before", Title: "Only what was built before the year", Calculation: question, Citation: facilityRule,
			Text:   "A place built in or after the year is no child-occupied facility. A year that is not known, or only estimated, takes nothing out.",
			Inputs: []string{"build_year"}, Parameters: []string{"target_housing_year"}, Reasons: []string{"facility_built_after", "facility_year_presumed"}},
		{Name: "facility_log_reading", Title: "How a log is read", Calculation: question, Citation: law.Cite(facilityRule.Clause, law.Derived),
			Text:   "The visits of one day are added. The year is any twelve months in a row that hold the day asked about, with the visits planned in it. The definition says neither; these readings protect most.",
			Inputs: []string{"as_of", "visits"}, Parameters: []string{"facility_year_months"}},
		{Name: "facility_log_open", Title: "What is not in the log", Calculation: question, Citation: protectiveVisits,
			Text:   "A log that is not known to be complete shows no place to be out. A visit of which it is not told who came counts for every child, and a visitor counts as under six as long as the age is not known.",
			Inputs: []string{"log_complete", "visits", "visitors"}, Reasons: []string{"facility_visits_unnamed"}},
	}
}

func leadFreeRules() []law.Rule {
	const question = "lead-free-components"
	levels := []string{"lead_paint_loading", "lead_paint_fraction"}
	return []law.Rule{
		{Name: "lead_free_by_inspection", Title: "Shown free by an inspection", Calculation: question, Citation: routeRules[ByInspection].cite, Parameters: levels,
			Text:   "A certified inspector or risk assessor found in writing that the component has no lead-based paint, and the firm holds a copy.",
			Inputs: []string{"components"}},
		{Name: "lead_free_by_test_kit", Title: "Shown free by a test kit", Calculation: question, Citation: routeRules[ByTestKit].cite, Parameters: levels,
			Text:   "A certified renovator tested the component with a recognised test kit, followed its maker's instructions, and found no lead-based paint.",
			Inputs: []string{"components"}},
		{Name: "lead_free_by_paint_chip", Title: "Shown free by a paint chip", Calculation: question, Citation: routeRules[ByPaintChip].cite, Parameters: append([]string{"lead_free_chip_route"}, levels...),
			Text:   "A certified renovator took a paint chip of the component, and a recognised laboratory found it below the levels.",
			Inputs: []string{"components"}},
		{Name: "integrated_whole", Title: "One test for an integrated whole", Calculation: question, Citation: law.Cite("40 CFR 745.82(a)(2) and (3)", law.Text),
			Text:   "By kit or paint chip, one test serves all parts of an integrated whole, such as the treads and risers of one stair, unless parts look repainted or refinished apart. Where that is not known, lead carries over and freedom from it does not.",
			Inputs: []string{"components"}},
		{Name: "lead_paint_found", Title: "Lead-based paint is at or above the level", Calculation: question, Citation: law.Cite(`40 CFR 745.103, "lead-based paint"`, law.Text), Parameters: levels,
			Text:   "A level at or above the limit is lead-based paint, exactly the limit too. Whoever found lead and however, it counts, whatever another finding says.",
			Inputs: []string{"components"}},
		{Name: "not_shown_free", Title: "What is not shown free is not free", Calculation: question, Citation: law.Cite("40 CFR 745.82(a)", law.Text),
			Text:   "A component of which nothing was found, or whose finding misses a condition of its route, is presumed to have lead-based paint. A result of less than a bound shows it free only where the bound is not above the limit.",
			Inputs: []string{"components"}},
		{Name: "xrf_inconclusive", Title: "An inconclusive XRF reading needs a paint chip", Calculation: question, Citation: law.Cite("Paint testing with XRF instruments", law.CommonPractice),
			Text:   "An XRF reading within the range that is inconclusive for its substrate shows nothing; a paint chip decides.",
			Inputs: []string{"components"}},
		{Name: "lead_free_record", Title: "What the record of a route holds", Calculation: question, Citation: law.Cite("40 CFR 745.86(b)(1)", law.Text), Parameters: []string{"records_years"},
			Text:   "The inspector's report; or manufacturer and model of the kit, components and locations, and each result; or components and locations, name and address of the laboratory, and each result. Kept for years after completion.",
			Inputs: []string{"components"}},
	}
}

func hazardRules() []law.Rule {
	const question = "hazards"
	dust := []string{"hazard_dust_floor", "hazard_dust_sill"}
	return []law.Rule{
		{Name: "paint_friction", Title: "Paint hazard: friction surface", Calculation: question, Citation: paintHazard, Parameters: dust,
			Text:   "Lead-based paint on a surface that is rubbed by use is a hazard where the dust on the nearest horizontal surface below reaches the hazard level.",
			Inputs: []string{"surfaces"}},
		{Name: "paint_impact", Title: "Paint hazard: impact surface", Calculation: question, Citation: paintHazard,
			Text: "Lead-based paint that another component damages by striking it is a hazard.", Inputs: []string{"surfaces"}},
		{Name: "paint_chewable", Title: "Paint hazard: chewable surface", Calculation: question, Citation: paintHazard,
			Text: "Lead-based paint on a surface that a child can mouth, with tooth marks, is a hazard.", Inputs: []string{"surfaces"}},
		{Name: "paint_deteriorated", Title: "Paint hazard: any other deteriorated paint", Calculation: question, Citation: paintHazard,
			Text: "Any other deteriorated lead-based paint is a hazard, however little. Paint that is not known to be free of lead counts as lead-based.", Inputs: []string{"surfaces"}},
		{Name: "poor_condition", Title: "Paint in poor condition", Calculation: question, Citation: poorPaint, Parameters: []string{"poor_condition_interior", "poor_condition_exterior", "poor_condition_component"},
			Text: "More deteriorated paint than an area of a large component, inside or outside, or than a share of a small one, is paint in poor condition.", Inputs: []string{"surfaces"}},
		{Name: "work_practice_extent", Title: "Work practices for small extents: EPA's limit and HUD's", Calculation: question, Citation: law.Cite("40 CFR 745.65(d); 24 CFR 35.1350(d)", law.Text),
			Parameters: []string{"abatement_practice_interior", "abatement_practice_exterior", "abatement_practice_component", "hud_de_minimis_interior", "hud_de_minimis_exterior", "hud_de_minimis_component"},
			Text:       "EPA leaves the work practices out for paint hazards of less than the limits of a room, of the exterior, or of a small component; HUD for not more than them. Exactly at a limit they differ, and the work practices are used.",
			Inputs:     []string{"surfaces"}},
		{Name: "soil_play_area", Title: "Soil hazard: play area", Calculation: question, Citation: soilHazard, Parameters: []string{"soil_hazard_play_area"},
			Text: "Bare soil of a play area at or above the level is a hazard.", Inputs: []string{"soil"}},
		{Name: "soil_yard", Title: "Soil hazard: rest of the yard", Calculation: question, Citation: soilHazard, Parameters: []string{"soil_hazard_yard"},
			Text: "Bare soil of the rest of the yard is a hazard where the mean of its samples is at or above the level.", Inputs: []string{"soil"}},
		{Name: "soil_bare_area_hud", Title: "Soil hazard: HUD's bare area", Calculation: question, Citation: law.Cite("24 CFR 35.1320(b)(2)(ii)(B)", law.Text), Parameters: []string{"hud_soil_bare_area"},
			Text: "For HUD soil of the rest of the yard is a hazard only where more than an area of it is bare on the property. For EPA it is one without that; the answer says where they differ.", Inputs: []string{"soil", "bare_soil_rest_of_yard"}},
		{Name: "soil_abatement_hud", Title: "Soil that must be abated", Calculation: question, Citation: law.Cite("24 CFR 35.1330(f)", law.Text), Parameters: []string{"hud_soil_abatement"},
			Text: "For HUD soil at or above a level must be abated; interim controls are not enough.", Inputs: []string{"soil"}},
		{Name: "dust_hazard_mean", Title: "Dust hazard: weighted mean", Calculation: question, Citation: dustHazard, Parameters: dust,
			Text:   "Dust is a hazard where the mean of all samples of floors, or of interior sills, of a dwelling or common area, single and composite, each weighed by its wipes, is at or above the level. Once any reportable level is a hazard, one sample without \"less than\" is enough.",
			Inputs: []string{"dust"}, Reasons: []string{"dust_floor", "dust_sill", "hazard_level_coming"}},
		{Name: "less_than_bounds", Title: "Results of less than a bound", Calculation: question, Citation: law.Cite(dustHazard.Clause, law.Derived),
			Text:   "A result \"less than\" enters a mean with its bound, and the answer says so. It is no reportable level.",
			Inputs: []string{"dust", "soil"}},
		{Name: "dust_unsampled", Title: "Units without samples follow", Calculation: question, Citation: dustHazard,
			Text: "A unit, or common area, without samples has the dust hazards of the sampled ones of its group: one that has a hazard is enough.", Inputs: []string{"units", "dust"}},
		{Name: "troughs_left_out", Title: "No hazard level for troughs", Calculation: question, Citation: law.Cite("40 CFR 745.65(b)", law.Text),
			Text: "Window troughs have a clearance level and no hazard level.", Inputs: []string{"dust"}},
		{Name: "hazard_not_clearance", Title: "Hazards are not clearance", Calculation: question, Citation: law.Cite("40 CFR 745.227(h)(3) beside 745.227(e)(8)(vii)", law.Derived),
			Text: "Hazards are found by means; clearance judges each sample by itself, against levels of its own.", Inputs: []string{"dust"}},
		{Name: "nobody_obliged", Title: "The standards alone oblige nobody", Calculation: question, Citation: law.Cite("40 CFR 745.61(c)", law.Text),
			Text: "The hazard standards by themselves oblige nobody to evaluate or to act; other rules that rest on them do.", Inputs: []string{"as_of"}, Reasons: []string{"no_hazard_shown"}},
	}
}
