package httpapi

import (
	"context"

	"sillbook/api"
	"sillbook/internal/form"
)

// ListProperties answers the operation of that name.
func (s *Server) ListProperties(ctx context.Context, _ api.ListPropertiesRequestObject) (api.ListPropertiesResponseObject, error) {
	return s.list(ctx, form.Property)
}

// CreateProperty answers the operation of that name.
func (s *Server) CreateProperty(ctx context.Context, _ api.CreatePropertyRequestObject) (api.CreatePropertyResponseObject, error) {
	return s.create(ctx, form.Property)
}

// GetProperty answers the operation of that name.
func (s *Server) GetProperty(ctx context.Context, r api.GetPropertyRequestObject) (api.GetPropertyResponseObject, error) {
	return s.get(ctx, form.Property, r.Id)
}

// PatchProperty answers the operation of that name.
func (s *Server) PatchProperty(ctx context.Context, r api.PatchPropertyRequestObject) (api.PatchPropertyResponseObject, error) {
	return s.patch(ctx, form.Property, r.Id)
}

// PutPropertyByExternalId answers the operation of that name.
func (s *Server) PutPropertyByExternalId(ctx context.Context, r api.PutPropertyByExternalIdRequestObject) (api.PutPropertyByExternalIdResponseObject, error) {
	return s.put(ctx, form.Property, r.System, r.Value)
}

// EndProperty answers the operation of that name.
func (s *Server) EndProperty(ctx context.Context, r api.EndPropertyRequestObject) (api.EndPropertyResponseObject, error) {
	return s.end(ctx, form.Property, r.Id)
}

// ListBuildings answers the operation of that name.
func (s *Server) ListBuildings(ctx context.Context, _ api.ListBuildingsRequestObject) (api.ListBuildingsResponseObject, error) {
	return s.list(ctx, form.Building)
}

// CreateBuilding answers the operation of that name.
func (s *Server) CreateBuilding(ctx context.Context, _ api.CreateBuildingRequestObject) (api.CreateBuildingResponseObject, error) {
	return s.create(ctx, form.Building)
}

// GetBuilding answers the operation of that name.
func (s *Server) GetBuilding(ctx context.Context, r api.GetBuildingRequestObject) (api.GetBuildingResponseObject, error) {
	return s.get(ctx, form.Building, r.Id)
}

// PatchBuilding answers the operation of that name.
func (s *Server) PatchBuilding(ctx context.Context, r api.PatchBuildingRequestObject) (api.PatchBuildingResponseObject, error) {
	return s.patch(ctx, form.Building, r.Id)
}

// PutBuildingByExternalId answers the operation of that name.
func (s *Server) PutBuildingByExternalId(ctx context.Context, r api.PutBuildingByExternalIdRequestObject) (api.PutBuildingByExternalIdResponseObject, error) {
	return s.put(ctx, form.Building, r.System, r.Value)
}

// EndBuilding answers the operation of that name.
func (s *Server) EndBuilding(ctx context.Context, r api.EndBuildingRequestObject) (api.EndBuildingResponseObject, error) {
	return s.end(ctx, form.Building, r.Id)
}

// ListUnits answers the operation of that name.
func (s *Server) ListUnits(ctx context.Context, _ api.ListUnitsRequestObject) (api.ListUnitsResponseObject, error) {
	return s.list(ctx, form.Unit)
}

// CreateUnit answers the operation of that name.
func (s *Server) CreateUnit(ctx context.Context, _ api.CreateUnitRequestObject) (api.CreateUnitResponseObject, error) {
	return s.create(ctx, form.Unit)
}

// GetUnit answers the operation of that name.
func (s *Server) GetUnit(ctx context.Context, r api.GetUnitRequestObject) (api.GetUnitResponseObject, error) {
	return s.get(ctx, form.Unit, r.Id)
}

// PatchUnit answers the operation of that name.
func (s *Server) PatchUnit(ctx context.Context, r api.PatchUnitRequestObject) (api.PatchUnitResponseObject, error) {
	return s.patch(ctx, form.Unit, r.Id)
}

// PutUnitByExternalId answers the operation of that name.
func (s *Server) PutUnitByExternalId(ctx context.Context, r api.PutUnitByExternalIdRequestObject) (api.PutUnitByExternalIdResponseObject, error) {
	return s.put(ctx, form.Unit, r.System, r.Value)
}

// EndUnit answers the operation of that name.
func (s *Server) EndUnit(ctx context.Context, r api.EndUnitRequestObject) (api.EndUnitResponseObject, error) {
	return s.end(ctx, form.Unit, r.Id)
}

// ListRooms answers the operation of that name.
func (s *Server) ListRooms(ctx context.Context, _ api.ListRoomsRequestObject) (api.ListRoomsResponseObject, error) {
	return s.list(ctx, form.Room)
}

// CreateRoom answers the operation of that name.
func (s *Server) CreateRoom(ctx context.Context, _ api.CreateRoomRequestObject) (api.CreateRoomResponseObject, error) {
	return s.create(ctx, form.Room)
}

// GetRoom answers the operation of that name.
func (s *Server) GetRoom(ctx context.Context, r api.GetRoomRequestObject) (api.GetRoomResponseObject, error) {
	return s.get(ctx, form.Room, r.Id)
}

// PatchRoom answers the operation of that name.
func (s *Server) PatchRoom(ctx context.Context, r api.PatchRoomRequestObject) (api.PatchRoomResponseObject, error) {
	return s.patch(ctx, form.Room, r.Id)
}

