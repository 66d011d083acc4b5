package home

import (
	"strconv"
	"strings"

	"sillbook/internal/trade/law"
)

var (
	targetHousing = law.Cite(`40 CFR 745.103, "target housing"`, law.Text)
	zeroBedroom   = law.Citation{Clause: "89 FR 89416, amending the definition of target housing", Source: law.Memory,
		Note: "That the definition changed on 13 January 2025 was read; its wording and date are from memory."}
	facilityRule = law.Cite(`40 CFR 745.83, "child-occupied facility"`, law.Text)
	leadFreeRule = law.Cite("40 CFR 745.82(a)(1)", law.Text)
	protective   = law.Citation{Clause: targetHousing.Clause, Source: law.Derived, Note: "A fact that is not known gets the protective answer."}
)

// Explain puts an answer into words: why, from which facts, and which facts that are not known could change it.
func (r Rules) Explain(f CoverageFacts, c Coverage) law.Determination {
	d := law.NewDetermination("coverage", f.AsOf, r.book.RuleSet())
	d.Outcome = c.Outcome.String()
	for _, s := range sentences {
		if c.reasons&s.reason != 0 {
			d.Because(s.rule, s.fact, f.value(s.fact), s.cite, c.words(s.text))
		}
	}
	for _, fact := range []string{"build_year", "build_year_certainty", "kind", "bedrooms", "housing_for", "child_under_six", "regularly_visited_by_child", "found_lead_free"} {
		if value := f.value(fact); value != "" && value != "unknown" {
			d.Use(fact, value)
		}
	}
	for _, s := range gaps {
		if c.missing&s.missing != 0 {
			d.Miss(s.fact, s.why, c.words(s.change))
		}
	}
	return d
}

// words puts the first year not covered into a sentence.
func (c Coverage) words(text string) string {
	return strings.ReplaceAll(text, "{year}", strconv.Itoa(c.year))
}

// sentences put each reason into words.
var sentences = []struct {
	reason reasons
	rule   string
	fact   string
	cite   law.Citation
	text   string
}{
	{builtAfter, "built_after", "build_year", targetHousing, "It was built in or after {year}; the rules cover housing built before that year."},
	{builtBefore, "built_before", "build_year", targetHousing, "It was built before {year}."},
	{yearNotKnown, "year_not_known", "build_year", protective, "Its build year is not known, so it is presumed to have been built before {year}."},
	{yearOnlyEstimated, "year_only_estimated", "build_year_certainty", protective, "Its build year is only estimated, and an estimate does not take a home out; it is presumed to have been built before {year}."},
	{leadFree, "found_lead_free", "found_lead_free", leadFreeRule, "A certified inspector found the whole unit free of lead-based paint; keep the written finding."},
	{setAside, "set_aside", "housing_for", targetHousing, "It is housing for older people or people with disabilities, and no child under six lives or is expected to live there."},
	{setAsideButChild, "set_aside_with_child", "child_under_six", targetHousing, "It is housing for older people or people with disabilities, which is covered where a child under six lives or is expected to live, or where that is not known."},
	{noBedrooms, "no_bedrooms", "bedrooms", targetHousing, "Its living area is not separated from its sleeping area, and no child under six counts against that."},
	{noBedroomsButChild, "no_bedrooms_with_child", "child_under_six", zeroBedroom, "A dwelling without bedrooms is covered where a child under six lives or is expected to live, or where that is not known."},
	{commonArea, "common_area", "kind", targetHousing, "It is a common area of a building with dwellings."},
	{facilityVisited, "child_occupied_facility", "regularly_visited_by_child", facilityRule, "The same child under six visits it regularly."},
	{facilityNotVisited, "not_child_occupied", "regularly_visited_by_child", facilityRule, "No child under six visits it as regularly as the definition asks."},
}

var gaps = []struct {
	missing missing
	fact    string
	why     string
	change  string
}{
	{missYear, "build_year", "Only a recorded build year takes a home out of coverage.", "A recorded build year of {year} or later would make it not covered."},
	{missBedrooms, "bedrooms", "A dwelling without bedrooms is excepted where no child under six counts against that.", "No bedrooms, and no child under six, would make it not covered."},
	{missChild, "child_under_six", "The exception holds only where no child under six lives or is expected to live there.", "Knowing that no child under six lives or is expected to live there would make it not covered."},
	{missVisits, "regularly_visited_by_child", "A facility is covered where the same child under six visits regularly.", "Knowing that no child visits so regularly would make it not covered."},
	{missSetAside, "housing_for", "Housing for older people or people with disabilities is excepted where no child under six lives or is expected to live there.", "Housing set aside so, without a child under six, would be not covered."},
	{missLeadFree, "found_lead_free", "The rules do not apply where a certified inspector found no lead-based paint.", "An inspector's written finding that the whole unit is free of it would make it not covered."},
}

// value is a fact as text, "unknown" where it is not known.
func (f CoverageFacts) value(fact string) string {
	switch fact {
	case "build_year":
		if f.BuildYear == 0 {
			return "unknown"
		}
		return strconv.Itoa(f.BuildYear)
	case "build_year_certainty":
		return [...]string{"unknown", "estimated", "recorded"}[f.Certainty]
	case "kind":
		return [...]string{"dwelling", "common_area", "child_occupied_facility"}[f.Kind]
	case "bedrooms":
		if f.Bedrooms < 0 {
			return "unknown"
		}
		return strconv.Itoa(f.Bedrooms)
	case "housing_for":
		return [...]string{"unknown", "general", "older_people", "people_with_disabilities"}[f.HousingFor]
	case "child_under_six":
		return f.ChildUnderSix.String()
	case "regularly_visited_by_child":
		return f.VisitedByChild.String()
	case "found_lead_free":
		return f.FoundLeadFree.String()
	}
	return ""
}
