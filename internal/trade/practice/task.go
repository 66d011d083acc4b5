package practice

import "sillbook/internal/trade/law"

// Task is what a worker does, as the lead rule for construction sorts it (29 CFR 1926.62(d)(2)).
type Task string

// The tasks.
const (
	ManualDemolition  Task = "manual_demolition" // dry wall, for instance
	ManualScraping    Task = "manual_scraping"
	ManualSanding     Task = "manual_sanding"
	HeatGunWork       Task = "heat_gun"
	PowerToolCleaning Task = "power_tool_cleaning" // the class turns on dust collection
	SprayPainting     Task = "spray_painting_with_lead_paint"
	LeadMortar        Task = "lead_mortar"
	LeadBurning       Task = "lead_burning"
	RivetBusting      Task = "rivet_busting"
	AbrasiveCleanup   Task = "cleanup_with_dry_abrasives"
	EnclosureMoving   Task = "moving_blast_enclosure"
	Blasting          Task = "abrasive_blasting"
	Welding           Task = "welding"
	Cutting           Task = "cutting" // by torch or other heat
	TorchBurning      Task = "torch_burning"
	OtherTask         Task = "other" // in none of the lists
	TaskUnknown       Task = "unknown"
)

// Class is how high exposure at a task is presumed to be until it is assessed.
type Class uint8

// The classes.
const (
	NotPresumed Class = iota
	AboveLimit        // above the limit, up to ten times it
	High              // above ten times the limit
	Highest           // above fifty times the limit
)

// String is none, above_limit, high or highest.
func (c Class) String() string { return [...]string{"none", "above_limit", "high", "highest"}[c] }

// class is that of a task; a task that is in no list is presumed above the limit where it may be (29 CFR 1926.62(d)(2)(ii)), and one
// that is not known gets the highest.
func (t Task) class(dustCollection law.Tri) Class {
	switch t {
	case ManualDemolition, ManualScraping, ManualSanding, HeatGunWork, SprayPainting, OtherTask:
		return AboveLimit
	case PowerToolCleaning:
		if dustCollection == law.Yes {
			return AboveLimit
		}
		return High
	case LeadMortar, LeadBurning, RivetBusting, AbrasiveCleanup, EnclosureMoving:
		return High
	}
	return Highest
}

// cite is the list in which a task stands.
func (c Class) cite(t Task) law.Citation {
	switch {
	case t == OtherTask:
		return law.Cite("29 CFR 1926.62(d)(2)(ii)", law.Text)
	case c == AboveLimit:
		return law.Cite("29 CFR 1926.62(d)(2)(i)", law.Text)
	case c == High:
		return law.Cite("29 CFR 1926.62(d)(2)(iii)", law.Text)
	}
	return law.Cite("29 CFR 1926.62(d)(2)(iv)", law.Text)
}

// TaskOf is the task of a method of paint work. The rule's lists do not name every method: taking a component off whole counts as
// demolition by hand, and wet work like dry.
func TaskOf(m Method) Task {
	switch m {
	case WetScraping, DryScraping:
		return ManualScraping
	case WetSanding, DrySanding:
		return ManualSanding
	case CutOrRemovedWhole, Replaced, Demolished:
		return ManualDemolition
	case HeatGun:
		return HeatGunWork
	case OpenFlame:
		return TorchBurning
	case MachineWithShroud, MachineWithoutShroud:
		return PowerToolCleaning
	case AbrasiveBlasting, AbrasiveBlastingHEPA:
		return Blasting
	case ChemicalStripper, SolventStripper, PowerWashing, PowerWashingContained, Encapsulated, Enclosed, PaintedOnly:
		return OtherTask
	}
	return TaskUnknown
}

// Respirator is what is worn against dust and fume.
type Respirator string

// The respirators of 29 CFR 1910.134, Table 1.
const (
	NoRespirator          Respirator = "none"
	HalfMask              Respirator = "half_mask"
	FullFacepiece         Respirator = "full_facepiece"
	PoweredLoose          Respirator = "powered_loose"
	PoweredHood           Respirator = "powered_hood"
	PoweredHalfMask       Respirator = "powered_half_mask"
	SuppliedHalfMask      Respirator = "supplied_air_half_mask"
	PoweredHoodProven     Respirator = "powered_hood_proven" // with the maker's evidence of a higher factor
	PoweredFullFacepiece  Respirator = "powered_full_facepiece"
	SuppliedFullFacepiece Respirator = "supplied_air_full_facepiece"
	SelfContained         Respirator = "self_contained"
)

// respirators are all of them, in the order of what they protect from.
var respirators = [...]Respirator{HalfMask, PoweredLoose, PoweredHood, FullFacepiece, PoweredHalfMask, SuppliedHalfMask,
	PoweredHoodProven, PoweredFullFacepiece, SuppliedFullFacepiece, SelfContained}

// filters reports whether the respirator cleans the air of the place, and so needs HEPA filters.
func (r Respirator) filters() bool {
	return r != SuppliedHalfMask && r != SuppliedFullFacepiece && r != SelfContained
}

func (r Respirator) worn() bool { return r != "" && r != NoRespirator }
