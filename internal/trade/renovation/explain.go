package renovation

import (
	"fmt"
	"strings"

	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
)

var (
	minorRepair  = law.Cite(`40 CFR 745.83, "minor repair and maintenance activities"`, law.Text)
	compensation = law.Citation{Clause: "40 CFR 745.82(a)", Source: law.Text, Note: "That rent is compensation is EPA's published answer 23002-18512; that an owner working unpaid at home, or a volunteer, is not paid is from memory."}
	routes       = law.Cite("40 CFR 745.82(a)(1) to (3)", law.Text)
	protective   = law.Citation{Clause: minorRepair.Clause, Source: law.Derived, Note: "A fact that is not known gets the protective answer."}
	optOut       = law.Cite("40 CFR 745.81(a)(4)", law.Text)
	deMinimis    = law.Cite("24 CFR 35.1350(d)", law.Text)
	// WindowReading is how "within the same 30 days" is read.
	WindowReading = law.Citation{Clause: minorRepair.Clause, Source: law.Derived, Note: `"Within the same 30 days" is read as any 30 consecutive calendar days, so two jobs at most 29 days apart are one; no published reading was found.`}
)

// Explain puts an answer into words.
func (r Rules) Explain(w Work, others []Other, a Applicability) law.Determination {
	d := law.NewDetermination("applicability", w.On, r.book.RuleSet())
	d.Outcome = a.Outcome.String()
	for _, s := range sentences {
		if a.why&s.why != 0 {
			d.Because(s.rule, s.fact, w.value(s.fact), s.cite, a.words(s.text, w, r.practices.In(r.scope.Jurisdictions).Guard(w.Method, w.On)))
		}
	}
	d.Use("on", w.On.String())
	for _, fact := range []string{"home_covered", "place", "component", "area", "share_of_component", "paint_disturbed", "method", "window_replaced", "painted_surface_demolished", "emergency", "abatement", "done_by", "rented", "opted_out", "lead_free", "assisted"} {
		if value := w.value(fact); value != "unknown" && value != "" {
			d.Use(fact, value)
		}
	}
	if len(others) > 0 {
		d.Use("other_jobs", fmt.Sprint(len(others)))
	}
	for _, g := range gaps {
		if a.lacks&g.lacks != 0 {
			d.Miss(g.fact, r.say(g.why, w.On), r.say(g.change, w.On))
		}
	}
	a.differ(&d, w)
	return d
}

// differ says where the housing rule and the renovation rule part.
func (a Applicability) differ(d *law.Determination, w Work) {
	if a.Outcome == Abatement && a.HUD == HUDDeMinimis && a.why&abatementSmall == 0 && w.Assisted == law.Yes {
		d.Differences = append(d.Differences, "The housing rule's de minimis (24 CFR 35.1350(d)) leaves out what is not more than its limits, the work practices of abatement only what is less than theirs (40 CFR 745.65(d)). The more protective holds.")
	}
	lighter := map[Outcome]string{Minor: "calls this minor (40 CFR 745.83)", NotForCompensation: "does not apply to unpaid work (40 CFR 745.82(a))"}[a.Outcome]
	switch {
	case a.HUD == HUDApplies && lighter != "":
		d.Differences = append(d.Differences, "The renovation rule "+lighter+"; the housing rule asks for safe work practices and clearance (24 CFR 35.1350(d)). The more protective holds.")
	case a.HUD == HUDIfAssisted && lighter != "":
		d.Differences = append(d.Differences, "If the home is federally assisted, the housing rule asks for safe work practices and clearance here (24 CFR 35.1350(d)), although the renovation rule "+lighter+".")
	case a.HUD == HUDDeMinimis && a.Outcome == CoveredRenovation && w.Assisted == law.Yes:
		d.Differences = append(d.Differences, "The housing rule's de minimis (24 CFR 35.1350(d)) would not ask for clearance; the renovation rule applies all the same.")
	}
}

