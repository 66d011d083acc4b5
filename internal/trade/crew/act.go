package crew

import "sillbook/internal/trade/law"

// Act is something that only some may do.
type Act string

// The acts of a renovation, then those of testing, evaluation and abatement. Three of them are moments at which the certified
// renovator is physically present.
const (
	BeTheFirm          Act = "be_the_firm"
	DirectTheWork      Act = "direct_the_work"
	TrainWorkers       Act = "train_workers"
	PostSignsPresent   Act = "post_signs_present"
	ContainmentPresent Act = "containment_present"
	DoTheWork          Act = "do_the_work"
	CleaningPresent    Act = "cleaning_present"
	VerifyCleaning     Act = "verify_cleaning"
	TestWithKit        Act = "test_with_kit"
	TakePaintChips     Act = "take_paint_chips"
	SampleDust         Act = "sample_dust"
	Inspect            Act = "inspect"
	AssessRisk         Act = "assess_risk"
	AbateSupervise     Act = "abate_supervise"
	AbateWork          Act = "abate_work"
	Design             Act = "design"
)

// OfARenovation are the acts of every covered renovation.
func OfARenovation() []Act {
	return []Act{BeTheFirm, DirectTheWork, TrainWorkers, PostSignsPresent, ContainmentPresent, DoTheWork, CleaningPresent, VerifyCleaning}
}

// authority is who may do an act.
type authority struct {
	by     []Discipline
	rule   string
	cite   law.Citation
	text   string // what the rule says
	lifted bool   // in an emergency, to the extent necessary (40 CFR 745.82(b))
}

func fromMemory(clause string) law.Citation {
	return law.Citation{Clause: clause, Source: law.Memory, Note: "From memory."}
}

var (
	presence    = law.Cite("40 CFR 745.90(b)", law.Text)
	renovators  = []Discipline{Renovator}
	authorities = map[Act]authority{
		BeTheFirm: {by: []Discipline{Firm}, rule: "certified_firm", cite: law.Cite("40 CFR 745.81(a), 745.89", law.Text), lifted: true,
			text: "The firm that does, offers or claims to do the renovation is certified. It sees to it that everybody is certified or trained, that a certified renovator is assigned to each renovation, and that work practices, notices and records are kept."},
		DirectTheWork: {by: renovators, rule: "directing_the_work", cite: law.Cite("40 CFR 745.89(d), 745.90(b)", law.Text), lifted: true,
			text: "A certified renovator is assigned to the renovation, does its work practices or directs those who do, regularly, and is reachable on site or by telephone at all times. That renovator has the copies of the initial and the latest certificate there, tests with a recognised kit when asked to, and prepares the records."},
		TrainWorkers: {by: renovators, rule: "training_workers", cite: presence, lifted: true,
			text: "A certified renovator trains the workers who are not certified."},
		PostSignsPresent: {by: renovators, rule: "present_at_three_moments", cite: presence, lifted: true,
			text: "A certified renovator is physically present when the signs are posted."},
		ContainmentPresent: {by: renovators, rule: "present_at_three_moments", cite: presence, lifted: true,
			text: "A certified renovator is physically present while the work area is contained."},
		CleaningPresent: {by: renovators, rule: "present_at_three_moments", cite: presence,
			text: "A certified renovator is physically present while the work area is cleaned."},
		DoTheWork: {by: renovators, rule: "doing_the_work", cite: law.Cite("40 CFR 745.89(d), 745.90(b)", law.Text), lifted: true,
			text: "Everybody who does the work is a certified renovator, or was trained by one and is directed by one who is reachable."},
		VerifyCleaning: {by: renovators, rule: "verifying_cleaning", cite: law.Cite("40 CFR 745.85(b), 745.90(b)", law.Text),
			text: "A certified renovator does the cleaning verification in person."},
		TestWithKit: {by: renovators, rule: "testing_paint", cite: law.Cite("40 CFR 745.82(a)(2), 745.90(b)", law.Text),
			text: "A certified renovator tests paint with a recognised kit, following its instructions."},
		TakePaintChips: {by: []Discipline{Renovator, Inspector, RiskAssessor}, rule: "taking_paint_chips", cite: law.Citation{Clause: "40 CFR 745.82(a)(3), 745.227(b)", Source: law.Text, Note: "That inspectors and risk assessors take paint chips is from memory."},
			text: "A certified renovator takes paint chips of the components, and inspectors and risk assessors do in their evaluations."},
		SampleDust: {by: []Discipline{SamplingTechnician, Inspector, RiskAssessor}, rule: "sampling_dust", cite: law.Cite("40 CFR 745.85(c), 745.90(a)(3), (c)", law.Text),
			text: "A certified dust sampling technician, inspector or risk assessor samples dust; the last two need no more training for it."},
		Inspect: {by: []Discipline{Inspector, RiskAssessor}, rule: "evaluating", cite: fromMemory("40 CFR 745.227(b), (d)"),
			text: "A certified inspector or risk assessor inspects for lead-based paint."},
		AssessRisk: {by: []Discipline{RiskAssessor}, rule: "evaluating", cite: fromMemory("40 CFR 745.227(b), (d)"),
			text: "A certified risk assessor assesses risk."},
		AbateSupervise: {by: []Discipline{AbatementSupervisor}, rule: "abating", cite: fromMemory("40 CFR 745.227(e)"),
			text: "A certified supervisor supervises abatement."},
		AbateWork: {by: []Discipline{AbatementWorker, AbatementSupervisor}, rule: "abating", cite: fromMemory("40 CFR 745.227(e)"),
			text: "Certified workers and supervisors do abatement."},
		Design: {by: []Discipline{ProjectDesigner, AbatementSupervisor}, rule: "abating", cite: fromMemory("40 CFR 745.227(e)"),
			text: "A certified project designer or supervisor plans an abatement and the protection of its occupants."},
	}
)
