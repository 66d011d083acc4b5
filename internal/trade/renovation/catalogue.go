package renovation

import (
	"slices"

	"sillbook/internal/trade/law"
)

// Catalogue is every rule of a job, question by question.
func Catalogue() []law.Rule {
	parts := slices.Concat(applicabilityRules(), verificationRules(), protectionRules(), containmentRules(), emergencyRules(), noticeRules(), recordRules(), cleaningRules())
	plan := planRules()
	plan[0].Parameters = planReads(parts)
	return append(parts, plan...)
}

func applicabilityRules() []law.Rule {
	const question = "applicability"
	return []law.Rule{
		{Name: "covered_homes_only", Title: "Only in covered homes", Calculation: question, Citation: law.Cite("40 CFR 745.82(a)", law.Text),
			Text:   "The renovation rule applies in target housing and child-occupied facilities. A home of which it is not known counts as covered.",
			Inputs: []string{"home_covered"}, Reasons: []string{"home_not_covered"}},
		{Name: "paint_disturbed", Title: "Only where paint is disturbed", Calculation: question, Citation: law.Cite(`40 CFR 745.83, "renovation"`, law.Text),
			Text:   "Work that disturbs no painted surface is no renovation. What is not known counts as disturbing paint.",
			Inputs: []string{"paint_disturbed", "method", "area", "window_replaced", "painted_surface_demolished"}, Reasons: []string{"no_paint_disturbed"}},
		{Name: "compensation", Title: "Only for compensation: who works for whom", Calculation: question, Citation: compensation,
			Text:   "The rule applies to work for compensation, and rent is compensation: a landlord, a landlord's employee or a manager who acts for the landlord works for it, and so does a hired firm. An owner working unpaid in the home they live in, and a volunteer, do not. Who is not known counts as paid. Whoever does paid work needs the certification; who hires a certified firm does not.",
			Inputs: []string{"done_by", "rented"}, Reasons: []string{"not_for_compensation", "rent_is_compensation", "hired_firm_is_paid"}},
		{Name: "lead_free_work", Title: "Not on components found free of lead-based paint", Calculation: question, Citation: routes,
			Text:   "The rule does not apply where every affected component was found free of lead-based paint, by a certified inspector, a recognised test kit or paint chips.",
			Inputs: []string{"lead_free"}, Reasons: []string{"lead_free_components"}},
		{Name: "minor_repair", Title: "Minor repair and maintenance", Calculation: question, Citation: minorRepair,
			Text:   "Work that disturbs no more painted surface than the limit of a room, or of a building's exterior, and in which nothing rules it out, is minor. Of a painted component that is removed, the whole area counts. An area that is not known counts as more.",
			Inputs: []string{"on", "exterior", "area"}, Parameters: []string{"minor_repair_interior", "minor_repair_exterior"},
			Reasons: []string{"within_minor_repair", "over_minor_repair", "area_unknown"}},
		{Name: "never_minor_repair", Title: "What is never minor", Calculation: question, Citation: law.Cite("40 CFR 745.83 with 745.85(a)(3)", law.Derived),
			Text:   "However small, work is not minor where a practice is used that is prohibited or restricted, guarded or not; where a window is replaced; or where a painted surface is demolished. A method that is not known counts as restricted.",
			Inputs: []string{"method", "component", "window_replaced", "painted_surface_demolished"}, Reasons: []string{"method_never_minor", "method_unknown", "window_replaced", "painted_surface_demolished"}},
		{Name: "jobs_within_days", Title: "Jobs at one place close together are one job", Calculation: question, Citation: WindowReading,
			Text:   "The areas of all jobs in a room, or on a building's exterior, within any run of consecutive days of that length are added, and a job among them that is never minor makes them all so.",
			Inputs: []string{"on", "other_jobs"}, Parameters: []string{"minor_repair_days"}, Reasons: []string{"over_minor_repair_together", "other_area_unknown", "other_never_minor"}},
		{Name: "emergency_not_added", Title: "Emergency renovations are not added", Calculation: question, Citation: minorRepair,
			Text: "An emergency renovation is not added to the other jobs at its place, nor they to it.", Inputs: []string{"emergency", "other_jobs"}},
		{Name: "housing_de_minimis", Title: "The housing rule's de minimis beside it", Calculation: question, Citation: deMinimis,
			Text:   "In an assisted home safe work practices and clearance are required where more paint is disturbed than the limit of a room, of the exterior, or of a small component: three tests, each by itself, job by job, whoever is paid. Whichever of the two rules asks for more holds, and the answer says where they differ.",
			Inputs: []string{"assisted", "area", "component", "share", "exterior"}, Parameters: []string{"hud_de_minimis_interior", "hud_de_minimis_exterior", "hud_de_minimis_component"},
			Reasons: []string{"above_de_minimis", "de_minimis_share_unknown"}},
		{Name: "abatement_not_renovation", Title: "Abatement is no renovation", Calculation: question, Citation: law.Cite(`40 CFR 745.223, "abatement", and 745.65(d)`, law.Text),
			Text:   "Work designed to eliminate lead hazards for good, or ordered by an authority, is abatement and is done by certified supervisors and workers. Its work practices are left out only for less than an area in a room, outside, or a share of a small component.",
			Inputs: []string{"abatement", "area", "component", "share", "exterior"}, Parameters: []string{"abatement_practice_interior", "abatement_practice_exterior", "abatement_practice_component"},
			Reasons: []string{"abatement", "abatement_below_practices"}},
		{Name: "owner_opt_out", Title: "The owner's opting out, until 2010", Calculation: question, Citation: optOut,
			Text:   "An owner who lived in the home could sign the work practices, training and certification away, until that ended. The notices and their records stayed.",
			Inputs: []string{"on", "opted_out"}, Parameters: []string{"opt_out"}, Reasons: []string{"opted_out", "opt_out_ended"}},
		{Name: "certified_work", Title: "Certified work, since 2010", Calculation: question, Citation: law.Cite("40 CFR 745.81(a)", law.Text),
			Text:   "From the date on which it was required, a covered renovation needs a certified firm, a certified renovator and the work practices; before it, only the notices.",
			Inputs: []string{"on"}, Parameters: []string{"certified_work_required"}, Reasons: []string{"certification_not_yet"}},
	}
}
