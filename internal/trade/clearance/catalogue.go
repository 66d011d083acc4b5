package clearance

import (
	"slices"

	"sillbook/internal/trade/law"
)

// Catalogue is every rule of clearance, question by question.
func Catalogue() []law.Rule {
	return slices.Concat(verdictRules(), authorityRules(), drawRules(), levelRules(), countRules(), planRules())
}

func countRules() []law.Rule {
	const question = "unit-counts"
	inspection := []string{"target_housing_year", "inspection_sampling_year", "inspection_sampling_confidence", "inspection_sampling_share_before_1960",
		"inspection_sampling_share_from_1960", "inspection_sampling_most_before_1960", "inspection_sampling_most_from_1960"}
	return []law.Rule{
		{Name: "inspection_unit_counts", Title: "How many similar units to inspect", Calculation: question,
			Citation: law.Cite("HUD Guidelines (2012), chapter 7, Table 7.3; USACE EP 1110-1-31", law.Text),
			Text:     "Similar units, common areas or exterior sites are inspected by random sample where there are enough of them, by two columns: built before the year of the newer one, or in a year that is not known, and built from it on. Of fewer, each is inspected. The printed table inspection_unit_counts and the exact count stand side by side, and the larger governs.",
			Inputs:   []string{"purpose", "similar", "build_year"}, Parameters: append(inspection, "inspection_sampling_fewest_before_1960", "inspection_sampling_fewest_from_1960"),
			Reasons: []string{"inspection_sample", "inspection_of_all"}},
		{Name: "clearance_unit_counts", Title: "How many similar units to clear by random sample", Calculation: question, Citation: randomSampling,
			Text:   "A random sample of similarly built and maintained units is large enough to show, with the confidence named, that no more than a share of them, or no more than a number, whichever is smaller, exceed; whatever their age. In assisted housing there must be more than so many. The larger of the printed table's older column and the exact count governs. The crews must not know which units will be drawn.",
			Inputs: []string{"purpose", "similar", "crews_know_the_draw"}, Parameters: []string{"clearance_sampling_confidence", "clearance_sampling_share", "clearance_sampling_most", "clearance_sampling_above"},
			Reasons: []string{"clearance_sample", "clearance_of_all", "draw_known_to_crews", "similarly_built_and_maintained"}},
		{Name: "case_unit_counts", Title: "How many other units to assess after an elevated blood lead level", Calculation: question,
			Citation: law.Cite("24 CFR 35.325, .730, .830, .1130 and .1225 as amended 2017", law.Text),
			Text:     "The other covered units of the property are assessed by random sample, of the size that an inspection's has, only where there are more than so many of them, by their age; otherwise each is.",
			Inputs:   []string{"purpose", "similar", "build_year"}, Parameters: append(slices.Clone(inspection), "case_sampling_above_before_1960", "case_sampling_above_from_1960"),
			Reasons: []string{"elevated_blood_lead_sample", "elevated_blood_lead_of_all"}},
	}
}

func levelRules() []law.Rule {
	const question = "clearance-limits"
	return []law.Rule{
		{Name: "clearance_levels", Title: "What a wipe is held against", Calculation: question, Citation: law.Cite("40 CFR 745.227(e)(8)(viii)", law.Text),
			Text:   "A wipe is held against the level required on the local date of sampling, for its surface: EPA's, and those of the programme and the places named; the strictest governs. HUD's own rule may not be weaker than EPA's (24 CFR 35.1320(b)(2)), and where it has no number here, EPA's holds. A level that is in effect and not yet required is named with its date.",
			Inputs: []string{"sampled_on", "programme", "jurisdictions"}, Parameters: []string{"clearance_dust_floor", "clearance_dust_sill", "clearance_dust_trough", "clearance_dust_porch_floor"},
			Reasons: []string{"clearance_level", "next_level", "no_level_outdoors"}},
		{Name: "hazard_levels", Title: "A hazard is another question", Calculation: question, Citation: law.Cite("40 CFR 745.65(b)", law.Text),
			Text:   "Dust is a hazard at or above levels of their own, on floors and sills, by a weighted mean; since the levels parted, a place can pass clearance and still have a dust-lead hazard.",
			Inputs: []string{"sampled_on"}, Parameters: []string{"hazard_dust_floor", "hazard_dust_sill"}, Reasons: []string{"hazard_level"}},
		{Name: "levels_called", Title: "Clearance levels, called action levels since 2025", Calculation: question, Citation: law.Cite("40 CFR 745.61(d)", law.Text),
			Text: "The levels of clearance were called clearance levels, and are called dust-lead action levels since the day on which the words changed.", Inputs: []string{"sampled_on"},
			Parameters: []string{"action_level_named"}, Reasons: []string{"called"}},
	}
}

