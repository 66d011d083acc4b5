package duty

import (
	"cmp"
	"fmt"
	"slices"

	"sillbook/internal/trade/assistance"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// evaluation is the notice of what an evaluation found, or of a presumption (24 CFR 35.125(a)).
func (r Rules) evaluation(l *ledger, f Facts, e Evaluation) error {
	if e.Visual || e.ReceivedOn.After(f.AsOf) || f.Home.Assisted == law.No {
		return nil
	}
	v, ok := r.book.On(r.notice, e.ReceivedOn, law.Required, r.scope)
	if !ok {
		return r.book.TooEarly(r.notice, "/received_on", e.ReceivedOn)
	}
	l.owe(draft{code: "notice_of_evaluation", subject: e.Label, window: calendar.Window{From: e.ReceivedOn, To: e.ReceivedOn.AddDays(v.Int())}, metOn: e.NoticeOn, because: all(f.Home.Assisted, e.Found),
		metBy: []string{"notice"}, cite: law.Cite("24 CFR 35.125(a)", law.Text), text: fmt.Sprintf("Tell the occupants within %s calendar days of what was found or is presumed.", v.Value)})
	return nil
}

// dealing is the disclosure before a sale or lease binds (40 CFR 745 subpart F).
func (r Rules) dealing(l *ledger, f Facts, d Dealing) error {
	facts := d.DisclosureFacts
	facts.AsOf, facts.Covered = f.AsOf, f.Home.Covered
	a, err := r.disclosures.Judge(facts)
	if err != nil {
		return err
	}
	done := map[string]calendar.Date{"give_pamphlet": facts.PamphletOn, "disclose_what_is_known": facts.DisclosedOn, "give_records": facts.RecordsOn, "sign_attachment": facts.AttachmentOn}
	for _, owed := range a.Duties {
		metOn, dated := done[owed.What]
		if !dated {
			continue // the buyer's time is no deadline of the seller's
		}
		l.owe(draft{code: "disclose", subject: d.Label, detail: owed.What, window: calendar.Window{To: owed.Before}, metOn: metOn, because: f.Home.Covered, metBy: []string{"disclosure record"}, cite: owed.Citation, text: owed.Text})
	}
	if !a.KeepUntil.IsZero() {
		l.owe(draft{code: "keep_disclosure", subject: d.Label, window: calendar.Window{From: facts.BeganOn, To: a.KeepUntil}, because: f.Home.Covered, kept: true, metBy: []string{"the records"},
			cite: law.Cite("40 CFR 745.113; 24 CFR 35.92", law.Text), text: "Keep the signed disclosure."})
	}
	return nil
}

// upkeep is what ongoing maintenance and reevaluation owe (24 CFR 35.1355).
func (r Rules) upkeep(l *ledger, f Facts) error {
	if f.Upkeep == nil || f.Home.Assisted == law.No {
		return nil
	}
	facts := f.Upkeep.UpkeepFacts
	facts.AsOf = f.AsOf
	facts.Reports = slices.SortedFunc(slices.Values(facts.Reports), func(a, b assistance.Report) int {
		return cmp.Or(cmp.Compare(a.On, b.On), cmp.Compare(a.AnsweredOn, b.AnsweredOn))
	})
	a, err := r.assistance.Upkeep.Judge(facts)
	if err != nil {
		return err
	}
	codes := map[string]string{"reevaluate": "reevaluate", "assess_visually": "visual_assessment", "assess_at_turnover": "visual_assessment", "answer_report": "respond_to_report"}
	reports := 0
	for _, owed := range a.Due {
		d := draft{code: codes[owed.What], subject: f.Home.Label, window: calendar.Window{From: owed.From, To: owed.By}, because: f.Home.Assisted, metBy: []string{"evaluation"}, cite: owed.Citation, text: owed.Text}
		switch owed.What {
		case "assess_at_turnover":
			d.detail = "turnover " + facts.TurnoverOn.String()
			if !facts.VisualOn.Before(facts.TurnoverOn) {
				d.metOn = facts.VisualOn
			}
		case "answer_report":
			d.metOn, d.metBy = facts.Reports[reports].AnsweredOn, []string{"observation", "job"}
			d.detail = "report of " + facts.Reports[reports].On.String()
			reports++
		}
		l.owe(d)
		if owed.What == "assess_visually" && facts.VisualOn.IsZero() {
			last := &l.list[len(l.list)-1]
			last.State, last.Due, last.Reason = Overdue, 0, "When it was last done is not known, so it is overdue."
		}
	}
	return nil
}
