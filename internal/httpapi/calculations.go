package httpapi

import (
	"context"

	"sillbook/api"
	"sillbook/internal/form"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/renovation"
)

// The calculations answer from the facts sent and store nothing. They call the functions that the stored records rest on.

// ListParameters shows the law's numbers with their history.
func (s *Server) ListParameters(_ context.Context, told api.ListParametersRequestObject) (api.ListParametersResponseObject, error) {
	name := ""
	if told.Params.Name != nil {
		name = *told.Params.Name
	}
	return written(200, form.Parameters(s.law, name))
}

// CalculateCoverage answers whether a home is covered.
func (s *Server) CalculateCoverage(_ context.Context, told api.CalculateCoverageRequestObject) (api.CalculateCoverageResponseObject, error) {
	facts, err := form.CoverageFacts(*told.Body)
	if err != nil {
		return nil, err
	}
	answer, err := s.homes.Cover(facts)
	if err != nil {
		return nil, err
	}
	return written(200, s.homes.Explain(facts, answer))
}

// applicability is the answer to whether a job is a covered renovation.
type applicability struct {
	Outcome   string            `json:"outcome"`
	Total     *api.RoomTotal    `json:"total,omitempty"`
	Steps     []renovation.Step `json:"must_happen_first"`
	Determine law.Determination `json:"determination"`
}

// CalculateApplicability answers whether a job is a covered renovation.
func (s *Server) CalculateApplicability(_ context.Context, told api.CalculateApplicabilityRequestObject) (api.CalculateApplicabilityResponseObject, error) {
	work, others, err := form.Work(*told.Body)
	if err != nil {
		return nil, err
	}
	a, err := s.jobs.Apply(work, others)
	if err != nil {
		return nil, err
	}
	answer := applicability{Outcome: a.Outcome.String(), Steps: s.jobs.StepsBefore(work, a), Determine: s.jobs.Explain(work, others, a)}
	if a.Outcome >= renovation.Minor {
		all := append(others, renovation.Other{On: work.On, Area: work.Area, Known: work.AreaKnown, Emergency: work.Emergency})
		total, err := s.jobs.Allowance(work.Exterior, work.On, all)
		if err != nil {
			return nil, err
		}
		shown := form.Total(total)
		answer.Total = &shown
	}
	return written(200, answer)
}

// noticeAnswer says when the pamphlet may be given.
type noticeAnswer struct {
	From      calendar.Date     `json:"valid_from"`
	To        calendar.Date     `json:"valid_to"`
	Counts    *bool             `json:"counts,omitempty"`
	Determine law.Determination `json:"determination"`
}

// CalculateNoticeWindow answers when the pamphlet may be given.
func (s *Server) CalculateNoticeWindow(_ context.Context, told api.CalculateNoticeWindowRequestObject) (api.CalculateNoticeWindowResponseObject, error) {
	b := told.Body
	start, how, to := form.Day(b.Start), renovation.How(b.How), renovation.Recipient(b.Recipient)
	window, cite, err := s.jobs.NoticeWindow(how, start)
	if err != nil {
		return nil, err
	}
	d := law.NewDetermination("notice_window", start, s.jobs.RuleSet())
	d.Use("start", start.String())
	d.Use("how", string(how))
	d.Use("recipient", string(to))
	answer := noticeAnswer{From: window.From, To: window.To}
	d.Outcome = "window"
	why := "Given this way, the pamphlet counts from " + window.From.String() + " to " + window.To.String() + ", with its proof."
	if given := form.DayOf(b.GivenOn); !given.IsZero() {
		judged, err := s.jobs.JudgeNotice(renovation.Proved(to, how, given), start)
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
	return written(200, answer)
}
