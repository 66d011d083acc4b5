package httpapi

import "net/http"

// One line for each operation of the contract: every response object is a reply.

func (r reply) VisitAddContainerEventResponse(w http.ResponseWriter) error      { return r.write(w) }
func (r reply) VisitAddFindingStepResponse(w http.ResponseWriter) error         { return r.write(w) }
func (r reply) VisitArriveTripResponse(w http.ResponseWriter) error             { return r.write(w) }
func (r reply) VisitCalculateApplicabilityResponse(w http.ResponseWriter) error { return r.write(w) }
func (r reply) VisitCalculateAssistanceRequirementsResponse(w http.ResponseWriter) error {
	return r.write(w)
}
func (r reply) VisitCalculateAssistanceTierResponse(w http.ResponseWriter) error { return r.write(w) }
func (r reply) VisitCalculateBloodLeadCaseResponse(w http.ResponseWriter) error  { return r.write(w) }
func (r reply) VisitCalculateCertificateResponse(w http.ResponseWriter) error    { return r.write(w) }
func (r reply) VisitCalculateCleaningResponse(w http.ResponseWriter) error       { return r.write(w) }
func (r reply) VisitCalculateCleaningVerificationResponse(w http.ResponseWriter) error {
	return r.write(w)
}
func (r reply) VisitCalculateClearanceResponse(w http.ResponseWriter) error { return r.write(w) }
func (r reply) VisitCalculateClearanceAuthorityResponse(w http.ResponseWriter) error {
	return r.write(w)
}
func (r reply) VisitCalculateClearanceLimitsResponse(w http.ResponseWriter) error { return r.write(w) }
func (r reply) VisitCalculateContainmentResponse(w http.ResponseWriter) error     { return r.write(w) }
func (r reply) VisitCalculateCoverageResponse(w http.ResponseWriter) error        { return r.write(w) }
func (r reply) VisitCalculateCrewAuthorityResponse(w http.ResponseWriter) error   { return r.write(w) }
func (r reply) VisitCalculateDisclosureResponse(w http.ResponseWriter) error      { return r.write(w) }
func (r reply) VisitCalculateDrawResponse(w http.ResponseWriter) error            { return r.write(w) }
func (r reply) VisitCalculateDutiesResponse(w http.ResponseWriter) error          { return r.write(w) }
func (r reply) VisitCalculateEmergencyResponse(w http.ResponseWriter) error       { return r.write(w) }
func (r reply) VisitCalculateExposureResponse(w http.ResponseWriter) error        { return r.write(w) }
func (r reply) VisitCalculateFacilityVisitsResponse(w http.ResponseWriter) error  { return r.write(w) }
func (r reply) VisitCalculateHazardsResponse(w http.ResponseWriter) error         { return r.write(w) }
func (r reply) VisitCalculateHousingRuleExemptionResponse(w http.ResponseWriter) error {
	return r.write(w)
}
func (r reply) VisitCalculateJobPlanResponse(w http.ResponseWriter) error { return r.write(w) }
func (r reply) VisitCalculateLeadFreeComponentsResponse(w http.ResponseWriter) error {
	return r.write(w)
}
func (r reply) VisitCalculateLocalRequirementsResponse(w http.ResponseWriter) error {
	return r.write(w)
}
func (r reply) VisitCalculateNoticeWindowResponse(w http.ResponseWriter) error { return r.write(w) }
func (r reply) VisitCalculateOccupantProtectionResponse(w http.ResponseWriter) error {
	return r.write(w)
}
func (r reply) VisitCalculatePracticesResponse(w http.ResponseWriter) error      { return r.write(w) }
func (r reply) VisitCalculateRecordKeepingResponse(w http.ResponseWriter) error  { return r.write(w) }
func (r reply) VisitCalculateReevaluationResponse(w http.ResponseWriter) error   { return r.write(w) }
func (r reply) VisitCalculateRehearsalResponse(w http.ResponseWriter) error      { return r.write(w) }
func (r reply) VisitCalculateSamplingPlanResponse(w http.ResponseWriter) error   { return r.write(w) }
func (r reply) VisitCalculateStandingResponse(w http.ResponseWriter) error       { return r.write(w) }
func (r reply) VisitCalculateUnitCountsResponse(w http.ResponseWriter) error     { return r.write(w) }
func (r reply) VisitCalculateWasteClassResponse(w http.ResponseWriter) error     { return r.write(w) }
func (r reply) VisitCreateAttachmentResponse(w http.ResponseWriter) error        { return r.write(w) }
func (r reply) VisitCreateBuildingResponse(w http.ResponseWriter) error          { return r.write(w) }
func (r reply) VisitCreateCertificateResponse(w http.ResponseWriter) error       { return r.write(w) }
func (r reply) VisitCreateClearanceResponse(w http.ResponseWriter) error         { return r.write(w) }
func (r reply) VisitCreateContainerResponse(w http.ResponseWriter) error         { return r.write(w) }
func (r reply) VisitCreateExteriorSideResponse(w http.ResponseWriter) error      { return r.write(w) }
func (r reply) VisitCreateFacilityResponse(w http.ResponseWriter) error          { return r.write(w) }
func (r reply) VisitCreateFirmResponse(w http.ResponseWriter) error              { return r.write(w) }
func (r reply) VisitCreateGrantResponse(w http.ResponseWriter) error             { return r.write(w) }
func (r reply) VisitCreateKeyResponse(w http.ResponseWriter) error               { return r.write(w) }
func (r reply) VisitCreateNoticeResponse(w http.ResponseWriter) error            { return r.write(w) }
func (r reply) VisitCreateOccupancyResponse(w http.ResponseWriter) error         { return r.write(w) }
func (r reply) VisitCreateOrganizationResponse(w http.ResponseWriter) error      { return r.write(w) }
func (r reply) VisitCreateOverlayResponse(w http.ResponseWriter) error           { return r.write(w) }
func (r reply) VisitCreatePersonResponse(w http.ResponseWriter) error            { return r.write(w) }
func (r reply) VisitCreatePropertyResponse(w http.ResponseWriter) error          { return r.write(w) }
func (r reply) VisitCreateProtectionResponse(w http.ResponseWriter) error        { return r.write(w) }
func (r reply) VisitCreateRenovationResponse(w http.ResponseWriter) error        { return r.write(w) }
func (r reply) VisitCreateRoomResponse(w http.ResponseWriter) error              { return r.write(w) }
func (r reply) VisitCreateSmallRepairResponse(w http.ResponseWriter) error       { return r.write(w) }
func (r reply) VisitCreateSmallRepairsResponse(w http.ResponseWriter) error      { return r.write(w) }
func (r reply) VisitCreateTripResponse(w http.ResponseWriter) error              { return r.write(w) }
func (r reply) VisitCreateUnitResponse(w http.ResponseWriter) error              { return r.write(w) }
func (r reply) VisitCreateVerificationResponse(w http.ResponseWriter) error      { return r.write(w) }
func (r reply) VisitEndAttachmentResponse(w http.ResponseWriter) error           { return r.write(w) }
func (r reply) VisitEndBuildingResponse(w http.ResponseWriter) error             { return r.write(w) }
func (r reply) VisitEndCertificateResponse(w http.ResponseWriter) error          { return r.write(w) }
func (r reply) VisitEndClearanceResponse(w http.ResponseWriter) error            { return r.write(w) }
func (r reply) VisitEndContainerResponse(w http.ResponseWriter) error            { return r.write(w) }
func (r reply) VisitEndExteriorSideResponse(w http.ResponseWriter) error         { return r.write(w) }
func (r reply) VisitEndFacilityResponse(w http.ResponseWriter) error             { return r.write(w) }
func (r reply) VisitEndFirmResponse(w http.ResponseWriter) error                 { return r.write(w) }
func (r reply) VisitEndNoticeResponse(w http.ResponseWriter) error               { return r.write(w) }
func (r reply) VisitEndOccupancyResponse(w http.ResponseWriter) error            { return r.write(w) }
func (r reply) VisitEndOverlayResponse(w http.ResponseWriter) error              { return r.write(w) }
func (r reply) VisitEndPersonResponse(w http.ResponseWriter) error               { return r.write(w) }
func (r reply) VisitEndPropertyResponse(w http.ResponseWriter) error             { return r.write(w) }
func (r reply) VisitEndProtectionResponse(w http.ResponseWriter) error           { return r.write(w) }
func (r reply) VisitEndRenovationResponse(w http.ResponseWriter) error           { return r.write(w) }
func (r reply) VisitEndRoomResponse(w http.ResponseWriter) error                 { return r.write(w) }
func (r reply) VisitEndSmallRepairResponse(w http.ResponseWriter) error          { return r.write(w) }
func (r reply) VisitEndTripResponse(w http.ResponseWriter) error                 { return r.write(w) }
func (r reply) VisitEndUnitResponse(w http.ResponseWriter) error                 { return r.write(w) }
func (r reply) VisitEndVerificationResponse(w http.ResponseWriter) error         { return r.write(w) }
func (r reply) VisitGetAttachmentResponse(w http.ResponseWriter) error           { return r.write(w) }
func (r reply) VisitGetAttachmentContentResponse(w http.ResponseWriter) error    { return r.write(w) }
func (r reply) VisitGetBuildingResponse(w http.ResponseWriter) error             { return r.write(w) }
func (r reply) VisitGetCertificateResponse(w http.ResponseWriter) error          { return r.write(w) }
func (r reply) VisitGetClearanceResponse(w http.ResponseWriter) error            { return r.write(w) }
func (r reply) VisitGetContainerResponse(w http.ResponseWriter) error            { return r.write(w) }
func (r reply) VisitGetExteriorAllowanceResponse(w http.ResponseWriter) error    { return r.write(w) }
func (r reply) VisitGetExteriorSideResponse(w http.ResponseWriter) error         { return r.write(w) }
func (r reply) VisitGetFacilityResponse(w http.ResponseWriter) error             { return r.write(w) }
func (r reply) VisitGetFindingResponse(w http.ResponseWriter) error              { return r.write(w) }
func (r reply) VisitGetFirmResponse(w http.ResponseWriter) error                 { return r.write(w) }
func (r reply) VisitGetFirmCertificationResponse(w http.ResponseWriter) error    { return r.write(w) }
func (r reply) VisitGetGrantResponse(w http.ResponseWriter) error                { return r.write(w) }
func (r reply) VisitGetKeyResponse(w http.ResponseWriter) error                  { return r.write(w) }
func (r reply) VisitGetNoticeResponse(w http.ResponseWriter) error               { return r.write(w) }
func (r reply) VisitGetObservationResponse(w http.ResponseWriter) error          { return r.write(w) }
func (r reply) VisitGetObservedResponse(w http.ResponseWriter) error             { return r.write(w) }
func (r reply) VisitGetOccupancyResponse(w http.ResponseWriter) error            { return r.write(w) }
func (r reply) VisitGetOrganizationResponse(w http.ResponseWriter) error         { return r.write(w) }
func (r reply) VisitGetOverlayResponse(w http.ResponseWriter) error              { return r.write(w) }
func (r reply) VisitGetOverlayEffectsResponse(w http.ResponseWriter) error       { return r.write(w) }
func (r reply) VisitGetPersonResponse(w http.ResponseWriter) error               { return r.write(w) }
func (r reply) VisitGetPersonCertificationResponse(w http.ResponseWriter) error  { return r.write(w) }
func (r reply) VisitGetPropertyResponse(w http.ResponseWriter) error             { return r.write(w) }
func (r reply) VisitGetPropertyBalanceResponse(w http.ResponseWriter) error      { return r.write(w) }
func (r reply) VisitGetProtectionResponse(w http.ResponseWriter) error           { return r.write(w) }
func (r reply) VisitGetRenovationResponse(w http.ResponseWriter) error           { return r.write(w) }
func (r reply) VisitGetRenovationBalanceResponse(w http.ResponseWriter) error    { return r.write(w) }
func (r reply) VisitGetRoomResponse(w http.ResponseWriter) error                 { return r.write(w) }
func (r reply) VisitGetRoomAllowanceResponse(w http.ResponseWriter) error        { return r.write(w) }
func (r reply) VisitGetSmallRepairResponse(w http.ResponseWriter) error          { return r.write(w) }
func (r reply) VisitGetTripResponse(w http.ResponseWriter) error                 { return r.write(w) }
func (r reply) VisitGetUnitResponse(w http.ResponseWriter) error                 { return r.write(w) }
func (r reply) VisitGetUnitCoverageResponse(w http.ResponseWriter) error         { return r.write(w) }
func (r reply) VisitGetVerificationResponse(w http.ResponseWriter) error         { return r.write(w) }
func (r reply) VisitListAccessesResponse(w http.ResponseWriter) error            { return r.write(w) }
func (r reply) VisitListAffectedJobsResponse(w http.ResponseWriter) error        { return r.write(w) }
func (r reply) VisitListAttachmentsResponse(w http.ResponseWriter) error         { return r.write(w) }
func (r reply) VisitListBlockersResponse(w http.ResponseWriter) error            { return r.write(w) }
func (r reply) VisitListBuildingsResponse(w http.ResponseWriter) error           { return r.write(w) }
func (r reply) VisitListCertificatesResponse(w http.ResponseWriter) error        { return r.write(w) }
func (r reply) VisitListCertificatesDueResponse(w http.ResponseWriter) error     { return r.write(w) }
func (r reply) VisitListChangesResponse(w http.ResponseWriter) error             { return r.write(w) }
func (r reply) VisitListClearancesResponse(w http.ResponseWriter) error          { return r.write(w) }
func (r reply) VisitListContainersResponse(w http.ResponseWriter) error          { return r.write(w) }
func (r reply) VisitListExteriorSidesResponse(w http.ResponseWriter) error       { return r.write(w) }
func (r reply) VisitListFacilitiesResponse(w http.ResponseWriter) error          { return r.write(w) }
func (r reply) VisitListFindingsResponse(w http.ResponseWriter) error            { return r.write(w) }
func (r reply) VisitListFirmsResponse(w http.ResponseWriter) error               { return r.write(w) }
func (r reply) VisitListGrantsResponse(w http.ResponseWriter) error              { return r.write(w) }
func (r reply) VisitListGrantsReceivedResponse(w http.ResponseWriter) error      { return r.write(w) }
func (r reply) VisitListKeysResponse(w http.ResponseWriter) error                { return r.write(w) }
func (r reply) VisitListNoticesResponse(w http.ResponseWriter) error             { return r.write(w) }
func (r reply) VisitListObservationsResponse(w http.ResponseWriter) error        { return r.write(w) }
func (r reply) VisitListOccupanciesResponse(w http.ResponseWriter) error         { return r.write(w) }
func (r reply) VisitListOverlaysResponse(w http.ResponseWriter) error            { return r.write(w) }
func (r reply) VisitListParametersResponse(w http.ResponseWriter) error          { return r.write(w) }
func (r reply) VisitListPeopleResponse(w http.ResponseWriter) error              { return r.write(w) }
func (r reply) VisitListPropertiesResponse(w http.ResponseWriter) error          { return r.write(w) }
func (r reply) VisitListProtectionsResponse(w http.ResponseWriter) error         { return r.write(w) }
func (r reply) VisitListRenovationsResponse(w http.ResponseWriter) error         { return r.write(w) }
func (r reply) VisitListRoomsResponse(w http.ResponseWriter) error               { return r.write(w) }
func (r reply) VisitListRuleSetsResponse(w http.ResponseWriter) error            { return r.write(w) }
func (r reply) VisitListRulesResponse(w http.ResponseWriter) error               { return r.write(w) }
func (r reply) VisitListSmallRepairsResponse(w http.ResponseWriter) error        { return r.write(w) }
func (r reply) VisitListTripsResponse(w http.ResponseWriter) error               { return r.write(w) }
func (r reply) VisitListUnitsResponse(w http.ResponseWriter) error               { return r.write(w) }
func (r reply) VisitListVerificationsResponse(w http.ResponseWriter) error       { return r.write(w) }
func (r reply) VisitMoveRenovationResponse(w http.ResponseWriter) error          { return r.write(w) }
func (r reply) VisitPatchBuildingResponse(w http.ResponseWriter) error           { return r.write(w) }
func (r reply) VisitPatchCertificateResponse(w http.ResponseWriter) error        { return r.write(w) }
func (r reply) VisitPatchExteriorSideResponse(w http.ResponseWriter) error       { return r.write(w) }
func (r reply) VisitPatchFacilityResponse(w http.ResponseWriter) error           { return r.write(w) }
func (r reply) VisitPatchFirmResponse(w http.ResponseWriter) error               { return r.write(w) }
func (r reply) VisitPatchOccupancyResponse(w http.ResponseWriter) error          { return r.write(w) }
func (r reply) VisitPatchOrganizationResponse(w http.ResponseWriter) error       { return r.write(w) }
func (r reply) VisitPatchOverlayResponse(w http.ResponseWriter) error            { return r.write(w) }
func (r reply) VisitPatchPersonResponse(w http.ResponseWriter) error             { return r.write(w) }
func (r reply) VisitPatchPropertyResponse(w http.ResponseWriter) error           { return r.write(w) }
func (r reply) VisitPatchRenovationResponse(w http.ResponseWriter) error         { return r.write(w) }
func (r reply) VisitPatchRoomResponse(w http.ResponseWriter) error               { return r.write(w) }
func (r reply) VisitPatchUnitResponse(w http.ResponseWriter) error               { return r.write(w) }
func (r reply) VisitPutBuildingByExternalIdResponse(w http.ResponseWriter) error { return r.write(w) }
func (r reply) VisitPutCertificateByExternalIdResponse(w http.ResponseWriter) error {
	return r.write(w)
}
func (r reply) VisitPutExteriorSideByExternalIdResponse(w http.ResponseWriter) error {
	return r.write(w)
}
func (r reply) VisitPutFacilityByExternalIdResponse(w http.ResponseWriter) error   { return r.write(w) }
func (r reply) VisitPutFirmByExternalIdResponse(w http.ResponseWriter) error       { return r.write(w) }
func (r reply) VisitPutOccupancyByExternalIdResponse(w http.ResponseWriter) error  { return r.write(w) }
func (r reply) VisitPutOverlayByExternalIdResponse(w http.ResponseWriter) error    { return r.write(w) }
func (r reply) VisitPutPersonByExternalIdResponse(w http.ResponseWriter) error     { return r.write(w) }
func (r reply) VisitPutPropertyByExternalIdResponse(w http.ResponseWriter) error   { return r.write(w) }
func (r reply) VisitPutRenovationByExternalIdResponse(w http.ResponseWriter) error { return r.write(w) }
func (r reply) VisitPutRoomByExternalIdResponse(w http.ResponseWriter) error       { return r.write(w) }
func (r reply) VisitPutUnitByExternalIdResponse(w http.ResponseWriter) error       { return r.write(w) }
func (r reply) VisitRecordObservationResponse(w http.ResponseWriter) error         { return r.write(w) }
func (r reply) VisitRecordObservationsResponse(w http.ResponseWriter) error        { return r.write(w) }
func (r reply) VisitRehearseClearanceResponse(w http.ResponseWriter) error         { return r.write(w) }
func (r reply) VisitRehearseRenovationResponse(w http.ResponseWriter) error        { return r.write(w) }
func (r reply) VisitRehearseSmallRepairResponse(w http.ResponseWriter) error       { return r.write(w) }
func (r reply) VisitRehearseUnitResponse(w http.ResponseWriter) error              { return r.write(w) }
func (r reply) VisitRevokeGrantResponse(w http.ResponseWriter) error               { return r.write(w) }
func (r reply) VisitRevokeKeyResponse(w http.ResponseWriter) error                 { return r.write(w) }
