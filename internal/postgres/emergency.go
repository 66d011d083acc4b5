package postgres

import (
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/renovation"
)

// emergency is what is told of an emergency renovation.
type emergency struct {
	Kind        renovation.EmergencyKind `json:"kind"` // empty: a sudden event
	NotFollowed *[]struct {
		Provision string `json:"provision"`
	} `json:"not_followed"`
}

// noticeOnly reports whether nothing but the notice is lifted.
func (e *emergency) noticeOnly() bool { return e != nil && e.Kind == renovation.HazardResponse }

// lifts reports whether an emergency lifts more than the notice: training and certification too, to the extent necessary.
func (e *emergency) lifts() bool { return e != nil && !e.noticeOnly() }

// record is what is told of provisions that were not followed.
func (e *emergency) record() (r renovation.EmergencyRecord) {
	if e == nil || e.NotFollowed == nil {
		return r
	}
	r.Told = true
	for _, n := range *e.NotFollowed {
		r.NotFollowed = append(r.NotFollowed, n.Provision)
	}
	return r
}

// noEmergency is the finding's code for a job that began as an emergency and by what was told since was none.
const noEmergency = "no_emergency"

// emergencyWithdrawn opens a finding where a job that began as an emergency is said to have been none. It names what would have
// stood in the way of the beginning, which stands all the same.
func (t *Tx) emergencyWithdrawn(before Record, j job, sites worksites) error {
	old, err := jobOf(before)
	if err != nil || j.begun().IsZero() || old.Emergency == nil || j.Emergency != nil || j.Outcome != renovation.CoveredRenovation.String() {
		return err
	}
	return t.findUntold(before, j, sites, noEmergency, "Work began on "+j.begun().String()+" as an emergency, and by what was told since it was none.",
		law.Cite("40 CFR 745.82(b), 745.84", law.Text))
}
