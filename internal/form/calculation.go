package form

import (
	"strconv"
	"time"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/renovation"

	openapi "github.com/oapi-codegen/runtime/types"
)

// Day reads a date of the contract.
func Day(d openapi.Date) calendar.Date {
	return calendar.Of(d.Year(), d.Month(), d.Day())
}

// DayOf reads an optional date; none is no date.
func DayOf(d *openapi.Date) calendar.Date {
	if d == nil {
		return 0
	}
	return Day(*d)
}

// Tri reads yes, no or unknown; absent is not known.
func Tri(t *api.Tri) law.Tri {
	if t == nil {
		return law.Unknown
	}
	return law.TriOf(string(*t))
}

// CoverageFacts reads the facts of the stateless question. What is absent is not known.
func CoverageFacts(c api.CoverageFacts) (home.CoverageFacts, error) {
	f := home.CoverageFacts{AsOf: Day(c.AsOf), Bedrooms: bedrooms(c.Bedrooms), HousingFor: housingFor(c.HousingFor), ChildUnderSix: Tri(c.ChildUnderSix),
		VisitedByChild: Tri(c.RegularlyVisitedByChild), FoundLeadFree: Tri(c.FoundLeadFree)}
	var faults fault.Faults
	f.BuildYear, f.Certainty = buildYear(&faults, c.BuildYear)
	f.Kind = map[api.UnitKind]home.UnitKind{api.UnitKindCommonArea: home.CommonArea, api.UnitKindChildOccupiedFacility: home.ChildOccupiedFacility}[c.Kind]
	return f, faults.Err()
}

// buildYear reads when a place was built; one that is absent is not known. A year after the day asked about is read: the
// place was planned then.
func buildYear(f *fault.Faults, told *api.BuildYear) (year int, sure home.Certainty) {
	if told == nil {
		return 0, home.YearUnknown
	}
	checkBuildYear(told, time.Date(3000, 1, 1, 0, 0, 0, 0, time.UTC), f)
	if told.Year != nil {
		year = int(*told.Year)
	}
	return year, map[api.Certainty]home.Certainty{api.CertaintyRecorded: home.Recorded, api.CertaintyEstimated: home.Estimated}[told.Certainty]
}

// at is a JSON pointer to a field of an item of a list.
func at(list string, i int, field string) string { return list + "/" + strconv.Itoa(i) + field }

// amount reads a measure in a unit; its faults have been noted.
func amount(m *api.Measure, want measure.Dimension, unit measure.Unit) (measure.Number, bool) {
	var unheard fault.Faults
	q, ok := Quantity(&unheard, "", m, want)
	if !ok {
		return measure.Number{}, false
	}
	return q.In(unit), true
}

// Citation writes a citation.
func Citation(c law.Citation) api.Citation {
	a := api.Citation{Clause: c.Clause, Source: api.CitationSource(c.Source)}
	if c.Note != "" {
		a.Note = &c.Note
	}
	return a
}

// Computed writes a number that the book worked out.
func Computed(n measure.Number, u measure.Unit) api.Computed {
	return api.Computed{Value: n.Show(), Unit: u.String(), Computed: true}
}

// Total writes a running total.
func Total(a renovation.Allowance) api.RoomTotal {
	cite := Citation(a.Cite)
	t := api.RoomTotal{On: openapi.Date{Time: a.On.Time()}, Total: Computed(a.Total, measure.SquareFoot), Limit: Computed(a.Limit, measure.SquareFoot),
		Left: Computed(a.Left, measure.SquareFoot), Citation: &cite}
	if !a.Until.IsZero() {
		t.Until = &openapi.Date{Time: a.Until.Time()}
	}
	return t
}

// Parameters writes the law's numbers with their history, and its printed tables; name narrows to one, when it is not empty.
func Parameters(book *law.Book, name string) api.ParameterList {
	answer := api.ParameterList{RuleSet: book.RuleSet(), Items: []api.Parameter{}}
	for _, p := range book.Parameters() {
		if name != "" && p.Name != name {
			continue
		}
		item := api.Parameter{Name: p.Name, Title: p.Title, Description: p.Description, Unit: optional(p.Unit)}
		for _, v := range p.Values {
			item.Values = append(item.Values, api.ParameterValue{Jurisdiction: v.Jurisdiction, Programme: v.Programme, Value: v.Value,
				Effective: openapi.Date{Time: v.Effective.Time()}, Required: openapi.Date{Time: v.Required.Time()}, Citation: v.Citation,
				Source: string(v.Source), Recorded: openapi.Date{Time: v.Recorded.Time()}, Note: optional(v.Note)})
		}
		answer.Items = append(answer.Items, item)
	}
	tables := []api.PrintedTable{}
	for _, t := range book.Tables() {
		if name == "" || t.Name == name {
			tables = append(tables, printedTable(t))
		}
	}
	answer.Tables = &tables
	return answer
}

func optional(text string) *string {
	if text == "" {
		return nil
	}
	return &text
}

func list[T any](told *[]T) []T {
	if told == nil {
		return nil
	}
	return *told
}