func verdictRules() []law.Rule {
	const question = "clearance"
	return []law.Rule{
		{Name: "sample_below_the_level", Title: "Each wipe below its level", Calculation: question, Citation: law.Cite("40 CFR 745.227(e)(8)(vii) and (viii)", law.Text),
			Text:   "A wipe passes below the level required on the local date of sampling for its surface, and fails at it. Each is judged by itself, never the mean (24 CFR 35.1340(d)). What fails is cleaned again, with all it stands for, and sampled again.",
			Inputs: []string{"sampled_on", "programme", "jurisdictions", "samples"}, Parameters: []string{"clearance_dust_floor", "clearance_dust_sill", "clearance_dust_trough", "clearance_dust_porch_floor"},
			Reasons: []string{"sample_at_or_above_the_limit", "cleared", "facts_missing"}},
		{Name: "composite_level", Title: "Composites: the level over half of the wipes", Calculation: question, Citation: law.Cite("40 CFR 745.227(e)(8)(vii) and (g); 745.63", law.Text),
			Text:   "A composite of n wipes is compared with the level divided by n/2. It has at least and at most so many wipes, of one kind of surface; another does not count, and nor does any where composites are barred.",
			Inputs: []string{"samples"}, Parameters: []string{"clearance_composite_least", "clearance_composite_most", "clearance_composites_barred"}, Reasons: []string{"sample_does_not_count"}},
		{Name: "less_than_decides", Title: "\"Less than\" decides where its bound is not above the level", Calculation: question, Citation: law.Cite("40 CFR 745.227(e)(8)(vii), of results below a laboratory's limit", law.CommonPractice),
			Text:   "A result below the laboratory's limit shows a pass where that limit over the area is not above the level; otherwise it shows nothing, and half of it is never put in its place. A loading of the laboratory's own that would fail withholds a pass.",
			Inputs: []string{"samples"}, Reasons: []string{"sample_inconclusive"}},
		{Name: "laboratory_share_met", Title: "How low a recognised laboratory's limit is", Calculation: question, Citation: law.Cite("Laboratory Quality System Requirements, revisions 3.0 and 4.0; 89 FR 84576", law.Secondary),
			Text: "Apart from what a result decides, a recognised laboratory's limit over the area is at most a share of the level.", Inputs: []string{"samples"}, Parameters: []string{"laboratory_reportable_share"}},
		{Name: "wait_before_sampling", Title: "No wipe before the dust has settled", Calculation: question, Citation: law.Cite("40 CFR 745.227(e)(8)(iv)", law.Text),
			Text: "A wipe taken sooner than the wait after the final cleaning does not count.", Inputs: []string{"minutes_after_cleaning"}, Parameters: []string{"clearance_wait"}},
		{Name: "visual_first", Title: "The visual inspection passes first", Calculation: question, Citation: visual,
			Text: "Without a passed visual inspection there is no clearance; outdoors it is enough by itself.", Inputs: []string{"visual_passed", "outdoor_only"}, Reasons: []string{"visual_failed"}},
		{Name: "laboratory_recognised", Title: "A recognised laboratory", Calculation: question, Citation: Recognition,
			Text: "The results of a laboratory that is not recognised show no pass; what fails there is cleaned again all the same.", Inputs: []string{"laboratory_recognised"}, Reasons: []string{"laboratory_not_recognised"}},
		{Name: "blanks_accepted", Title: "Blanks with little lead", Calculation: question, Citation: law.Cite("HUD Guidelines (2012), appendix 13", law.Memory),
			Text:   "Where a field blank or a media blank has more lead than it may, or cannot be shown to have no more, the wipes that went with it are suspect: none is shown to pass, and they are taken again.",
			Inputs: []string{"samples"}, Parameters: []string{"field_blank_most", "media_blank_most"}, Reasons: []string{"blank_suspect"}},
		{Name: "sampled_enough", Title: "Enough rooms, every surface, and a floor outside", Calculation: question, Citation: samplePlaces,
			Text:   "Where the place is told, the wipes that count are held against its sampling plan: so many rooms with every surface they have, and outside a containment a floor. What is lacking leaves the clearance unshown.",
			Inputs: []string{"site", "samples"}, Parameters: []string{"sampling_rooms", "sampling_window_wipes", "sampling_floors_outside", "sampling_outside_distance"}, Reasons: []string{"sampling_not_enough"}},
		{Name: "examiner_may_clear", Title: "Examined by somebody who may clear", Calculation: question, Citation: law.Cite("40 CFR 745.85(c) and 745.227(e)(8); 24 CFR 35.1340(b)(1) and (f)", law.Text),
			Text: "Where whoever examined and sampled may not clear the work, nothing is shown to pass. What is not known of them does not stand in the way, and is named.", Inputs: []string{"examiner"}, Reasons: []string{"examiner_may_not"}},
	}
}

