package assistance

import (
	"fmt"

	"sillbook/internal/trade/law"
)

func part(clause string) law.Citation { return law.Cite("24 CFR "+clause, law.Text) }

// row is what one programme asks.
func (n numbers) row(f ProgrammesFacts, p ProgrammeFacts) ProgrammeAnswer {
	b := &parts{n: n, f: f, p: p}
	rows := map[Programme]func(*parts) ProgrammeAnswer{FederalSale: federalSale, FederalProjectAid: federalAid, HUDSingleFamilySale: singleFamilySale, MortgageInsurance: mortgage,
		ProjectBased: projectBased, HUDMultifamily: hudMultifamily, Rehabilitating: rehabilitation, Services: services, PublicHousing: publicHousing, TenantBased: tenantBased}
	a := rows[p.Programme](b)
	a.Programme, a.Requirements, a.Applies = p.Programme, b.list, a.applies.String()
	if a.Requirements == nil || a.applies == law.No {
		a.Requirements = []Requirement{}
	}
	return a
}

// federalSale is subpart C.
func federalSale(b *parts) ProgrammeAnswer {
	a := ProgrammeAnswer{Subpart: "C", applies: law.Yes, cite: part("35.210, 35.215")}
	closing := "Inspect the home and assess its risk before the closing"
	if b.n.older(b.f) == law.No {
		b.inspection(part("35.215"), closing+", and tell buyers the results.").within("before the closing", b.p.On, 0)
		a.Why = fmt.Sprintf("A federal agency sells it, and it was built in or after %d: the buyer learns the results.", b.n.whole("older_housing_year"))
		return a
	}
	a.lacks = b.yearLacking()
	b.inspection(part("35.210"), fmt.Sprintf("%s; the risk assessment is at most %d months old at the closing.", closing, b.n.whole("risk_assessment_months"))).within("before the closing", b.p.On, 0)
	b.abate("abate_hazards", part("35.210"), "Abate the hazards that were found.").within("before the closing", b.p.On, 0)
	b.clear(part("35.210, 35.1325"), "Clear the home after abatement.")
	a.Why = fmt.Sprintf("A federal agency sells it, and it was built before %d or its year is not known: its hazards are abated.", b.n.whole("older_housing_year"))
	return a
}

// abate asks for abatement. Where hazards are presumed it is of the whole property (24 CFR 35.120(b)).
func (b *parts) abate(code string, cite law.Citation, text string) *Requirement {
	if b.f.Presumed && b.p.Programme != PublicHousing {
		return b.add("abate_all_lead_paint", During, law.Cite(cite.Clause+" with 35.120(b)", cite.Source), "Abate all presumed lead-based paint of the whole property: hazards are presumed, and abatement is required.")
	}
	return b.add(code, During, cite, text)
}

// federalAid is subpart D.
func federalAid(b *parts) ProgrammeAnswer {
	a := ProgrammeAnswer{Subpart: "D", applies: law.Yes, cite: part("35.300 to 35.325")}
	limit := b.n.value["project_aid_amount"]
	switch {
	case !b.p.PerProjectYear.Known:
		a.lacks = append(a.lacks, lacking{"amount_per_project_year", "Aid to a project falls under the rule only above an amount a year.", fmt.Sprintf("Not more than %s dollars a year would ask for nothing.", limit.Number())})
	case b.p.PerProjectYear.Dollars.Cmp(limit.Number()) <= 0:
		a.applies, a.Why = law.No, fmt.Sprintf("The project gets not more than %s dollars a year.", limit.Number())
		return a
	}
	b.riskAssessment(part("35.320"), "Have a risk assessment made by 40 CFR 745.227(d), on the schedule that the agency sets.")
	b.controls(part("35.320"))
	b.clear(law.Cite("24 CFR 35.1330(a)(3)", law.Derived), "Clear the units after interim controls.")
	b.telling(part("35.310"), true)
	a.Why = fmt.Sprintf("A federal agency other than HUD gives the project more than %s dollars a year, or how much is not known.", limit.Number())
	return a
}

// singleFamilySale is subpart F.
func singleFamilySale(b *parts) ProgrammeAnswer {
	cite := part("35.500, 35.510")
	b.stabilise(cite, "Look at all painted surfaces for deteriorated paint.")
	b.clear(cite, "Clear the home.")
	b.add("no_occupancy_until_cleared", After, cite, "Nobody moves in until it is cleared. The closing may come first; then the buyer has the work done before moving in.")
	return ProgrammeAnswer{Subpart: "F", applies: law.Yes, cite: cite, Why: "HUD sells it with a mortgage that it insures."}
}

