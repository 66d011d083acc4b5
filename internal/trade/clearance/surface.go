// Package clearance judges dust wipes against the levels of the law, and from them and the visual inspection a worksite: passed,
// failed, or not shown either way. It knows nothing of jobs.
package clearance

// Surface is what a wipe was taken from.
type Surface string

// The surfaces. A blank is a wipe that touched none, sent along to check the wipes or the laboratory.
const (
	FloorBare        Surface = "floor_bare"
	FloorCarpeted    Surface = "floor_carpeted"
	Sill             Surface = "sill"   // the inner ledge of a window
	Trough           Surface = "trough" // the well between the sash and the outer frame of a window
	PorchFloor       Surface = "porch_floor"
	ExteriorConcrete Surface = "exterior_concrete"
	FieldBlank       Surface = "field_blank"
	MediaBlank       Surface = "media_blank"
	Spike            Surface = "spike" // a wipe with a known amount of lead
)

// surfaceNames say each surface in a sentence.
var surfaceNames = map[Surface]string{
	FloorBare: "bare floor", FloorCarpeted: "carpeted floor", Sill: "window sill", Trough: "window trough",
	PorchFloor: "porch floor", ExteriorConcrete: "exterior concrete", FieldBlank: "field blank", MediaBlank: "media blank", Spike: "spike",
}

// String names the surface for people.
func (s Surface) String() string { return surfaceNames[s] }

// Known reports whether s is one of the surfaces.
func (s Surface) Known() bool { return surfaceNames[s] != "" }

// IsBlank reports whether the wipe was taken to check the wipes or the laboratory; it never passes or fails a room.
func (s Surface) IsBlank() bool { return s == FieldBlank || s == MediaBlank || s == Spike }

// IsOutdoor reports whether the surface is out of doors, where the federal clearance is visual (40 CFR 745.227(e)(8)(v)).
func (s Surface) IsOutdoor() bool { return s == PorchFloor || s == ExteriorConcrete }
