package bloodlead

import (
	"fmt"
	"slices"
	"strings"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

var (
	ageRule   = law.Cite("24 CFR 35.110", law.Text)
	confirmed = law.Citation{Clause: "24 CFR 35.110; 90 FR 5975", Source: law.Memory, Note: "That the level is a confirmed one is from memory."}
	noneRule  = law.Citation{Clause: "24 CFR part 35, subparts D, H, I, L, M", Source: law.Derived, Note: "Only these have deadlines for cases; the health department may act under rules of its own."}
	closeRule = law.Citation{Clause: sections[""], Source: law.Secondary, Note: "Read in secondary summaries and HUD's training slides."}
	quietRule = law.Citation{Clause: "24 CFR part 35, subparts D, H, I, L, M", Source: law.Secondary, Note: "Read in HUD's training slides."}
	abatement = law.Cite(`40 CFR 745.223, "elevated blood lead level"`, law.Text)
	unknown   = law.Citation{Clause: ageRule.Clause, Source: law.Derived, Note: "A fact that is not known gets the protective answer."}
)

// explain puts a judgement into words.
func (r Rules) explain(f Facts, j judgement) Answer {
	givenUp := f.givenUp(r.value(r.attempts, f.NotifiedOn, scope(f)))
	a := Answer{Outcome: j.outcome, Elevated: r.underAbatement(f).String(), Deadlines: j.deadlines, Ways: f.ways(givenUp)}
	if a.Deadlines == nil {
		a.Deadlines = []Deadline{}
	} else {
		a.Sampling = r.sampling(f)
	}
	d := law.NewDetermination("blood_lead_case", f.AsOf, r.book.RuleSet())
	d.Outcome = j.outcome
	r.isCase(&d, f, j)
	if a.Elevated == law.Yes.String() {
		d.Because("elevated_under_abatement_rules", "tests", "", abatement, "The tests are an elevated level under the abatement rules too, which have a level of their own.")
	}
	for _, due := range j.deadlines {
		d.Because(due.Rule, due.What, due.State, due.Citation, due.Text)
	}
	if a.Sampling != nil {
		d.Because("sampling_of_other_units", "other_units", f.Others.String(), a.Sampling.Citation, a.Sampling.Text)
	}
	for _, w := range a.Ways {
		if w.Met {
			d.Because("closing_a_case", w.Way, law.Yes.String(), closeRule, w.Text)
		}
	}
	d.Because("messages_about_cases", "", "", quietRule, "Send no name and no blood result in messages that are not secure.")
	f.use(&d)
	f.missing(&d, j)
	law.Otherwise(&d, f, f.alternatives(j), func(f Facts) string { return r.judge(f).outcome })
	a.Explained = d
	return a
}

// String is the number, or unknown.
func (c Count) String() string {
	if !c.Known {
		return law.Unknown.String()
	}
	return fmt.Sprint(c.N)
}

// isCase says why it is or is not a case.
func (r Rules) isCase(d *law.Determination, f Facts, j judgement) {
	t := j.threshold
	if f.UnderSix == law.No {
		d.Because("child_under_six", "child_under_six", f.UnderSix.String(), ageRule, "The rule is for children under six.")
	}
	words, c := "", law.Citation{}
	if t.level != nil {
		words, c = fmt.Sprintf("%s ug/dL", t.level.Value), t.level.Cite()
	} else {
		words, c = fmt.Sprintf("%s ug/dL in one test, or %s in two at least %s months apart", t.single.Value, t.repeated.Value, t.months.Value), t.single.Cite()
	}
	if j.met == law.Unknown {
		c = unknown
	}
	d.Because("level_of_a_case", "at_or_above_level", j.met.String(), c, map[law.Tri]string{
		law.Yes:     fmt.Sprintf("It is at or above the level that had to be met on %s, the day of the notice: %s.", f.NotifiedOn, words),
		law.No:      fmt.Sprintf("It is below the level that had to be met on %s, the day of the notice: %s.", f.NotifiedOn, words),
		law.Unknown: fmt.Sprintf("It is not known to be below the level that had to be met on %s, the day of the notice, so it is taken to have reached it: %s.", f.NotifiedOn, words),
	}[j.met])
	if t.coming != nil {
		d.Differences = append(d.Differences, fmt.Sprintf("A lower level of %s ug/dL was in effect and had to be met only from %s.", t.coming.Value, t.coming.Required))
	}
	switch j.outcome {
	case Unconfirmed:
		d.Because("confirmed_level", "confirmed", f.Confirmed.String(), confirmed, "The level is not confirmed; the rule begins with one that is.")
	case NoDeadlines:
		d.Because("programmes_with_deadlines", "programme", string(f.Programme), noneRule, "No assistance programme applies whose rules have deadlines. The health department's rules may.")
	}
}

func (f Facts) use(d *law.Determination) {
	use := func(fact, value string) {
		if value != "" && value != law.Unknown.String() {
			d.Use(fact, value)
		}
	}
	use("as_of", f.AsOf.String())
	use("notified_on", f.NotifiedOn.String())
	use("jurisdictions", strings.Join(f.Jurisdictions, ", "))
	use("programme", string(f.Programme))
	use("source", string(f.Source))
	for _, told := range []struct {
		fact  string
		value law.Tri
	}{{"child_under_six", f.UnderSix}, {"at_or_above_level", f.Threshold}, {"confirmed", f.Confirmed}, {"lives_there", f.LivesThere}, {"another_assisted_household", f.Another},
		{"hazards_found", f.Hazards}, {"health_department_acted_at_low_level", f.LocalActed}} {
		use(told.fact, told.value.String())
	}
	for i, t := range f.Tests {
		use(fmt.Sprintf("tests/%d", i), strings.TrimSpace(fmt.Sprintf("%s %s%s %s", t.DrawnOn, t.Level.Qualifier, t.Level.Text, t.Level.Code)))
	}
	for _, told := range f.done() {
		use(told.fact, told.on.String())
	}
	use("other_units", f.Others.String())
	use("other_units_with_hazards", f.OthersHazards.String())
	use("other_units_above_de_minimis", f.OthersLarge.String())
	if f.BuildYear > 0 {
		use("build_year", fmt.Sprint(f.BuildYear))
	}
}

// dated is a fact that is a day.
type dated struct {
	fact string
	on   calendar.Date
}

func (f Facts) done() []dated {
	return []dated{{"verified_on", f.VerifiedOn}, {"not_verified_on", f.UnverifiedOn}, {"void_on", f.VoidOn}, {"investigated_on", f.InvestigatedOn}, {"risk_assessed_on", f.AssessedOn},
		{"health_department_evaluated_on", f.DepartmentOn}, {"report_received_on", f.ReportOn}, {"owner_given_report_on", f.OwnerGivenOn}, {"cleared_on", f.ClearedOn},
		{"certified_on", f.CertifiedOn}, {"told_health_department_on", f.ToldDepartmentOn}, {"told_hud_on", f.ToldHUDOn}, {"told_hud_done_on", f.ToldCompletionOn},
		{"addresses_matched_on", f.AddressesMatchedOn}, {"other_units_assessed_on", f.OthersAssessedOn}, {"other_units_cleared_on", f.OthersClearedOn}, {"residents_told_on", f.ResidentsToldOn}}
}

// missing lists what is not known and could change the answer.
func (f Facts) missing(d *law.Determination, j judgement) {
	miss := func(is bool, fact, why, change string) {
		if is {
			d.Miss(fact, why, change)
		}
	}
	running := j.deadlines != nil
	miss(f.Programme == "" && running, "programme", "Each programme has its own deadlines; the earliest of all are taken.", "Most programmes give more time for the investigation than is taken here; outside them there are no federal deadlines.")
	miss(f.UnderSix == law.Unknown && j.outcome != NoCase, "child_under_six", "The rule is for children under six; the child is taken to be one.", "An older child would make it no case.")
	miss(j.met == law.Unknown, "at_or_above_level", "Whether it is a case turns on the level; it is enough to say that it was reached.", "A level below it would make it no case.")
	miss(f.Confirmed == law.Unknown && running, "confirmed", "The rule begins with a confirmed level; it is taken to be confirmed.", "While it is not confirmed nothing is due.")
	miss(f.Source == "" && running, "source", "A report from elsewhere is verified first, and one that the health department made need not be told to it.", "A report from the health department makes telling it needless; one from elsewhere starts the days when it is verified.")
	miss(f.LocalActed == law.Unknown && j.threshold.sooner, "health_department_acted_at_low_level", "Where the health department already acted at so low a level, it had to be met sooner; that is taken to be so.", "Elsewhere the former level held for some months more.")
	evaluated := !f.InvestigatedOn.IsZero() || !f.DepartmentOn.IsZero() || !f.AssessedOn.IsZero()
	miss(running && evaluated && f.drawnOn().IsZero(), "tests/drawn_on", "An evaluation counts in place of the investigation only when it was done after the blood was drawn.", "A blood draw on or before the evaluation would make all or part of the investigation needless.")
	miss(running && f.ReportOn.IsZero(), "report_received_on", "Hazards are reduced within some days of receiving the report; the earliest such day is shown.", "The day of the report moves what follows it to later days.")
	miss(running && f.Hazards == law.Unknown, "hazards_found", "What follows the investigation is owed where it found hazards; it is taken to have found some.", "Without hazards nothing more is owed in the child's unit and the other units.")
	miss(running && f.Hazards != law.No && !f.Others.Known, "other_units", "The time to assess other units turns on their number; the shorter one is taken.", "None would make it needless; many give more time.")
	miss(running && f.Hazards != law.No && !f.Others.none() && !f.OthersLarge.Known, "other_units_above_de_minimis", "The time to reduce hazards in other units turns on the number where much is disturbed; the shorter one is taken.", "Many give more time.")
	miss(running && f.Programme == TenantBased && f.LivesThere != law.Yes && f.Another == law.Unknown, "another_assisted_household", "If the child has moved, the unit is investigated only for another assisted household that lives there or will.", "If there is none, and the child has moved, nothing is owed there.")
	miss(running && !f.UnverifiedOn.IsZero() && !f.AttemptsKnown, "verification_attempts", "A report that could not be verified closes the case only after the attempts that the rule asks for.", "Enough attempts would close it.")
	miss(running && !f.Others.none() && f.BuildYear == 0, "build_year", "Whether other units may be sampled turns on the building's age; the one that needs more units is taken.", "A later building may be sampled with fewer units.")
}

// alternatives are what could be otherwise: what is not known, and what people can do by the day asked about.
func (f Facts) alternatives(j judgement) (list []law.Alternative[Facts]) {
	could := func(is bool, fact, value string, set func(*Facts)) {
		if is {
			list = append(list, law.Alternative[Facts]{Fact: fact, Value: value, Set: set})
		}
	}
	could(f.UnderSix == law.Unknown, "child_under_six", "no", func(f *Facts) { f.UnderSix = law.No })
	could(j.met == law.Unknown, "at_or_above_level", "no", func(f *Facts) { f.Threshold = law.No })
	could(f.Confirmed == law.Unknown, "confirmed", "no", func(f *Facts) { f.Confirmed = law.No })
	could(f.Programme == "", "programme", string(NoProgramme), func(f *Facts) { f.Programme = NoProgramme })
	could(f.Programme == "", "programme", string(PublicHousing), func(f *Facts) { f.Programme = PublicHousing })
	could(f.Source == "", "source", string(HealthDepartment), func(f *Facts) { f.Source = HealthDepartment })
	could(f.Hazards == law.Unknown, "hazards_found", "no", func(f *Facts) { f.Hazards = law.No })
	could(!f.Others.Known, "other_units", "0", func(f *Facts) { f.Others = Count{0, true} })
	if j.deadlines == nil {
		return list
	}
	for what, deed := range deeds {
		if i := slices.IndexFunc(j.deadlines, func(d Deadline) bool { return d.What == what }); i >= 0 && !j.deadlines[i].settled() && j.deadlines[i].counted {
			list = append(list, law.Alternative[Facts]{Fact: deed.fact, Value: f.AsOf.String(), Action: true, Set: func(f *Facts) { deed.set(f, f.AsOf) }})
		}
	}
	slices.SortStableFunc(list, func(a, b law.Alternative[Facts]) int { return strings.Compare(a.Fact, b.Fact) })
	return list
}

// deeds are what people do for each deadline.
var deeds = map[string]struct {
	fact string
	set  func(*Facts, calendar.Date)
}{
	"verify_report":                 {"verified_on", func(f *Facts, on calendar.Date) { f.VerifiedOn = on }},
	"tell_health_department":        {"told_health_department_on", func(f *Facts, on calendar.Date) { f.ToldDepartmentOn = on }},
	"tell_hud":                      {"told_hud_on", func(f *Facts, on calendar.Date) { f.ToldHUDOn = on }},
	"environmental_investigation":   {"report_received_on", func(f *Facts, on calendar.Date) { f.ReportOn = on }},
	"risk_assessment":               {"report_received_on", func(f *Facts, on calendar.Date) { f.ReportOn = on }},
	"give_report_to_owner":          {"owner_given_report_on", func(f *Facts, on calendar.Date) { f.OwnerGivenOn = on }},
	"reduce_hazards":                {"cleared_on", func(f *Facts, on calendar.Date) { f.ClearedOn = on }},
	"assess_other_units":            {"other_units_assessed_on", func(f *Facts, on calendar.Date) { f.OthersAssessedOn = on }},
	"reduce_hazards_in_other_units": {"other_units_cleared_on", func(f *Facts, on calendar.Date) { f.OthersClearedOn = on }},
	"tell_residents":                {"residents_told_on", func(f *Facts, on calendar.Date) { f.ResidentsToldOn = on }},
	"tell_hud_it_is_done":           {"told_hud_done_on", func(f *Facts, on calendar.Date) { f.ToldCompletionOn = on }},
}
