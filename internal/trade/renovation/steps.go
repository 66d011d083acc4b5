package renovation

import (
	"fmt"
	"regexp"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// Step is something the law asks for before or during a covered renovation.
type Step struct {
	Code     string       `json:"code"`
	Text     string       `json:"text"`
	Citation law.Citation `json:"citation"`
}

// StepsBefore lists what a piece of work needs. It is empty for work that is not a covered renovation and not above the
// housing rule's de minimis. An emergency lifts some of it only to the extent necessary, and never the cleaning, its
// verification and their records.
func (r Rules) StepsBefore(w Work, a Applicability) []Step {
	steps := []Step{}
	if a.Outcome == CoveredRenovation {
		for _, s := range coveredSteps {
			if (s.where == nil || s.where(w)) && !(w.Emergency && s.lifted) && !(s.practice && a.why&(optedOut|certificationNotYet) != 0) {
				steps = append(steps, Step{s.code, r.say(s.text, w.On), s.cite})
			}
		}
		if w.Emergency {
			text := "Record what the emergency was and which provisions were not followed; signs, containment, waste handling, training and certification are lifted only as far as the emergency requires."
			if w.NoticeOnly {
				text = "Record that the notice was not followed, if it was not; nothing else is lifted."
			}
			steps = append(steps, Step{"record_emergency", text, emergencyRecord})
		}
	}
	if a.Outcome == Abatement {
		steps = append(steps, Step{"abatement", "The work is done as abatement: certified supervisor and workers, an occupant protection plan, notice to the authority, the abatement work practices and clearance.", law.Cite("40 CFR 745.227(e)", law.Text)})
	}
	if a.HUD == HUDApplies {
		steps = append(steps, Step{"hud_clearance", "Use safe work practices and achieve clearance before the place is used again: the home is assisted and the work is above the de minimis.", law.Cite("24 CFR 35.1345, 35.1350, 35.1340", law.Text)})
	}
	return steps
}

// named is the name of a parameter in a step's sentence; its value of the date stands there when it is said.
var named = regexp.MustCompile(`\{(\w+)\}`)

// say puts the law's numbers of a date into a sentence.
func (r Rules) say(text string, on calendar.Date) string {
	return named.ReplaceAllStringFunc(text, func(match string) string {
		v, ok := r.onRecord(r.said[match[1:len(match)-1]], on)
		if !ok {
			return "the number of" // no number was in force on so early a date
		}
		return v.Value
	})
}

// readSaid finds the parameters that the steps and the rules of the catalogue name.
func (r *Rules) readSaid() error {
	r.said = map[string]law.Handle{}
	find := func(who, name string) error {
		handle, err := r.book.Handle(name)
		if err != nil {
			return fmt.Errorf("%s: %w", who, err)
		}
		r.said[name] = handle
		return nil
	}
	for _, s := range coveredSteps {
		for _, match := range named.FindAllStringSubmatch(s.text, -1) {
			if err := find("the step "+s.code, match[1]); err != nil {
				return err
			}
		}
	}
	for _, rule := range Catalogue() {
		for _, name := range rule.Parameters {
			if err := find("the rule "+rule.Name, name); err != nil {
				return err
			}
		}
	}
	return nil
}

func indoors(w Work) bool  { return !w.Exterior }
func outdoors(w Work) bool { return w.Exterior }
func shared(w Work) bool   { return w.Shared }

var coveredSteps = []struct {
	code   string
	text   string
	cite   law.Citation
	lifted bool            // an emergency may lift it wholly
	where  func(Work) bool // nil: everywhere
	// a work practice, training or certification: not yet required before 2010, and what an owner could sign away
	practice bool
}{
	{"certified_firm", "The work is done by a certified firm.", law.Cite("40 CFR 745.81(a), 745.89", law.Text), false, nil, true},
	{"certified_renovator", "A certified renovator is assigned, trains the workers, and is present when signs are posted, while containment is set up and while the work area is cleaned.", law.Cite("40 CFR 745.90(b)", law.Text), false, nil, true},
	{"pamphlet", "The owner and an adult occupant are given the pamphlet, at most {notice_days_before} days before the start, with proof.", law.Cite("40 CFR 745.84", law.Text), true, nil, false},
	{"tell_units", "Each affected unit is told of the work in writing, or signs stay up while it lasts; the firm signs and dates a statement of the steps it took.", law.Cite("40 CFR 745.84(b)", law.Text), true, shared, false},
	{"signs", "Warning signs mark the work area before work starts, until cleaning is verified.", law.Cite("40 CFR 745.85(a)(1)", law.Text), false, nil, true},
	{"containment", "The work area is isolated so that no dust or debris leaves it: objects and ducts covered, windows and doors closed, plastic on the floor {containment_floor_distance} feet beyond the work or to a sealed barrier.", law.Cite("40 CFR 745.85(a)(2)(i)", law.Text), false, indoors, true},
	{"containment", "The work area is isolated so that no dust or debris leaves it: windows and doors within {containment_openings_distance} feet closed, plastic on the ground {containment_ground_distance} feet beyond the work or to a barrier, and a vertical barrier within {containment_property_line_distance} feet of the property line.", law.Cite("40 CFR 745.85(a)(2)(ii)", law.Text), false, outdoors, true},
	{"no_prohibited_practice", "No open flame; machines only with shroud and HEPA vacuum; heat guns only below {heat_gun_temperature} degrees Fahrenheit.", law.Cite("40 CFR 745.85(a)(3)", law.Text), false, nil, true},
	{"waste", "Waste is contained, stored safely at each day's end and contained when it is carried away.", law.Cite("40 CFR 745.85(a)(4)", law.Text), false, nil, true},
	{"cleaning", "The work area is cleaned until no dust, debris or residue remains.", law.Cite("40 CFR 745.85(a)(5)", law.Text), false, nil, true},
	{"verification", "A certified renovator looks, then verifies sills, floors and counter tops with cloths; or dust clearance is achieved.", law.Cite("40 CFR 745.85(b)(1), (c)", law.Text), false, indoors, true},
	{"verification", "A certified renovator looks until no dust or debris remains on surfaces in and below the work area, sills and ground.", law.Cite("40 CFR 745.85(b)(2)", law.Text), false, outdoors, true},
	{"records", "The job's records are kept for {records_years} years after completion.", law.Cite("40 CFR 745.86(a)", law.Text), false, nil, false},
}