// PutRoomByExternalId answers the operation of that name.
func (s *Server) PutRoomByExternalId(ctx context.Context, r api.PutRoomByExternalIdRequestObject) (api.PutRoomByExternalIdResponseObject, error) {
	return s.put(ctx, form.Room, r.System, r.Value)
}

// EndRoom answers the operation of that name.
func (s *Server) EndRoom(ctx context.Context, r api.EndRoomRequestObject) (api.EndRoomResponseObject, error) {
	return s.end(ctx, form.Room, r.Id)
}

// ListExteriorSides answers the operation of that name.
func (s *Server) ListExteriorSides(ctx context.Context, _ api.ListExteriorSidesRequestObject) (api.ListExteriorSidesResponseObject, error) {
	return s.list(ctx, form.ExteriorSide)
}

// CreateExteriorSide answers the operation of that name.
func (s *Server) CreateExteriorSide(ctx context.Context, _ api.CreateExteriorSideRequestObject) (api.CreateExteriorSideResponseObject, error) {
	return s.create(ctx, form.ExteriorSide)
}

// GetExteriorSide answers the operation of that name.
func (s *Server) GetExteriorSide(ctx context.Context, r api.GetExteriorSideRequestObject) (api.GetExteriorSideResponseObject, error) {
	return s.get(ctx, form.ExteriorSide, r.Id)
}

// PatchExteriorSide answers the operation of that name.
func (s *Server) PatchExteriorSide(ctx context.Context, r api.PatchExteriorSideRequestObject) (api.PatchExteriorSideResponseObject, error) {
	return s.patch(ctx, form.ExteriorSide, r.Id)
}

// PutExteriorSideByExternalId answers the operation of that name.
func (s *Server) PutExteriorSideByExternalId(ctx context.Context, r api.PutExteriorSideByExternalIdRequestObject) (api.PutExteriorSideByExternalIdResponseObject, error) {
	return s.put(ctx, form.ExteriorSide, r.System, r.Value)
}

// EndExteriorSide answers the operation of that name.
func (s *Server) EndExteriorSide(ctx context.Context, r api.EndExteriorSideRequestObject) (api.EndExteriorSideResponseObject, error) {
	return s.end(ctx, form.ExteriorSide, r.Id)
}

// ListOccupancies answers the operation of that name.
func (s *Server) ListOccupancies(ctx context.Context, _ api.ListOccupanciesRequestObject) (api.ListOccupanciesResponseObject, error) {
	return s.list(ctx, form.Occupancy)
}

// CreateOccupancy answers the operation of that name.
func (s *Server) CreateOccupancy(ctx context.Context, _ api.CreateOccupancyRequestObject) (api.CreateOccupancyResponseObject, error) {
	return s.create(ctx, form.Occupancy)
}

// GetOccupancy answers the operation of that name.
func (s *Server) GetOccupancy(ctx context.Context, r api.GetOccupancyRequestObject) (api.GetOccupancyResponseObject, error) {
	return s.get(ctx, form.Occupancy, r.Id)
}

// PatchOccupancy answers the operation of that name.
func (s *Server) PatchOccupancy(ctx context.Context, r api.PatchOccupancyRequestObject) (api.PatchOccupancyResponseObject, error) {
	return s.patch(ctx, form.Occupancy, r.Id)
}

// PutOccupancyByExternalId answers the operation of that name.
func (s *Server) PutOccupancyByExternalId(ctx context.Context, r api.PutOccupancyByExternalIdRequestObject) (api.PutOccupancyByExternalIdResponseObject, error) {
	return s.put(ctx, form.Occupancy, r.System, r.Value)
}

// EndOccupancy answers the operation of that name.
func (s *Server) EndOccupancy(ctx context.Context, r api.EndOccupancyRequestObject) (api.EndOccupancyResponseObject, error) {
	return s.end(ctx, form.Occupancy, r.Id)
}

// ListFacilities answers the operation of that name.
func (s *Server) ListFacilities(ctx context.Context, _ api.ListFacilitiesRequestObject) (api.ListFacilitiesResponseObject, error) {
	return s.list(ctx, form.Facility)
}

// CreateFacility answers the operation of that name.
func (s *Server) CreateFacility(ctx context.Context, _ api.CreateFacilityRequestObject) (api.CreateFacilityResponseObject, error) {
	return s.create(ctx, form.Facility)
}

// GetFacility answers the operation of that name.
func (s *Server) GetFacility(ctx context.Context, r api.GetFacilityRequestObject) (api.GetFacilityResponseObject, error) {
	return s.get(ctx, form.Facility, r.Id)
}

// PatchFacility answers the operation of that name.
func (s *Server) PatchFacility(ctx context.Context, r api.PatchFacilityRequestObject) (api.PatchFacilityResponseObject, error) {
	return s.patch(ctx, form.Facility, r.Id)
}

// PutFacilityByExternalId answers the operation of that name.
func (s *Server) PutFacilityByExternalId(ctx context.Context, r api.PutFacilityByExternalIdRequestObject) (api.PutFacilityByExternalIdResponseObject, error) {
	return s.put(ctx, form.Facility, r.System, r.Value)
}

// EndFacility answers the operation of that name.
func (s *Server) EndFacility(ctx context.Context, r api.EndFacilityRequestObject) (api.EndFacilityResponseObject, error) {
	return s.end(ctx, form.Facility, r.Id)
}
