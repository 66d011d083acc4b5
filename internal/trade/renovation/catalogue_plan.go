package renovation

import (
	"slices"

	"sillbook/internal/trade/law"
)

func planRules() []law.Rule {
	const question = "job-plan"
	return []law.Rule{
		{Name: "plan_order", Title: "The order of a job", Calculation: question, Citation: planOrder,
			Text: "Scope, certified people, notices, occupants, ventilation, signs, containment, workers, methods, leaving, each day, final cleaning, checking, what comes after, waste and papers: each step with its reason, its clause and how much it takes.", Inputs: []string{"work", "home", "occupants", "rooms", "exterior", "start", "end"}},
		{Name: "plan_ventilation", Title: "Ventilation off", Calculation: question, Citation: ventilation,
			Text: "Heating, cooling and ventilation that serve the work area are turned off and their openings there sealed.", Inputs: []string{"rooms"}},
		{Name: "plan_workers", Title: "Workers' protection until exposure is assessed", Calculation: question, Citation: interim,
			Text: "Until exposure is assessed, employees have respirators, protective clothing, a place to change and to wash, a blood test and training.", Inputs: []string{"work"}},
		{Name: "plan_habits", Title: "Habits that no rule prescribes", Calculation: question, Citation: habit,
			Text: "An entry flap of two sheets, a place to change, leaving without dust, own washing, work clothes apart, and a vacuumed vehicle.", Inputs: []string{"work"}},
	}
}

// planReads are the numbers that a plan reads through its parts.
func planReads(parts []law.Rule) []string {
	var names []string
	for _, rule := range parts {
		names = append(names, rule.Parameters...)
	}
	slices.Sort(names)
	return slices.Compact(names)
}
