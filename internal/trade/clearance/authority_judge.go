package clearance

import (
	"slices"

	"sillbook/internal/trade/law"
)

// The clauses on who may clear, beside those of the parameters.
var (
	clearsAssisted = law.Cite("24 CFR 35.1340(b)(1)", law.Text)
	sameDiscipline = law.Cite("40 CFR 745.90(a)(3)", law.Text)
	certifiedToDo  = law.Cite("40 CFR 745.227(f) and 745.90", law.Text)
	independent    = law.Cite("24 CFR 35.1340(f)", law.Text)
)

// authorityJudge gathers reasons. Anything that forbids it decides; anything that is not shown leaves it open.
type authorityJudge struct {
	facts    AuthorityFacts
	law      lawOfAuthority
	d        law.Determination
	no, open bool
	forbids  []law.Reason
}

func (j *authorityJudge) use() {
	f := j.facts
	use := func(fact, value string) {
		if value != "" && value != law.Unknown.String() {
			j.d.Use(fact, value)
		}
	}
	use("work", string(f.Work))
	use("assisted", f.Assisted.String())
	use("discipline", f.Discipline)
	use("certified", f.Certified.String())
	use("supervised", f.Supervised.String())
	use("licensed", f.Licensed.String())
	use("single_unit", f.SingleUnit.String())
	use("random_sampling", f.Random.String())
	use("sampling_approved", f.Approved.String())
	use("relation", string(f.Relation))
}

func (j *authorityJudge) forbid(rule, fact, value string, cite law.Citation, text string) {
	j.no = true
	j.d.Because(rule, fact, value, cite, text)
	j.forbids = append(j.forbids, j.d.Reasons[len(j.d.Reasons)-1])
}

func (j *authorityJudge) miss(fact, why, would string) {
	j.open = true
	j.note(fact, why, would)
}

// note lists a fact that was not known, once.
func (j *authorityJudge) note(fact, why, would string) {
	if !slices.ContainsFunc(j.d.Missing, func(m law.Missing) bool { return m.Fact == fact }) {
		j.d.Miss(fact, why, would)
	}
}

// byDiscipline asks what they are certified as.
func (j *authorityJudge) byDiscipline() {
	f := j.facts
	switch f.Discipline {
	case inspector, riskAssessor:
		j.d.Because("inspector_or_assessor", "discipline", f.Discipline, sameDiscipline, "A certified inspector or risk assessor may clear any work.")
	case technician:
		j.technicianAfterWork()
		j.technicianInAssisted()
	case "":
		j.miss("discipline", "What they are certified as is not known.", "An inspector or risk assessor may clear any work, a dust sampling technician some.")
	default:
		j.forbid("discipline_clears_nothing", "discipline", f.Discipline, certifiedToDo, "Only inspectors, risk assessors and, after some work, dust sampling technicians clear.")
	}
}

// technicianAfterWork holds a technician against EPA's rule for the work.
func (j *authorityJudge) technicianAfterWork() {
	f, renovation := j.facts, j.law.renovation
	if j.law.abatement.Int() == 0 && f.Work == Abatement {
		j.forbid("technician_after_abatement", "work", string(f.Work), j.law.abatement.Cite(), "An abatement is cleared by a certified inspector or risk assessor.")
		return
	}
	if j.law.abatement.Int() == 0 && f.Work == "" {
		j.miss("work", "What the work was is not known; an abatement is not cleared by a technician.", "After a renovation a technician may clear.")
	}
	switch {
	case f.Work == Abatement || renovation == nil:
	case renovation.Int() == 0:
		j.forbid("technician_after_renovation_barred", "work", string(f.Work), renovation.Cite(), "Here a technician does not clear a renovation.")
	default:
		j.d.Because("technician_after_renovation", "work", string(f.Work), renovation.Cite(), "A certified dust sampling technician may take the samples by which a renovation is cleared.")
	}
}

// condition is something that a technician who is not supervised must meet.
type condition struct {
	fact  string
	value law.Tri
	wrong law.Tri // the value that fails it
	why   string
}

// unsupervised are the conditions of the housing rule for a technician who is not supervised.
func (j *authorityJudge) unsupervised() []condition {
	f := j.facts
	list := []condition{{"licensed", f.Licensed, law.No, "Unsupervised, only a licensed technician clears assisted housing."},
		{"single_unit", f.SingleUnit, law.No, "Unsupervised, a technician clears single-family housing or single units only."}}
	if j.law.random.Int() == 0 && f.Approved != law.Yes {
		list = append(list, condition{"random_sampling", f.Random, law.Yes,
			"Unsupervised, a technician clears by no random sample, unless an inspector or risk assessor approved it and signs the report."})
	}
	return list
}

