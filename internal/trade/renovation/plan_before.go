package renovation

import (
	"fmt"
	"slices"

	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
)

var outcomeWords = map[Outcome]string{
	NotCovered: "not covered by the renovation rule", NoPaintDisturbed: "no renovation, because no paint is disturbed", NotForCompensation: "outside the renovation rule, because nobody is paid",
	LeadFree: "outside the renovation rule, because the components are free of lead-based paint", Minor: "minor repair and maintenance", CoveredRenovation: "a covered renovation", Abatement: "abatement",
}

// scope says what the job is, and has what is not known tested or presumed.
func (q *planning) scope() error {
	details := []string{}
	for i, w := range q.Works {
		details = append(details, w.Place+": "+outcomeWords[q.applied[i].Outcome]+".")
	}
	cite := minorRepair
	if len(q.d.Reasons) > 0 {
		cite = q.d.Reasons[0].Citation
	}
	q.add(phaseScope, "", Task{Code: "what_it_is", Text: "The job is " + outcomeWords[q.outcome] + ".", Why: "What applies follows from it.", Citation: cite}, details...)
	if q.careful() && slices.ContainsFunc(q.Works, func(w PlannedWork) bool { return w.Work.LeadFree == law.Unknown }) {
		q.add(phaseScope, "", Task{Code: "test_or_presume", Text: "Have every affected component tested, by an inspector, a recognised test kit or paint chips; or presume that it has lead-based paint.", Why: "Components found free of it need no work practices, and everything else does.", Citation: routes})
	}
	if step, asked := q.asks("abatement"); asked {
		q.add(phaseScope, "abatement", Task{Code: "abatement", Text: step.Text, Why: "The renovation rule is not the rule for it.", Citation: step.Citation})
	}
	if step, asked := q.asks("record_emergency"); asked {
		q.add(phaseScope, "record_emergency", Task{Code: "record_emergency", Text: step.Text, Why: "Only what the emergency makes necessary is lifted.", Citation: step.Citation})
	}
	return nil
}

// people are who must be certified.
func (q *planning) people() error {
	whys := map[string]string{"certified_firm": "Only a certified firm may do it.", "certified_renovator": "One person answers for the work practices."}
	for _, code := range []string{"certified_firm", "certified_renovator"} {
		if step, asked := q.asks(code); asked {
			q.add(phasePeople, code, Task{Code: code, Text: step.Text, Why: whys[code], Citation: step.Citation})
		}
	}
	if q.housing() {
		q.add(phasePeople, q.meets("housing"), Task{Code: "trained_workers", Text: "Workers are trained in lead hazards and supervised by a certified abatement supervisor, or have taken an approved course.", Why: "The housing rule asks for it above the de minimis.", Citation: law.Cite("24 CFR 35.1330(a)(4)", law.Text)})
	}
	return nil
}

// notices are the pamphlets and notices of the work, with their days.
func (q *planning) notices() error {
	if _, asked := q.asks("pamphlet"); asked {
		if err := q.pamphlets(); err != nil {
			return err
		}
	}
	q.localDuties(phaseNotices, law.RenovationStart, q.Start)
	if q.outcome == Abatement {
		q.localDuties(phaseNotices, law.AbatementStart, q.Start)
	}
	if _, asked := q.asks("tell_units"); asked {
		return q.notice("tell_units", "tell_units", "Tell each affected unit of the work in writing, or put up signs; prepare, sign and date a statement of the steps taken.", AffectedUnits, WrittenNotice, Signs)
	}
	return nil
}

