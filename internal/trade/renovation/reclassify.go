package renovation

import (
	"cmp"
	"slices"
)

// Placed is a piece of work at one place, under the identifier its job has in the book.
type Placed struct {
	ID   string
	Work Work
}

// Reclassification is a job that is something else because of another one.
type Reclassification struct {
	ID            string
	Before, After Applicability
}

// Reclassify says what a job is beside the other jobs at its place, and which of those it makes something else, by date and
// identifier. The order in which the jobs were told does not matter.
func (r Rules) Reclassify(jobs []Placed, added Placed) (Applicability, []Reclassification, error) {
	own, err := r.Apply(added.Work, allBut(jobs, -1))
	if err != nil {
		return own, nil, err
	}
	jobs = slices.SortedFunc(slices.Values(jobs), func(a, b Placed) int {
		return cmp.Or(cmp.Compare(a.Work.On, b.Work.On), cmp.Compare(a.ID, b.ID))
	})
	changed := []Reclassification{}
	for i, j := range jobs {
		beside := allBut(jobs, i)
		before, err := r.Apply(j.Work, beside)
		if err != nil {
			return own, nil, err
		}
		after, err := r.Apply(j.Work, append(beside, added.Work.AsOther()))
		if err != nil {
			return own, nil, err
		}
		if before.Outcome != after.Outcome {
			changed = append(changed, Reclassification{ID: j.ID, Before: before, After: after})
		}
	}
	return own, changed, nil
}

// allBut are the jobs but one as that one sees them.
func allBut(jobs []Placed, one int) []Other {
	list := make([]Other, 0, len(jobs))
	for i, j := range jobs {
		if i != one {
			list = append(list, j.Work.AsOther())
		}
	}
	return list
}
