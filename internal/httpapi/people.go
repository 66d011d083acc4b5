package httpapi

import (
	"context"

	"github.com/google/uuid"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/form"
	"sillbook/internal/trade/crew"

	openapi "github.com/oapi-codegen/runtime/types"
)

// ListFirms answers the operation of that name.
func (s *Server) ListFirms(ctx context.Context, _ api.ListFirmsRequestObject) (api.ListFirmsResponseObject, error) {
	return s.list(ctx, form.Firm)
}

// CreateFirm answers the operation of that name.
func (s *Server) CreateFirm(ctx context.Context, _ api.CreateFirmRequestObject) (api.CreateFirmResponseObject, error) {
	return s.create(ctx, form.Firm)
}

// GetFirm answers the operation of that name.
func (s *Server) GetFirm(ctx context.Context, r api.GetFirmRequestObject) (api.GetFirmResponseObject, error) {
	return s.get(ctx, form.Firm, r.Id)
}

// PatchFirm answers the operation of that name.
func (s *Server) PatchFirm(ctx context.Context, r api.PatchFirmRequestObject) (api.PatchFirmResponseObject, error) {
	return s.patch(ctx, form.Firm, r.Id)
}

// PutFirmByExternalId answers the operation of that name.
func (s *Server) PutFirmByExternalId(ctx context.Context, r api.PutFirmByExternalIdRequestObject) (api.PutFirmByExternalIdResponseObject, error) {
	return s.put(ctx, form.Firm, r.System, r.Value)
}

// EndFirm answers the operation of that name.
func (s *Server) EndFirm(ctx context.Context, r api.EndFirmRequestObject) (api.EndFirmResponseObject, error) {
	return s.end(ctx, form.Firm, r.Id)
}

// ListPeople answers the operation of that name.
func (s *Server) ListPeople(ctx context.Context, _ api.ListPeopleRequestObject) (api.ListPeopleResponseObject, error) {
	return s.list(ctx, form.Person)
}

// CreatePerson answers the operation of that name.
func (s *Server) CreatePerson(ctx context.Context, _ api.CreatePersonRequestObject) (api.CreatePersonResponseObject, error) {
	return s.create(ctx, form.Person)
}

// GetPerson answers the operation of that name.
func (s *Server) GetPerson(ctx context.Context, r api.GetPersonRequestObject) (api.GetPersonResponseObject, error) {
	return s.get(ctx, form.Person, r.Id)
}

// PatchPerson answers the operation of that name.
func (s *Server) PatchPerson(ctx context.Context, r api.PatchPersonRequestObject) (api.PatchPersonResponseObject, error) {
	return s.patch(ctx, form.Person, r.Id)
}

// PutPersonByExternalId answers the operation of that name.
func (s *Server) PutPersonByExternalId(ctx context.Context, r api.PutPersonByExternalIdRequestObject) (api.PutPersonByExternalIdResponseObject, error) {
	return s.put(ctx, form.Person, r.System, r.Value)
}

// EndPerson answers the operation of that name.
func (s *Server) EndPerson(ctx context.Context, r api.EndPersonRequestObject) (api.EndPersonResponseObject, error) {
	return s.end(ctx, form.Person, r.Id)
}

// ListCertificates answers the operation of that name.
func (s *Server) ListCertificates(ctx context.Context, _ api.ListCertificatesRequestObject) (api.ListCertificatesResponseObject, error) {
	return s.list(ctx, s.certified)
}

// CreateCertificate answers the operation of that name.
func (s *Server) CreateCertificate(ctx context.Context, _ api.CreateCertificateRequestObject) (api.CreateCertificateResponseObject, error) {
	return s.create(ctx, s.certified)
}

// GetCertificate answers the operation of that name.
func (s *Server) GetCertificate(ctx context.Context, r api.GetCertificateRequestObject) (api.GetCertificateResponseObject, error) {
	return s.get(ctx, s.certified, r.Id)
}

// PatchCertificate answers the operation of that name.
func (s *Server) PatchCertificate(ctx context.Context, r api.PatchCertificateRequestObject) (api.PatchCertificateResponseObject, error) {
	return s.patch(ctx, s.certified, r.Id)
}

// PutCertificateByExternalId answers the operation of that name.
func (s *Server) PutCertificateByExternalId(ctx context.Context, r api.PutCertificateByExternalIdRequestObject) (api.PutCertificateByExternalIdResponseObject, error) {
	return s.put(ctx, s.certified, r.System, r.Value)
}

// EndCertificate answers the operation of that name.
func (s *Server) EndCertificate(ctx context.Context, r api.EndCertificateRequestObject) (api.EndCertificateResponseObject, error) {
	return s.end(ctx, s.certified, r.Id)
}

// GetFirmCertification answers whether a firm on record is certified.
func (s *Server) GetFirmCertification(ctx context.Context, told api.GetFirmCertificationRequestObject) (api.GetFirmCertificationResponseObject, error) {
	return s.certification(ctx, form.Firm, told.Id, crew.Firm, told.Params.On, told.Params.Jurisdiction)
}

// GetPersonCertification answers whether somebody on record is certified in a discipline.
func (s *Server) GetPersonCertification(ctx context.Context, told api.GetPersonCertificationRequestObject) (api.GetPersonCertificationResponseObject, error) {
	return s.certification(ctx, form.Person, told.Id, crew.Discipline(told.Params.Discipline), told.Params.On, told.Params.Jurisdiction)
}

func (s *Server) certification(ctx context.Context, kind form.Kind, id uuid.UUID, d crew.Discipline, on *openapi.Date, jurisdictions *[]string) (reply, error) {
	r := requestOf(ctx)
	if err := r.alsoCovers("certificate"); err != nil {
		return reply{}, err
	}
	var places []string
	if jurisdictions != nil {
		places = *jurisdictions
	}
	answer, err := s.store.Certified(ctx, r.call(), kind.Name, id, d, form.DayOf(on), places)
	if err != nil {
		return reply{}, err
	}
	return written(200, answer)
}

// ListCertificatesDue lists what is to be done for certificates on record.
func (s *Server) ListCertificatesDue(ctx context.Context, told api.ListCertificatesDueRequestObject) (api.ListCertificatesDueResponseObject, error) {
	due, err := s.store.CertificatesDue(ctx, requestOf(ctx).call(), form.DayOf(told.Params.Before))
	if err != nil {
		return nil, err
	}
	return written(200, form.CertificatesDue(due))
}

// ListAffectedJobs lists jobs outside the certified time of a certificate's holder.
func (s *Server) ListAffectedJobs(ctx context.Context, told api.ListAffectedJobsRequestObject) (api.ListAffectedJobsResponseObject, error) {
	r := requestOf(ctx)
	if err := r.alsoCovers("renovation", "verification", "clearance"); err != nil {
		return nil, err
	}
	affected, err := s.store.AffectedJobs(ctx, r.call(), told.Id)
	if err != nil {
		return nil, err
	}
	return written(200, affected)
}

// alsoCovers demands that a grant covers other kinds than the operation's own, where the answer speaks of them.
func (r *request) alsoCovers(kinds ...string) error {
	for _, kind := range kinds {
		if !r.caller.Covers(kind) {
			return fault.New(fault.Forbidden, "outside_grant", "The grant does not cover records of the kind %s, of which the answer speaks.", kind).
				Fix("Ask the other organization's owner for a grant that does.")
		}
	}
	return nil
}
