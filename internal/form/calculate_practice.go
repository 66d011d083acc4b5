package form

import (
	"strconv"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/practice"
)

// PracticesFacts reads the facts of the question whether a method may be used.
func PracticesFacts(a api.PracticesFacts) (practice.Facts, error) {
	var faults fault.Faults
	f := practice.Facts{AsOf: Day(a.AsOf), Method: practice.Method(a.Method), Abatement: Tri(a.Abatement), Assisted: Tri(a.Assisted),
		Exterior: is(a.Exterior, true), Charring: Tri(a.Charring), Shroud: Tri(a.Shroud), HEPA: Tri(a.Hepa), DustOutside: Tri(a.VisibleDustOutside),
		Ventilated: Tri(a.WellVentilated), Volatile: Tri(a.VolatileStripper), WithHeatGun: is(a.WithHeatGun, true)}
	f.Temperature, _ = Quantity(&faults, "/temperature", a.Temperature, measure.Temperature)
	f.OutletDistance, _ = Quantity(&faults, "/outlet_distance", a.OutletDistance, measure.Length)
	f.SpotArea, _ = Quantity(&faults, "/spot_area", a.SpotArea, measure.Area)
	return f, faults.Err()
}

// ExposureFacts reads a worker's day.
func ExposureFacts(a api.ExposureFacts) (practice.ExposureFacts, error) {
	var faults fault.Faults
	f := practice.ExposureFacts{AsOf: Day(a.AsOf), ReceivedOn: DayOf(a.ResultsReceivedOn)}
	f.HoursWorked, _ = Quantity(&faults, "/hours_worked", a.HoursWorked, measure.Duration)
	for i, t := range a.Tasks {
		f.Spells = append(f.Spells, spell(&faults, "/tasks/"+strconv.Itoa(i), t))
	}
	for i, e := range list(a.EarlierResults) {
		level, _ := Quantity(&faults, "/earlier_results/"+strconv.Itoa(i)+"/level", &e.Level, measure.Concentration)
		f.Earlier = append(f.Earlier, practice.Result{On: Day(e.On), Level: level})
	}
	f.Medical = medical(&faults, a.Medical)
	return f, faults.Err()
}

func spell(f *fault.Faults, at string, t api.ExposureSpell) practice.Spell {
	s := practice.Spell{DustCollection: Tri(t.DustCollection), MeasuredOn: DayOf(t.MeasuredOn)}
	if t.Task != nil {
		s.Task = practice.Task(*t.Task)
	}
	if t.Method != nil {
		s.Method = practice.Method(*t.Method)
	}
	if t.Basis != nil {
		s.Basis = practice.BasisOf(string(*t.Basis))
	}
	if t.Respirator != nil {
		s.Respirator = practice.Respirator(*t.Respirator)
	}
	if t.ProtectionFactor != nil {
		s.Factor = int(*t.ProtectionFactor)
	}
	s.Hours, _ = Quantity(f, at+"/hours", &t.Hours, measure.Duration)
	s.Concentration, _ = Quantity(f, at+"/concentration", t.Concentration, measure.Concentration)
	return s
}

func medical(f *fault.Faults, m *api.WorkerMedical) practice.MedicalFacts {
	facts := practice.MedicalFacts{Days: practice.DaysUnknown}
	if m == nil {
		return facts
	}
	if m.DaysAtActionLevel != nil {
		facts.Days = int(*m.DaysAtActionLevel)
	}
	facts.ProgrammeFrom = DayOf(m.ProgrammeFrom)
	for i, t := range list(m.BloodTests) {
		level, _ := Quantity(f, "/medical/blood_tests/"+strconv.Itoa(i)+"/level", &t.Level, measure.Concentration)
		facts.Tests = append(facts.Tests, practice.BloodTest{On: Day(t.ReceivedOn), Level: level})
	}
	return facts
}
