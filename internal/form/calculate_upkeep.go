package form

import (
	"sillbook/api"
	"sillbook/internal/trade/assistance"
	"sillbook/internal/trade/home"
)

// UpkeepFacts reads the facts of the question what maintenance and reevaluation a home owes.
func UpkeepFacts(a api.ReevaluationFacts) assistance.UpkeepFacts {
	f := assistance.UpkeepFacts{AsOf: Day(a.AsOf), ReducedOn: DayOf(a.HazardReductionCompletedOn), LeadRemains: Tri(a.LeadPaintRemains),
		VisualOn: DayOf(a.VisualAssessmentOn), TurnoverOn: DayOf(a.TurnoverOn)}
	for _, e := range list(a.Reevaluations) {
		f.Reevaluations = append(f.Reevaluations, assistance.Reevaluation{On: Day(e.On), Found: Tri(e.HazardFound)})
	}
	for _, r := range list(a.Reports) {
		f.Reports = append(f.Reports, assistance.Report{On: Day(r.On), AnsweredOn: DayOf(r.AnsweredOn)})
	}
	return f
}

// DisclosureFacts reads the facts of the question what must be disclosed.
func DisclosureFacts(a api.DisclosureFacts) home.DisclosureFacts {
	f := home.DisclosureFacts{AsOf: Day(a.AsOf), Dealing: home.Dealing(a.Dealing), Covered: Tri(a.Covered), ContractOn: DayOf(a.ContractOn), BeganOn: DayOf(a.BeganOn),
		Foreclosure: Tri(a.Foreclosure), FoundFree: Tri(a.FoundLeadFree), LeaseDays: count(a.LeaseDays), Renewable: Tri(a.Renewable), Renewal: Tri(a.Renewal),
		NothingNew: Tri(a.NothingNew), PamphletOn: DayOf(a.PamphletGivenOn), DisclosedOn: DayOf(a.DisclosedOn), RecordsOn: DayOf(a.RecordsGivenOn),
		AttachmentOn: DayOf(a.AttachmentSignedOn), OfferedOn: DayOf(a.InspectionOfferedOn), AgreedDays: count(a.InspectionDaysAgreed), Waived: Tri(a.InspectionWaived)}
	for _, r := range list(a.Records) {
		f.Records = append(f.Records, home.Record{What: r.What, On: Day(r.On)})
	}
	return f
}
