package duty

import (
	"cmp"
	"slices"
	"strings"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// Duty is something owed, from what, by when.
type Duty struct {
	Code       string        `json:"code"`
	Subject    string        `json:"subject"`          // of what it is: the label of a job, an evaluation, a certificate's holder
	Detail     string        `json:"detail,omitempty"` // tells duties of one code and subject apart
	Text       string        `json:"text"`
	From       calendar.Date `json:"from,omitzero"`
	Due        calendar.Date `json:"due,omitzero"` // the last day on which it is in time; none where it has none
	State      State         `json:"state"`
	MetOn      calendar.Date `json:"met_on,omitzero"`
	Late       bool          `json:"late"`     // it was met after its last day
	Presumed   bool          `json:"presumed"` // a fact that is not known could make it fall away
	Kept       bool          `json:"only_kept"`
	Reason     string        `json:"reason"` // why it stands so
	MetBy      []string      `json:"met_by"`
	Rule       string        `json:"rule"`
	Citation   law.Citation  `json:"citation"`
	Restricted bool          `json:"restricted"` // it follows from a restricted fact
}

// Owed is the duty as a standing sees it.
func (d Duty) Owed() Owed {
	return Owed{Window: calendar.Window{From: d.From, To: d.Due}, MetOn: d.MetOn, Restricted: d.Restricted, Kept: d.Kept, What: d.Text}
}

// compare orders duties by their last day, those without one at the end, then by code and by what they are of.
func compare(a, b Duty) int {
	last := func(d Duty) int {
		if d.Due.IsZero() {
			return 1 << 30
		}
		return int(d.Due)
	}
	return cmp.Or(cmp.Compare(last(a), last(b)), strings.Compare(a.Code, b.Code), strings.Compare(a.Subject, b.Subject), strings.Compare(a.Detail, b.Detail),
		strings.Compare(a.Text, b.Text), cmp.Compare(a.State, b.State))
}

// draft is a duty before its state is known.
type draft struct {
	code, subject, detail, text string
	window                      calendar.Window
	metOn                       calendar.Date
	because                     law.Tri // the fact it arises from; not known presumes it
	void, kept                  bool
	why                         string // where it is void
	metBy                       []string
	cite                        law.Citation
}

// ledger gathers the duties of one question.
type ledger struct {
	asOf calendar.Date
	soon int
	list []Duty
}

// owe adds a duty with its state. What does not arise is left out.
func (l *ledger) owe(d draft) {
	if d.because == law.No {
		return
	}
	duty := Duty{Code: d.code, Subject: d.subject, Detail: d.detail, Text: d.text, From: d.window.From, Due: d.window.To, Presumed: d.because == law.Unknown,
		Kept: d.kept, MetBy: append([]string{}, d.metBy...), Rule: "duty_" + d.code, Citation: d.cite, State: StateOf(d.window, d.metOn, l.asOf, l.soon)}
	switch {
	case d.kept && duty.State == Overdue:
		duty.State = Met
	case d.kept && duty.State == DueSoon:
		duty.State = Open
	}
	if duty.State == Met && !d.kept {
		duty.MetOn = d.metOn
		duty.Late = !d.window.To.IsZero() && d.metOn.After(d.window.To)
	}
	if d.void && duty.State != Met {
		duty.State = Void
	}
	duty.Reason = reason(duty, d.why)
	l.list = append(l.list, duty)
}

// reason says why a duty stands as it does.
func reason(d Duty, why string) string {
	switch {
	case d.State == Void:
		return why
	case d.Kept && d.State == Met:
		return "The time for which it is kept ended on " + d.Due.String() + "."
	case d.Kept && d.Due.IsZero():
		return "It is kept; its last day turns on what has not happened."
	case d.Kept:
		return "It is kept until " + d.Due.String() + "."
	case d.State == Met && d.Late:
		return "It was met on " + d.MetOn.String() + ", after its last day, " + d.Due.String() + "."
	case d.State == Met:
		return "It was met on " + d.MetOn.String() + "."
	case d.State == Overdue:
		return "Its last day was " + d.Due.String() + ", and nothing told meets it."
	case d.Due.IsZero():
		return "Nothing told meets it; no last day is known."
	case d.State == DueSoon:
		return "It is due soon: its last day is " + d.Due.String() + "."
	}
	return "It is open until " + d.Due.String() + "."
}

func (l *ledger) sorted() []Duty {
	slices.SortFunc(l.list, compare)
	if l.list == nil {
		return []Duty{}
	}
	return l.list
}

// all is yes where every fact is, no where one is not, else not known.
func all(facts ...law.Tri) law.Tri {
	if slices.Contains(facts, law.No) {
		return law.No
	}
	if slices.Contains(facts, law.Unknown) {
		return law.Unknown
	}
	return law.Yes
}

// some is yes where one fact is, no where none is, else not known.
func some(facts ...law.Tri) law.Tri {
	if slices.Contains(facts, law.Yes) {
		return law.Yes
	}
	if slices.Contains(facts, law.Unknown) {
		return law.Unknown
	}
	return law.No
}

func yes(b bool) law.Tri {
	if b {
		return law.Yes
	}
	return law.No
}
