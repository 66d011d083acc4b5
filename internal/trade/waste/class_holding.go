package waste

import (
	"strconv"

	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

func (r reading) explainGenerator(d *law.Determination, f ClassFacts, h holding) {
	m := monthOf(f)
	switch {
	case !m.known:
		d.Because("generator_class", "generated", "unknown", unknownMeet, "What was generated in the calendar month is not known, so the generator counts as large.")
		d.Miss("generated", "The class turns on the hazardous waste of the calendar month.", "No more than "+r.say(r.verySmall)+" would make it a very small quantity generator, less than "+r.say(r.large)+" a small one.")
	case m.acute.Cmp(r.quantity(r.acute).In(measure.Kilogram)) > 0:
		d.Because("generator_acute", "generated", m.acute.Show()+" kg", r.value(r.acute).Cite(), "More than "+r.say(r.acute)+" of acute hazardous waste in the calendar month makes the generator large.")
	default:
		d.Because("generator_class", "generated", m.mass.Show()+" kg", r.classCite(h.class), m.mass.Show()+" kg of hazardous waste in the calendar month: "+r.words(h.class)+".")
	}
	if h.bound != h.class {
		d.Because("very_small_over_cap", "on_site", f.OnSite.Text, r.value(r.verySmallCap).Cite(), "A very small quantity generator that holds "+r.say(r.verySmallCap)+" or more is bound by a small one's rules from then on.")
		if f.CapReachedOn.IsZero() {
			d.Miss("cap_reached_on", "The time begins when what is held comes to the cap; while that is not known it counts from the start of accumulation.", "A later day would move the deadline.")
		}
	}
	r.explainTime(d, f, h)
}

func (r reading) explainTime(d *law.Determination, f ClassFacts, h holding) {
	if h.days == 0 {
		return
	}
	days := strconv.Itoa(h.days)
	text := "It may be held " + days + " days."
	if !h.deadline.IsZero() {
		text = "It may be held " + days + " days from " + h.from.String() + ", until " + h.deadline.String() + "."
		if f.Extension > 0 {
			text = "It may be held " + days + " days from " + h.from.String() + " and " + strconv.Itoa(f.Extension) + " more that were granted, until " + h.deadline.String() + "."
		}
	} else {
		d.Miss("accumulation_start", "The time is counted from the start of accumulation.", "With it there is a date by which the waste must be gone.")
	}
	d.Because("accumulation_time", "accumulation_start", f.Start.String(), r.timeCite(h), text)
	if h.overCap {
		d.Because("small_over_cap", "on_site", f.OnSite.Text, r.value(r.smallCap).Cite(), "More than "+r.say(r.smallCap)+" is held, which takes a permit of a storage facility.")
	} else if h.bound == small && !f.OnSite.Known() {
		d.Miss("on_site", "A small quantity generator holds no more than "+r.say(r.smallCap)+".", "More would be over the cap.")
	}
	if h.bound == small {
		r.explainDistance(d, f)
	}
}

// timeCite is the clause of the time that holds.
func (r reading) timeCite(h holding) law.Citation {
	switch {
	case h.far:
		return r.value(r.smallDaysFar).Cite()
	case h.bound == small:
		return r.value(r.smallDays).Cite()
	}
	return r.value(r.largeDays).Cite()
}

// explainDistance says how the boundary of the distance is read.
func (r reading) explainDistance(d *law.Determination, f ClassFacts) {
	far := r.quantity(r.distance)
	switch {
	case !f.Distance.Known():
		d.Miss("distance", "The time is longer where the waste must be taken far.", "More than "+r.say(r.distance)+" would make it "+r.value(r.smallDaysFar).Value+" days.")
	case f.Distance.Cmp(far) == 0:
		d.Differences = append(d.Differences, "40 CFR 262.34(e) gives "+r.value(r.smallDaysFar).Value+" days at "+r.say(r.distance)+" or more; EPA's page on generators says farther than that. At exactly the distance the shorter time is taken.")
	}
}

func (r reading) classCite(c class) law.Citation {
	if c == verySmall {
		return r.value(r.verySmall).Cite()
	}
	return r.value(r.large).Cite()
}

func (r reading) words(c class) string {
	switch c {
	case verySmall:
		return "no more than " + r.say(r.verySmall) + ", a very small quantity generator"
	case small:
		return "more than " + r.say(r.verySmall) + " and less than " + r.say(r.large) + ", a small quantity generator"
	}
	return r.say(r.large) + " or more, a large quantity generator"
}

// destinations says of each kind of place whether the waste may go there.
func (r reading) destinations(f ClassFacts, household, hazardous bool, h holding) []Destination {
	landfill := r.value(r.landfill)
	yes := func(k FacilityKind, text string, c law.Citation) Destination { return Destination{k, true, text, c} }
	no := func(k FacilityKind, text string, c law.Citation) Destination { return Destination{k, false, text, c} }
	mixed := law.Cite("40 CFR 258.2", law.Text)
	verySmallTo := law.Cite("40 CFR 261.5(g)(3), since 2017 40 CFR 262.14(a)(5)", law.Text)
	generators := law.Cite("40 CFR 262.20, 262.34", law.Memory)
	practice := law.Citation{Source: law.CommonPractice, Clause: "what a facility takes is for it to say: ask first"}
	switch {
	case household:
		list := []Destination{yes(MunicipalLandfill, "A municipal landfill takes household waste.", mixed)}
		if landfill.Int() != 0 {
			list = append(list, yes(ConstructionAndDemolitionLandfill, "A construction and demolition landfill that takes no other household waste may take residential lead paint waste.", landfill.Cite()))
		} else {
			list = append(list, no(ConstructionAndDemolitionLandfill, "On this date a construction and demolition landfill could not take household waste.", law.Cite("40 CFR 258.2; 68 FR 36487", law.Derived)))
		}
		return append(list, yes(HazardousWasteFacility, "A hazardous waste facility may take it.", practice), yes(HouseholdCollection, "A household collection may take a resident's own.", practice),
			yes(TransferStation, "A transfer station may take it on; it is a place in between, which some jurisdictions make a generator.", r.value(r.intermediate).Cite()))
	case !hazardous:
		return []Destination{yes(MunicipalLandfill, "Waste that is not hazardous may go to a municipal landfill.", mixed), yes(ConstructionAndDemolitionLandfill, "Construction waste that is not hazardous may go to a construction and demolition landfill.", mixed),
			yes(HazardousWasteFacility, "A hazardous waste facility may take it.", practice), no(HouseholdCollection, "A household collection takes household waste.", practice), yes(TransferStation, "A transfer station may take it on.", practice)}
	case h.bound == verySmall:
		return []Destination{yes(MunicipalLandfill, "A municipal landfill that the state permits may take a very small quantity generator's waste.", verySmallTo), yes(ConstructionAndDemolitionLandfill, "Only one that meets 40 CFR part 257, subpart B, may take it.", mixed),
			yes(HazardousWasteFacility, "A permitted hazardous waste facility takes it.", verySmallTo), no(HouseholdCollection, "A household collection takes household waste.", practice), no(TransferStation, "It is delivered to a facility that may dispose of it.", verySmallTo)}
	}
	return []Destination{no(MunicipalLandfill, "A municipal landfill takes no hazardous waste.", generators), no(ConstructionAndDemolitionLandfill, "A construction and demolition landfill takes no hazardous waste.", mixed),
		yes(HazardousWasteFacility, "It goes under manifest to a permitted hazardous waste facility.", generators), no(HouseholdCollection, "A household collection takes household waste.", practice), no(TransferStation, "It goes under manifest to a permitted facility.", generators)}
}

// steps says what to do about the waste.
func (r reading) steps(f ClassFacts, household, hazardous bool, h holding) []Step {
	list := []Step{}
	if household {
		return append(list, Step{Code: "deliver_direct", Text: "Take it straight from the property to a facility that may take it.", Citation: exclusion})
	}
	if r.toxicity(f) == notKnown {
		list = append(list, Step{Code: "test_extract", Text: "Have a representative sample tested by the leaching procedure (SW-846, Method 1311).", Citation: r.value(r.leachLimit).Cite()})
	}
	if !hazardous {
		return list
	}
	if !h.deadline.IsZero() {
		text := "Send it off by then."
		if h.late {
			text = "The time is over, and holding it takes a permit: send it off, and tell the authority."
		}
		list = append(list, Step{Code: "ship_before", Text: text, By: h.deadline, Citation: r.timeCite(h)})
	}
	if h.overCap {
		list = append(list, Step{Code: "lower_store", Text: "Send off what is above " + r.say(r.smallCap) + " at once.", Citation: r.value(r.smallCap).Cite()})
	}
	if h.bound != verySmall {
		list = append(list, Step{Code: "mark_containers", Text: "Mark each container as hazardous waste, with the day its accumulation began.", Citation: law.Cite("40 CFR 262.34(a)(2), (3), (d)(4), since 2017 40 CFR 262.16(b)(6), 262.17(a)(5)", law.Memory)})
	}
	return list
}

// otherwise lists what could be found out or done about the waste.
func (r reading) otherwise(f ClassFacts, a ClassAnswer, h holding) []law.Alternative[ClassFacts] {
	var list []law.Alternative[ClassFacts]
	add := func(when, action bool, fact, value string, set func(*ClassFacts)) {
		if when {
			list = append(list, law.Alternative[ClassFacts]{Fact: fact, Value: value, Action: action, Set: set})
		}
	}
	hazardous := a.Generator != nil
	add(f.Origin == OriginUnknown || f.Origin == "", false, "origin", string(Residence), func(f *ClassFacts) { f.Origin = Residence })
	add(f.Contractor == law.Unknown, false, "contractor", "no", func(f *ClassFacts) { f.Contractor = law.No })
	unheld := f.Held == HeldUnknown || f.Held == ""
	add(f.Held != OnProperty, !unheld, "held", string(OnProperty), func(f *ClassFacts) { f.Held = OnProperty })
	limit, screen := r.quantity(r.leachLimit), r.screen()
	limit.Qualifier, screen.Qualifier = measure.LessThan, measure.LessThan
	add(hazardous && r.toxicity(f) == notKnown, false, "extract", "below "+r.say(r.leachLimit)+", by the leaching procedure", func(f *ClassFacts) { f.Extract = limit })
	add(hazardous && !f.Total.Known() && !f.Extract.Known(), false, "total", "below "+r.screen().Show(), func(f *ClassFacts) { f.Total = screen })
	if hazardous && !monthOf(f).known {
		for _, most := range []law.Handle{r.verySmall, r.large} {
			q := r.quantity(most)
			value := "no more than " + r.say(most) + " in the calendar month"
			if most == r.large {
				q, value = measure.Of(q.Number().Sub(measure.Frac(1, 1000)), q.Unit), "less than "+r.say(most)+" in the calendar month"
			}
			add(true, false, "generated", value, func(f *ClassFacts) { f.Generated = []Generated{{On: f.AsOf, Mass: q}} })
		}
	}
	add(h.late && !h.deadline.Before(f.AsOf), true, "ship_on", h.deadline.String(), func(f *ClassFacts) { f.ShipOn = h.deadline })
	add(h.late && !f.Distance.Known() && h.bound == small, false, "distance", "more than "+r.say(r.distance), func(f *ClassFacts) {
		far := r.quantity(r.distance)
		f.Distance = measure.Of(far.Number().Add(measure.Int(1)), far.Unit)
	})
	add(h.late && f.CapReachedOn.IsZero() && h.bound != h.class, false, "cap_reached_on", "a later day", func(f *ClassFacts) { f.CapReachedOn = f.AsOf })
	add(h.overCap, true, "on_site", "no more than "+r.say(r.smallCap), func(f *ClassFacts) { f.OnSite = r.quantity(r.smallCap) })
	return list
}
