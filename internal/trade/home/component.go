package home

import (
	"strings"

	"sillbook/internal/trade/law"
)

// Component is an element of a building by form, function and place, as the rules list them. The zero Component is one that
// is not listed: the lists are not closed.
type Component uint8

// The components of the interior and exterior lists of 40 CFR 745.83, "component" (from memory), and the baseboard, which
// 24 CFR 35.1350(d) names. A window is the whole of it: sashes, frame and glass.
const (
	Unlisted Component = iota
	AirConditioner
	Baluster
	Baseboard
	BathroomVanity
	Beam
	Bulkhead
	Cabinet
	Ceiling
	ChairRail
	Chimney
	Column
	CornerBoard
	CounterTop
	CrownMoulding
	Door
	DoorTrim
	Fascia
	Fence
	Fireplace
	Flashing
	Floor
	Gutter
	Handrail
	Joist
	LatticeWork
	NewelPost
	Radiator
	Railing
	RakeBoard
	Roofing
	Shelf
	ShelfSupport
	Siding
	Soffit
	StairRiser
	StairStringer
	StairTread
	Trim
	Wall
	Window
	WindowSash
	WindowSill
	WindowTrim
	WindowTrough
)

var components = [...]struct {
	name  string
	small law.Tri // whether its surface is small, as 24 CFR 35.1350(d) asks
}{
	Unlisted:       {"unlisted", law.Unknown},
	AirConditioner: {"air conditioner", law.Unknown},
	Baluster:       {"baluster", law.Yes},
	Baseboard:      {"baseboard", law.Yes},
	BathroomVanity: {"bathroom vanity", law.Unknown},
	Beam:           {"beam", law.Unknown},
	Bulkhead:       {"bulkhead", law.Unknown},
	Cabinet:        {"cabinet", law.Unknown},
	Ceiling:        {"ceiling", law.No},
	ChairRail:      {"chair rail", law.Yes},
	Chimney:        {"chimney", law.Unknown},
	Column:         {"column", law.Unknown},
	CornerBoard:    {"corner board", law.Yes},
	CounterTop:     {"counter top", law.Unknown},
	CrownMoulding:  {"crown moulding", law.Yes},
	Door:           {"door", law.No},
	DoorTrim:       {"door trim", law.Yes},
	Fascia:         {"fascia", law.Yes},
	Fence:          {"fence", law.Unknown},
	Fireplace:      {"fireplace", law.Unknown},
	Flashing:       {"flashing", law.Yes},
	Floor:          {"floor", law.No},
	Gutter:         {"gutter", law.Yes},
	Handrail:       {"handrail", law.Yes},
	Joist:          {"joist", law.Unknown},
	LatticeWork:    {"lattice work", law.Unknown},
	NewelPost:      {"newel post", law.Yes},
	Radiator:       {"radiator", law.Unknown},
	Railing:        {"railing", law.Yes},
	RakeBoard:      {"rake board", law.Yes},
	Roofing:        {"roofing", law.No},
	Shelf:          {"shelf", law.Unknown},
	ShelfSupport:   {"shelf support", law.Yes},
	Siding:         {"siding", law.No},
	Soffit:         {"soffit", law.Unknown},
	StairRiser:     {"stair riser", law.Yes},
	StairStringer:  {"stair stringer", law.Yes},
	StairTread:     {"stair tread", law.Yes},
	Trim:           {"trim", law.Yes},
	Wall:           {"wall", law.No},
	Window:         {"window", law.Unknown},
	WindowSash:     {"window sash", law.Yes},
	WindowSill:     {"window sill", law.Yes},
	WindowTrim:     {"window trim", law.Yes},
	WindowTrough:   {"window trough", law.Yes},
}

var componentByName = func() map[string]Component {
	byName := make(map[string]Component, len(components)+2)
	for c, listed := range components {
		if Component(c) != Unlisted {
			byName[listed.name] = Component(c)
		}
	}
	byName["sill"], byName["windowsill"] = WindowSill, WindowSill
	return byName
}()

// ComponentOf reads a component in the caller's words, in one or many, with spaces, hyphens or underscores: "Window sills",
// "stair_tread". Any other word is Unlisted.
func ComponentOf(words string) Component {
	name := strings.NewReplacer("_", " ", "-", " ").Replace(strings.ToLower(strings.TrimSpace(words)))
	for _, plural := range []string{"", "s", "es"} {
		if one, cut := strings.CutSuffix(name, plural); cut {
			if c, listed := componentByName[one]; listed {
				return c
			}
		}
	}
	if name == "shelves" {
		return Shelf
	}
	return Unlisted
}

// String is the component's name, in one.
func (c Component) String() string { return components[c].name }

// Small says whether a component has a small surface, of which a tenth counts in assisted homes (24 CFR 35.1350(d)). That
// sills, baseboards and trim are small, and walls, ceilings, floors and doors are large, is from memory; what else is small
// is common practice, and what is not plain is not known.
func (c Component) Small() law.Tri { return components[c].small }
