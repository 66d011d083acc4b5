package duty

import (
	"strconv"

	"sillbook/internal/fault"
	"sillbook/internal/trade/assistance"
	"sillbook/internal/trade/bloodlead"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/crew"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/renovation"
)

// Rules are the rules that duties come from, found once.
type Rules struct {
	book         *law.Book
	standings    StandingRules
	jobs         renovation.Rules
	assistance   assistance.Rules
	disclosures  home.DisclosureRules
	certificates crew.Certificates
	scope        law.Scope
	notice       law.Handle
	abatement    law.Handle
}

// NewRules finds them.
func NewRules(book *law.Book) (r Rules, err error) {
	r.book = book
	if r.standings, err = NewStandingRules(book); err != nil {
		return r, err
	}
	if r.jobs, err = renovation.NewRules(book); err != nil {
		return r, err
	}
	if r.assistance, err = assistance.NewRules(book); err != nil {
		return r, err
	}
	if r.disclosures, err = home.NewDisclosureRules(book); err != nil {
		return r, err
	}
	if r.certificates, err = crew.NewCertificates(book); err != nil {
		return r, err
	}
	return r, book.Handles(map[string]*law.Handle{"housing_notice_days": &r.notice, "abatement_notice_days": &r.abatement})
}

// In is the rules as they hold in a property's jurisdictions, beside the federal one.
func (r Rules) In(jurisdictions []string) Rules {
	r.scope.Jurisdictions = jurisdictions
	r.standings, r.jobs = r.standings.In(jurisdictions), r.jobs.In(jurisdictions)
	r.assistance.Upkeep, r.disclosures = r.assistance.Upkeep.In(jurisdictions), r.disclosures.In(jurisdictions)
	return r
}

// Answer is every duty that the facts and the law create.
type Answer struct {
	Outcome       State             `json:"outcome"` // the most pressing state; void where nothing is owed
	Duties        []Duty            `json:"duties"`
	Determination law.Determination `json:"determination"`
}

// Of lists every duty, by its last day. What is not known is taken to be so that more is owed.
func (r Rules) Of(f Facts) (Answer, error) {
	if err := f.check(); err != nil {
		return Answer{}, err
	}
	r = r.In(f.Jurisdictions)
	var err error
	if f.Soon, err = r.standings.Soon(f.Soon, f.AsOf); err != nil {
		return Answer{}, err
	}
	list, err := r.list(f)
	if err != nil {
		return Answer{}, err
	}
	a := Answer{Outcome: pressing(list), Duties: list}
	a.Determination = r.explain(f, a)
	law.Otherwise(&a.Determination, f, alternatives(f), func(f Facts) string {
		list, err := r.list(f)
		if err != nil || f.check() != nil {
			return ""
		}
		return string(pressing(list))
	})
	return a, nil
}

func (r Rules) list(f Facts) ([]Duty, error) {
	l := &ledger{asOf: f.AsOf, soon: f.Soon}
	var faults fault.Faults
	for i, j := range f.Jobs {
		faults.Merge("/jobs/"+strconv.Itoa(i), r.job(l, f, j))
	}
	for i, e := range f.Evaluations {
		faults.Merge("/evaluations/"+strconv.Itoa(i), r.evaluation(l, f, e))
	}
	for i, d := range f.Dealings {
		faults.Merge("/dealings/"+strconv.Itoa(i), r.dealing(l, f, d))
	}
	for _, e := range f.Events {
		r.local(l, f, e)
	}
	for i, h := range f.Holders {
		faults.Merge("/holders/"+strconv.Itoa(i), r.holder(l, f, h))
	}
	faults.Merge("/maintenance", r.upkeep(l, f))
	return l.sorted(), faults.Err()
}

// pressing is the most pressing state of duties that follow from no restricted fact.
func pressing(list []Duty) State {
	rank := map[State]int{Void: 0, Met: 1, Open: 2, DueSoon: 3, Overdue: 4}
	most := Void
	for _, d := range list {
		if !d.Restricted && !(d.Kept && d.State == Open) && rank[d.State] > rank[most] {
			most = d.State
		}
	}
	return most
}

