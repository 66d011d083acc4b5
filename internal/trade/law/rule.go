package law

// Rule is one rule of the law as this program applies it: what it decides, from which facts, by which numbers. Each package of
// the trade lists its own; together they are the catalogue.
type Rule struct {
	Name        string   `json:"name"` // stable, snake_case
	Title       string   `json:"title"`
	Text        string   `json:"text"`        // what it says, in a few sentences
	Calculation string   `json:"calculation"` // which calculation answers it: the last part of its path
	Citation    Citation `json:"citation"`
	Inputs      []string `json:"inputs"`     // the facts it reads, as a request names them
	Parameters  []string `json:"parameters"` // the numbers it reads, by name
	Reasons     []string `json:"reasons"`    // the names under which the reasons of an answer quote it, beside its own
}

// Quoted reports whether a reason's name quotes the rule.
func (r Rule) Quoted(reason string) bool { return r.Name == reason || contains(r.Reasons, reason) }
