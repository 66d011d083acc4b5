package httpapi

import (
	"context"

	"sillbook/api"
	"sillbook/internal/form"
	"sillbook/internal/trade"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/renovation"
)

// CalculateApplicability answers whether a job is a covered renovation.
func (s *Server) CalculateApplicability(ctx context.Context, _ api.CalculateApplicabilityRequestObject) (api.CalculateApplicabilityResponseObject, error) {
	return s.calculate(ctx, "applicability")
}

// applicabilityAnswer is the answer to whether a job is a covered renovation.
type applicabilityAnswer struct {
	Outcome   string            `json:"outcome"`
	HUD       string            `json:"housing_rule"`
	Total     *api.RoomTotal    `json:"total,omitempty"`
	Steps     []renovation.Step `json:"must_happen_first"`
	Determine law.Determination `json:"determination"`
}

func applicability(r *trade.Rules, b api.ApplicabilityFacts) (any, error) {
	work, others, err := form.Work(b)
	if err != nil {
		return nil, err
	}
	rules := r.Jobs.In(list(b.Jurisdictions))
	a, err := rules.Apply(work, others)
	if err != nil {
		return nil, err
	}
	answer := applicabilityAnswer{Outcome: a.Outcome.String(), HUD: a.HUD.String(), Steps: rules.StepsBefore(work, a), Determine: rules.Explain(work, others, a)}
	rules.Otherwise(&answer.Determine, work, others)
	if a.Outcome == renovation.Minor || a.Outcome == renovation.CoveredRenovation {
		all := append(others, work.AsOther())
		total, err := rules.Allowance(work.Exterior, work.On, all)
		if err != nil {
			return nil, err
		}
		shown := form.Total(total)
		answer.Total = &shown
	}
	return answer, nil
}

// CalculateNoticeWindow answers when a notice of the work may be given.
func (s *Server) CalculateNoticeWindow(ctx context.Context, _ api.CalculateNoticeWindowRequestObject) (api.CalculateNoticeWindowResponseObject, error) {
	return s.calculate(ctx, "notice-window")
}

func noticeWindow(r *trade.Rules, b api.NoticeFacts) (any, error) {
	return r.Jobs.In(list(b.Jurisdictions)).Dates(form.NoticeFacts(b))
}

// CalculateCleaningVerification answers where a cleaning verification stands.
func (s *Server) CalculateCleaningVerification(ctx context.Context, _ api.CalculateCleaningVerificationRequestObject) (api.CalculateCleaningVerificationResponseObject, error) {
	return s.calculate(ctx, "cleaning-verification")
}

func cleaningVerification(r *trade.Rules, b api.VerificationFacts) (any, error) {
	facts, err := form.VerificationFacts(b)
	if err != nil {
		return nil, err
	}
	return r.Jobs.In(list(b.Jurisdictions)).Verify(facts)
}

// CalculateOccupantProtection answers whether occupants must leave.
func (s *Server) CalculateOccupantProtection(ctx context.Context, _ api.CalculateOccupantProtectionRequestObject) (api.CalculateOccupantProtectionResponseObject, error) {
	return s.calculate(ctx, "occupant-protection")
}

func occupantProtection(r *trade.Rules, b api.OccupantProtectionFacts) (any, error) {
	facts, err := form.OccupantProtectionFacts(b)
	if err != nil {
		return nil, err
	}
	return r.Jobs.In(list(b.Jurisdictions)).Protect(facts)
}

// CalculateContainment answers how far containment goes.
func (s *Server) CalculateContainment(ctx context.Context, _ api.CalculateContainmentRequestObject) (api.CalculateContainmentResponseObject, error) {
	return s.calculate(ctx, "containment")
}

func containment(r *trade.Rules, b api.ContainmentFacts) (any, error) {
	facts, err := form.ContainmentFacts(b)
	if err != nil {
		return nil, err
	}
	return r.Jobs.In(list(b.Jurisdictions)).Contain(facts)
}

// CalculateEmergency answers what an emergency lifts.
func (s *Server) CalculateEmergency(ctx context.Context, _ api.CalculateEmergencyRequestObject) (api.CalculateEmergencyResponseObject, error) {
	return s.calculate(ctx, "emergency")
}

func emergency(r *trade.Rules, b api.EmergencyFacts) (any, error) {
	facts, err := form.EmergencyFacts(b)
	if err != nil {
		return nil, err
	}
	return r.Jobs.In(list(b.Jurisdictions)).Emergency(facts)
}

// CalculateRecordKeeping answers what is kept of a job, and until when.
func (s *Server) CalculateRecordKeeping(ctx context.Context, _ api.CalculateRecordKeepingRequestObject) (api.CalculateRecordKeepingResponseObject, error) {
	return s.calculate(ctx, "record-keeping")
}

func recordKeeping(r *trade.Rules, b api.RecordKeepingFacts) (any, error) {
	return r.Jobs.In(list(b.Jurisdictions)).Records(form.RecordKeepingFacts(b))
}

// CalculateCleaning answers in what order a job is cleaned.
func (s *Server) CalculateCleaning(ctx context.Context, _ api.CalculateCleaningRequestObject) (api.CalculateCleaningResponseObject, error) {
	return s.calculate(ctx, "cleaning")
}

func cleaning(r *trade.Rules, b api.CleaningFacts) (any, error) {
	facts, err := form.CleaningFacts(b)
	if err != nil {
		return nil, err
	}
	return r.Jobs.In(list(b.Jurisdictions)).Clean(facts)
}

// CalculateJobPlan answers what a job must do, step by step.
func (s *Server) CalculateJobPlan(ctx context.Context, _ api.CalculateJobPlanRequestObject) (api.CalculateJobPlanResponseObject, error) {
	return s.calculate(ctx, "job-plan")
}

func jobPlan(r *trade.Rules, b api.JobPlanFacts) (any, error) {
	facts, err := form.JobPlanFacts(b)
	if err != nil {
		return nil, err
	}
	planner := renovation.Planner{Jobs: r.Jobs, Practices: r.Practices, Sampling: r.Clearances.Plans}
	return planner.In(list(b.Jurisdictions)).Plan(facts)
}
