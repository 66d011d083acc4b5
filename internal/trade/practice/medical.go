package practice

import (
	"cmp"
	"slices"
	"strconv"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// BloodTest is a result of a worker's blood lead test. It is told for one question, is kept nowhere, and no answer repeats it.
type BloodTest struct {
	On    calendar.Date // when the result was received
	Level measure.Quantity
}

// MedicalFacts are what medical surveillance turns on.
type MedicalFacts struct {
	Days          int           // at or above the action level in any 12 months; DaysUnknown when not known
	ProgrammeFrom calendar.Date // since when the worker is in the programme; no date when not known
	Tests         []BloodTest
}

// DaysUnknown is a number of days that is not known: it counts as more than the rule's.
const DaysUnknown = -1

func (m MedicalFacts) check(faults *fault.Faults, asOf calendar.Date) {
	past(faults, "/medical/programme_from", m.ProgrammeFrom, asOf)
	for i, t := range m.Tests {
		at := "/medical/blood_tests/" + strconv.Itoa(i)
		past(faults, at+"/received_on", t.On, asOf)
		faults.Merge(at+"/level", t.Level.NonNegative())
	}
}

// Medical is what is owed to a worker. Where it follows from the worker's tests it is as confidential as they are.
type Medical struct {
	InitialTest  bool          `json:"initial_test"`              // blood lead and zinc protoporphyrin
	Programme    bool          `json:"programme"`                 // the continuing programme
	TestEvery    int           `json:"test_every_months"`         // 0: no further test is owed
	NextTestBy   calendar.Date `json:"next_test_by,omitzero"`     // where a test was told
	Removal      string        `json:"removal"`                   // none, follow_up_test, removed or not_told
	BenefitsTo   calendar.Date `json:"benefits_until,omitzero"`   // of a removal
	Examination  bool          `json:"yearly_examination"`        // for a raised level in the last 12 months
	Confidential bool          `json:"confidential"`              // it follows from the worker's tests
	NotifyBy     calendar.Date `json:"notify_worker_by,omitzero"` // of the latest result, in writing
}

// surveillance is where a row of tests has led to.
type surveillance struct {
	last      calendar.Date
	raised    bool // more frequent tests
	pending   bool // the last result was at or above the level of removal, and the follow-up is owed
	removed   bool
	removedOn calendar.Date
	below     int // results in a row below the raised level
}

// follow takes the tests in the order of their dates.
func (r reading) follow(tests []BloodTest) surveillance {
	raised, removal, enough := r.amount("medical_level_raised"), r.amount("medical_level_removal"), r.value("medical_level_results").Int()
	sorted := slices.SortedStableFunc(slices.Values(tests), func(a, b BloodTest) int { return cmp.Compare(a.On, b.On) })
	var s surveillance
	for _, t := range sorted {
		s.last = t.On
		high := !below(t.Level, removal)
		if high && s.pending && !s.removed {
			s.removed, s.removedOn = true, t.On
		}
		s.pending = high
		if below(t.Level, raised) {
			s.below++
		} else {
			s.raised, s.below = true, 0
		}
		if s.below >= enough {
			s.raised, s.removed = false, false
		}
	}
	return s
}

// medical is what is owed to the worker of a day.
func (r reading) medical(f MedicalFacts, d day) Medical {
	m := Medical{InitialTest: d.atAction(), Removal: "not_told"}
	m.Programme = d.atAction() && (f.Days == DaysUnknown || f.Days > r.value("medical_programme_days").Int())
	if m.Programme {
		m.TestEvery = r.programmeInterval(f)
	}
	if len(f.Tests) > 0 {
		r.tested(&m, f)
	}
	return m
}

// programmeInterval is that of the programme, while no result is raised; a start that is not known counts as recent.
func (r reading) programmeInterval(f MedicalFacts) int {
	if first := r.value("medical_test_first_months").Int(); !f.ProgrammeFrom.IsZero() && f.ProgrammeFrom.AddMonths(first).Before(r.on) {
		return r.value("medical_test_months_later").Int()
	}
	return r.value("medical_test_months_first").Int()
}

func (r reading) tested(m *Medical, f MedicalFacts) {
	s := r.follow(f.Tests)
	m.Confidential, m.Removal = true, "none"
	if s.raised {
		m.TestEvery = r.shorter(m.TestEvery, r.value("medical_test_months_raised").Int())
	}
	if s.removed {
		m.Removal, m.TestEvery = "removed", r.value("medical_test_months_removed").Int()
		m.BenefitsTo = s.removedOn.AddMonths(r.value("medical_benefit_months").Int())
	}
	if m.TestEvery > 0 {
		m.NextTestBy = s.last.AddMonths(m.TestEvery)
	}
	if s.pending && !s.removed {
		m.Removal, m.NextTestBy = "follow_up_test", s.last.AddDays(int(r.amount("medical_follow_up_days").In(measure.Day).Scaled(0)))
	}
	m.NotifyBy = s.last.AddBusinessDays(r.value("medical_notice_days").Int())
	m.Examination = m.Programme && r.raisedLately(f.Tests)
}

// shorter is the shorter of two intervals; 0 is none.
func (r reading) shorter(a, b int) int {
	if a == 0 {
		return b
	}
	return min(a, b)
}

// raisedLately reports whether a result of the months before the date was at or above the raised level.
func (r reading) raisedLately(tests []BloodTest) bool {
	since := r.on.AddMonths(-r.value("medical_examination_months").Int())
	return slices.ContainsFunc(tests, func(t BloodTest) bool {
		return !t.On.Before(since) && !below(t.Level, r.amount("medical_level_raised"))
	})
}

// explainMedical gives the reasons, and never a result.
func (r reading) explainMedical(d *law.Determination, f MedicalFacts, m Medical) {
	if m.InitialTest {
		d.Because("initial_medical_surveillance", "tasks", "", law.Cite("29 CFR 1926.62(j)(1)(i)", law.Text), "Exposure on any day at or above the action level, or presumed so, owes the worker a first test of blood lead and zinc protoporphyrin.")
	}
	if m.Programme {
		d.Because("medical_programme", "medical", "", r.value("medical_programme_days").Cite(), "Exposure at or above the action level on more than "+r.value("medical_programme_days").Value+" days in any 12 months, or on a number that is not known, owes the worker the medical programme.")
	}
	if f.Days != DaysUnknown {
		d.Use("medical/days_at_action_level", strconv.Itoa(f.Days))
	} else if d.Outcome != "below_action_level" {
		d.Miss("medical/days_at_action_level", "The programme is owed above a number of days.", "No more than "+r.value("medical_programme_days").Value+" days in any 12 months would leave the first test alone.")
	}
	if m.Programme && f.ProgrammeFrom.IsZero() {
		d.Miss("medical/programme_from", "Tests are rarer after the first months of the programme; a start that is not known counts as recent.", "An earlier start would make the interval "+r.value("medical_test_months_later").Value+" months where no level is raised.")
	}
	if m.Confidential {
		d.Use("medical/blood_tests", "told for this question, kept nowhere and not repeated")
		d.Because("worker_blood_tests", "medical/blood_tests", "", r.value("medical_level_raised").Cite(), "The worker's own results set the interval of tests. They belong in the worker's medical record and to nobody else.")
		if m.Removal == "removed" || m.Removal == "follow_up_test" {
			d.Because("medical_removal", "medical/blood_tests", "", r.value("medical_level_removal").Cite(), "A periodic test and its follow-up at or above the level of removal take the worker out of work at or above the action level, with earnings and rights kept, until "+r.value("medical_level_results").Value+" results in a row are below the raised level.")
		}
	}
}
