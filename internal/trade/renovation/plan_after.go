package renovation

import (
	"fmt"

	"sillbook/internal/trade/clearance"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// cleaningUp is each day's and the final cleaning.
func (q *planning) cleaningUp() error {
	a, err := q.Jobs.Clean(CleaningFacts{On: q.Start, Rooms: q.rooms(), Outdoors: q.outdoors(), Days: q.days(), Isolated: q.Isolated})
	if err != nil {
		return err
	}
	q.take(a.Determination)
	for _, t := range a.Daily {
		meets := q.meets("cleaning")
		if t.Code == "store_waste_daily" || t.Code == "bag_debris_daily" {
			meets = q.meets("waste")
		}
		q.add(phaseDaily, meets, t)
	}
	for _, t := range a.Final {
		meets := q.meets("cleaning")
		if t.Code == "store_waste" {
			meets = q.meets("waste")
		}
		q.add(phaseFinal, meets, t)
	}
	return nil
}

// checking is looking, then cloths or wipes, then the signs come down.
func (q *planning) checking() error {
	meets := q.meets("verification")
	q.add(phaseChecking, meets, Task{Code: "look", Text: "A certified renovator looks for dust, debris and residue; what is seen is cleaned and looked at again.", Why: "What can be seen fails every check.", Citation: verifyLook})
	wipes := q.Clearance || q.housing() || q.outcome == Abatement
	_, verifies := q.asks("verification") // by cloths, unless it is known that wipes take their place
	if q.indoors() && verifies && !q.Clearance && q.hud != HUDApplies {
		if err := q.cloths(meets); err != nil {
			return err
		}
	}
	if wipes {
		if err := q.wipes(); err != nil {
			return err
		}
	}
	q.add(phaseChecking, q.meets("signs"), Task{Code: "signs_off", Text: "Take the signs down only now.", Why: "Until it has passed, the place is a work area.", Citation: renovationSign})
	return nil
}

// cloths are the sections and cloths of the verification.
func (q *planning) cloths(meets string) error {
	f := VerificationFacts{On: q.last(), Renovator: law.Yes}
	for _, room := range q.rooms() {
		if room.Carpet != law.Yes {
			area := q.workArea(room)
			f.Items = append(f.Items, ToVerify{Name: room.Name + ", floor", Surface: WipedFloor, Area: area.N, AreaKnown: area.Known})
		}
		for i := range room.Sills {
			f.Items = append(f.Items, ToVerify{Name: fmt.Sprintf("%s, sill %d", room.Name, i+1), Surface: WipedSill})
		}
		for i, area := range room.CounterTops {
			f.Items = append(f.Items, ToVerify{Name: fmt.Sprintf("%s, counter top %d", room.Name, i+1), Surface: WipedCounter, Area: area.N, AreaKnown: area.Known})
		}
	}
	a, err := q.Jobs.Verify(f)
	if err != nil {
		return err
	}
	a.Determination.Reasons = without(a.Determination.Reasons, "verification_look_first")
	q.take(a.Determination)
	step := Task{Code: "verify_with_cloths", Text: "A certified renovator wipes each sill, and each section of floor and counter top, with cloths and compares them with the card.", Why: "Dust that cannot be seen shows on the cloth.", Citation: verifyWipesOnly,
		Amounts: []Amount{count("wet cloths, at least", a.Cloths.WetLeast), count("wet cloths, at most", a.Cloths.WetMost), count("dry cloths, at most", a.Cloths.DryMost)}}
	details := []string{}
	for _, item := range a.Items {
		if item.Sections > 1 {
			details = append(details, fmt.Sprintf("%s: %d sections.", item.Name, item.Sections))
		}
	}
	q.add(phaseChecking, meets, step, details...)
	return nil
}

// workArea is the floor of the work area: what the plastic covers.
func (q *planning) workArea(room WorkRoom) Ft {
	c := containing{ContainmentFacts: q.Site, n: q.n, excused: map[string]string{}}
	return c.room(room).area
}

func count(of string, n int) Amount {
	return Amount{Of: of, Amount: measure.Shown{Value: fmt.Sprint(n), Unit: "1", Computed: true}}
}

func without(reasons []law.Reason, rule string) []law.Reason {
	list := []law.Reason{}
	for _, r := range reasons {
		if r.Rule != rule {
			list = append(list, r)
		}
	}
	return list
}

// wipes are where clearance is sampled.
func (q *planning) wipes() error {
	f := clearance.PlanFacts{AsOf: q.last(), Jurisdictions: q.Jobs.scope.Jurisdictions, Work: clearance.Renovation, Extent: clearance.Worksite, Contained: law.Yes, WindowsCovered: law.Yes, OpeningsSealed: q.Occupants.Sealed}
	if q.outcome == Abatement {
		f.Work = clearance.Abatement
	}
	if q.housing() {
		f.Programmes = []string{"hud"}
	}
	for _, room := range q.rooms() {
		f.Rooms = append(f.Rooms, clearance.Room{Name: room.Name, Worked: law.Yes, Sill: sillIn(room), Floor: floorSurface(room)})
	}
	if !q.indoors() {
		f.Extent = clearance.Outdoors
	}
	a, err := q.Sampling.Plan(f)
	if err != nil {
		return err
	}
	q.take(law.Determination{Reasons: a.Determination.Reasons, Differences: a.Determination.Differences})
	meets := q.meets("verification")
	if q.hud == HUDApplies {
		meets = "hud_clearance"
	}
	task := Task{Code: "clear_with_wipes", Text: "A certified inspector, risk assessor or dust sampling technician takes dust wipes for a recognised laboratory; clean again until the results are below the levels.", Why: "Only a laboratory can say how much is left.", Citation: verifyInstead,
		Amounts: []Amount{count("dust wipes, at most", len(a.Wipes)), count("field blanks", a.Blanks)}}
	if q.housing() {
		task.Citation = law.Cite("24 CFR 35.1340", law.Text)
	}
	if a.Outcome == "visual_only" {
		task.Code, task.Text, task.Why, task.Amounts = "clear_by_looking", "Outdoors clearance is visual.", "No wipe is taken outdoors.", []Amount{}
	}
	q.add(phaseChecking, meets, task, a.Visual...)
	return nil
}

func sillIn(room WorkRoom) law.Tri {
	if room.Sills > 0 {
		return law.Yes
	}
	return law.Unknown
}

func floorSurface(room WorkRoom) clearance.Surface {
	switch room.Carpet {
	case law.Yes:
		return clearance.FloorCarpeted
	case law.No:
		return clearance.FloorBare
	}
	return ""
}

// afterwards is the workers' own washing, and the waste.
func (q *planning) afterwards() error {
	q.add(phaseAfterwards, "", Task{Code: "wash_and_change", Text: "Wash or shower and change at the end of the day; keep and wash work clothes apart from other laundry.", Why: "Dust does not go home.", Citation: habit})
	meets := q.meets("waste")
	q.add(phaseWaste, meets, Task{Code: "carry_waste_away", Text: "Carry the waste away contained, and to a facility that takes it.", Why: "A bag that opens on the way undoes the work.", Citation: law.Cite("40 CFR 745.85(a)(4)", law.Text)})
	q.add(phaseWaste, meets, Task{Code: "clean_vehicle", Text: "Vacuum the vehicle on the day of the trip.", Why: "The vehicle carries people, too.", Citation: habit})
	return nil
}

// wiped says whether dust wipes will be taken, as far as that is known.
func (q *planning) wiped() law.Tri {
	if q.hud == HUDIfAssisted && !q.Clearance {
		return law.Unknown
	}
	return yesIf(q.Clearance || q.housing())
}

// papers are what is kept, and what is given to whom.
func (q *planning) papers() error {
	step, asked := q.asks("records")
	if !asked {
		return nil
	}
	task := Task{Code: "keep_records", Text: step.Text, Why: "Years later it can be shown what was done.", Citation: step.Citation}
	if q.End.IsZero() {
		q.add(phasePapers, "records", task)
		q.d.Miss("end", "Until when records are kept, and by when information is given, is counted from the end of the work.", "The end gives the days.")
		return nil
	}
	first := q.Works[0].Work
	a, err := q.Jobs.Records(RecordFacts{Completed: q.End, Invoiced: q.InvoiceDate, Covered: law.Yes, Assisted: first.Assisted, Emergency: first.Emergency, Place: q.Kind, OwnerThere: q.OwnerThere,
		Clearance: q.wiped()})
	if err != nil {
		return err
	}
	q.take(law.Determination{Reasons: a.Determination.Reasons})
	for _, give := range a.Give {
		q.add(phasePapers, "records", Task{Code: give.Code, Text: give.Text, Why: "Those who live there can see that it was done right.", Citation: give.Citation}).To = give.By
	}
	details := []string{}
	for _, kept := range a.Records {
		until := kept.Term
		if !kept.Until.IsZero() {
			until = "until " + kept.Until.String()
		}
		details = append(details, kept.Text+" Kept "+until+".")
	}
	q.add(phasePapers, "records", task, details...)
	return nil
}
