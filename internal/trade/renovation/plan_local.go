package renovation

import (
	"slices"
	"strings"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/practice"
)

// localDuties adds what the rules of the job's places ask because of an event. One of which not every fact is known is presumed.
func (q *planning) localDuties(phase string, because law.Trigger, on calendar.Date) {
	seen := []string{}
	for _, w := range q.Works {
		answer := q.Jobs.book.LocalDuties(law.LocalEvent{AsOf: q.Start, Jurisdictions: q.Jobs.scope.Jurisdictions, Trigger: because, On: on, Facts: q.localFacts(w)})
		for _, duty := range answer.Requirements {
			key := duty.Jurisdiction + " " + duty.Code
			if slices.Contains(seen, key) {
				continue
			}
			seen = append(seen, key)
			details := []string{}
			if len(duty.Who) > 0 {
				details = append(details, "By "+strings.ReplaceAll(strings.Join(duty.Who, " or "), "_", " ")+".")
			}
			if len(duty.Missing) > 0 {
				details = append(details, "Presumed, because it is not known: "+strings.Join(duty.Missing, ", ")+".")
			}
			step := q.add(phase, "", Task{Code: "local_requirement", Text: duty.Title + ": " + duty.Text, Why: "The rules of " + duty.Jurisdiction + " ask for it.", Citation: duty.Citation}, details...)
			step.From, step.To = duty.From, duty.By
		}
		if len(answer.Requirements) > 0 {
			q.take(law.Determination{Reasons: answer.Determination.Reasons})
		}
	}
}

// localFacts are what local rules can read of a piece of work. None is restricted.
func (q *planning) localFacts(w PlannedWork) law.LocalFacts {
	facts := law.LocalFacts{"home.covered": w.Work.HomeCovered.String(), "home.rented": w.Work.Rented.String(), "home.assisted": w.Work.Assisted.String(), "home.owner_occupied": q.OwnerThere.String(),
		"home.kind":    map[home.UnitKind]string{home.Dwelling: "dwelling", home.CommonArea: "common_area", home.ChildOccupiedFacility: "child_occupied_facility"}[q.Kind],
		"job.exterior": yesIf(w.Work.Exterior).String(), "job.window_replaced": yesIf(w.Work.replacesWindow()).String(), "job.demolition": yesIf(w.Work.demolishes()).String(),
		"job.abatement": yesIf(w.Work.Abatement).String(), "job.emergency": yesIf(w.Work.Emergency).String()}
	if w.Work.AreaKnown {
		facts["job.area"] = w.Work.Area.String()
	}
	switch w.Work.Method {
	case practice.Unknown, "":
	case practice.MachineWithShroud, practice.MachineWithoutShroud, practice.AbrasiveBlasting, practice.AbrasiveBlastingHEPA:
		facts["job.method"], facts["job.mechanical_removal"] = string(w.Work.Method), "yes"
	default:
		facts["job.method"], facts["job.mechanical_removal"] = string(w.Work.Method), "no"
	}
	return facts
}
