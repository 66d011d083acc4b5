package renovation

import (
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Ft is a length in feet that may not be known.
type Ft struct {
	N     measure.Number
	Known bool
}

// Feet is a known length.
func Feet(n measure.Number) Ft { return Ft{n, true} }

// WorkRoom is a room in which surfaces are worked on.
type WorkRoom struct {
	Name                  string
	Surfaces              []WorkedSurface
	Length, Width, Height Ft // of the room; where they are told, plastic goes no further than its floor
	Enough                Ft // how far plastic must go to contain the dust, where that is more than the rule's distance
	Barrier               *Barrier
	Openings              []Opening
	Objects               law.Tri // objects stay in the work area
	Slippery              bool    // plastic makes the floor too slippery to work on
	Carpet                law.Tri // the floor is carpeted
	Sills                 int     // window sills in the work area
	CounterTops           []Ft    // ft2 of each
}

// WorkedSurface is what is worked on, as it stands over the floor: a stretch of wall, or a rectangle away from the walls or
// overhead.
type WorkedSurface struct {
	Name          string
	AlongWall     bool
	Length, Width Ft // along a wall the width is how far it stands out from it, and none where that is not told
}

// Barrier is a vertical barrier around the work, sealed from floor to ceiling indoors.
type Barrier struct {
	Distance Ft // from the surfaces worked on
	Sealed   law.Tri
}

// Opening is a window, a door or a duct.
type Opening struct {
	Name     string
	Kind     OpeningKind
	Used     bool // a door that workers use
	Floor    int  // storey, 1 at the ground; of exterior work. 0: not known
	Distance Ft   // horizontal, from the surfaces worked on; of exterior work
}

// OpeningKind is what an opening is.
type OpeningKind string

// The openings.
const (
	WindowOpening OpeningKind = "window"
	DoorOpening   OpeningKind = "door"
	Duct          OpeningKind = "duct"
)

// ExteriorRun is a stretch of a building's exterior that is worked on.
type ExteriorRun struct {
	Name     string
	Width    Ft  // along the wall
	Highest  int // storey worked on, 1 at the ground; 0: not known
	Top      Ft  // of the work, above the ground
	Line     Ft  // distance from the surfaces to the property line
	Enough   Ft  // how far the ground must be covered to catch the debris, where that is more than the rule's distance
	Barrier  *Barrier
	Openings []Opening
	AboveToo bool // conditions ask that openings above are closed, too
}
