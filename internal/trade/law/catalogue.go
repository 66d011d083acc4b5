package law

// Catalogue is the rules that this package applies itself.
func Catalogue() []Rule {
	return []Rule{{
		Name: "local_requirement", Title: "What states, tribes and cities ask beyond federal law",
		Text:        "A requirement of a place's own rules arises from its trigger where all its conditions hold; a condition on a fact that is not known counts as holding. It is to be met within the days that the rules give, by whom they name, with the evidence they name.",
		Calculation: "local-requirements", Citation: Citation{Clause: "the rules of the place, as they are entered", Source: Derived, Note: "Each requirement carries its own clause."},
		Inputs: []string{"jurisdictions", "event", "on", "facts"}, Parameters: []string{}, Reasons: []string{},
	}}
}
