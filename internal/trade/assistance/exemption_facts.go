package assistance

import (
	"fmt"

	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
)

func yes(b bool) law.Tri {
	if b {
		return law.Yes
	}
	return law.No
}

func not(t law.Tri) law.Tri {
	return [...]law.Tri{law.Unknown: law.Unknown, law.Yes: law.No, law.No: law.Yes}[t]
}

// known is a fact that has to be told to count: an emergency of which nobody speaks is none.
func known(t law.Tri) law.Tri { return yes(t == law.Yes) }

// claimed is whether all of several facts hold. Where the first is not told, nobody speaks of it; where it is, the others count.
func claimed(first law.Tri, others ...law.Tri) law.Tri {
	if first != law.Yes {
		return law.No
	}
	return all(others...)
}

// all is yes where every fact is, no where one is not, and else not known.
func all(facts ...law.Tri) law.Tri {
	answer := law.Yes
	for _, t := range facts {
		if t == law.No {
			return law.No
		}
		if t == law.Unknown {
			answer = law.Unknown
		}
	}
	return answer
}

func (n exemptions) builtAfter(f ExemptionFacts) law.Tri {
	switch {
	case f.Certainty == home.Recorded:
		return yes(f.BuildYear >= n.year)
	case f.Certainty == home.Estimated && f.BuildYear < n.year:
		return law.No
	}
	return law.Unknown
}

func (f ExemptionFacts) zeroBedroom() law.Tri {
	if f.Bedrooms == home.BedroomsUnknown {
		return law.Unknown
	}
	return yes(f.Bedrooms == 0)
}

func (f ExemptionFacts) setAside() law.Tri {
	aside := [...]law.Tri{home.ForUnknown: law.Unknown, home.General: law.No, home.OlderPeople: law.Yes, home.PeopleWithDisabilities: law.Yes}[f.HousingFor]
	return all(aside, not(f.ChildUnderSix))
}

// noPaint is whether rehabilitation leaves all paint alone.
func (f ExemptionFacts) noPaint() law.Tri {
	return claimed(f.Rehabilitation, not(f.PaintDisturbed))
}

// value is a fact as text, "unknown" where it is not known.
func (f ExemptionFacts) value(fact string) string {
	switch fact {
	case "build_year":
		if f.BuildYear == 0 {
			return "unknown"
		}
		return fmt.Sprintf("%d, %s", f.BuildYear, [...]string{"unknown", "estimated", "recorded"}[f.Certainty])
	case "bedrooms":
		if f.Bedrooms == home.BedroomsUnknown {
			return "unknown"
		}
		return fmt.Sprint(f.Bedrooms)
	case "housing_for":
		return [...]string{"unknown", "general", "older_people", "people_with_disabilities"}[f.HousingFor]
	case "seized_on":
		return f.SeizedOn.String()
	case "first_payment_on":
		return f.FirstPaymentOn.String()
	}
	for _, t := range f.facts() {
		if t.name == fact {
			return t.told.String()
		}
	}
	return ""
}

type named struct {
	name string
	told law.Tri
}

// facts are the yes-or-no facts under their names in a request.
func (f ExemptionFacts) facts() []named {
	return []named{
		{"child_under_six", f.ChildUnderSix}, {"found_lead_free", f.FoundLeadFree}, {"lead_paint_removed", f.LeadPaintRemoved}, {"removal_cleared", f.RemovalCleared},
		{"enclosed_or_encapsulated", f.EnclosedOrCoated}, {"unoccupied", f.Unoccupied}, {"to_be_demolished", f.ToBeDemolished}, {"non_residential", f.NonResidential},
		{"shared_with_dwellings", f.SharedWithHomes}, {"rehabilitation", f.Rehabilitation}, {"paint_disturbed", f.PaintDisturbed}, {"emergency_action", f.EmergencyAction},
		{"exterior_in_bad_weather", f.BadWeather}, {"historic", f.Historic}, {"preservation_office_asks", f.PreservationOffice},
	}
}
