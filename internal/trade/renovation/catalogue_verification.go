package renovation

import "sillbook/internal/trade/law"

func verificationRules() []law.Rule {
	const question = "cleaning-verification"
	return []law.Rule{
		{Name: "verification_in_person", Title: "By a certified renovator, in person", Calculation: question, Citation: verifyInPerson,
			Text: "A certified renovator does the cleaning verification; what somebody else did does not count.", Inputs: []string{"by_certified_renovator"}},
		{Name: "verification_look_first", Title: "Look before any cloth", Calculation: question, Citation: verifyLook,
			Text:   "The certified renovator looks for dust, debris and residue. What is seen is cleaned and looked at again before anything is wiped; what is seen later sends everything back to the beginning.",
			Inputs: []string{"events"}},
		{Name: "verification_sections", Title: "Sections of floors and counter tops", Calculation: question, Citation: verifySections,
			Text:   "A floor or counter top of more than the limit in the work area is divided into roughly equal sections, each smaller than the limit; twice the limit takes three.",
			Inputs: []string{"items", "area", "sections"}, Parameters: []string{"verification_section_area"}},
		{Name: "verification_sills", Title: "Sills", Calculation: question, Citation: verifySill,
			Text: "Each sill is wiped with a wet cloth and passes when the cloth matches the card or is lighter. If it does not, the sill is cleaned and wiped once more, with a new cloth or one folded to an unused face.", Inputs: []string{"items", "events"}},
		{Name: "verification_floors", Title: "Uncarpeted floors and counter tops", Calculation: question, Citation: verifyFloor,
			Text: "Each section is wiped with a new wet cloth and passes when the cloth matches the card. If it does not, the section is cleaned and wiped once more with a new cloth.", Inputs: []string{"items", "events"}},
		{Name: "verification_lighter", Title: "A lighter cloth passes everywhere", Calculation: question, Citation: verifyLighter,
			Text: "A cloth lighter than the card is named for sills only; on floors and counter tops it passes, too.", Inputs: []string{"events"}},
		{Name: "verification_cloths", Title: "How many cloths", Calculation: question, Citation: verifyNoThird,
			Text:   "Each sill and section takes one wet cloth at least, and at most the wet wipes that may fail and one dry wipe. There is no further wet wipe.",
			Inputs: []string{"items"}, Parameters: []string{"verification_wet_wipes"}},
		{Name: "verification_dry_last", Title: "Wait, then wipe dry", Calculation: question, Citation: verifyWipesOnly,
			Text:   "Where the wet wipes have failed, wait the set time or until the surface is dry, whichever is longer; a dry wipe then completes it, whatever it shows.",
			Inputs: []string{"events"}, Parameters: []string{"verification_wait"}},
		{Name: "verification_not_wiped", Title: "What is not wiped", Calculation: question, Citation: verifyNotWiped,
			Text: "Walls, ceilings and carpet are looked at and not wiped.", Inputs: []string{"items"}},
		{Name: "verification_outdoors", Title: "Outdoors", Calculation: question, Citation: verifyOutdoors,
			Text: "Outdoors nothing is wiped: surfaces in and below the work area, sills and the ground are looked at until nothing is left.", Inputs: []string{"outdoors"}},
		{Name: "verification_or_clearance", Title: "Clearance instead", Calculation: question, Citation: verifyInstead,
			Text: "Where the contract or another law asks for dust clearance, it takes the place of the verification.", Inputs: []string{"clearance_instead"}},
	}
}
