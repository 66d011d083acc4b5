package httpapi

import (
	"context"

	"github.com/google/uuid"

	"sillbook/api"
	"sillbook/internal/form"
	"sillbook/internal/postgres"
)

// ListContainers lists containers, each with its position.
func (s *Server) ListContainers(ctx context.Context, _ api.ListContainersRequestObject) (api.ListContainersResponseObject, error) {
	return s.list(ctx, form.Container)
}

// CreateContainer records a sealed container.
func (s *Server) CreateContainer(ctx context.Context, _ api.CreateContainerRequestObject) (api.CreateContainerResponseObject, error) {
	return s.createWith(ctx, form.Container, s.store.CreateContainer)
}

// GetContainer reads a container.
func (s *Server) GetContainer(ctx context.Context, r api.GetContainerRequestObject) (api.GetContainerResponseObject, error) {
	return s.get(ctx, form.Container, r.Id)
}

// EndContainer voids a container that was entered in error.
func (s *Server) EndContainer(ctx context.Context, told api.EndContainerRequestObject) (api.EndContainerResponseObject, error) {
	r := requestOf(ctx)
	ending, err := form.Voiding(r.body, s.now(), "A container that is gone is delivered by a trip, or lost with a reason.")
	if err != nil {
		return nil, err
	}
	outcome, err := s.store.VoidContainer(ctx, r.call(), told.Id, r.match, ending)
	return s.answer(ctx, form.Container, outcome, err)
}

// AddContainerEvent tells what happened to a container apart from trips.
func (s *Server) AddContainerEvent(ctx context.Context, told api.AddContainerEventRequestObject) (api.AddContainerEventResponseObject, error) {
	r := requestOf(ctx)
	event, err := form.ContainerEvent(r.body, s.now())
	if err != nil {
		return nil, err
	}
	outcome, err := s.store.AddContainerEvent(ctx, r.call(), told.Id, event)
	return s.answer(ctx, form.Container, outcome, err)
}

// ListTrips lists trips.
func (s *Server) ListTrips(ctx context.Context, _ api.ListTripsRequestObject) (api.ListTripsResponseObject, error) {
	return s.list(ctx, form.Trip)
}

// CreateTrip records a trip, with its arrival where that is told at once.
func (s *Server) CreateTrip(ctx context.Context, _ api.CreateTripRequestObject) (api.CreateTripResponseObject, error) {
	return s.createWith(ctx, form.Trip, s.store.CreateTrip)
}

// GetTrip reads a trip.
func (s *Server) GetTrip(ctx context.Context, r api.GetTripRequestObject) (api.GetTripResponseObject, error) {
	return s.get(ctx, form.Trip, r.Id)
}

// EndTrip voids a trip that was entered in error.
func (s *Server) EndTrip(ctx context.Context, told api.EndTripRequestObject) (api.EndTripResponseObject, error) {
	r := requestOf(ctx)
	ending, err := form.Voiding(r.body, s.now(), "A trip is over with its arrival.")
	if err != nil {
		return nil, err
	}
	outcome, err := s.store.VoidTrip(ctx, r.call(), told.Id, r.match, ending)
	return s.answer(ctx, form.Trip, outcome, err)
}

// ArriveTrip tells what a facility took in.
func (s *Server) ArriveTrip(ctx context.Context, told api.ArriveTripRequestObject) (api.ArriveTripResponseObject, error) {
	r := requestOf(ctx)
	arrival, err := form.Arrival(r.body, s.now())
	if err != nil {
		return nil, err
	}
	outcome, err := s.store.ArriveTrip(ctx, r.call(), told.Id, arrival)
	return s.answer(ctx, form.Trip, outcome, err)
}

// GetRenovationBalance counts where a job's containers are.
func (s *Server) GetRenovationBalance(ctx context.Context, r api.GetRenovationBalanceRequestObject) (api.GetRenovationBalanceResponseObject, error) {
	return s.balance(ctx, "renovation", r.Id)
}

// GetPropertyBalance counts where the containers of every job on a property are.
func (s *Server) GetPropertyBalance(ctx context.Context, r api.GetPropertyBalanceRequestObject) (api.GetPropertyBalanceResponseObject, error) {
	return s.balance(ctx, "property", r.Id)
}

func (s *Server) balance(ctx context.Context, kind string, id uuid.UUID) (reply, error) {
	balance, err := s.store.WasteBalance(ctx, requestOf(ctx).call(), kind, id)
	if err != nil {
		return reply{}, err
	}
	return written(200, balance)
}

// createWith records what the body says in a way of the kind's own.
func (s *Server) createWith(ctx context.Context, kind form.Kind, create func(context.Context, postgres.Call, postgres.Draft) (postgres.Outcome, error)) (reply, error) {
	r := requestOf(ctx)
	if err := kind.Check(r.body, s.now()); err != nil {
		return reply{}, err
	}
	draft, err := postgres.DraftOf(r.body)
	if err != nil {
		return reply{}, err
	}
	outcome, err := create(ctx, r.call(), draft)
	return s.answer(ctx, kind, outcome, err)
}
