package duty

import "sillbook/internal/trade/law"

func standingRules() []law.Rule {
	rule := func(name, title, text string, cite law.Citation, inputs ...string) law.Rule {
		return law.Rule{Name: name, Title: title, Text: text, Calculation: "standing", Citation: cite, Inputs: inputs}
	}
	soon := rule("standing_action_due", "Action due", "Something is due soon: it is to be done within so many days; or it has no last day and could be done now.", ownOrder, "duties", "soon_days")
	soon.Parameters = []string{"duty_soon_days"}
	return []law.Rule{
		rule("standing_not_cleared", "Not cleared: keep out", "Work that must be verified or cleared has ended, and neither was done since. It comes before all else, and so does the order in which the conditions follow here.", keepOut, "worksites"),
		rule("standing_under_way", "Work under way: keep out", "Work has begun and has not ended.", keepOut, "worksites"),
		rule("standing_overdue", "Overdue", "A duty is past its last day and was not met.", ownOrder, "duties"),
		soon,
		rule("standing_restricted", "Restricted requirement", "A duty that follows from a restricted fact is not met. Which fact is never said, nor whether it is overdue.", ownOrder, "duties"),
		rule("standing_presumed", "Presumed covered: facts missing", "The home counts as covered because facts are missing.", presumption, "covered"),
		rule("standing_in_order", "In order", "The home is covered, and nothing else is so of it.", ownOrder, "covered", "worksites", "duties"),
		rule("standing_not_covered", "Not covered", "The home is not covered. Other conditions may hold beside it.", targetHousing, "covered"),
	}
}
