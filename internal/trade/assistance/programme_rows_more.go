package assistance

import (
	"fmt"

	"sillbook/internal/trade/law"
)

// hudMultifamily is subpart I.
func hudMultifamily(b *parts) ProgrammeAnswer {
	a := ProgrammeAnswer{Subpart: "I", applies: law.Yes, cite: part("35.815, 35.820"), Why: "HUD owns it, and it is a multifamily property."}
	days := b.n.whole("hud_owned_evaluation_days")
	b.inspection(part("35.815"), "Inspect the property and assess its risk.").within(fmt.Sprintf("%d days, or before it is advertised for sale", days), 0, days)
	if b.p.LeftToBuyer == law.Yes {
		b.buyerControls()
	} else {
		b.controlsInTime(part("35.820"))
	}
	b.clear(law.Cite("24 CFR 35.1330(a)(3)", law.Derived), "Clear the units after interim controls.")
	b.telling(part("35.810"), true)
	b.maintain(law.Cite("24 CFR 35.825", law.Memory), true)
	return a
}

// buyerControls are interim controls that the buyer of a property of HUD's does.
func (b *parts) buyerControls() {
	days, words := b.n.whole("buyer_control_days"), "%d days of the closing"
	if b.f.ChildUnderSix != law.No {
		days = b.n.whole("buyer_control_days_child")
	}
	q := b.controls(part("35.820"))
	q.Text += " The buyer does it."
	q.within(fmt.Sprintf(words, days), b.p.On.AddDays(days), days)
}

// rehabilitation is subpart J: by its tier.
func rehabilitation(b *parts) ProgrammeAnswer {
	a := ProgrammeAnswer{Subpart: "J", applies: law.Yes, cite: tierClause}
	tier := b.n.tiers.tier(b.p.PerUnit)
	for _, q := range b.n.tiers.mainland(TierFacts{}, tier) {
		q.Programme = b.p.Programme
		switch {
		case b.f.Presumed && q.Code == "risk_assessment":
			b.presumption(tierClause)
			continue
		case b.f.Presumed && q.Code == "interim_controls":
			b.controls(tierClause)
			continue
		case b.f.Presumed && q.Code == "abate_hazards":
			b.abate(q.Code, tierClause, q.Text)
			continue
		}
		b.list = append(b.list, q)
	}
	b.telling(tellClause, tier != Lowest || b.f.Presumed)
	a.Why = fmt.Sprintf("Rehabilitation of the %s tier.", tier)
	if !b.p.PerUnit.Known {
		a.Why = "Rehabilitation; its amount for each unit is not known, so the highest tier is presumed."
		a.lacks = append(a.lacks, lacking{"amount_per_unit", "The amount for each assisted unit decides the tier.", "A lower amount would ask for interim controls, or for safe work practices and clearance only."})
	}
	return a
}

// services is subpart K.
func services(b *parts) ProgrammeAnswer {
	cite := part("35.1015")
	a := ProgrammeAnswer{Subpart: "K", applies: law.Yes, cite: cite, Why: "Help to acquire, lease, operate or serve housing."}
	q := b.stabilise(cite, "Look at all painted surfaces for deteriorated paint.")
	q.within("before occupancy", b.p.On, 0)
	if b.f.Occupied != law.No {
		q.within("before occupancy; where it is lived in, immediately after the help", b.p.On, 0)
	}
	b.clear(cite, "Clear the unit or the worksite.")
	b.telling(part("35.1010"), false)
	if b.p.Continuing != law.No {
		b.maintain(cite, false)
	}
	if b.p.Continuing == law.Unknown {
		a.lacks = append(a.lacks, lacking{"continuing", "Where the help goes on, so does maintenance.", "Help that does not go on would ask for no maintenance."})
	}
	return a
}

// publicHousing is subpart L. Its hazards may not be presumed instead of found (24 CFR 35.120(b)).
func publicHousing(b *parts) ProgrammeAnswer {
	cite := part("35.1115, 35.1120")
	b.add("inspection_and_risk_assessment", Before, part("35.1115"), "Inspect all of it for lead-based paint, and where there is some assess the risk.")
	presumed := b.f.Presumed
	b.f.Presumed = false
	b.controlsInTime(part("35.1120"))
	b.add("abate_at_modernisation", During, part("35.1120"), "Abate lead-based paint and hazards in the course of modernisation; until then interim controls hold.")
	b.clear(law.Cite("24 CFR 35.1330(a)(3), 35.1325", law.Derived), "Clear the units after interim controls, and after abatement.")
	b.telling(part("35.1110"), true)
	b.maintain(part("35.1120"), true)
	a := ProgrammeAnswer{Subpart: "L", applies: law.Yes, cite: cite, Why: "It is public housing."}
	if presumed {
		a.Why += " Presuming does not take the place of its inspection (24 CFR 35.120(b))."
	}
	return a
}

// tenantBased is subpart M.
func tenantBased(b *parts) ProgrammeAnswer {
	cite := part("35.1200, 35.1215")
	a := ProgrammeAnswer{Subpart: "M", applies: law.Yes, cite: cite, Why: "A tenant with rental help lives there with a child under six, or one is expected."}
	switch b.f.ChildUnderSix {
	case law.No:
		a.applies, a.Why = law.No, "No child under six lives or is expected there."
		return a
	case law.Unknown:
		a.applies, a.Why = law.Unknown, "Whether a child under six lives or is expected there is not known, and counts as yes."
		a.lacks = append(a.lacks, lacking{"child_under_six", "Only units with a child under six have requirements under this programme.", "Knowing that none lives or is expected there would ask for nothing."})
	}
	days, longest := b.n.whole("stabilise_days"), b.n.whole("stabilise_extension_days")
	q := b.stabilise(cite, "Look at all painted surfaces for deteriorated paint at the initial and each periodic inspection.")
	q.Text += fmt.Sprintf(" The deadline may be extended to at most %d days after the notice to the owner; a unit that misses it fails the housing quality standards.", longest)
	q.within(fmt.Sprintf("before occupancy; %d days where it is lived in", days), b.f.DeteriorationOn.AddDays(days), days)
	b.clear(cite, "Clear the unit or the worksite.")
	b.telling(part("35.1210"), false)
	b.maintain(cite, false)
	return a
}
