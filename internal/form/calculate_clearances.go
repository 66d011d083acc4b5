package form

import (
	openapi "github.com/oapi-codegen/runtime/types"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/clearance"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
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

// ClearanceAuthorityFacts reads what is known of whoever is to clear.
func ClearanceAuthorityFacts(a api.ClearanceAuthorityFacts) clearance.AuthorityFacts {
	f := clearance.AuthorityFacts{AsOf: Day(a.AsOf), Jurisdictions: list(a.Jurisdictions), Work: sampledWork(a.Work), Assisted: Tri(a.Assisted),
		Certified: Tri(a.Certified), Supervised: Tri(a.Supervised), Licensed: Tri(a.Licensed), SingleUnit: Tri(a.SingleUnit),
		Random: Tri(a.RandomSampling), Approved: Tri(a.SamplingApproved)}
	if a.Discipline != nil && *a.Discipline != api.ClearingDisciplineUnknown {
		f.Discipline = string(*a.Discipline)
	}
	if a.Relation != nil && *a.Relation != api.ClearerRelationUnknown {
		f.Relation = clearance.Relation(*a.Relation)
	}
	return f
}

// site reads the place that was to be sampled; nil where it was not told.
func site(s *api.SampledSite) *clearance.Site {
	if s == nil {
		return nil
	}
	read := &clearance.Site{Work: sampledWork(s.Work), Extent: clearance.Extent(s.Extent), Contained: Tri(s.Contained),
		WindowsCovered: Tri(s.WindowsCovered), OpeningsSealed: Tri(s.OpeningsSealed)}
	for _, r := range s.Rooms {
		read.Rooms = append(read.Rooms, roomToSample(r))
	}
	return read
}

// examinerFacts reads whoever examined and sampled; nil where they were not told.
func examinerFacts(e *api.ExaminerFacts) *clearance.AuthorityFacts {
	if e == nil {
		return nil
	}
	f := ClearanceAuthorityFacts(api.ClearanceAuthorityFacts{Work: e.Work, Assisted: e.Assisted, Discipline: e.Discipline, Certified: e.Certified,
		Supervised: e.Supervised, Licensed: e.Licensed, SingleUnit: e.SingleUnit, RandomSampling: e.RandomSampling, SamplingApproved: e.SamplingApproved, Relation: e.Relation})
	return &f
}

// examiner reads the examiner of a recorded clearance. Independent says the relation where it is not told.
func examiner(e *api.Examiner) *clearance.AuthorityFacts {
	if e == nil {
		return nil
	}
	discipline := api.ClearingDiscipline(e.Discipline)
	f := examinerFacts(&api.ExaminerFacts{Discipline: &discipline, Certified: e.Certified, Supervised: e.Supervised, Licensed: e.Licensed,
		SingleUnit: e.SingleUnit, RandomSampling: e.RandomSampling, SamplingApproved: e.SamplingApproved, Relation: e.Relation})
	switch {
	case f.Relation != "":
	case Tri(e.Independent) == law.Yes:
		f.Relation = clearance.AnotherFirm
	case Tri(e.Independent) == law.No:
		f.Relation = clearance.SameFirm
	}
	return f
}

// sampledWork reads the work that is cleared; unknown and absent are not known.
func sampledWork(w *api.SampledWork) clearance.Work {
	if w == nil || *w == api.SampledWorkUnknown {
		return ""
	}
	return clearance.Work(*w)
}

// DrawFacts reads what is drawn from.
func DrawFacts(d api.DrawFacts) clearance.DrawFacts {
	f := clearance.DrawFacts{AsOf: Day(d.AsOf), Seed: d.Seed}
	for _, s := range d.Strata {
		f.Strata = append(f.Strata, clearance.Stratum{Name: s.Name, Take: int(s.Take), Names: s.Names})
	}
	return f
}

// ClearanceLimitsFacts reads where and when levels are asked for.
func ClearanceLimitsFacts(l api.ClearanceLimitsFacts) clearance.LevelFacts {
	return clearance.LevelFacts{SampledOn: Day(l.SampledOn), Jurisdictions: list(l.Jurisdictions), Programmes: []string{programme(l.Programme)}}
}

// SamplingPlanFacts reads the facts of the question where to take dust wipes. What is absent is not known.
func SamplingPlanFacts(p api.SamplingPlanFacts) (clearance.PlanFacts, error) {
	f := clearance.PlanFacts{AsOf: Day(p.AsOf), Jurisdictions: list(p.Jurisdictions), Programmes: []string{programme(p.Programme)},
		Work: sampledWork(p.Work), Extent: clearance.Extent(p.Extent), Contained: Tri(p.Contained), WindowsCovered: Tri(p.WindowsCovered), OpeningsSealed: Tri(p.OpeningsSealed)}
	if p.Seed != nil {
		f.Seed = *p.Seed
	}
	for _, r := range p.Rooms {
		f.Rooms = append(f.Rooms, roomToSample(r))
	}
	var faults fault.Faults
	f.ReportingLimit, _ = Quantity(&faults, "/reporting_limit", p.ReportingLimit, measure.Mass)
	return f, faults.Err()
}

func roomToSample(r api.RoomToSample) clearance.Room {
	room := clearance.Room{Name: r.Name, Worked: Tri(r.WorkedIn), Sill: Tri(r.Sill), Trough: Tri(r.Trough)}
	if r.Floor != nil && *r.Floor != api.RoomFloorUnknown {
		room.Floor = clearance.Surface(*r.Floor)
	}
	return room
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
