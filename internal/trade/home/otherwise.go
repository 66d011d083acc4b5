package home

import (
	"fmt"

	"sillbook/internal/trade/law"
)

// Otherwise adds what could be found out that would make a home's coverage something else. What is known is left alone:
// nobody is asked to leave, and a recorded year stays.
func (r Rules) Otherwise(d *law.Determination, f CoverageFacts) {
	c, err := r.Cover(f)
	if err != nil {
		return
	}
	law.Otherwise(d, f, coverageAlternatives(f, c.year), func(f CoverageFacts) string {
		c, err := r.Cover(f)
		if err != nil {
			return ""
		}
		return c.Outcome.String()
	})
}

func coverageAlternatives(f CoverageFacts, first int) []law.Alternative[CoverageFacts] {
	list := []law.Alternative[CoverageFacts]{}
	find := func(unknown bool, fact, value string, set func(*CoverageFacts)) {
		if unknown {
			list = append(list, law.Alternative[CoverageFacts]{Fact: fact, Value: value, Set: set})
		}
	}
	find(f.Certainty != Recorded, "build_year", fmt.Sprintf("%d or later, recorded", first), func(f *CoverageFacts) { f.BuildYear, f.Certainty = first, Recorded })
	find(f.Certainty == YearUnknown, "build_year", fmt.Sprintf("before %d", first), func(f *CoverageFacts) { f.BuildYear, f.Certainty = first-1, Estimated })
	find(f.FoundLeadFree == law.Unknown, "found_lead_free", "yes", func(f *CoverageFacts) { f.FoundLeadFree = law.Yes })
	if f.Kind == ChildOccupiedFacility {
		find(f.VisitedByChild == law.Unknown, "regularly_visited_by_child", "no", func(f *CoverageFacts) { f.VisitedByChild = law.No })
		find(f.VisitedByChild == law.Unknown, "regularly_visited_by_child", "yes", func(f *CoverageFacts) { f.VisitedByChild = law.Yes })
	}
	if f.Kind != Dwelling {
		return list
	}
	find(f.Bedrooms == BedroomsUnknown, "bedrooms", "0", func(f *CoverageFacts) { f.Bedrooms = 0 })
	find(f.Bedrooms == BedroomsUnknown, "bedrooms", "1 or more", func(f *CoverageFacts) { f.Bedrooms = 1 })
	find(f.HousingFor == ForUnknown, "housing_for", "older_people", func(f *CoverageFacts) { f.HousingFor = OlderPeople })
	find(f.HousingFor == ForUnknown, "housing_for", "general", func(f *CoverageFacts) { f.HousingFor = General })
	find(f.ChildUnderSix == law.Unknown, "child_under_six", "no", func(f *CoverageFacts) { f.ChildUnderSix = law.No })
	find(f.ChildUnderSix == law.Unknown, "child_under_six", "yes", func(f *CoverageFacts) { f.ChildUnderSix = law.Yes })
	return list
}