func authorityRules() []law.Rule {
	const question = "clearance-authority"
	return []law.Rule{
		{Name: "who_clears", Title: "Inspectors and risk assessors clear any work", Calculation: question, Citation: law.Cite("40 CFR 745.85(c), 745.90(a)(3) and 745.227(e)(8)", law.Text),
			Text:   "Certified inspectors and risk assessors clear any work, and need no more training to sample dust after a renovation.",
			Inputs: []string{"discipline"}, Reasons: []string{"inspector_or_assessor", "discipline_clears_nothing"}},
		{Name: "technician_by_work", Title: "A technician clears renovations, and no abatement", Calculation: question, Citation: law.Cite("40 CFR 745.85(c), 745.90(c) and 745.227(e)(8)", law.Text),
			Text:   "A certified dust sampling technician may take the samples by which a renovation is cleared instead of verified. An abatement is cleared by an inspector or risk assessor.",
			Inputs: []string{"discipline", "work"}, Parameters: []string{"technician_clears_renovation", "technician_clears_abatement"},
			Reasons: []string{"technician_after_renovation", "technician_after_renovation_barred", "technician_after_abatement"}},
		{Name: "technician_in_assisted_housing", Title: "A technician in assisted housing", Calculation: question, Citation: clearsAssisted,
			Text:       "In assisted housing a technician clears under an inspector or risk assessor who signs the report; or, licensed, single-family housing and single units, and by no random sample unless one of those approved it and signs.",
			Inputs:     []string{"assisted", "supervised", "licensed", "single_unit", "random_sampling", "sampling_approved"},
			Parameters: []string{"licensed_technician_clears_assisted", "supervised_technician_clears_assisted", "licensed_technician_random_sampling"},
			Reasons:    []string{"technician_supervised", "technician_licensed"}},
		{Name: "certified_to_clear", Title: "Certified on the day and in the place", Calculation: question, Citation: certifiedToDo,
			Text: "Whoever clears is certified for it on that day and in that place.", Inputs: []string{"certified"}, Reasons: []string{"not_certified"}},
		{Name: "clearance_independence", Title: "By another than did the work", Calculation: question, Citation: independent,
			Text:   "In assisted housing clearance is by somebody independent of whoever did the work, unless the owner's own qualified staff clears; nobody clears their own work. Elsewhere federal law asks for none, and a place's own rules may.",
			Inputs: []string{"relation", "assisted"}, Parameters: []string{"clearance_by_another_firm", "clearance_by_own_staff", "clearance_never_own_work"},
			Reasons: []string{"independent", "own_staff_clears", "own_staff_barred", "same_firm", "same_person", "independence_not_asked"}},
	}
}

func drawRules() []law.Rule {
	return []law.Rule{
		{Name: "reproducible_draw", Title: "A draw that anyone can make again", Calculation: "draws", Citation: byDraw,
			Text:   Recipe + " No name is drawn twice, and no more are taken than there are. The crews do not learn the draw until they are done.",
			Inputs: []string{"seed", "strata"}, Reasons: []string{"drawn_by_digest", "seed_chosen_first", "draw_kept_from_crews"}},
	}
}

