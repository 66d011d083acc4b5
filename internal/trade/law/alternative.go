package law

// Alternative is one thing that could be otherwise about the facts of a question: a fact that could be found out, or
// something that people could do.
type Alternative[F any] struct {
	Fact   string // as the request names it
	Value  string // what it would be
	Action bool   // something to be done, not to be found out
	Set    func(*F)
}

// Counterfactual is a small set of changes that together would change an outcome; none of them could be left out.
type Counterfactual struct {
	Changes []Change `json:"changes"`
	Outcome string   `json:"outcome"`
}

// Change is one change of a counterfactual.
type Change struct {
	Fact  string `json:"fact"`
	Value string `json:"value"`
	Kind  string `json:"kind"` // fact or action
}

const (
	mostChanges = 3    // in a set
	mostSets    = 20   // shown
	mostTried   = 4000 // answers worked out
)

// Counterfactuals looks for the sets of at most three alternatives that would change the outcome, the smallest first. A set that
// holds a smaller one that was found is left out, and so are two values for one fact. complete is false when the search was
// cut. Set must not write into what the facts share with others: slices and maps are to be copied first.
func Counterfactuals[F any](facts F, alternatives []Alternative[F], outcome func(F) string) (sets []Counterfactual, complete bool) {
	s := search[F]{facts: facts, alternatives: alternatives, outcome: outcome, now: outcome(facts), complete: true, sets: []Counterfactual{}}
	for size := 1; size <= mostChanges && s.complete; size++ {
		s.choose(make([]int, 0, size), 0, size)
	}
	return s.sets, s.complete
}

// Otherwise puts what would change the outcome into an answer.
func Otherwise[F any](d *Determination, facts F, alternatives []Alternative[F], outcome func(F) string) {
	sets, complete := Counterfactuals(facts, alternatives, outcome)
	d.Counterfactuals, d.Complete = sets, &complete
}

type search[F any] struct {
	facts        F
	alternatives []Alternative[F]
	outcome      func(F) string
	now          string
	tried        int
	found        [][]int // indexes of the alternatives of each set
	sets         []Counterfactual
	complete     bool
}

// choose completes a chosen set to a size, in every way.
func (s *search[F]) choose(chosen []int, from, size int) {
	if len(chosen) == size {
		s.try(chosen)
		return
	}
	for i := from; i < len(s.alternatives) && s.complete; i++ {
		if !s.clashes(chosen, i) {
			s.choose(append(chosen, i), i+1, size)
		}
	}
}

// clashes reports whether another alternative of the same fact is chosen already.
func (s *search[F]) clashes(chosen []int, i int) bool {
	for _, j := range chosen {
		if s.alternatives[j].Fact == s.alternatives[i].Fact {
			return true
		}
	}
	return false
}

func (s *search[F]) try(chosen []int) {
	for _, smaller := range s.found {
		if holdsAll(chosen, smaller) {
			return
		}
	}
	if s.tried++; s.tried > mostTried {
		s.complete = false
		return
	}
	facts := s.facts
	for _, i := range chosen {
		s.alternatives[i].Set(&facts)
	}
	outcome := s.outcome(facts)
	if outcome == s.now || outcome == "" {
		return
	}
	if len(s.sets) == mostSets {
		s.complete = false
		return
	}
	s.found = append(s.found, append([]int(nil), chosen...))
	c := Counterfactual{Outcome: outcome}
	for _, i := range chosen {
		a, kind := s.alternatives[i], "fact"
		if a.Action {
			kind = "action"
		}
		c.Changes = append(c.Changes, Change{Fact: a.Fact, Value: a.Value, Kind: kind})
	}
	s.sets = append(s.sets, c)
}

// holdsAll reports whether every index of smaller is in set; both ascend.
func holdsAll(set, smaller []int) bool {
	i := 0
	for _, n := range set {
		if i < len(smaller) && smaller[i] == n {
			i++
		}
	}
	return i == len(smaller)
}