// words fills a sentence: {total}, {limit}, {area}, {place}, {guard}.
func (a Applicability) words(text string, w Work, guard string) string {
	place := "in the room"
	if w.Exterior {
		place = "on the building's exterior"
	}
	return strings.NewReplacer("{total}", a.Total.Show(), "{limit}", a.Limit.String(), "{area}", w.Area.Show(), "{place}", place,
		"{guard}", guard).Replace(text)
}

var sentences = []struct {
	why  why
	rule string
	fact string
	cite law.Citation
	text string
}{
	{homeNotCovered, "home_not_covered", "home_covered", law.Cite("40 CFR 745.82(a)", law.Text), "The home is not covered, so the renovation rule does not apply."},
	{noPaint, "no_paint_disturbed", "paint_disturbed", law.Cite(`40 CFR 745.83, "renovation"`, law.Text), "No painted surface is disturbed, so it is not a renovation."},
	{unpaid, "not_for_compensation", "done_by", compensation, "The work is not done for compensation."},
	{allLeadFree, "lead_free_components", "lead_free", routes, "Every component was found free of lead-based paint; keep the written record."},
	{rentIsCompensation, "rent_is_compensation", "done_by", compensation, "Rent is compensation: work by a landlord, a landlord's employee or a manager who acts for the landlord is done for compensation, and whoever does it needs a certified firm and a certified renovator of their own."},
	{hiredFirm, "hired_firm_is_paid", "done_by", compensation, "A hired firm works for compensation. The firm must be certified; whoever hires it need not be."},
	{withinLimit, "within_minor_repair", "area", minorRepair, "{total} ft2 disturbed {place} within any {minor_repair_days} days is not more than {limit} ft2, and nothing done rules out minor repair."},
	{overLimit, "over_minor_repair", "area", minorRepair, "{area} ft2 is more than the {limit} ft2 that minor repair may disturb {place}."},
	{overLimitTogether, "over_minor_repair_together", "area", WindowReading, "With the other jobs {place} within {minor_repair_days} consecutive days it comes to {total} ft2, more than the {limit} ft2 of minor repair; together they are one job."},
	{methodNeverMinor, "method_never_minor", "method", law.Cite("40 CFR 745.83 with 745.85(a)(3)", law.Derived), "The method is prohibited or restricted, so the work is never minor repair. {guard}"},
	{methodUnknown, "method_unknown", "method", protective, "The method is not known, so it is taken for one that is restricted."},
	{windowReplaced, "window_replaced", "window_replaced", minorRepair, "A window is replaced, which is never minor repair."},
	{paintDemolished, "painted_surface_demolished", "painted_surface_demolished", minorRepair, "A painted surface is demolished, which is never minor repair."},
	{areaUnknown, "area_unknown", "area", protective, "The area is not known, so it is taken to be more than {limit} ft2."},
	{otherUnknown, "other_area_unknown", "other_jobs", protective, "The area of another job {place} within the same {minor_repair_days} days is not known, so together they are taken to be over {limit} ft2."},
	{otherNeverMinor, "other_never_minor", "other_jobs", WindowReading, "Another job {place} within {minor_repair_days} consecutive days is never minor repair: a prohibited or restricted method, a window or a demolition. Together they are one job, which is not minor."},
	{aboveDeMinimis, "above_de_minimis", "assisted", deMinimis, "The home is assisted and more paint is disturbed than the de minimis: safe work practices and clearance are required there, whatever the renovation rule says."},
	{shareUnknown, "de_minimis_share_unknown", "share_of_component", deMinimis, "The home is assisted, and it is not known that at most {hud_de_minimis_component} % of a small component is disturbed: it is taken to be more than the de minimis, and safe work practices and clearance are required."},
	{abatementTold, "abatement", "abatement", law.Cite(`40 CFR 745.223, "abatement"`, law.Text), "Work designed to eliminate lead hazards for good, or ordered by an authority, is abatement and no renovation: certified abatement supervisors and workers do it, with a notice to the authority and clearance."},
	{abatementSmall, "abatement_below_practices", "area", law.Cite("40 CFR 745.65(d)", law.Text), "Less is treated than the area and the share from which the abatement work practice standards apply."},
	{certificationNotYet, "certification_not_yet", "on", law.Cite("40 CFR 745.81(a)", law.Text), "On that date only the notices were owed; certified firms, certified renovators and the work practices were required later."},
	{optedOut, "opted_out", "opted_out", optOut, "The owner, who lived there, signed the work practices, training and certification away, as could be done on that date; the notices stay."},
	{optOutEnded, "opt_out_ended", "opted_out", optOut, "An owner's opting out has no effect on that date, after it ended, and the whole rule applies."},
	{emergencyAlone, "emergency_not_added", "emergency", minorRepair, "An emergency renovation is not added to other jobs."},
}

