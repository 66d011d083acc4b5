package form

import (
	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/assistance"
	"sillbook/internal/trade/home"
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