// mortgage is subpart G.
func mortgage(b *parts) ProgrammeAnswer {
	a := ProgrammeAnswer{Subpart: "G", applies: law.Yes, cite: part("35.620, 35.625, 35.630")}
	share := b.n.value["major_rehabilitation_share"].Number()
	if b.p.Major != law.No {
		if b.f.Presumed {
			b.presumption(part("35.630"))
		} else {
			b.add("lead_inspection", Before, part("35.630"), "Have the property inspected for lead-based paint.")
		}
		b.abate("abate_all_lead_paint", part("35.630"), "Abate all lead-based paint.").within("before occupancy", b.p.On, 0)
		b.clear(part("35.630, 35.1325"), "Clear the units after abatement, before they are lived in.")
		a.Why = fmt.Sprintf("It is converted to housing, or rehabilitated for more than %s %% of its replacement cost, or that is not known: all lead-based paint goes.", share)
	}
	switch b.p.Major {
	case law.No:
		a.Why = b.insured(&a)
	case law.Unknown:
		b.insured(&a)
		a.lacks = append(a.lacks, lacking{"major_rehabilitation", fmt.Sprintf("Conversion, and rehabilitation of more than %s %% of the replacement cost, ask for abatement of all lead-based paint.", share), "Knowing that it is neither would leave the abatement out."})
	}
	return a
}

// insured is what subpart G asks where there is neither conversion nor major rehabilitation.
func (b *parts) insured(a *ProgrammeAnswer) (why string) {
	year := b.n.whole("older_housing_year")
	why = fmt.Sprintf("Its mortgage is insured, and it was built in or after %d: maintenance only.", year)
	if b.n.older(b.f) != law.No {
		why, a.lacks = fmt.Sprintf("Its mortgage is insured, and it was built before %d or its year is not known.", year), b.yearLacking()
		b.riskAssessment(part("35.620"), "Have a risk assessment made before the firm commitment.").within("before the firm commitment", b.p.On, 0)
		b.controls(part("35.620"))
		b.clear(law.Cite("24 CFR 35.1330(a)(3)", law.Derived), "Clear the units after interim controls.")
	}
	b.maintain(part("35.620, 35.625"), false)
	return why
}

// yearLacking is the build year, where it is not known to be newer or older.
func (b *parts) yearLacking() []lacking {
	year := b.n.whole("older_housing_year")
	if b.n.older(b.f) != law.Unknown {
		return nil
	}
	return []lacking{{"build_year", fmt.Sprintf("Housing built before %d has stricter requirements, and only a recorded year shows that it is newer.", year), fmt.Sprintf("A recorded year of %d or later would ask for less.", year)}}
}

// projectBased is subpart H.
func projectBased(b *parts) ProgrammeAnswer {
	a := ProgrammeAnswer{Subpart: "H", applies: law.Yes, cite: part("35.715, 35.720")}
	limit, least := b.n.value["project_based_amount"].Number(), b.n.whole("multifamily_least_units")
	small := b.p.PerUnitYear.Known && b.p.PerUnitYear.Dollars.Cmp(limit) <= 0
	if small || b.f.Units > 0 && b.f.Units < least {
		cite, days := part("35.720"), b.n.whole("stabilise_days")
		b.stabilise(cite, "Look at all painted surfaces for deteriorated paint.").within(fmt.Sprintf("before occupancy; %d days where it is lived in", days), b.f.DeteriorationOn.AddDays(days), days)
		b.clear(cite, "Clear the unit or the worksite.")
		b.telling(part("35.710"), false)
		b.maintain(cite, false)
		a.Why = fmt.Sprintf("Not more than %s dollars a year for each assisted unit, or fewer than %d units.", limit, least)
		return a
	}
	if !b.p.PerUnitYear.Known {
		a.lacks = append(a.lacks, lacking{"amount_per_unit_year", "The amount for each assisted unit decides between a risk assessment and a visual one.", fmt.Sprintf("Not more than %s dollars a year would ask for paint stabilisation only.", limit)})
	}
	if b.f.Units == 0 {
		a.lacks = append(a.lacks, lacking{"units", fmt.Sprintf("A property of at least %d units is a multifamily one.", least), "Fewer units would ask for paint stabilisation only."})
	}
	cite := part("35.715")
	b.riskAssessment(cite, "Have a risk assessment made.")
	b.controlsInTime(cite)
	b.clear(law.Cite("24 CFR 35.1330(a)(3)", law.Derived), "Clear the units after interim controls.")
	b.telling(part("35.710"), true)
	b.maintain(cite, true)
	a.Why = fmt.Sprintf("More than %s dollars a year for each assisted unit, in a property of at least %d units, or that is not known.", limit, least)
	return a
}
