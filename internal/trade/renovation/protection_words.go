package renovation

import (
	"strconv"

	"sillbook/internal/trade/law"
)

// steps are what must be done for the occupants, and the signs.
func (q protecting) steps(a *ProtectionAnswer) {
	add := func(code, text string, cite law.Citation) {
		a.Steps = append(a.Steps, Step{Code: code, Text: q.n.say(text), Citation: cite})
	}
	switch a.Outcome {
	case protectRelocate:
		add("relocate", "Occupants and their belongings leave before the work, and come back when the worksite is cleared.", relocation)
	case protectStay:
		add("keep_out", "Occupants stay out of the worksite until the work is done and cleared.", relocation)
	case protectKeepOut:
		add("keep_out", "Everybody who does not do the work stays out of the work area until cleaning is verified or cleared.", renovationSign)
	}
	if a.Advised {
		add("protect_more", "Relocation while the work lasts is advised, although the rules would let occupants stay. Whoever stays is kept out by a closed and sealed work area, not by a sign alone.", protectMore)
	}
	if q.Covered != law.No {
		add("sign_work_area", "Signs that mark the work area stand before the work begins, can be read, and stay until the work and its cleaning verification are done; in the occupants' own language where that can be done.", renovationSign)
	}
	if q.housing() {
		q.housingSigns(a.Outcome, add)
	}
}

func (q protecting) housingSigns(outcome string, add func(code, text string, cite law.Citation)) {
	gone := outcome == protectRelocate || q.Occupied != law.Yes
	if q.Indoors != law.No && outcome != protectRelocate && q.Occupied != law.No {
		add("sign_room_entries", "A warning sign stands at each entry to a room where work is done while the dwelling is occupied.", housingSigns)
	}
	if q.Indoors != law.No && gone {
		add("sign_building_entries", "A warning sign stands at the main and secondary entries of a building from which the occupants have gone.", housingSigns)
	}
	if q.Indoors != law.Yes {
		add("sign_exterior", "At exterior work a warning sign stands that can be read from {sign_readable_distance} feet from the edge of the worksite.", housingSigns)
	}
	add("sign_wording", "The sign has the wording of 29 CFR 1926.62(m), in the occupants' own language where that can be done.", housingSigns)
}

// explain gives the reasons. What is restricted is no reason, no fact used and no fact missing.
func (q protecting) explain(a *ProtectionAnswer) {
	d := &a.Determination
	q.use(d)
	switch {
	case q.Occupied == law.No:
		d.Because("relocation_not_asked", "occupied", "no", relocation, "Nobody lives there, so nobody is relocated.")
	case q.Assisted == law.No:
		d.Because("relocation_not_asked", "assisted", "no", relocation, "The home has no federal housing assistance, so relocation is not asked for.")
	case q.AboveDeMinimis == law.No:
		d.Because("relocation_not_asked", "above_de_minimis", "no", deMinimis, "Not more paint than the de minimis is disturbed, so relocation is not asked for.")
	case a.Outcome == protectRelocate:
		d.Because("relocation", "", "", relocation, "Occupants are relocated, because none of the four exceptions is shown to hold in all its conditions.")
		if q.Covered != law.No {
			d.Differences = append(d.Differences, "The renovation rule asks that occupants are kept out of the work area (40 CFR 745.85(a)(1)), the housing rule that they are relocated (24 CFR 35.1345(a)). The more protective holds.")
		}
	}
	if a.Outcome == protectStay {
		for _, e := range a.Exceptions {
			if e.Holds {
				cite := relocation
				if e.Code == "few_days" {
					cite = fewDays
				}
				d.Because("stay_"+e.Code, "", "", cite, q.n.say(staying[e.Code]))
			}
		}
	}
	if a.Outcome != protectNothing {
		cite := renovationSign
		if q.Covered == law.No {
			cite = relocation
		}
		d.Because("keep_out", "", "", cite, "Whoever does not do the work stays out of it until it is cleaned and checked.")
	}
	if a.Advised {
		d.Because("relocation_advised", "", "", protectMore, "Relocation is advised where the rules would let occupants stay, unless it is known that nobody there needs more protection.")
	}
	q.miss(a)
}

