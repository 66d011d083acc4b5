package measure

// Shown is a computed number as an answer shows it: rounded half away from zero to three significant figures. No verdict
// reads it.
type Shown struct {
	Value     string    `json:"value"`
	Unit      string    `json:"unit"`
	Qualifier Qualifier `json:"qualifier,omitempty"`
	Computed  bool      `json:"computed"` // always true
}

// Shown is a number of a unit for an answer.
func (u Unit) Shown(n Number) Shown {
	return Shown{Value: n.Show(), Unit: u.String(), Computed: true}
}

// Shown is the quantity for an answer, "less than" kept.
func (q Quantity) Shown() Shown {
	s := q.Unit.Shown(q.number)
	s.Qualifier = q.Qualifier
	return s
}
