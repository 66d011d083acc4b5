package clearance

import (
	"fmt"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// DrawFacts are what is drawn from, and by which seed.
type DrawFacts struct {
	AsOf   calendar.Date
	Seed   string
	Strata []Stratum
}

// Stratum is a group that is drawn from by itself, such as units built and maintained alike, or the rooms of one unit.
type Stratum struct {
	Name  string
	Take  int
	Names []string
}

// DrawAnswer is a draw that anyone can make again.
type DrawAnswer struct {
	Strata        []DrawnStratum    `json:"strata"`
	Recipe        string            `json:"recipe"`
	Determination law.Determination `json:"determination"`
}

// DrawnStratum is one group in the order of the draw: those taken first, then the reserve.
type DrawnStratum struct {
	Name  string  `json:"name"`
	Of    int     `json:"of"`
	Take  int     `json:"take"`
	Order []Drawn `json:"order"`
}

// Draw draws from each stratum. The error names what would leave it open: a name told twice, more to take than there are.
func (r *Rules) Draw(f DrawFacts) (DrawAnswer, error) {
	if err := f.check(); err != nil {
		return DrawAnswer{}, err
	}
	a := DrawAnswer{Strata: []DrawnStratum{}, Recipe: Recipe}
	d := law.NewDetermination("draws", f.AsOf, r.book.RuleSet())
	d.Outcome = "drawn"
	d.Use("seed", f.Seed)
	for _, s := range f.Strata {
		order := Draw(f.Seed, s.Name, s.Names)
		for i := range s.Take {
			order[i].Taken = true
		}
		a.Strata = append(a.Strata, DrawnStratum{s.Name, len(s.Names), s.Take, order})
		d.Because("drawn_by_digest", "strata", fmt.Sprintf("%d of %d in %s", s.Take, len(s.Names), s.Name), byDraw,
			fmt.Sprintf("In %s the first %d of %d are taken, in the order of their digests; the rest are the reserve, in that order.", s.Name, s.Take, len(s.Names)))
	}
	d.Because("seed_chosen_first", "seed", f.Seed, byDraw, "A draw shows that nobody chose only where the seed was fixed before the names, and by nobody who gains by the result.")
	d.Because("draw_kept_from_crews", "", "", randomSampling, "Those who work on the units do not learn which are drawn until they are done.")
	a.Determination = d
	return a, nil
}

func (f DrawFacts) check() error {
	var faults fault.Faults
	if !oneLine(f.Seed) {
		faults.Add("/seed", "not_one_line", "A seed is one line of text, without blanks at its ends.")
	}
	seen := map[string]bool{}
	for i, s := range f.Strata {
		at := fmt.Sprintf("/strata/%d", i)
		if !oneLine(s.Name) {
			faults.Add(at+"/name", "not_one_line", "A name is one line of text, without blanks at its ends.")
		}
		if seen[s.Name] {
			faults.Add(at+"/name", "told_twice", "There is already a group %q; each is drawn from once.", s.Name)
		}
		seen[s.Name] = true
		switch {
		case s.Take < 1:
			faults.Add(at+"/take", "not_positive", "Say how many to take: one or more.")
		case s.Take > len(s.Names):
			faults.Add(at+"/take", "more_than_there_are", "%d cannot be taken of %d; take at most all of them.", s.Take, len(s.Names))
		}
		faults.Merge(at+"/names", CheckDraw(s.Names, ""))
	}
	return faults.Err()
}
