package practice

import (
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// owed lists what the day's exposure owes the worker, in the order of the day: before work, at work, after.
func (r reading) owed(f ExposureFacts, d day) []Owed {
	list := []Owed{}
	add := func(when bool, code string, by calendar.Date, cite law.Citation, text string) {
		if when {
			list = append(list, Owed{code, text, by, cite})
		}
	}
	presumed, above, action := d.presumed != NotPresumed, d.above(), d.atAction()
	measured := !presumed && d.average.Cmp(d.limit) > 0
	text := func(clause string) law.Citation { return law.Cite("29 CFR 1926.62"+clause, law.Text) }
	programme := r.value("exposure_programme_months")
	add(above, "written_programme", 0, programme.Cite(), "Have a written compliance programme before the job, revised at least every "+programme.Value+" months, with frequent inspections by a competent person.")
	training := r.value("exposure_training_months")
	add(action, "training", 0, training.Cite(), "Train the worker before the job, and at least every "+training.Value+" months: the hazard, the tasks, respirators, medical surveillance and removal.")
	add(above, "engineering_controls", 0, text("(e)(1)"), "Lower the exposure by tools, ventilation and ways of work as far as that can be done; respirators come in addition.")
	add(above, "respirator", 0, text("(f)(1), (f)(3)"), r.respiratorText(d))
	add(above, "protective_clothing", 0, r.clothingCite(d), r.clothingText(d))
	add(above, "change_area", 0, text("(i)(2)"), "Provide a clean place to change, with work clothes and street clothes kept apart; nobody leaves in work clothes.")
	add(true, "hand_washing", 0, text("(i)(5)"), "Provide a place to wash hands and face.")
	add(measured, "showers", 0, text("(i)(3)"), "Provide showers where that can be done, used at the end of the shift.")
	add(above, "no_eating", 0, text("(i)(1), (i)(4)"), "Keep food, drink, tobacco and cosmetics out of the area; provide a clean place to eat, entered washed and without dusty clothes.")
	add(above, "warning_sign", 0, text("(m)(1)"), "Post the rule's warning sign in the work area.")
	add(action, "initial_blood_test", 0, text("(j)(1)(i), (d)(2)(v)(E)"), "Offer the worker a blood test for lead and zinc protoporphyrin, free of charge.")
	results := r.value("exposure_results_days")
	if !f.ReceivedOn.IsZero() {
		note := ""
		if d.average.Cmp(d.limit) >= 0 {
			note = " Say that the exposure was at or above the limit, and what is done about it."
		}
		add(true, "tell_workers", f.ReceivedOn.AddBusinessDays(results.Int()), results.Cite(), "Give each affected worker the results in writing, or post them, within "+results.Value+" working days."+note)
	}
	records := r.value("exposure_record_years")
	add(true, "keep_records", r.on.AddYears(records.Int()), records.Cite(), "Keep the monitoring and other exposure records at least "+records.Value+" years.")
	medical := r.value("exposure_medical_record_years")
	add(action, "keep_medical_records", 0, medical.Cite(), "Keep the worker's medical records for the time of employment and at least "+medical.Value+" years, apart from all others and closed to all who need not see them.")
	return list
}

// respiratorText says what a respirator must at least be.
func (r reading) respiratorText(d day) string {
	text := "No respirator of the table is enough: lower the exposure before anybody works in it."
	if _, least := r.choices(d); least > 0 {
		text = "Provide a respirator with an assigned protection factor of at least " + measure.Int(int64(least)).String() + ", free of charge, under a respirator programme with fit testing."
	}
	return text + " Air-purifying ones take HEPA filters; where the dust irritates eyes or skin, the whole face is covered; a worker who prefers a powered one that is enough gets it."
}

// daily reports whether clean clothing is owed every day. What is presumed reaches above the level in each class, so it counts as
// above it until it is measured.
func (r reading) daily(d day) bool {
	return d.presumed != NotPresumed || d.average.Cmp(r.number("exposure_clothing_daily")) > 0
}

func (r reading) clothingText(d day) string {
	text := "Provide and clean protective clothing, gloves, head and shoe covers and eye protection, free of charge; clean and dry "
	if r.daily(d) {
		return text + "every day."
	}
	return text + "at least every " + r.value("exposure_clothing_days").Value + " days."
}

func (r reading) clothingCite(d day) law.Citation {
	if d.presumed == NotPresumed {
		return r.value("exposure_clothing_daily").Cite()
	}
	return law.Citation{Clause: "29 CFR 1926.62(g)(1), (g)(2)(i), (d)(2)(v)(B)", Source: law.Derived,
		Note: "Every presumed class reaches above the level from which clothing is clean every day; measured exposure at or below it needs it weekly."}
}