func (r Rules) explain(f Facts, a Answer) law.Determination {
	d := law.NewDetermination("duties", f.AsOf, r.book.RuleSet())
	d.Outcome = string(a.Outcome)
	d.Use("soon_days", strconv.Itoa(f.Soon))
	for _, duty := range a.Duties {
		if !duty.Restricted {
			d.Because(duty.Rule, duty.Subject, string(duty.State), duty.Citation, duty.Text+" "+duty.Reason)
		}
	}
	if f.Home.Covered == law.Unknown {
		d.Miss("home/covered", "Whether the home is covered is not known, so it counts as covered.", "A home that is not covered owes nothing under the renovation and disclosure rules.")
	}
	if f.Home.Assisted == law.Unknown {
		d.Miss("home/assisted", "Whether the home is assisted is not known, so it counts as assisted.", "A home without assistance owes nothing under the housing rule.")
	}
	return d
}

func alternatives(f Facts) (list []law.Alternative[Facts]) {
	add := func(fact string, action bool, value string, set func(*Facts)) {
		list = append(list, law.Alternative[Facts]{Fact: fact, Value: value, Action: action, Set: set})
	}
	if f.Home.Covered == law.Unknown {
		add("home/covered", false, "no", func(f *Facts) { f.Home.Covered = law.No })
	}
	if f.Home.Assisted == law.Unknown {
		add("home/assisted", false, "no", func(f *Facts) { f.Home.Assisted = law.No })
	}
	add("duties", true, "all that can still be done, done on "+f.AsOf.String(), func(f *Facts) { f.doAll() })
	return list
}

// doAll does by the day asked about what can still be done.
func (f *Facts) doAll() {
	today := func(dates ...*calendar.Date) {
		for _, d := range dates {
			if d.IsZero() {
				*d = f.AsOf
			}
		}
	}
	f.Jobs = append([]Job(nil), f.Jobs...)
	for i := range f.Jobs {
		j := &f.Jobs[i]
		if !j.StartedOn.IsZero() {
			today(&j.CleanedOn, &j.VerifiedOn, &j.ClearedOn)
		}
		today(&j.SignsOn, &j.OccupantsOutOn, &j.InformationOn, &j.DustReportOn, &j.ReductionNoticeOn, &j.WasteOffOn)
	}
	f.Evaluations = append([]Evaluation(nil), f.Evaluations...)
	for i := range f.Evaluations {
		today(&f.Evaluations[i].NoticeOn)
	}
	f.Dealings = append([]Dealing(nil), f.Dealings...)
	for i := range f.Dealings {
		d := &f.Dealings[i]
		today(&d.PamphletOn, &d.DisclosedOn, &d.RecordsOn, &d.AttachmentOn)
	}
	if f.Upkeep != nil {
		u := *f.Upkeep
		u.VisualOn = f.AsOf
		u.Reports = append([]assistance.Report(nil), u.Reports...)
		for i := range u.Reports {
			today(&u.Reports[i].AnsweredOn)
		}
		f.Upkeep = &u
	}
}

// OfCase are the duties of a blood lead case: all restricted.
func OfCase(subject string, deadlines []bloodlead.Deadline, asOf calendar.Date, soon int) []Duty {
	l := &ledger{asOf: asOf, soon: soon}
	for _, d := range deadlines {
		because := yes(true)
		if d.Presumed {
			because = law.Unknown
		}
		l.owe(draft{code: d.What, subject: subject, text: d.Text, window: calendar.Window{From: d.From, To: d.Due}, metOn: d.DoneOn, because: because,
			void: d.State == "not_needed", why: d.Text, cite: d.Citation, metBy: []string{"case event"}})
		duty := &l.list[len(l.list)-1]
		duty.Restricted, duty.Rule = true, d.Rule
		if d.State == "waiting" {
			duty.State, duty.Reason = Open, "Something else has to happen first; this is the earliest that its last day can be."
		}
	}
	return l.sorted()
}
