package form

import (
	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/assistance"
	"sillbook/internal/trade/duty"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/renovation"
)

// DutiesFacts reads what duties arise from.
func DutiesFacts(a api.DutiesFacts) (duty.Facts, error) {
	var faults fault.Faults
	f := duty.Facts{AsOf: Day(a.AsOf), Jurisdictions: list(a.Jurisdictions), Soon: soonDays(a.SoonDays), Home: duty.Home{Label: a.Home.Label, Covered: Tri(a.Home.Covered),
		Assisted: Tri(a.Home.Assisted), OwnerThere: Tri(a.Home.OwnerThere), Occupied: Tri(a.Home.Occupied),
		Kind: map[api.UnitKind]home.UnitKind{api.UnitKindCommonArea: home.CommonArea, api.UnitKindChildOccupiedFacility: home.ChildOccupiedFacility}[a.Home.Kind]}}
	for _, j := range list(a.Jobs) {
		f.Jobs = append(f.Jobs, dutiesJob(j))
	}
	for _, e := range list(a.Evaluations) {
		f.Evaluations = append(f.Evaluations, duty.Evaluation{Label: e.Label, Visual: is(e.Visual, true), ReceivedOn: Day(e.ReceivedOn), Found: Tri(e.Found), NoticeOn: DayOf(e.NoticeGivenOn)})
	}
	for _, d := range list(a.Dealings) {
		f.Dealings = append(f.Dealings, duty.Dealing{Label: d.Label, DisclosureFacts: home.DisclosureFacts{Dealing: home.Dealing(d.Dealing), ContractOn: DayOf(d.ContractOn), BeganOn: DayOf(d.BeganOn),
			PamphletOn: DayOf(d.PamphletGivenOn), DisclosedOn: DayOf(d.DisclosedOn), RecordsOn: DayOf(d.RecordsGivenOn), AttachmentOn: DayOf(d.AttachmentSignedOn)}})
	}
	for _, h := range list(a.Holders) {
		f.Holders = append(f.Holders, holder(h.Name, h.Certificates, nil))
	}
	for i, e := range list(a.Events) {
		event, err := LocalEvent(api.LocalEventFacts{AsOf: a.AsOf, Event: e.Event, On: e.On, Facts: e.Facts})
		faults.Merge(at("/events", i, ""), err)
		one := duty.Event{Label: e.Label, Trigger: event.Trigger, On: event.On, Facts: event.Facts}
		for _, m := range list(e.Met) {
			one.Met = append(one.Met, duty.LocalMet{Jurisdiction: m.Jurisdiction, Code: m.Code, On: Day(m.On)})
		}
		f.Events = append(f.Events, one)
	}
	if m := a.Maintenance; m != nil {
		f.Upkeep = dutiesUpkeep(*m)
	}
	return f, faults.Err()
}

func dutiesJob(j api.DutiesJob) duty.Job {
	job := duty.Job{Label: j.Label, Covered: Tri(j.Covered), AboveDeMinimis: Tri(j.AboveDeMinimis), Abatement: is(j.Abatement, true), Emergency: is(j.Emergency, true), Indoors: Tri(j.Indoors),
		PlannedStart: DayOf(j.PlannedStart), StartedOn: DayOf(j.StartedOn), EndedOn: DayOf(j.EndedOn), CalledOffOn: DayOf(j.CalledOffOn), InvoicedOn: DayOf(j.FinalInvoiceOn),
		SignsOn: DayOf(j.SignsPostedOn), SignsOffOn: DayOf(j.SignsRemovedOn), OccupantsOutOn: DayOf(j.OccupantsOutOn), OccupantsBackOn: DayOf(j.OccupantsBackOn), Exception: is(j.Exception, true),
		CleanedOn: DayOf(j.CleanedOn), VerifiedOn: DayOf(j.VerifiedOn), ClearedOn: DayOf(j.ClearedOn), InformationOn: DayOf(j.InformationGivenOn), DustReportOn: DayOf(j.DustReportGivenOn),
		HazardReduction: Tri(j.HazardReduction), ReductionNoticeOn: DayOf(j.ReductionNoticeOn), WasteOffOn: DayOf(j.WasteOffOn), AuthorityToldOn: DayOf(j.AuthorityToldOn)}
	for _, n := range list(j.Notices) {
		notice := renovation.Notice{Recipient: renovation.Recipient(n.Recipient), How: renovation.How(n.How), On: Day(n.GivenOn), Attempt: is(n.AttemptCertified, true)}
		if n.Proof != nil {
			notice.Proof = renovation.Proof(*n.Proof)
		}
		job.Notices = append(job.Notices, notice)
	}
	for _, d := range list(j.Days) {
		job.Days = append(job.Days, duty.WorkDay{On: Day(d.On), Cleaned: Tri(d.Cleaned)})
	}
	return job
}

func dutiesUpkeep(m api.DutiesMaintenance) *duty.Upkeep {
	u := duty.Upkeep{EndedOn: DayOf(m.EndedOn), UpkeepFacts: assistance.UpkeepFacts{ReducedOn: DayOf(m.HazardReductionCompletedOn), LeadRemains: Tri(m.LeadPaintRemains),
		VisualOn: DayOf(m.VisualAssessmentOn), TurnoverOn: DayOf(m.TurnoverOn)}}
	for _, e := range list(m.Reevaluations) {
		u.Reevaluations = append(u.Reevaluations, assistance.Reevaluation{On: Day(e.On), Found: Tri(e.HazardFound)})
	}
	for _, r := range list(m.Reports) {
		u.Reports = append(u.Reports, assistance.Report{On: Day(r.On), AnsweredOn: DayOf(r.AnsweredOn)})
	}
	return &u
}