var staying = map[string]string{
	"nothing_leaded":  "Nothing leaded is disturbed and no leaded dust or soil made, so occupants may stay.",
	"exterior_sealed": "Only the exterior is worked on, the openings in and near the worksite are sealed and cleaned after it, and there is a safe entry, so occupants may stay.",
	"one_period":      "The interior work is completed within one period of {relocation_one_period_hours} daytime hours, contained, and makes no other hazard, so occupants may stay.",
	"few_days":        "The interior work is completed within {relocation_days} calendar days, contained, the worksite and {relocation_cleaning_distance} feet around it are cleaned of visible dust and debris at the end of each day, and sleeping areas, bathroom and kitchen can be reached safely, so occupants may stay.",
}

// told are the facts that an answer may name.
func (q protecting) told() []law.Fact {
	facts := []law.Fact{}
	for _, f := range []struct {
		fact string
		tri  law.Tri
	}{{"covered", q.Covered}, {"assisted", q.Assisted}, {"above_de_minimis", q.AboveDeMinimis}, {"occupied", q.Occupied}, {"protected_occupants", q.Protected}, {"indoors", q.Indoors},
		{"lead_disturbed", q.LeadDisturbed}, {"openings_sealed", q.Sealed}, {"safe_entry", q.SafeEntry}, {"contained", q.Contained}, {"other_hazard", q.OtherHazard}, {"cleaned_daily", q.CleanedDaily},
		{"access_to_sleeping_areas", q.Sleeping}, {"access_to_bathroom", q.Bathroom}, {"access_to_kitchen", q.Kitchen}} {
		facts = append(facts, law.Fact{Fact: f.fact, Value: f.tri.String()})
	}
	return facts
}

func (q protecting) use(d *law.Determination) {
	d.Use("on", q.On.String())
	for _, f := range q.told() {
		if f.Value != "unknown" {
			d.Use(f.Fact, f.Value)
		}
	}
	if q.HoursKnown {
		d.Use("one_period_hours", q.Hours.String())
	}
	if q.Days > 0 {
		d.Use("days", strconv.Itoa(q.Days))
	}
}

func (q protecting) miss(a *ProtectionAnswer) {
	d := &a.Determination
	if a.Outcome == protectNothing {
		return
	}
	if q.Covered == law.Unknown {
		d.Miss("covered", "The renovation rule keeps people out of a covered renovation.", "Work that is not covered needs no signs under that rule.")
	}
	if q.Occupied == law.Unknown {
		d.Miss("occupied", "Only people who live there are protected.", "Where nobody lives, nobody is relocated.")
	}
	if q.Protected == law.Unknown && a.Outcome != protectRelocate {
		d.Miss("protected_occupants", "Relocation is advised unless it is known that nobody there needs more protection.", "Knowing that there are none takes the advice away.")
	}
	if !q.housing() {
		return
	}
	if q.Assisted == law.Unknown {
		d.Miss("assisted", "The housing rule relocates occupants of assisted homes.", "Without assistance occupants are only kept out.")
	}
	if q.AboveDeMinimis == law.Unknown {
		d.Miss("above_de_minimis", "Below the de minimis relocation is not asked for.", "Not more than the de minimis would let occupants stay.")
	}
	if a.Outcome != protectRelocate {
		return
	}
	seen := map[string]bool{}
	for _, e := range a.Exceptions {
		for _, c := range e.Conditions {
			if c.Met == "unknown" && !seen[c.Fact] {
				seen[c.Fact] = true
				d.Miss(c.Fact, "It is a condition of an exception under which occupants may stay.", "With the other conditions of the exception, it would let occupants stay.")
			}
		}
	}
}
