package httpapi

import (
	"context"

	"sillbook/api"
	"sillbook/internal/form"
	"sillbook/internal/trade"
	"sillbook/internal/trade/calendar"
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

// CalculateNoticeWindow answers when the pamphlet may be given.
func (s *Server) CalculateNoticeWindow(ctx context.Context, _ api.CalculateNoticeWindowRequestObject) (api.CalculateNoticeWindowResponseObject, error) {
	return s.calculate(ctx, "notice-window")
}

// noticeAnswer says when the pamphlet may be given.
type noticeAnswer struct {
	From      calendar.Date     `json:"valid_from"`
	To        calendar.Date     `json:"valid_to"`
	Counts    *bool             `json:"counts,omitempty"`
	Determine law.Determination `json:"determination"`
}

func noticeWindow(r *trade.Rules, b api.NoticeFacts) (any, error) {
	start, how, to := form.Day(b.Start), renovation.How(b.How), renovation.Recipient(b.Recipient)
	window, cite, err := r.Jobs.NoticeWindow(how, start)
	if err != nil {
		return nil, err
	}
	d := law.NewDetermination("notice_window", start, r.Jobs.RuleSet())
	d.Use("start", start.String())
	d.Use("how", string(how))
	d.Use("recipient", string(to))
	answer := noticeAnswer{From: window.From, To: window.To}
	d.Outcome = "window"
	why := "Given this way, the pamphlet counts from " + window.From.String() + " to " + window.To.String() + ", with its proof."
	if given := form.DayOf(b.GivenOn); !given.IsZero() {
		judged, err := r.Jobs.JudgeNotice(renovation.Proved(to, how, given), start)
		if err != nil {
			return nil, err
		}
		d.Use("given_on", given.String())
		answer.Counts, why, cite, d.Outcome = &judged.Counts, judged.Why, judged.Cite, "does_not_count"
		if judged.Counts {
			d.Outcome = "counts"
		}
	} else {
		d.Miss("given_on", "Whether a notice counts turns on the date it was given.", "A date within the window counts; any other does not.")
	}
	d.Because("notice_window", "start", start.String(), cite, why)
	answer.Determine = d
	return answer, nil
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
