package practice

import "sillbook/internal/trade/law"

// verdict is what one rule says of a method under the facts.
type verdict struct {
	stance Stance
	why    string
	guards []guard
	lacks  []string // facts that are not known and decided
	cite   law.Citation
}

// guard is a condition under which a restricted method is lawful.
type guard struct {
	code string
	text string
}

func silent(cite law.Citation) verdict {
	return verdict{why: "This rule does not name the method.", cite: cite}
}

func barred(cite law.Citation, why string, lacks ...string) verdict {
	return verdict{stance: Prohibited, why: why, lacks: lacks, cite: cite}
}

func guarded(cite law.Citation, why string, guards ...guard) verdict {
	return verdict{stance: Restricted, why: why, guards: guards, cite: cite}
}

const (
	flameBarred = "Open-flame burning and torching are prohibited."
	notKnown    = "The method is not known, and counts as a prohibited one until it is."
)

// renovation is 40 CFR 745.85(a)(3), with the containment of (a)(2) for water.
func (l limits) renovation(f Facts) verdict {
	switch f.Method {
	case OpenFlame:
		return barred(epaFlame, flameBarred)
	case MachineWithShroud, MachineWithoutShroud, AbrasiveBlasting, AbrasiveBlastingHEPA:
		return shrouded(f)
	case HeatGun:
		return f.heated(epaHeat, l.heat, below, "Heat guns are used only below %; this one is not.")
	case DryScraping:
		if f.WithHeatGun {
			return f.heated(epaHeat, l.heat, below, "The heat gun used with the scraping must stay below %; this one does not.")
		}
	case PowerWashing:
		return guarded(epaContain, "Water and chips that leave the work area are a breach of its containment.", guard{"contain_water", contain})
	case Unknown:
		return barred(epaAll, notKnown, "method")
	}
	return silent(epaAll)
}

// shrouded is a high-speed machine or blasting under 40 CFR 745.85(a)(3)(ii).
func shrouded(f Facts) verdict {
	switch {
	case f.Shroud == law.No:
		return barred(epaMachine, "High-speed machines and blasting are prohibited without a shroud or containment.")
	case f.HEPA == law.No:
		return barred(epaMachine, "High-speed machines and blasting are prohibited without a HEPA vacuum attached.")
	case f.DustOutside == law.Yes:
		return barred(epaMachine, "Dust or a release of air is seen outside the shroud: the work stops until it is not.")
	}
	if lacks := unknowns(map[string]law.Tri{"shroud": f.Shroud, "hepa": f.HEPA}); len(lacks) > 0 {
		return barred(epaMachine, "High-speed machines and blasting are prohibited without a shroud and a HEPA vacuum, and it is not known that they are there.", lacks...)
	}
	return guarded(epaMachine, "High-speed machines and blasting are restricted: a shroud and a HEPA vacuum are in place.",
		guard{"shroud", "Keep the shroud or containment around the tool."}, guard{"hepa_vacuum", "Keep the HEPA vacuum attached and running."},
		guard{"no_visible_dust", "Stop as soon as dust or a release of air is seen outside the shroud."})
}

// abatement is 40 CFR 745.227(e)(6).
func (l limits) abatement(f Facts) verdict {
	switch f.Method {
	case OpenFlame:
		return barred(abateFlame, flameBarred)
	case MachineWithShroud, MachineWithoutShroud, AbrasiveBlasting, AbrasiveBlastingHEPA:
		return exhausted(f, abateMachine)
	case HeatGun:
		return f.heated(abateHeat, l.abatementHeat, below, "Heat guns are used only below %; this one is not.")
	case DryScraping:
		heat := f.heated(abateHeat, l.abatementHeat, below, "The heat gun used with the scraping must stay below %; this one does not.")
		return l.dry(f, heat, l.abatementSpot, abateDry)
	case Unknown:
		return barred(abateAll, notKnown, "method")
	}
	return silent(abateAll)
}

// housing is 24 CFR 35.140.
func (l limits) housing(f Facts) verdict {
	switch f.Method {
	case OpenFlame:
		return barred(hud("(a)"), flameBarred)
	case MachineWithShroud, MachineWithoutShroud:
		return exhausted(f, hud("(b)"))
	case AbrasiveBlasting, AbrasiveBlastingHEPA:
		return exhausted(f, hud("(c)"))
	case HeatGun:
		return l.housingHeat(f)
	case DryScraping:
		return l.dry(f, l.housingHeat(f), l.hudSpot, hud("(e)"))
	case DrySanding:
		return barred(hud("(e)"), "Dry sanding is prohibited; the exceptions near outlets and with heat guns name dry scraping alone.")
	case ChemicalStripper, SolventStripper:
		return stripped(f)
	case Unknown:
		return barred(hudRemoval, notKnown, "method")
	}
	return silent(hudRemoval)
}

func (l limits) housingHeat(f Facts) verdict {
	if f.Charring == law.Yes {
		return barred(hud("(d)"), "Heat guns that char the paint are prohibited.")
	}
	v := f.heated(hud("(d)"), l.hudHeat, atMost, "Heat guns that run above % are prohibited; this one does.")
	if v.stance == Restricted {
		v.guards = append(v.guards, guard{"no_charring", "Stop as soon as the paint chars."})
	}
	return v
}

// exhausted is a machine or blasting under the two rules that ask for HEPA exhaust and no shroud.
func exhausted(f Facts, cite law.Citation) verdict {
	switch f.HEPA {
	case law.Yes:
		return guarded(cite, "Machines and blasting are restricted: HEPA exhaust is in place.", guard{"hepa_vacuum", "Keep the HEPA vacuum attached and running."})
	case law.No:
		return barred(cite, "Machines and blasting are prohibited without HEPA exhaust.")
	}
	return barred(cite, "Machines and blasting are prohibited without HEPA exhaust, and it is not known that it is there.", "hepa")
}

// stripped is 24 CFR 35.140(f).
func stripped(f Facts) verdict {
	cite := hud("(f)")
	if f.Volatile == law.No {
		return verdict{why: "Only volatile strippers are restricted.", cite: cite}
	}
	var v verdict
	switch f.Ventilated {
	case law.Yes:
		v = guarded(cite, "A volatile stripper is used only in a well ventilated space, and this one is.", guard{"ventilate", "Keep the space well ventilated while the stripper works."})
	case law.No:
		v = barred(cite, "A volatile stripper is prohibited in a poorly ventilated space.")
	default:
		v = barred(cite, "A volatile stripper is prohibited in a poorly ventilated space, and it is not known that this one is well ventilated.", "well_ventilated")
	}
	if f.Volatile == law.Unknown {
		v.lacks = append(v.lacks, "volatile_stripper")
	}
	return v
}

func unknowns(facts map[string]law.Tri) []string {
	var lacks []string
	for _, name := range []string{"shroud", "hepa"} {
		if facts[name] == law.Unknown {
			lacks = append(lacks, name)
		}
	}
	return lacks
}
