package renovation

import (
	"fmt"

	"sillbook/internal/trade/law"
)

// The outcomes of a cleaning verification.
const (
	verificationDone      = "verified"
	verificationLook      = "look_first"
	verificationUnderWay  = "under_way"
	verificationNotValid  = "does_not_count"
	verificationClearance = "clearance_instead"
)

// conclude puts the outcome, what comes next and the reasons into the answer.
func (v *verifying) conclude() {
	left := 0
	for i := range v.answer.Items {
		for j := range v.answer.Items[i].Parts {
			part := &v.answer.Items[i].Parts[j]
			part.Next = v.next(*part, v.answer.Items[i].Surface)
			if part.State != verified && part.State != notWiped {
				left++
			}
		}
	}
	a := &v.answer
	switch {
	case v.facts.Clearance:
		a.Outcome = verificationClearance
	case v.facts.Renovator == law.No:
		a.Outcome = verificationNotValid
	case !v.seen:
		a.Outcome = verificationLook
	case left > 0, v.facts.Renovator == law.Unknown:
		a.Outcome = verificationUnderWay
	default:
		a.Outcome = verificationDone
	}
	a.Determination.Outcome = a.Outcome
	v.explain()
}

// next says what comes next for one sill or section.
func (v *verifying) next(p PartState, s Wiped) string {
	again := "a new wet cloth or one folded to an unused face"
	if s.isSectioned() {
		again = "a new wet cloth"
	}
	switch p.State {
	case notWiped:
		return "It is looked at and not wiped."
	case measureFirst:
		return v.n.say("Tell its area in the work area: more than {verification_section_area} square feet is wiped in sections.")
	case tooLarge:
		return v.n.say("Divide it into roughly equal sections, each smaller than {verification_section_area} square feet, and wipe each.")
	case lookFirst:
		return "The certified renovator looks first; what is seen is cleaned, and looked at again."
	case wipeWet:
		return "Wipe it with a new wet cloth and compare the cloth with the card."
	case cleanAgain:
		return "Clean it again: vacuum, then damp-wipe; then wipe it with " + again + "."
	case wipeAgain:
		return "Wipe it with " + again + " and compare the cloth with the card."
	case waitThenDry:
		dry := "until it is dry"
		if s.isSectioned() {
			dry = "until the whole surface in the work area is dry"
		}
		return v.n.say("Wait {verification_wait} h or " + dry + ", whichever is longer; then wipe it with a dry cloth, which completes it.")
	}
	return "Nothing: it is verified."
}

func (v *verifying) explain() {
	d := &v.answer.Determination
	d.Use("on", v.facts.On.String())
	if v.facts.Renovator != law.Unknown {
		d.Use("by_certified_renovator", v.facts.Renovator.String())
	}
	d.Use("items", fmt.Sprint(len(v.facts.Items)))
	d.Use("events", fmt.Sprint(len(v.facts.Events)))
	switch {
	case v.facts.Clearance:
		d.Because("verification_or_clearance", "clearance_instead", "yes", verifyInstead, "Dust clearance takes its place: by a certified inspector, risk assessor or dust sampling technician, and the firm cleans again until the results are below the levels.")
	case v.facts.Renovator == law.No:
		d.Because("verification_in_person", "by_certified_renovator", "no", verifyInPerson, "A certified renovator does it in person; what somebody else did does not count.")
	}
	if !v.facts.Clearance && v.facts.Renovator == law.Unknown {
		d.Miss("by_certified_renovator", "A certified renovator does the verification in person.", "Knowing that one did lets it count.")
	}
	if v.facts.Outdoors {
		d.Because("verification_outdoors", "outdoors", "yes", verifyOutdoors, "Outdoors nothing is wiped: surfaces in and below the work area, sills and the ground are looked at until no dust, debris or residue is left.")
	}
	v.explainItems(d)
	if v.dryTil {
		d.Miss("surface_dry", "A dry wipe counts only on a dry surface.", "Knowing that the surface was dry lets the dry wipe count.")
	}
}

// explainItems gives one reason a rule that the surfaces turned on.
func (v *verifying) explainItems(d *law.Determination) {
	kinds, unknown, lighter := map[Wiped]bool{}, false, false
	sections := 0
	for i, item := range v.facts.Items {
		kinds[item.Surface] = true
		if item.Surface.isSectioned() {
			sections += v.answer.Items[i].Sections
			unknown = unknown || !item.AreaKnown
		}
	}
	for _, e := range v.facts.Events {
		lighter = lighter || e.What == Wipe && e.Match == Lighter
	}
	if !v.seen {
		d.Because("verification_look_first", "events", "", verifyLook, "Before any cloth is used a certified renovator looks whether dust, debris or residue is left, has it cleaned, and looks again.")
	}
	if kinds[WipedFloor] || kinds[WipedCounter] {
		d.Because("verification_sections", "items", fmt.Sprint(sections), verifySections, v.n.say("Floors and counter tops of more than {verification_section_area} square feet in the work area are wiped in roughly equal sections, each smaller than that: {sections} in all.", "sections", fmt.Sprint(sections)))
		d.Because("verification_floors", "items", "", verifyFloor, "Each section takes a new wet cloth, on a floor with a long handle; it passes when the cloth matches the card.")
	}
	if kinds[WipedSill] {
		d.Because("verification_sills", "items", "", verifySill, "Each sill is wiped by itself; it passes when the wet cloth matches the card or is lighter. For the second wipe the cloth may be folded to an unused face.")
	}
	if lighter && (kinds[WipedFloor] || kinds[WipedCounter]) {
		d.Because("verification_lighter", "events", "lighter", verifyLighter, "A cloth lighter than the card passes on a floor or counter top, too.")
	}
	if v.answer.Cloths.WetLeast > 0 {
		c := v.answer.Cloths
		d.Because("verification_cloths", "items", "", verifyNoThird, fmt.Sprintf("It takes at least %d wet cloths, and at most %d wet and %d dry ones.", c.WetLeast, c.WetMost, c.DryMost))
		d.Because("verification_dry_last", "events", "", verifyWipesOnly, v.n.say("Where {verification_wet_wipes} wet wipes have failed, wait {verification_wait} h or until dry, whichever is longer; a dry wipe then completes it."))
	}
	if kinds[SeenCarpet] || kinds[SeenWall] || kinds[SeenCeiling] || kinds[SeenOutdoors] {
		d.Because("verification_not_wiped", "items", "", verifyNotWiped, "Walls, ceilings, carpet and what is outdoors are looked at and not wiped.")
	}
	if unknown {
		d.Miss("area", "A floor or counter top is divided by its area in the work area.", "Its area says into how many sections it is divided; without it nothing wiped there counts.")
	}
}
