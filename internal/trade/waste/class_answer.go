package waste

import (
	"fmt"
	"strconv"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// ClassAnswer says what waste is, where it may go and until when it may be held.
type ClassAnswer struct {
	Outcome      string            `json:"outcome"`
	Household    bool              `json:"household"`
	Toxicity     Toxicity          `json:"toxicity"`
	Number       string            `json:"waste_number,omitempty"` // of hazardous waste
	Generator    *Generator        `json:"generator,omitempty"`    // of hazardous waste
	Destinations []Destination     `json:"destinations"`
	Steps        []Step            `json:"steps"`
	Warnings     []string          `json:"warnings"`
	Determining  law.Determination `json:"determination"`
}

// Toxicity is whether the waste shows the toxicity characteristic for lead.
type Toxicity struct {
	State          string         `json:"state"` // hazardous, not_known (counts as hazardous), not_hazardous, or cannot_fail
	Limit          measure.Shown  `json:"limit"`
	HighestExtract *measure.Shown `json:"highest_extract,omitempty"` // that the total allows
}

// Generator is who made the waste, by the calendar month, and how long what is held may stay.
type Generator struct {
	Class    string         `json:"class"`
	BoundAs  string         `json:"bound_as"` // the class whose rules hold
	Month    string         `json:"month"`
	Mass     *measure.Shown `json:"mass,omitempty"` // none: not known
	Acute    *measure.Shown `json:"acute_mass,omitempty"`
	Cap      *measure.Shown `json:"cap,omitempty"`
	Days     int            `json:"days"` // 0: no limit
	Deadline calendar.Date  `json:"deadline,omitzero"`
	Late     bool           `json:"late"`
	OverCap  bool           `json:"over_cap"`
}

// Destination is a kind of place and whether the waste may go there.
type Destination struct {
	Facility FacilityKind `json:"facility"`
	May      bool         `json:"may"`
	Text     string       `json:"text"`
	Citation law.Citation `json:"citation"`
}

// Step is something to do about the waste.
type Step struct {
	Code     string        `json:"code"`
	Text     string        `json:"text"`
	By       calendar.Date `json:"by,omitzero"`
	Citation law.Citation  `json:"citation"`
}

var (
	exclusion   = law.Cite("40 CFR 261.4(b)(1)", law.Text)
	unknownMeet = law.Citation{Clause: "40 CFR 261.4(b)(1), 261.24, 262.11", Source: law.Derived, Note: "A fact that is not known gets the protective answer."}
)

// Classify says what waste of lead-based paint is. Facts that contradict one another, and a date before the law, are faults.
func (c Classes) Classify(f ClassFacts) (ClassAnswer, error) {
	if _, ok := c.book.On(c.contractor, f.AsOf, law.Required, c.scope); !ok {
		return ClassAnswer{}, c.book.TooEarly(c.contractor, "/as_of", f.AsOf)
	}
	r := reading{c, f.AsOf}
	if err := r.check(f); err != nil {
		return ClassAnswer{}, err
	}
	tox := r.toxicity(f)
	a := ClassAnswer{Outcome: r.outcome(f), Household: r.household(f), Toxicity: Toxicity{State: tox.String(), Limit: r.quantity(r.leachLimit).Shown()},
		Steps: []Step{}, Warnings: r.warnings(f)}
	if f.Total.Known() {
		highest := measure.Of(f.Total.In(measure.MilligramPerKilogram).Quo(r.value(r.leachRatio).Number()), measure.MilligramPerLitre).Shown()
		highest.Qualifier = f.Total.Qualifier
		a.Toxicity.HighestExtract = &highest
	}
	var h holding
	hazardous := !a.Household && tox.hazardous()
	if hazardous {
		m := monthOf(f)
		h = r.holding(f, r.class(m))
		a.Number, a.Generator = leadNumber, r.generator(f, m, h)
	}
	a.Destinations = r.destinations(f, a.Household, hazardous, h)
	a.Steps = r.steps(f, a.Household, hazardous, h)
	a.Determining = r.explain(f, a, h)
	law.Otherwise(&a.Determining, f, r.otherwise(f, a, h), func(f ClassFacts) string {
		if r.check(f) != nil {
			return ""
		}
		return r.outcome(f)
	})
	return a, nil
}

// leadNumber is EPA's number of waste hazardous for its lead (40 CFR 261.24).
const leadNumber = "D008"

func (r reading) generator(f ClassFacts, m month, h holding) *Generator {
	year, in, _ := f.AsOf.Civil()
	g := &Generator{Class: h.class.String(), BoundAs: h.bound.String(), Month: fmt.Sprintf("%04d-%02d", year, in), Days: h.days, Deadline: h.deadline, Late: h.late, OverCap: h.overCap}
	if m.known {
		mass, acute := measure.Kilogram.Shown(m.mass), measure.Kilogram.Shown(m.acute)
		g.Mass, g.Acute = &mass, &acute
	}
	switch {
	case h.bound == small:
		most := r.quantity(r.smallCap).Shown()
		g.Cap = &most
	case h.bound == verySmall:
		most := r.quantity(r.verySmallCap).Shown()
		g.Cap = &most
	}
	return g
}

func (r reading) warnings(f ClassFacts) []string {
	list := []string{}
	if r.household(f) && f.Held != OnProperty {
		list = append(list, "Take household lead waste straight from the property to the facility: some jurisdictions read the exclusion so that a place in between, such as a yard or a shop, becomes a generator of hazardous waste. Ask the authority of the place.")
	}
	return list
}

// explain says why.
func (r reading) explain(f ClassFacts, a ClassAnswer, h holding) law.Determination {
	d := law.NewDetermination("waste_class", f.AsOf, r.book.RuleSet())
	d.Outcome = a.Outcome
	r.use(&d, f)
	r.explainHousehold(&d, f, a.Household)
	if a.Household {
		return d
	}
	r.explainToxicity(&d, f)
	if a.Generator != nil {
		r.explainGenerator(&d, f, h)
	}
	return d
}

func (r reading) use(d *law.Determination, f ClassFacts) {
	d.Use("as_of", f.AsOf.String())
	for _, t := range []struct{ fact, value string }{{"origin", string(f.Origin)}, {"contractor", f.Contractor.String()}, {"held", string(f.Held)}} {
		if t.value != "" && t.value != "unknown" {
			d.Use(t.fact, t.value)
		}
	}
	for _, q := range []struct {
		fact  string
		value measure.Quantity
	}{{"extract", f.Extract}, {"total", f.Total}, {"on_site", f.OnSite}, {"distance", f.Distance}} {
		if q.value.Known() {
			d.Use(q.fact, string(q.value.Qualifier)+q.value.Text+" "+q.value.Code)
		}
	}
	for _, t := range []struct {
		fact string
		on   calendar.Date
	}{{"accumulation_start", f.Start}, {"cap_reached_on", f.CapReachedOn}, {"ship_on", f.ShipOn}} {
		if !t.on.IsZero() {
			d.Use(t.fact, t.on.String())
		}
	}
	if f.Extension > 0 {
		d.Use("extension_days", strconv.Itoa(f.Extension))
	}
}

func (r reading) explainHousehold(d *law.Determination, f ClassFacts, household bool) {
	contractor := r.value(r.contractor)
	switch {
	case household && f.Contractor == law.No:
		d.Because("household_exclusion", "origin", string(f.Origin), exclusion, "Waste of a household is no hazardous waste.")
	case household:
		d.Because("household_exclusion", "origin", string(f.Origin), contractor.Cite(), "Waste of a household is no hazardous waste, and a contractor's work in a residence makes household waste.")
	case f.Origin == NonResidentialChildFacility:
		d.Because("not_of_a_household", "origin", string(f.Origin), law.Citation{Clause: exclusion.Clause, Source: law.Memory, Note: "That the exclusion leaves out child-occupied facilities that are no residences is from memory."}, "A child-occupied facility that is no residence makes no household waste; the rules of generators hold.")
	case f.Origin == NonResidentialBuilding:
		d.Because("not_of_a_household", "origin", string(f.Origin), exclusion, "A building that is no residence makes no household waste; the rules of generators hold.")
	case f.Origin != Residence:
		d.Because("not_of_a_household", "origin", "unknown", unknownMeet, "It is not known that the waste is of a household, so it counts as none.")
	case r.lost(f):
		d.Because("intermediate_place_generator", "held", string(f.Held), r.value(r.intermediate).Cite(), "Here the exclusion holds only for waste taken straight from the property to the facility; the place in between is the generator.")
	default:
		d.Because("contractor_waste_excluded_later", "contractor", f.Contractor.String(), contractor.Cite(), "On this date only a resident's own waste was household waste.")
	}
	if f.Origin == OriginUnknown || f.Origin == "" {
		d.Miss("origin", "Waste of a household is no hazardous waste.", "Waste of a residence would be household waste.")
	}
	if f.Contractor == law.Unknown && r.days(r.contractor) == 0 && f.Origin == Residence {
		d.Miss("contractor", "On this date the exclusion was read to cover a resident's own work alone.", "The resident's own work would make it household waste.")
	}
	if (f.Held == HeldUnknown || f.Held == "") && f.Origin == Residence {
		d.Miss("held", "Some jurisdictions keep the exclusion only for waste taken straight to the facility.", "Waste straight from the property keeps it everywhere.")
	}
}

func (r reading) explainToxicity(d *law.Determination, f ClassFacts) {
	limit, ratio := r.value(r.leachLimit), r.value(r.leachRatio)
	switch r.toxicity(f) {
	case toxic:
		d.Because("toxicity_of_the_extract", "extract", f.Extract.Text, limit.Cite(), "The extract holds "+r.say(r.leachLimit)+" of lead or more: the waste is hazardous, number "+leadNumber+".")
	case belowLimit:
		d.Because("toxicity_of_the_extract", "extract", f.Extract.Text, limit.Cite(), "The extract holds less than "+r.say(r.leachLimit)+" of lead: the waste is not hazardous for its lead.")
	case cannotFail:
		d.Because("total_cannot_fail", "total", f.Total.Text, ratio.Cite(), "Total lead below "+r.screen().Show()+" cannot give an extract of "+r.say(r.leachLimit)+", because the waste is leached in "+ratio.Value+" times its weight of liquid.")
	case notKnown:
		d.Because("toxicity_not_known", "extract", "unknown", unknownMeet, "It was not shown that the extract stays below "+r.say(r.leachLimit)+", so the waste counts as hazardous.")
		d.Miss("extract", "Only the extract shows that waste is hazardous for its lead.", "An extract below "+r.say(r.leachLimit)+" would make it not hazardous.")
		if f.Total.Known() {
			d.Because("total_decides_nothing", "total", f.Total.Text, ratio.Cite(), "Total lead of "+r.screen().Show()+" or more decides nothing: much of it may stay in the solid.")
		} else {
			d.Miss("total", "A low total cannot fail.", "Total lead below "+r.screen().Show()+" would make it not hazardous.")
		}
	}
	if f.Extract.Known() && f.Total.Known() && f.Extract.Qualifier == measure.Exactly && r.toxicity(f) == toxic && below(f.Total, r.screen()) {
		d.Differences = append(d.Differences, "The total is too low for the extract that was found; the extract, the more protective of the two, counts. Have both tested again.")
	}
}
