// Package practice knows the methods of paint work and what the rules say of each.
package practice

import "sillbook/internal/trade/law"

// Method is how paint is disturbed.
type Method string

// The methods.
const (
	WetScraping           Method = "wet_scraping"
	WetSanding            Method = "wet_sanding"
	CutOrRemovedWhole     Method = "cut_or_removed_whole"
	Replaced              Method = "replaced"
	Demolished            Method = "demolished"
	ChemicalStripper      Method = "chemical_stripper"
	SolventStripper       Method = "solvent_stripper_methylene_chloride"
	HeatGun               Method = "heat_gun"
	OpenFlame             Method = "open_flame"
	DryScraping           Method = "dry_scraping"
	DrySanding            Method = "dry_sanding"
	MachineWithShroud     Method = "machine_with_shroud_and_hepa"
	MachineWithoutShroud  Method = "machine_without_shroud"
	AbrasiveBlastingHEPA  Method = "abrasive_blasting_with_hepa"
	AbrasiveBlasting      Method = "abrasive_blasting"
	PowerWashingContained Method = "power_washing_contained"
	PowerWashing          Method = "power_washing"
	Encapsulated          Method = "encapsulated"
	Enclosed              Method = "enclosed"
	PaintedOnly           Method = "painted_only"
	Unknown               Method = "unknown"
)

// Stance is what a rule says of a method.
type Stance uint8

// The stances.
const (
	Allowed    Stance = iota
	Restricted        // allowed only with the guard that Guard names
	Prohibited
)

// String is allowed, restricted or prohibited.
func (s Stance) String() string { return [...]string{"allowed", "restricted", "prohibited"}[s] }

// Rule is what the rules say of one method.
type Rule struct {
	Method Method
	EPA    Stance // 40 CFR 745.85(a)(3); a method restricted or prohibited there is never minor repair
	HUD    Stance // 24 CFR 35.140
	Guard  string // what makes a restricted method lawful, or what to do instead; [Rules.Guard] puts the numbers of a date into it
	Cite   law.Citation
}

// NeverMinor reports whether a job by this method can never be minor repair and maintenance: 745.83 leaves out every
// practice "prohibited or restricted" by 745.85(a)(3), guarded or not. A method that is not known is taken for one.
func (r Rule) NeverMinor() bool { return r.EPA != Allowed }

// heatPlace stands in a guard where the temperature of the date goes.
const heatPlace = "{heat_gun_temperature}"

const (
	shroud    = "Only with a shroud or containment and a HEPA vacuum attached, with no visible dust or release of air outside it."
	heat      = "Only below " + heatPlace + "; EPA bars the temperature itself, HUD only what is above it, and the stricter is taken."
	wetInst   = "Work wet instead; HUD allows it dry only near outlets, with a heat gun, or on small defective spots."
	ventilate = "Never in a poorly ventilated space, where the stripper is volatile."
	contain   = "Contain the water and the chips; what leaves the work area is a breach of containment."
	ask       = "Find out the method before the work; until then the job is treated as using a restricted one."
)

// RuleOf gives the rule of a method. A method that is not listed is treated as unknown. It does not allocate.
func RuleOf(m Method) Rule {
	switch m {
	case OpenFlame:
		return Rule{m, Prohibited, Prohibited, "Never; use another method.", epaFlame}
	case MachineWithoutShroud, AbrasiveBlasting:
		return Rule{m, Prohibited, Prohibited, shroud, epaMachine}
	case MachineWithShroud, AbrasiveBlastingHEPA:
		return Rule{m, Restricted, Restricted, shroud, epaMachine}
	case HeatGun:
		return Rule{m, Restricted, Restricted, heat, epaHeat}
	case DryScraping, DrySanding:
		return Rule{m, Allowed, Restricted, wetInst, hudRemoval}
	case SolventStripper, ChemicalStripper:
		return Rule{m, Allowed, Restricted, ventilate, hudRemoval}
	case PowerWashing:
		return Rule{m, Allowed, Allowed, contain, epaContain}
	case WetScraping, WetSanding, CutOrRemovedWhole, Replaced, Demolished, PowerWashingContained, Encapsulated, Enclosed, PaintedOnly:
		return Rule{m, Allowed, Allowed, "", law.Citation{}}
	}
	return Rule{Unknown, Restricted, Restricted, ask, epaAll}
}

// Methods are all methods, in the order of the catalogue.
func Methods() []Method {
	return []Method{WetScraping, WetSanding, CutOrRemovedWhole, Replaced, Demolished, ChemicalStripper, SolventStripper, HeatGun,
		OpenFlame, DryScraping, DrySanding, MachineWithShroud, MachineWithoutShroud, AbrasiveBlastingHEPA, AbrasiveBlasting,
		PowerWashingContained, PowerWashing, Encapsulated, Enclosed, PaintedOnly, Unknown}
}
