package crew

import "sillbook/internal/trade/law"

const whoMay = "crew-authority"

// authorityRules are answered by the calculation crew-authority.
var authorityRules = []law.Rule{
	{
		Name: "certified_firm", Title: "Certified firm", Calculation: whoMay,
		Text:     "The firm that does, offers or claims to do a renovation for compensation is certified on that day and in that place. It sees to it that everybody is certified or trained, that a certified renovator is assigned to each renovation, and that work practices, notices and records are kept.",
		Citation: law.Cite("40 CFR 745.81(a), 745.89", law.Text), Inputs: []string{"firms"},
	},
	{
		Name: "directing_the_work", Title: "Directing the work", Calculation: whoMay,
		Text:     "One certified renovator is assigned to each renovation, does its work practices or directs those who do, regularly, and is reachable on site or by telephone at all times. That renovator has the copies of the initial and the latest certificate there, tests with a recognised kit when asked to, and prepares the records.",
		Citation: law.Cite("40 CFR 745.89(d), 745.90(b)", law.Text), Inputs: []string{"people", "reachable"},
	},
	{
		Name: "training_workers", Title: "Training workers", Calculation: whoMay,
		Text:     "A certified renovator trains the workers who are not certified.",
		Citation: presence, Inputs: []string{"people"},
	},
	{
		Name: "present_at_three_moments", Title: "Physically present at three moments", Calculation: whoMay,
		Text:     "A certified renovator is physically present when the signs are posted, while the work area is contained and while it is cleaned.",
		Citation: presence, Inputs: []string{"people", "done"},
	},
	{
		Name: "doing_the_work", Title: "Doing the work", Calculation: whoMay,
		Text:     "Everybody who does the work is a certified renovator, or was trained by one and is directed by one who is reachable.",
		Citation: law.Cite("40 CFR 745.89(d), 745.90(b)", law.Text), Inputs: []string{"people", "people/trained", "reachable"},
	},
	{
		Name: "verifying_cleaning", Title: "Verifying the cleaning", Calculation: whoMay,
		Text:     "A certified renovator does the cleaning verification in person; trained workers do not.",
		Citation: law.Cite("40 CFR 745.85(b), 745.90(b)", law.Text), Inputs: []string{"people"},
	},
	{
		Name: "testing_paint", Title: "Testing paint with a kit", Calculation: whoMay,
		Text:     "A certified renovator tests each component with a kit that EPA recognises, following its instructions.",
		Citation: law.Cite("40 CFR 745.82(a)(2), 745.90(b)", law.Text), Inputs: []string{"people", "kit"},
	},
	{
		Name: "recognised_test_kit", Title: "Recognised test kits", Calculation: whoMay,
		Text:       "EPA recognises a kit that misses lead-based paint and finds it where there is none no more often than its criteria allow, both shown with a given confidence. Kits recognised early had only to meet the first.",
		Citation:   law.Cite("40 CFR 745.88(c)", law.Text),
		Inputs:     []string{"kit"},
		Parameters: []string{"test_kit_false_negative", "test_kit_false_positive", "test_kit_confidence"},
	},
	{
		Name: "taking_paint_chips", Title: "Taking paint chips", Calculation: whoMay,
		Text:     "A certified renovator takes a paint chip of each component for a recognised laboratory; inspectors and risk assessors take them in their evaluations.",
		Citation: law.Citation{Clause: "40 CFR 745.82(a)(3), 745.227(b)", Source: law.Text, Note: "That inspectors and risk assessors take paint chips is from memory."}, Inputs: []string{"people"},
	},
	{
		Name: "sampling_dust", Title: "Sampling dust", Calculation: whoMay,
		Text:     "A certified dust sampling technician, inspector or risk assessor samples dust. Inspectors and risk assessors need no more training for it.",
		Citation: law.Cite("40 CFR 745.85(c), 745.90(a)(3), (c)", law.Text), Inputs: []string{"people"},
	},
	{
		Name: "evaluating", Title: "Inspecting and assessing risk", Calculation: whoMay,
		Text:     "A certified inspector or risk assessor inspects for lead-based paint; a certified risk assessor assesses risk.",
		Citation: fromMemory("40 CFR 745.227(b), (d)"), Inputs: []string{"people"},
	},
	{
		Name: "abating", Title: "Abatement", Calculation: whoMay,
		Text:     "A certified supervisor supervises abatement; certified workers and supervisors do it; a certified project designer or supervisor plans it.",
		Citation: fromMemory("40 CFR 745.227(e)"), Inputs: []string{"people"},
	},
	{
		Name: "lifted_in_an_emergency", Title: "Who may in an emergency", Calculation: whoMay,
		Text:     "In an emergency renovation certification and training are lifted to the extent necessary to respond; presence at the cleaning and the cleaning verification never are.",
		Citation: emergencyRule, Inputs: []string{"emergency"},
	},
	{
		Name: "done_without_authority", Title: "Done without authority", Calculation: whoMay,
		Text:     "What was done by somebody who might not do it is told as such, whatever else the crew may do.",
		Citation: law.Cite("40 CFR 745.89(d), 745.90(b)", law.Derived), Inputs: []string{"done"},
	},
}
