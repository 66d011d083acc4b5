package bloodlead

import (
	"fmt"

	"sillbook/internal/trade/law"
)

// Sampling says whether a random sample of the other units may be assessed instead of all of them.
type Sampling struct {
	Allowed  bool         `json:"allowed"`
	MoreThan int          `json:"more_than"` // units that the building must have for it
	Text     string       `json:"text"`
	Citation law.Citation `json:"citation"`
}

// sampling decides by the age of the building and the number of its other units. An age that is not known is taken for the
// one that needs more units, and a number that is not known for too few. It is nil before there was such a rule.
func (r Rules) sampling(f Facts) *Sampling {
	s := scope(f)
	year := r.value(r.samplingYear, f.NotifiedOn, s)
	if year == nil {
		return nil
	}
	h, age := r.samplingOlder, fmt.Sprintf("built before %s, or in a year that is not known", year.Value)
	if f.BuildYear >= year.Int() {
		h, age = r.samplingNewer, fmt.Sprintf("built in or after %s", year.Value)
	}
	least := r.value(h, f.NotifiedOn, s)
	if least == nil {
		return nil
	}
	a := &Sampling{MoreThan: least.Int(), Citation: least.Cite(), Allowed: f.Others.Known && f.Others.N > least.Int()}
	a.Text = fmt.Sprintf("In a building %s, a random sample may be assessed where there are more than %s other units; here all are assessed.", age, least.Value)
	if a.Allowed {
		a.Text = fmt.Sprintf("There are %d other units, more than the %s that a building %s needs: a random sample may be assessed.", f.Others.N, least.Value, age)
	}
	return a
}
