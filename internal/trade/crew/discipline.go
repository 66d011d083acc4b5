// Package crew knows the firms and people who do the work: which certificates hold on a day and in a place, and who may do
// what with them.
package crew

import "slices"

// Discipline is what somebody is certified as.
type Discipline string

// The disciplines. A firm, a renovator and a dust sampling technician are certified under the renovation rule (40 CFR 745
// subpart E), the others for abatement and evaluation (subpart L).
const (
	Firm                Discipline = "firm"
	Renovator           Discipline = "renovator"
	SamplingTechnician  Discipline = "dust_sampling_technician"
	Inspector           Discipline = "inspector"
	RiskAssessor        Discipline = "risk_assessor"
	AbatementSupervisor Discipline = "abatement_supervisor"
	AbatementWorker     Discipline = "abatement_worker"
	ProjectDesigner     Discipline = "project_designer"
)

var disciplines = []Discipline{Firm, Renovator, SamplingTechnician, Inspector, RiskAssessor, AbatementSupervisor, AbatementWorker, ProjectDesigner}

// ofRenovation reports whether the renovation rule certifies it.
func (d Discipline) ofRenovation() bool {
	return d == Firm || d == Renovator || d == SamplingTechnician
}

var called = map[Discipline]string{Firm: "certified firm", Renovator: "certified renovator", SamplingTechnician: "certified dust sampling technician",
	Inspector: "certified inspector", RiskAssessor: "certified risk assessor", AbatementSupervisor: "certified abatement supervisor",
	AbatementWorker: "certified abatement worker", ProjectDesigner: "certified project designer"}

// String is the discipline in words: "certified renovator".
func (d Discipline) String() string { return called[d] }

// Basis is what a certificate was issued on.
type Basis string

// The bases.
const (
	Initial         Basis = "initial"         // an initial course, or a firm's first application
	Refresher       Basis = "refresher"       // a refresher course; people only
	Recertification Basis = "recertification" // a firm certified again
	Interim         Basis = "interim"         // abatement and evaluation only, before the examination
)

// takes reports whether a discipline can be certified on a basis.
func (d Discipline) takes(b Basis) bool {
	switch {
	case d == Firm:
		return b == Initial || b == Recertification
	case d.ofRenovation():
		return b == Initial || b == Refresher
	}
	return slices.Contains([]Basis{Initial, Refresher, Interim}, b)
}

// Exam is the test behind a certificate for abatement or evaluation; it decides the term (40 CFR 745.226(e)). The zero Exam
// is not known.
type Exam string

// The exams.
const (
	CourseTest  Exam = "course_test"
	Proficiency Exam = "proficiency_test"
)