// technicianInAssisted holds a technician against the housing rule: supervised, with a report that an inspector or risk assessor signs; or
// licensed, for single units, and for a random sample only where one of those approved it and signs.
func (j *authorityJudge) technicianInAssisted() {
	f, cite := j.facts, j.law.licensed.Cite()
	if f.Assisted == law.No {
		return
	}
	if f.Supervised == law.Yes && j.law.supervised.Int() == 1 {
		j.d.Because("technician_supervised", "supervised", "yes", j.law.supervised.Cite(), "A trained technician clears assisted housing under an inspector or risk assessor who signs the report.")
		return
	}
	alone, failed, open := j.unsupervised(), []condition{}, false
	if j.law.licensed.Int() == 0 {
		failed = append(failed, condition{"licensed", f.Licensed, 0, "Here no technician clears assisted housing unsupervised."})
	}
	for _, c := range alone {
		if c.value == c.wrong {
			failed = append(failed, c)
		}
		open = open || c.value == law.Unknown
	}
	if len(failed) == 0 && !open {
		j.d.Because("technician_licensed", "licensed", "yes", cite, "A licensed technician clears single-family housing or single units, not by a random sample of his own.")
		return
	}
	mayBeSupervised := f.Supervised == law.Unknown && j.law.supervised.Int() == 1
	if f.Assisted == law.Yes && len(failed) > 0 && !mayBeSupervised {
		for _, c := range failed {
			j.forbid("technician_in_assisted_housing", c.fact, c.value.String(), cite, c.why)
		}
		return
	}
	if f.Assisted == law.Unknown {
		j.miss("assisted", "Whether the housing is federally assisted is not known.", "In assisted housing a technician clears supervised, or licensed and single units only.")
	}
	if mayBeSupervised {
		j.miss("supervised", "Whether an inspector or risk assessor supervises and signs the report is not known.", "With that a technician may clear assisted housing.")
	}
	for _, c := range alone {
		if c.value == law.Unknown && len(failed) == 0 {
			j.miss(c.fact, c.why, "It decides whether a technician may clear without supervision.")
		}
	}
}

// byCertificate asks whether their certificate holds.
func (j *authorityJudge) byCertificate() {
	switch j.facts.Certified {
	case law.No:
		j.forbid("not_certified", "certified", "no", certifiedToDo, "Their certificate does not hold on the day or in the place.")
	case law.Unknown:
		j.miss("certified", "Whether their certificate holds on the day and in the place is not known.", "Without one nobody clears.")
	}
}

// independence asks how they stand to whoever did the work.
func (j *authorityJudge) independence() string {
	f, asked := j.facts, j.law.anotherFirm.Int() == 1
	if !asked && j.law.neverOwn.Int() == 0 {
		j.d.Because("independence_not_asked", "assisted", f.Assisted.String(), j.law.anotherFirm.Cite(), "Outside assisted housing federal law does not ask that another firm clears. A contract or a place's own rules may.")
		return NotAsked
	}
	if f.Assisted == law.Unknown && f.Relation != AnotherFirm {
		j.note("assisted", "Whether the housing is federally assisted is not known; independence is asked for as if it was.", "Outside assisted housing federal law asks for none.")
	}
	switch f.Relation {
	case AnotherFirm:
		j.d.Because("independent", "relation", string(f.Relation), j.law.anotherFirm.Cite(), "Another than did the work clears it.")
		return Met
	case OwnStaff:
		if j.law.ownStaff.Int() == 1 {
			j.d.Because("own_staff_clears", "relation", string(f.Relation), j.law.ownStaff.Cite(), "Qualified in-house staff may clear work that others of the house did.")
			return Met
		}
		j.dependent("own_staff_barred", j.law.ownStaff.Cite(), "In-house staff may not clear here.")
	case SameFirm:
		if !asked {
			return NotAsked
		}
		j.dependent("same_firm", j.law.anotherFirm.Cite(), "The firm that did the work may not clear it, unless the owner's own qualified staff does.")
	case SamePerson:
		cite := j.law.neverOwn.Cite()
		if j.law.neverOwn.Int() == 0 {
			cite = j.law.anotherFirm.Cite()
		}
		j.dependent("same_person", cite, "Nobody may do the work and clear it.")
	default:
		j.miss("relation", "How they stand to whoever did the work is not known.", "Who did the work, or is of the firm that did, may not clear it.")
		return NotYet
	}
	return Required
}

// dependent is no where the rule holds, and open where it may.
func (j *authorityJudge) dependent(rule string, cite law.Citation, text string) {
	if j.facts.Assisted == law.Unknown && cite.Clause == independent.Clause {
		j.open = true
		j.d.Because(rule, "relation", string(j.facts.Relation), cite, text)
		return
	}
	j.forbid(rule, "relation", string(j.facts.Relation), cite, text)
}

// whoMay are the disciplines that may clear the work.
func (j *authorityJudge) whoMay() []Clearer {
	list := []Clearer{{riskAssessor, "", sameDiscipline}, {inspector, "", sameDiscipline}}
	f := j.facts
	cite := j.law.abatement.Cite()
	if f.Work != Abatement && j.law.renovation != nil {
		cite = j.law.renovation.Cite()
	}
	if j.law.abatement.Int() == 0 && (f.Work == Abatement || f.Work == "") || f.Work != Abatement && j.law.renovation != nil && j.law.renovation.Int() == 0 {
		return list
	}
	if f.Assisted == law.No {
		return append(list, Clearer{technician, "", cite})
	}
	if j.law.supervised.Int() == 1 {
		list = append(list, Clearer{technician, "Supervised by an inspector or risk assessor who signs the report.", clearsAssisted})
	}
	if j.law.licensed.Int() == 1 {
		list = append(list, Clearer{technician, "Licensed, for single-family housing or single units, and not by a random sample unless an inspector or risk assessor approved it and signs the report.", clearsAssisted})
	}
	return list
}
