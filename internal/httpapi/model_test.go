package httpapi_test

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
)

// model is what the rules of a job's life come to, written plainly and in memory: one covered job in a unit where a child
// lives, of which an owner and an occupant must be told. It knows nothing of how the service works it out.
type model struct {
	state   string
	planned string // local date, like every date here
	moves   []modelMove

	notices      []modelNotice
	protections  []string // dates from which somebody is kept out
	verification proof
	clearance    proof
	undelivered  int
	observations map[string]modelObservation
	findings     []*modelFinding
}

type modelMove struct {
	from, to, on string
	at           time.Time
}

type modelNotice struct {
	id, recipient, given string
	void                 bool
}

// proof is the last verification or clearance; no outcome: there is none.
type proof struct{ outcome, on string }

type modelObservation struct {
	id, kind  string
	at        time.Time
	withdrawn bool
}

type modelFinding struct {
	code, observation string
	stops             bool
	state             string
	since             time.Time
}

// said writes a finding in words that can be compared.
func (f modelFinding) said() string {
	return fmt.Sprint(f.code, " ", f.observation, " ", f.state, " ", f.stops)
}

func (f modelFinding) open() bool { return f.state != "signed_off" && f.state != "void" }

var modelAfter = map[string][]string{"drafted": {"ready", "called_off"}, "ready": {"under_way", "drafted", "called_off"},
	"under_way": {"cleaning", "called_off"}, "cleaning": {"checking"}, "checking": {"closed", "cleaning"}}

func (m *model) last(to string) (on string) {
	for _, move := range m.moves {
		if move.to == to {
			on = move.on
		}
	}
	return on
}

// daysBefore is a number of days before a date.
func daysBefore(date string, n int) string {
	day, _ := time.Parse(time.DateOnly, date) // the model's own
	return day.AddDate(0, 0, -n).Format(time.DateOnly)
}

func (n modelNotice) counts(start string) bool {
	return !n.void && n.given < start && n.given >= daysBefore(start, 60)
}

// told reports whether a recipient was validly told of a start.
func (m *model) told(recipient, start string) bool {
	return slices.ContainsFunc(m.notices, func(n modelNotice) bool { return n.recipient == recipient && n.counts(start) })
}

// blockers are the codes of all that stands in the way of a move today.
func (m *model) blockers(to, today string, reason bool) []string {
	codes := []string{}
	block := func(code string, is bool) {
		if is {
			codes = append(codes, code)
		}
	}
	start := cmp.Or(m.last("under_way"), m.planned)
	if to == "under_way" && m.last("under_way") == "" {
		start = today
	}
	block("out_of_order", !slices.Contains(modelAfter[m.state], to))
	if to == "ready" || to == "under_way" {
		block("no_valid_notice", !m.told("owner", start))
		block("no_valid_notice", !m.told("adult_occupant", start))
		block("occupant_protection", !slices.ContainsFunc(m.protections, func(from string) bool { return from <= start }))
	}
	for _, f := range m.findings {
		block("work_stopped", onward(m.state, to) && f.stops && (f.state == "open" || f.state == "corrected"))
	}
	block("no_reason", to == "called_off" && !reason)
	block("work_has_begun", to == "called_off" && m.state == "under_way")
	if to != "closed" {
		return codes
	}
	if code := m.unproved(); code != "" {
		codes = append(codes, code)
	}
	block("containers_not_accounted", m.undelivered > 0)
	for _, f := range m.findings {
		block("open_finding", f.open())
	}
	return codes
}

// onward are the moves that a stop of the work stands in the way of.
func onward(from, to string) bool {
	return to == "under_way" || to == "checking" || to == "cleaning" && from == "under_way"
}

// unproved is the code that says why the place is not proved clean; empty when it is. What passed counts for the cleaning
// before it only.
func (m *model) unproved() string {
	cleaned := m.last("cleaning")
	stale := func(p proof) bool { return p.outcome == "passed" && p.on < cleaned }
	verified := m.verification.outcome == "passed" && !stale(m.verification)
	switch {
	case m.clearance.outcome == "failed":
		return "clearance_failed"
	case m.clearance.outcome == "passed" && !stale(m.clearance), m.clearance.outcome == "" && verified, stale(m.clearance) && verified:
		return ""
	case stale(m.clearance), stale(m.verification):
		return "proof_outdated"
	}
	return "not_verified"
}

// move makes a move; overridden says that something stood in its way.
func (m *model) move(to, today string, now time.Time, overridden bool) {
	m.moves = append(m.moves, modelMove{m.state, to, today, now})
	m.state = to
	if overridden {
		m.find("override", now)
	}
}

