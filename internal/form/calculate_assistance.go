package form

import (
	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/assistance"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/measure"
)

// ExemptionFacts reads the facts of the question whether the housing rule leaves something out.
func ExemptionFacts(a api.HousingRuleExemptionFacts) (assistance.ExemptionFacts, error) {
	var faults fault.Faults
	f := assistance.ExemptionFacts{AsOf: Day(a.AsOf), Bedrooms: bedrooms(a.Bedrooms), HousingFor: housingFor(a.HousingFor), ChildUnderSix: Tri(a.ChildUnderSix),
		FoundLeadFree: Tri(a.FoundLeadFree), LeadPaintRemoved: Tri(a.LeadPaintRemoved), RemovalCleared: Tri(a.RemovalCleared), EnclosedOrCoated: Tri(a.EnclosedOrEncapsulated),
		ToBeDemolished: Tri(a.ToBeDemolished), Unoccupied: Tri(a.Unoccupied), NonResidential: Tri(a.NonResidential), SharedWithHomes: Tri(a.SharedWithDwellings),
		Rehabilitation: Tri(a.Rehabilitation), PaintDisturbed: Tri(a.PaintDisturbed), EmergencyAction: Tri(a.EmergencyAction), SeizedOn: DayOf(a.SeizedOn),
		FirstPaymentOn: DayOf(a.FirstPaymentOn), BadWeather: Tri(a.ExteriorInBadWeather), Historic: Tri(a.Historic), PreservationOffice: Tri(a.PreservationOfficeAsks)}
	f.BuildYear, f.Certainty = buildYear(&faults, a.BuildYear)
	return f, faults.Err()
}

// bedrooms reads a number of bedrooms that may not be known.
func bedrooms(told *int32) int {
	if told == nil {
		return home.BedroomsUnknown
	}
	return int(*told)
}

// housingFor reads whom housing is set aside for.
func housingFor(told *api.HousingFor) home.HousingFor {
	if told == nil {
		return home.ForUnknown
	}
	return map[api.HousingFor]home.HousingFor{api.HousingForGeneral: home.General, api.HousingForOlderPeople: home.OlderPeople,
		api.HousingForPeopleWithDisabilities: home.PeopleWithDisabilities}[*told]
}

// TierFacts reads the facts of the question which tier a rehabilitation is in.
func TierFacts(a api.AssistanceTierFacts) (assistance.TierFacts, error) {
	var faults fault.Faults
	f := assistance.TierFacts{AsOf: Day(a.AsOf), AssistedUnits: int(a.AssistedUnits), HomeRental: Tri(a.HomeRental), Insular: Tri(a.InsularArea), TestedFree: Tri(a.SurfacesTestedFree),
		Federal: money(a.FederalAssistance), Assisted: money(a.HardCostsAssistedUnits), Shared: money(a.HardCostsCommonAndExterior)}
	if a.Units != nil {
		f.Units = int(*a.Units)
	}
	for i, c := range list(a.Costs) {
		cost := assistance.Cost{For: assistance.Spending(c.For)}
		if c.Where != nil {
			cost.Where = assistance.Where(*c.Where)
		}
		if cost.For == assistance.HardCost && cost.Where == "" {
			faults.Add(at("/costs", i, "/where"), "missing", "Say where this hard cost arises: assisted_units, common_or_exterior or other_units.")
		}
		amount := money(c.Amount)
		if !amount.Known {
			faults.Add(at("/costs", i, "/amount"), "missing", "Say how much it is, or leave the item out; where amounts are not known send the sums that are.")
		}
		cost.Amount = amount.Dollars
		f.Costs = append(f.Costs, cost)
	}
	return f, faults.Err()
}

// money reads an amount of dollars, whose form the contract has checked; none is not known.
func money(told *api.Dollars) assistance.Money {
	if told == nil {
		return assistance.Money{}
	}
	n, err := measure.ParseNumber(*told)
	return assistance.Money{Dollars: n, Known: err == nil}
}

// ProgrammesFacts reads the facts of the question what a home owes under its programmes.
func ProgrammesFacts(a api.AssistanceRequirementsFacts) (assistance.ProgrammesFacts, error) {
	var faults fault.Faults
	f := assistance.ProgrammesFacts{AsOf: Day(a.AsOf), Exempt: Tri(a.Exempt), Units: whole(a.Units), Occupied: Tri(a.Occupied), ChildUnderSix: Tri(a.ChildUnderSix),
		ChildMovedIn: DayOf(a.ChildMovedInOn), Presumed: is(a.Presumed, true), PamphletGiven: Tri(a.PamphletGiven), RiskAssessmentOn: DayOf(a.RiskAssessmentOn),
		EvaluatedOn: DayOf(a.EvaluationReceivedOn), DeteriorationOn: DayOf(a.DeteriorationFoundOn), ReducedOn: DayOf(a.HazardReductionCompletedOn)}
	f.BuildYear, f.Certainty = buildYear(&faults, a.BuildYear)
	for i, p := range a.Programmes {
		f.Programmes = append(f.Programmes, assistance.ProgrammeFacts{Programme: assistance.Programme(p.Programme), On: DayOf(p.On), PerUnitYear: money(p.AmountPerUnitYear),
			PerProjectYear: money(p.AmountPerProjectYear), PerUnit: money(p.AmountPerUnit), Major: Tri(p.MajorRehabilitation), LeftToBuyer: Tri(p.LeftToBuyer), Continuing: Tri(p.Continuing)})
		checkAmounts(&faults, i, p)
	}
	return f, faults.Err()
}

// checkAmounts refuses an amount that the programme does not read: it would be silently left out.
func checkAmounts(f *fault.Faults, i int, p api.HousingProgrammeFacts) {
	for _, amount := range []struct {
		field  string
		told   *api.Dollars
		reader api.HousingProgramme
	}{{"/amount_per_unit_year", p.AmountPerUnitYear, api.HousingProgrammeProjectBased}, {"/amount_per_project_year", p.AmountPerProjectYear, api.HousingProgrammeFederalProjectAid},
		{"/amount_per_unit", p.AmountPerUnit, api.HousingProgrammeRehabilitation}} {
		if amount.told != nil && p.Programme != amount.reader {
			f.Add(at("/programmes", i, amount.field), "not_asked", "Only %s asks for this amount; leave it out, or correct the programme.", amount.reader)
		}
	}
}
