package waste

// ContainerKind is what holds waste.
type ContainerKind string

// The kinds of container.
const (
	Bag           ContainerKind = "bag" // 40 CFR 745.85(a)(5)(i)(A) asks for a heavy-duty one
	Drum          ContainerKind = "drum"
	WrappedBundle ContainerKind = "wrapped_bundle" // too long for a bag: wrapped in sheeting and taped
	Box           ContainerKind = "box"
	Pail          ContainerKind = "pail"
	Pallet        ContainerKind = "pallet"
	RollOff       ContainerKind = "roll_off"
)

// Contents is what a container may hold.
type Contents string

// The kinds of contents.
const (
	Debris             Contents = "debris"
	Sheeting           Contents = "sheeting"
	ClothsAndMopHeads  Contents = "cloths_and_mop_heads"
	Filters            Contents = "filters"
	ProtectiveClothing Contents = "protective_clothing"
	WashWaterSolids    Contents = "wash_water_solids"
	Soil               Contents = "soil"
	Components         Contents = "components"
)

// FacilityKind is what a place that takes waste is.
type FacilityKind string

// The kinds of facility.
const (
	TransferStation                   FacilityKind = "transfer_station"
	MunicipalLandfill                 FacilityKind = "municipal_landfill"
	ConstructionAndDemolitionLandfill FacilityKind = "construction_and_demolition_landfill"
	HazardousWasteFacility            FacilityKind = "hazardous_waste_facility"
	HouseholdCollection               FacilityKind = "household_collection"
)

// CargoArea is where in the vehicle the waste rides.
type CargoArea string

// The cargo areas.
const (
	ClosedCargoArea CargoArea = "closed_cargo_area"
	CoveredBed      CargoArea = "covered_bed"
	Trailer         CargoArea = "trailer"
	PassengerArea   CargoArea = "passenger_area" // should not happen; see InPassengerArea
)