func (q *planning) pamphlets() error {
	codes := map[Recipient][2]string{Owner: {"pamphlet_owner", "Give the owner the pamphlet, with proof."}, AdultOccupant: {"pamphlet_occupant", "Give an adult occupant the pamphlet, with proof."},
		FacilityRepresentative: {"pamphlet_representative", "Give an adult representative of the facility the pamphlet, with proof."}}
	ways := map[Recipient][]How{Owner: {Handed, Mailed}, AdultOccupant: {Handed, Mailed, AttemptedDelivery}, FacilityRepresentative: {Handed, Mailed, AttemptedDelivery}}
	for _, duty := range Duties([]Site{{Kind: q.Kind, OwnerThere: q.OwnerThere, Occupied: q.Occupants.Occupied}}) {
		if err := q.notice("pamphlet", codes[duty.Recipient][0], codes[duty.Recipient][1], duty.Recipient, ways[duty.Recipient]...); err != nil {
			return err
		}
	}
	if q.Kind == home.ChildOccupiedFacility {
		return q.notice("pamphlet", "tell_parents", "Give parents and guardians the pamphlet and tell them of the work, or put up signs; prepare, sign and date a statement of the steps taken.", ParentsAndGuardians, Handed, Mailed, Signs)
	}
	return nil
}

var wayWords = map[How]string{Handed: "By hand", Mailed: "By mail", AttemptedDelivery: "By an attempted delivery, certified", WrittenNotice: "By a written notice to each unit", Signs: "By signs that stay up while the work lasts"}

// notice adds one notice with the days of each way to give it; the first way's are the step's own.
func (q *planning) notice(meets, code, text string, to Recipient, ways ...How) error {
	step := PlanStep{}
	for i, how := range ways {
		a, err := q.Jobs.Dates(NoticeFacts{Recipient: to, How: how, Start: q.Start, End: q.End})
		if err != nil {
			return err
		}
		detail := fmt.Sprintf("%s: %s to %s.", wayWords[how], a.From, a.To)
		if a.Outcome == noticeNoDay {
			detail = wayWords[how] + ": no day is valid for this start."
		}
		step.Details = append(step.Details, detail)
		if i == 0 {
			step.From, step.To = a.From, a.To
		}
	}
	added := q.add(phaseNotices, meets, Task{Code: code, Text: text, Why: "People learn of the work, and how to protect themselves, before it begins.", Citation: noticeTiming}, step.Details...)
	added.From, added.To = step.From, step.To
	return nil
}

// occupants are kept out or leave; the signs follow.
func (q *planning) occupants() error {
	f := q.Occupants
	f.On, f.Days = q.Start, q.days()
	f.Covered, f.Assisted, f.AboveDeMinimis = yesIf(q.outcome == CoveredRenovation), q.Works[0].Work.Assisted, yesIf(q.housing())
	f.Indoors, f.LeadDisturbed = yesIf(q.indoors()), law.Yes
	if slices.ContainsFunc(q.Works, func(w PlannedWork) bool { return w.Work.LeadFree == law.Unknown }) {
		f.LeadDisturbed = law.Unknown
	}
	a, err := q.Jobs.Protect(f)
	if err != nil {
		return err
	}
	a.Determination.Reasons = without(a.Determination.Reasons, "relocation_advised")
	a.Determination.Missing = slices.DeleteFunc(a.Determination.Missing, func(m law.Missing) bool {
		return m.Fact == "covered" || m.Fact == "above_de_minimis" || m.Fact == "lead_disturbed"
	})
	q.take(a.Determination)
	whys := map[string]string{"relocate": "Dust and debris harm most those who live among them.", "keep_out": "Dust is carried out on feet and hands.", "protect_more": "It is the surest way to keep people from the dust."}
	signs := []Step{}
	for _, s := range a.Steps {
		if why, about := whys[s.Code]; about {
			q.add(phaseOccupants, q.meets("occupants"), Task{Code: s.Code, Text: s.Text, Why: why, Citation: s.Citation})
		} else {
			signs = append(signs, s)
		}
	}
	if q.indoors() {
		q.add(phaseAir, q.meets("containment"), Task{Code: "ventilation_off", Text: "Turn off heating, cooling and ventilation that serve the work area, and utilities that the work may touch; seal their openings there.", Why: "Moving air carries dust through the whole home.", Citation: ventilation})
	}
	for _, s := range signs {
		q.add(phaseSigns, q.meets("signs"), Task{Code: s.Code, Text: s.Text, Why: "Nobody walks into the work area unawares.", Citation: s.Citation})
	}
	return nil
}

func yesIf(yes bool) law.Tri {
	if yes {
		return law.Yes
	}
	return law.No
}