func planRules() []law.Rule {
	const question = "sampling-plan"
	return []law.Rule{
		{Name: "sampling_in_containment", Title: "Rooms in a containment", Calculation: question, Citation: samplePlaces,
			Text:   "In a containment wipes are taken in at least so many rooms, halls or stairwells, or in all where there are fewer, and so many of the floor outside it, no farther away than the distance.",
			Inputs: []string{"extent", "contained", "rooms"}, Parameters: []string{"sampling_rooms", "sampling_floors_outside", "sampling_outside_distance"},
			Reasons: []string{"rooms_in_containment", "floor_outside_containment"}},
		{Name: "sampling_without_containment", Title: "Rooms of the dwelling", Calculation: question, Citation: samplePlaces,
			Text:   "Without a containment, and for a whole unit, wipes are taken in at least so many rooms, halls or stairwells of the dwelling, or in all where there are fewer; those that were worked in first. Where it is not known whether there was a containment, so is a floor outside.",
			Inputs: []string{"extent", "contained", "rooms"}, Parameters: []string{"sampling_rooms"}, Reasons: []string{"rooms_of_the_dwelling"}},
		{Name: "sampling_in_each_room", Title: "Floor, sill and trough apart", Calculation: question, Citation: housingWorksite,
			Text:   "In each room the floor is wiped, and of a window's sill and trough so many as are there and asked for. EPA's text can be read as one window sample; HUD asks for both, and that reading holds here.",
			Inputs: []string{"rooms"}, Parameters: []string{"sampling_floor_wipes", "sampling_window_wipes"}, Reasons: []string{"sill_and_trough"}},
		{Name: "technician_sampling", Title: "After a renovation, as the technician's course has it", Calculation: question, Citation: technicianScheme,
			Text:   "After a renovation that is cleared instead of verified, each room of the work area is wiped on its floor and sill, no more rooms than must be, and a floor next to the work area that was not cleaned; a trough only where windows were not closed and covered.",
			Inputs: []string{"work", "windows_covered"}, Reasons: []string{"technician_without_trough"}},
		{Name: "sampling_outdoors", Title: "Work outdoors is cleared by eye", Calculation: question, Citation: samplePlaces,
			Text:   "Outdoors clearance is visual: horizontal surfaces of the outdoor living area are clean, and paint chips are removed from the dripline and the foundation. In assisted housing the rooms next to openings that were not sealed are sampled too. Porch floors are wiped where a programme or place sets a level for them.",
			Inputs: []string{"extent", "openings_sealed", "programme", "rooms"}, Parameters: []string{"clearance_dust_porch_floor"},
			Reasons: []string{"visual_outdoors", "openings_not_sealed", "porch_floors"}},
		{Name: "rooms_by_draw", Title: "Which rooms: by a draw that anyone can make again", Calculation: question, Citation: byDraw,
			Text:   "Of more rooms than must be sampled, those that come first by the SHA-256 of seed, stratum and name are taken. Without a seed every room is.",
			Inputs: []string{"rooms", "seed"}, Parameters: []string{"sampling_rooms"}, Reasons: []string{"all_rooms_without_a_seed", "rooms_drawn"}},
		{Name: "visual_then_wait", Title: "First the eye, then the wait, then the wipe", Calculation: question, Citation: visual,
			Text:   "The visual inspection is passed before wipes are taken, and they are taken no sooner than the wait after the final cleaning.",
			Inputs: []string{"as_of"}, Parameters: []string{"clearance_wait"}},
		{Name: "field_blanks", Title: "Blanks to send along", Calculation: question, Citation: law.Cite("HUD Guidelines, chapter 15", law.Memory),
			Text:   "Unopened wipes go with the samples: at least so many for each unit, and one for every so many wipes.",
			Inputs: []string{"rooms"}, Parameters: []string{"field_blanks_unit", "field_blank_wipes", "field_blank_most"}},
		{Name: "wipe_sizes", Title: "What one wipe covers", Calculation: question, Citation: law.Cite("HUD Guidelines (2012), appendix 13; ASTM E1728", law.Secondary),
			Text:   "A floor wipe covers the usual area, a sill or trough wipe what is there and at least the least area. Bigger areas are advised where levels are low.",
			Inputs: []string{"rooms"}, Parameters: []string{"wipe_floor_area", "wipe_window_area", "wipe_floor_area_advised", "wipe_sill_area_advised"}},
		{Name: "reporting_limit_for_area", Title: "How low the laboratory's limit must be", Calculation: question, Citation: law.Cite("Laboratory Quality System Requirements, revision 4.0; 89 FR 84576", law.Secondary),
			Text:   "A result below the laboratory's limit shows a pass where the limit over the area wiped is not above the level. Apart from that, a recognised laboratory's limit over the area is at most a share of the level.",
			Inputs: []string{"reporting_limit"}, Parameters: []string{"laboratory_reportable_share", "clearance_dust_floor", "clearance_dust_sill", "clearance_dust_trough"}},
		{Name: "carpets_apart", Title: "Carpets apart", Calculation: question, Citation: oneKind,
			Text: "Wipes of carpeted and of bare floors, and of different surfaces, are never put into one composite.", Inputs: []string{"rooms"}},
	}
}