var gaps = []struct {
	lacks             lacks
	fact, why, change string
}{
	{lackArea, "area", "Minor repair turns on the painted area disturbed.", "An area within the limit, with the other jobs of the same {minor_repair_days} days, could make it minor."},
	{lackPaint, "paint_disturbed", "Work that disturbs no paint is not a renovation.", "Knowing that no paint is disturbed would make it no renovation."},
	{lackMethod, "method", "Prohibited and restricted methods are never minor repair.", "A method that is neither prohibited nor restricted could make it minor."},
	{lackDoer, "done_by", "The rule applies to work done for compensation; unknown counts as paid.", "An owner working unpaid in the home they live in is outside the rule."},
	{lackHome, "home_covered", "The rule applies to target housing and child-occupied facilities.", "In a home that is not covered the rule does not apply."},
	{lackAssisted, "assisted", "Federally assisted homes have a test of their own, with lower limits.", "Federal assistance would add safe work practices and clearance under 24 CFR part 35."},
	{lackShare, "share_of_component", "In assisted homes more than {hud_de_minimis_component} % of a small component, such as a sill or trim, is above the de minimis.", "At most {hud_de_minimis_component} % of the component would need no clearance under 24 CFR part 35."},
	{lackOtherArea, "other_jobs", "Jobs at the same place within {minor_repair_days} days are added.", "The other job's area could make this one minor."},
	{lackLeadFree, "lead_free", "The rule does not apply to components found free of lead-based paint by an inspector, a recognised test kit or paint chips.", "Such a finding for every component would take the job out of the rule."},
}

// value is a fact as text.
func (w Work) value(fact string) string {
	yes := func(b bool) string {
		if b {
			return "yes"
		}
		return "no"
	}
	switch fact {
	case "home_covered":
		return w.HomeCovered.String()
	case "place":
		if w.Exterior {
			return "exterior"
		}
		return "room"
	case "component":
		if w.Component == home.Unlisted {
			return ""
		}
		return w.Component.String()
	case "share_of_component":
		if !w.ShareKnown {
			return "unknown"
		}
		return w.Share.String() + " %"
	case "area":
		if !w.AreaKnown {
			return "unknown"
		}
		return w.Area.String() + " ft2"
	case "paint_disturbed":
		return w.PaintDisturbed.String()
	case "method":
		return string(w.Method)
	case "window_replaced":
		return yes(w.replacesWindow())
	case "painted_surface_demolished":
		return yes(w.demolishes())
	case "emergency":
		return yes(w.Emergency)
	case "abatement":
		if !w.Abatement {
			return ""
		}
		return "yes"
	case "opted_out":
		return w.OptedOut.String()
	case "done_by":
		return w.DoneBy.String()
	case "rented":
		return w.Rented.String()
	case "lead_free":
		return w.LeadFree.String()
	case "assisted":
		return w.Assisted.String()
	}
	return ""
}
