package postgres

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/renovation"
	"sillbook/internal/trade/waste"
)

// discrepancy tells one finding of waste from another: what happened, on which trip, to which container (uuid.Nil: the
// trip as a whole), for which job. Each is opened once, whatever became of it.
type discrepancy struct {
	code                        waste.Code
	trip, container, renovation uuid.UUID
}

// settleFindings opens what the ledger has and the book has not, and lets those that a later fact settled say so: it is
// people who close them.
func (a *account) settleFindings(l waste.Ledger) error {
	known, err := a.knownFindings()
	if err != nil {
		return err
	}
	for _, f := range l.Findings {
		if !a.opens(f) {
			continue
		}
		for _, d := range a.discrepancies(f) {
			record, there := known[d]
			delete(known, d)
			switch {
			case !there && !f.Open(): // told late
				f.Clear += " " + a.settledBy(f, l)
				err = a.openDiscrepancy(d, f)
			case !there:
				err = a.openDiscrepancy(d, f)
			case !f.Open():
				err = a.addToFinding(record, a.settledBy(f, l))
			}
			if err != nil {
				return err
			}
		}
	}
	for d, record := range known {
		switch {
		case a.voided != nil && a.voided.record.ID == d.trip:
			err = a.addToFinding(record, "The trip was voided since, as entered in error.")
		case a.container(d.container) != nil:
			err = a.addToFinding(record, "By what was told since, this did not happen.")
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// opens reports whether a finding of the ledger is one for people to close. That a trip came short or over is said of
// each container; that nobody told of vacuuming is no sign yet that it was not done.
func (a *account) opens(f waste.Finding) bool {
	switch f.Code {
	case waste.ArrivalShort, waste.ArrivalOver:
		return false
	case waste.VehicleNotCleaned:
		return !a.trip(uuid.MustParse(f.Trip)).form.Arrival.VehicleVacuumedOn.IsZero()
	}
	return true
}

// discrepancies are what a finding of the ledger comes to: one about a container, or one about the trip for each job that
// has containers on it.
func (a *account) discrepancies(f waste.Finding) []discrepancy {
	d := discrepancy{code: f.Code, trip: uuid.MustParse(f.Trip)}
	if f.Container != "" {
		d.container = uuid.MustParse(f.Container)
		d.renovation = a.container(d.container).form.RenovationID
		return []discrepancy{d}
	}
	var list []discrepancy
	seen := map[uuid.UUID]bool{}
	for _, id := range a.trip(d.trip).form.containers() {
		if c := a.container(id); c != nil && !seen[c.form.RenovationID] {
			d.renovation = c.form.RenovationID
			seen[d.renovation] = true
			list = append(list, d)
		}
	}
	return list
}

const holdFindings = `
select id, version, array_remove(array[property_id], null), ended, body
from finding
where organization_id = $1
  and id = any($2)
order by id
for no key update`

// knownFindings holds the findings that the account's trips have opened about them and about its containers.
func (a *account) knownFindings() (map[discrepancy]Record, error) {
	trips := a.trips
	if a.voided != nil {
		trips = append(trips[:len(trips):len(trips)], a.voided)
	}
	openedBy := map[uuid.UUID]uuid.UUID{}
	ids := []uuid.UUID{}
	for _, p := range trips {
		for _, id := range p.form.FindingIDs {
			openedBy[id] = p.record.ID
			ids = append(ids, id)
		}
	}
	known := map[discrepancy]Record{}
	if len(ids) == 0 {
		return known, nil
	}
	var records []Record
	err := a.query(rowsOf(&records, func(row pgx.CollectableRow) (Record, error) {
		r := Record{Kind: "finding"}
		return r, row.Scan(&r.ID, &r.Version, &r.Properties, &r.Ended, &r.Body)
	}), holdFindings, a.organization(), ids)
	if err != nil {
		return nil, err
	}
	for _, r := range records {
		var f Finding
		if err := r.Read(&f); err != nil {
			return nil, err
		}
		d := discrepancy{code: waste.Code(f.Code), trip: openedBy[r.ID]}
		if f.SubjectKind == "container" {
			d.container = f.SubjectID
		}
		if f.RenovationID != nil {
			d.renovation = *f.RenovationID
		}
		known[d] = r
	}
	return known, nil
}

func (a *account) openDiscrepancy(d discrepancy, f waste.Finding) error {
	opened := Finding{Code: string(d.code), Detail: f.Detail + " " + f.Clear, RenovationID: &d.renovation,
		SubjectKind: "trip", SubjectID: d.trip, OpenedOn: calendar.LocalDate(a.now, a.zone).String(),
		// A vehicle vacuumed a day late breaks no clause; everything else stands in the way until it is put right.
		Blocks: d.code != waste.VehicleNotCleaned}
	if d.container != uuid.Nil {
		opened.SubjectKind, opened.SubjectID = "container", d.container
	}
	if c := citationOf(f.Citation); c != nil {
		opened.Citation = c
	}
	about := a.concerned(d)
	record, err := a.OpenFinding(opened, about.record.Properties)
	if err != nil {
		return err
	}
	trip := a.trip(d.trip)
	trip.form.FindingIDs, trip.found = append(trip.form.FindingIDs, record.ID), true
	if d.container != uuid.Nil {
		about.form.FindingIDs, about.found = append(about.form.FindingIDs, record.ID), true
	}
	return nil
}

// concerned is the container, or one of the job's on the trip: it gives the property.
func (a *account) concerned(d discrepancy) *heldContainer {
	if d.container != uuid.Nil {
		return a.container(d.container)
	}
	for _, id := range a.trip(d.trip).form.containers() {
		if c := a.container(id); c != nil && c.form.RenovationID == d.renovation {
			return c
		}
	}
	return nil
}

// citationOf reads the trade's citation: nothing for the book's own rule, "common practice", or a clause and what to know
// of it behind a semicolon.
func citationOf(text string) *law.Citation {
	clause, note, _ := strings.Cut(text, "; ")
	switch clause {
	case "":
		return nil
	case "common practice":
		return &law.Citation{Clause: "Trade practice", Source: law.CommonPractice}
	}
	return &law.Citation{Clause: clause, Source: law.Text, Note: note}
}

// settledBy says what settled a discrepancy.
func (a *account) settledBy(f waste.Finding, l waste.Ledger) string {
	course, _ := l.Course(f.Container)
	position, _ := course.At(f.Settled)
	return a.became(position.Where, f.Settled, position.Place+position.Reason)
}

// became says what became of a container.
func (a *account) became(where waste.Where, since time.Time, detail string) string {
	at := since.In(a.zone).Format("2006-01-02 15:04 MST")
	switch where {
	case waste.InTransit:
		return fmt.Sprintf("It was loaded again at %s.", at)
	case waste.Delivered:
		return fmt.Sprintf("It was received at %s.", at)
	case waste.GivenUp:
		return fmt.Sprintf("It was given up as lost at %s: %s", at, detail)
	}
	return fmt.Sprintf("It was found and stored at %s: %s.", at, detail)
}

// afterClosing is the code of a finding: a fact told late, that would have kept the job from closing.
const afterClosing = "container_after_closing"

// holdState holds the job, so that it is not closed at the same moment by someone who does not see the container yet.
const holdState = `
select state
from renovation
where organization_id = $1
  and id = $2
for no key update`

// watchClosed opens a finding where a container of a closed job turns out to be neither delivered nor accounted for. A
// container missed at an arrival has its own.
func (a *account) watchClosed(c *heldContainer, is containerPosition) error {
	var states []string
	err := a.query(rowsOf(&states, pgx.RowTo[string]), holdState, a.organization(), c.form.RenovationID)
	if err != nil || !slices.Contains(states, string(renovation.Closed)) {
		return err
	}
	open, err := a.FindingOpen(c.record.ID, afterClosing)
	if err != nil {
		return err
	}
	done := is.Where == waste.Delivered || is.Where == waste.GivenUp
	switch {
	case open == uuid.Nil && !done && !is.Unaccounted:
		f := Finding{Code: afterClosing, SubjectKind: "container", SubjectID: c.record.ID, RenovationID: &c.form.RenovationID, Blocks: true,
			OpenedOn: calendar.LocalDate(a.now, a.zone).String(), Detail: fmt.Sprintf("The job is closed, and container %s is neither delivered nor accounted for. "+
				"Record the trip that delivers it, or account for its loss.", c.form.Label)}
		record, err := a.OpenFinding(f, c.record.Properties)
		c.form.FindingIDs, c.found = append(c.form.FindingIDs, record.ID), true
		return err
	case open != uuid.Nil && done:
		before, err := a.Hold("finding", open)
		if err != nil {
			return err
		}
		return a.addToFinding(before, a.became(is.Where, is.Since, is.Detail))
	}
	return nil
}

// addToFinding adds a sentence to the detail of a finding that is not signed off, once.
func (a *account) addToFinding(before Record, sentence string) error {
	var f Finding
	if err := before.Read(&f); err != nil {
		return err
	}
	if f.State == findingStates[len(findingStates)-1] || strings.Contains(f.Detail, sentence) || len(f.Detail)+1+len(sentence) > longestDetail {
		return nil
	}
	f.Detail += " " + sentence
	d, err := draftOf(f)
	if err != nil {
		return err
	}
	_, err = a.Replace(before, "settled", d)
	return err
}
