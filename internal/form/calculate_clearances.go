package form

import (
	openapi "github.com/oapi-codegen/runtime/types"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/clearance"
	"sillbook/internal/trade/law"
)

// similarThings name what is counted.
var similarThings = map[api.SimilarThings]string{api.SimilarThingsUnits: "units", api.SimilarThingsCommonAreas: "common areas", api.SimilarThingsExteriorSites: "exterior sites"}

// UnitCountFacts reads the facts of the question how many similar units to sample. A year that is not recorded is not known.
func UnitCountFacts(c api.UnitCountFacts) (clearance.CountFacts, error) {
	f := clearance.CountFacts{AsOf: Day(c.AsOf), Purpose: clearance.Purpose(c.Purpose), Similar: int(c.Similar), Of: similarThings[api.SimilarThingsUnits],
		KnownDraw: is(c.CrewsKnowTheDraw, true)}
	if c.Of != nil {
		f.Of = similarThings[*c.Of]
	}
	var faults fault.Faults
	checkBuildYear(c.BuildYear, c.AsOf.AddDate(500, 0, 0), &faults)
	if y := c.BuildYear; y != nil && y.Certainty == api.CertaintyRecorded && y.Year != nil {
		f.BuildYear = int(*y.Year)
	}
	return f, faults.Err()
}

// printedTable writes a table of the law.
func printedTable(t law.Table) api.PrintedTable {
	return api.PrintedTable{Name: t.Name, Title: t.Title, Description: t.Description, Columns: t.Columns, Effective: openapi.Date{Time: t.Effective.Time()},
		Citation: t.Citation, Recorded: openapi.Date{Time: t.Recorded.Time()}, Note: optional(t.Note), Rows: printedRows(t.Rows), Corrections: printedRows(t.Corrections)}
}

func printedRows(rows []law.Row) []api.PrintedRow {
	list := make([]api.PrintedRow, len(rows))
	for i, r := range rows {
		list[i] = api.PrintedRow{From: int32(r.From), Take: r.Take, Source: string(r.Source), Note: optional(r.Note), Recorded: day(r.Recorded)}
		if r.To != 0 {
			to := int32(r.To)
			list[i].To = &to
		}
	}
	return list
}
