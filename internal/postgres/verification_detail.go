package postgres

import (
	"fmt"
	"slices"
	"time"

	"github.com/go-json-experiment/json"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/renovation"
)

// verificationDetail is what was done in a cleaning verification, wipe by wipe.
type verificationDetail struct {
	Items []struct {
		Name     string           `json:"name"`
		Surface  renovation.Wiped `json:"surface"`
		Area     *toldQuantity    `json:"area"`
		Sections int              `json:"sections"`
	} `json:"items"`
	Events []struct {
		At         time.Time        `json:"at"`
		What       renovation.What  `json:"what"`
		Item       string           `json:"item"`
		Section    int              `json:"section"`
		Passed     bool             `json:"passed"`
		Cloth      renovation.Cloth `json:"cloth"`
		Face       renovation.Face  `json:"face"`
		Result     renovation.Match `json:"result"`
		SurfaceDry string           `json:"surface_dry"`
	} `json:"events"`
}

// facts are the detail as the rules see it. Who verifies is told to be a certified renovator.
func (d verificationDetail) facts(on calendar.Date, outdoors bool) renovation.VerificationFacts {
	f := renovation.VerificationFacts{On: on, Outdoors: outdoors, Renovator: law.Yes}
	for _, told := range d.Items {
		item := renovation.ToVerify{Name: told.Name, Surface: told.Surface, Sections: told.Sections}
		if told.Area != nil {
			item.Area, item.AreaKnown = told.Area.of(measure.Area).In(measure.SquareFoot), true
		}
		f.Items = append(f.Items, item)
	}
	for _, e := range d.Events {
		f.Events = append(f.Events, renovation.Event{At: e.At, What: e.What, Item: e.Item, Section: e.Section, Passed: e.Passed, Cloth: e.Cloth, Face: e.Face, Match: e.Result,
			Dry: law.TriOf(e.SurfaceDry)})
	}
	return f
}

// looked reports what the last look found; false where nobody looked.
func (d verificationDetail) looked() (clean bool) {
	for _, e := range d.Events {
		if e.What == renovation.Looked {
			clean = e.Passed
		}
	}
	return clean
}

// verifyDetail works out of the detail of a verification what it comes to, and writes that and the counts into the draft. What
// is told beside the detail must agree with it.
func (t *Tx) verifyDetail(d *Draft, v *verification, j job, sites worksites) error {
	var faults fault.Faults
	v.Detail.checkDates(&faults, v.VerifiedOn, t.now, sites.zone)
	rules, err := t.rules()
	if err != nil {
		return err
	}
	a, err := rules.Jobs.In(sites.jurisdictions).Verify(v.Detail.facts(v.VerifiedOn, j.outdoors()))
	switch {
	case fault.Is(err, fault.Implausible) && fault.As(err).Fields[0].Pointer == "/on":
		return repoint(err, "/verified_on")
	case fault.Is(err, fault.Implausible):
		faults.Merge("/detail", err)
		return faults.Err()
	case err != nil:
		return err
	}
	rules.Localize(&a.Determination, "cleaning-verification", sites.jurisdictions)
	counts := a.Counts()
	v.Outcome, v.AllPassed = a.Result(v.Detail.looked()), counts.AllPassed
	for _, worked := range []struct {
		name  string
		value any
	}{{"visual_passed", v.Detail.looked()}, {"all_passed", counts.AllPassed}, {"wet_cloths", a.Cloths.WetUsed}, {"dry_cloths", a.Cloths.DryUsed},
		{"sections", counts.Sections}, {"sills", counts.Sills}, {"standing", a.Items}, {"does_not_count", a.Odd}, {"determination", a.Determination}} {
		agree(&faults, d.Fields, worked.name, worked.value)
		if err := d.Set(worked.name, worked.value); err != nil {
			return err
		}
	}
	return faults.Err()
}

// agree refuses a member that is told and is not what was worked out.
func agree(faults *fault.Faults, told Fields, name string, worked any) {
	if isNull(told[name]) {
		return
	}
	if text, err := json.Marshal(worked); err != nil || string(text) != string(told[name]) {
		faults.Add("/"+name, "contradiction", "By the detail it is %v; leave it out, or correct one of the two.", worked)
	}
}

// checkDates refuses what has not happened yet, and a detail that ended on another day than the verification.
func (d verificationDetail) checkDates(faults *fault.Faults, on calendar.Date, now time.Time, zone *time.Location) {
	for i, e := range d.Events {
		if e.At.After(now) {
			faults.Add(fmt.Sprintf("/detail/events/%d/at", i), "in_the_future", "It has not come yet; tell what happened, when it has happened.")
		}
	}
	if n := len(d.Events); n > 0 && calendar.LocalDate(d.Events[n-1].At, zone) != on {
		faults.Add("/verified_on", "contradiction", "By the detail the verification ended on %s at the property; correct one of the two.", calendar.LocalDate(d.Events[n-1].At, zone))
	}
}

// outdoors reports whether the job has work and all of it is outdoors.
func (j job) outdoors() bool {
	return len(j.WorkItems) > 0 && !slices.ContainsFunc(j.WorkItems, func(w WorkForm) bool { return w.RoomID != nil || w.ExteriorSideID == nil })
}
