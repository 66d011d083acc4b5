package form

import (
	"fmt"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/bloodlead"
	"sillbook/internal/trade/measure"
)

// BloodLeadCaseFacts reads the facts of a case. What is absent is not known, or has not happened.
func BloodLeadCaseFacts(told api.BloodLeadCaseFacts) (bloodlead.Facts, error) {
	var faults fault.Faults
	f := bloodlead.Facts{AsOf: Day(told.AsOf), Jurisdictions: list(told.Jurisdictions), LocalActed: Tri(told.HealthDepartmentActedAtLowLevel),
		UnderSix: Tri(told.ChildUnderSix), Threshold: Tri(told.AtOrAboveLevel), Confirmed: Tri(told.Confirmed), LivesThere: Tri(told.LivesThere),
		Another: Tri(told.AnotherAssistedHousehold), NotifiedOn: Day(told.NotifiedOn), VerifiedOn: DayOf(told.VerifiedOn), UnverifiedOn: DayOf(told.NotVerifiedOn),
		VoidOn: DayOf(told.VoidOn), InvestigatedOn: DayOf(told.InvestigatedOn), AssessedOn: DayOf(told.RiskAssessedOn), DepartmentOn: DayOf(told.HealthDepartmentEvaluatedOn),
		ReportOn: DayOf(told.ReportReceivedOn), OwnerGivenOn: DayOf(told.OwnerGivenReportOn), Hazards: Tri(told.HazardsFound), ClearedOn: DayOf(told.ClearedOn),
		CertifiedOn: DayOf(told.CertifiedOn), ToldDepartmentOn: DayOf(told.ToldHealthDepartmentOn), ToldHUDOn: DayOf(told.ToldHudOn), ToldCompletionOn: DayOf(told.ToldHudDoneOn),
		AddressesMatchedOn: DayOf(told.AddressesMatchedOn), BuildYear: count(told.BuildYear), Others: units(told.OtherUnits), OthersAssessedOn: DayOf(told.OtherUnitsAssessedOn),
		OthersHazards: units(told.OtherUnitsWithHazards), OthersLarge: units(told.OtherUnitsAboveDeMinimis), OthersClearedOn: DayOf(told.OtherUnitsClearedOn),
		ResidentsToldOn: DayOf(told.ResidentsToldOn), Attempts: count(told.VerificationAttempts), AttemptsKnown: told.VerificationAttempts != nil}
	if told.Programme != nil {
		f.Programme = bloodlead.Programme(*told.Programme)
	}
	if told.Source != nil {
		f.Source = bloodlead.Source(*told.Source)
	}
	for i, t := range list(told.Tests) {
		test := bloodlead.Test{DrawnOn: Day(t.DrawnOn), Venous: Tri(t.Venous)}
		if level, ok := notNegative(&faults, fmt.Sprintf("/tests/%d/level", i), t.Level, measure.Concentration); ok {
			test.Level = level
			inBlood(&faults, fmt.Sprintf("/tests/%d/level/unit", i), level)
		}
		f.Tests = append(f.Tests, test)
	}
	return f, faults.Err()
}

// inBlood refuses units that no laboratory reports blood in: concentrations in air and the like.
func inBlood(f *fault.Faults, pointer string, level measure.Quantity) {
	if level.Unit != measure.MicrogramPerDecilitre && level.Unit != measure.MicrogramPerLitre {
		f.Add(pointer, "wrong_unit", "Lead in blood is told in ug/dL or ug/L, not in %s.", level.Code)
	}
}

func units(told *int32) bloodlead.Count {
	return bloodlead.Count{N: count(told), Known: told != nil}
}