func (m *model) find(code string, now time.Time) {
	m.findings = append(m.findings, &modelFinding{code: code, state: "open", since: now})
}

// failed takes in that a verification or clearance failed: what is being checked is cleaned again, and what is closed has an
// open finding.
func (m *model) failed(code, today string, now time.Time) {
	switch m.state {
	case "checking":
		m.move("cleaning", today, now, false)
	case "closed":
		m.find(code, now)
	}
}

// cause is something observed that a finding must be open for.
type cause struct {
	code, observation string
	at, over          time.Time // of a breach: when it was over; no time: it is not
	stops             bool
}

// causes walks through the observations in the order in which they happened.
func (m *model) causes() (found []*cause) {
	order := slices.SortedFunc(maps.Values(m.observations), func(a, b modelObservation) int {
		return cmp.Or(a.at.Compare(b.at), strings.Compare(a.id, b.id))
	})
	var signs, unsigned, contained, bare bool
	mended := map[*cause]bool{}
	breaches := func(do func(*cause)) (any bool) {
		for _, c := range found {
			if c.code == "containment_breach" && c.over.IsZero() {
				do(c)
				any = true
			}
		}
		return any
	}
	for _, o := range order {
		if o.withdrawn {
			continue
		}
		add := func(code string, stops bool) {
			found = append(found, &cause{code: code, observation: o.id, at: o.at, stops: stops})
		}
		switch o.kind {
		case "sign_posted":
			signs, unsigned = true, false
		case "sign_removed":
			signs = false
		case "containment_built":
			bare = false
			breaches(func(c *cause) { mended[c] = true })
		case "containment_mended":
			breaches(func(c *cause) { mended[c] = true })
		case "containment_breached":
			add("containment_breach", true)
		case "intact":
			breaches(func(c *cause) {
				if mended[c] {
					c.over = o.at
				}
			})
		case "not_intact":
			if !breaches(func(c *cause) { mended[c] = false }) {
				add("containment_breach", true)
			}
		case "wet_scraping", "open_flame":
			if o.kind == "open_flame" {
				add("prohibited_practice", true)
			}
			if !signs && !unsigned {
				unsigned = true
				add("missing_sign", false)
			}
			if !contained && !bare {
				bare = true
				add("missing_containment", false)
			}
		}
		contained = contained || strings.HasPrefix(o.kind, "containment") || strings.HasSuffix(o.kind, "intact")
	}
	return found
}

// late reports whether a cause that the book has known since an instant would have stood in the way of a move made before.
func (m *model) late(c *cause, since time.Time) bool {
	after := func(move modelMove, at time.Time) bool {
		if day := localDay(at); day != move.on {
			return day < move.on
		}
		return move.to != "under_way" && !move.at.Before(at)
	}
	return slices.ContainsFunc(m.moves, func(move modelMove) bool {
		stood := move.to == "closed" || c.stops && onward(move.from, move.to) && (c.over.IsZero() || !after(move, c.over))
		return stood && after(move, c.at) && since.After(move.at)
	})
}

// observed brings the findings in step with the observations.
func (m *model) observed(now time.Time) {
	wanted := map[*modelFinding]bool{}
	want := func(code, observation string, stops bool) *modelFinding {
		i := slices.IndexFunc(m.findings, func(f *modelFinding) bool {
			return f.code == code && f.observation == observation && f.state != "void"
		})
		if i < 0 {
			m.findings = append(m.findings, &modelFinding{code: code, observation: observation, state: "open", since: now})
			i = len(m.findings) - 1
		}
		f := m.findings[i]
		wanted[f] = true
		if f.state != "signed_off" {
			f.stops = stops
		}
		return f
	}
	for _, c := range m.causes() {
		f := want(c.code, c.observation, c.stops && c.over.IsZero())
		if m.late(c, f.since) {
			want("late_fact", c.observation, false)
		}
	}
	for _, f := range m.findings {
		if f.observation != "" && !wanted[f] && f.state != "signed_off" {
			f.state = "void"
		}
	}
}

// standing are the findings that are not void.
func (m *model) standing() []string {
	list := []string{}
	for _, f := range m.findings {
		if f.state != "void" {
			list = append(list, f.said())
		}
	}
	slices.Sort(list)
	return list
}

var newYork, _ = time.LoadLocation("America/New_York")

// localDay is the local date of the model's job.
func localDay(t time.Time) string { return t.In(newYork).Format(time.DateOnly) }
