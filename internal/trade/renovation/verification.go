package renovation

import (
	"fmt"
	"time"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Wiped is a kind of surface as cleaning verification sees it.
type Wiped string

// The kinds. Only sills, uncarpeted floors and counter tops are wiped; the rest is looked at.
const (
	WipedSill    Wiped = "window_sill"
	WipedFloor   Wiped = "floor"
	WipedCounter Wiped = "counter_top"
	SeenCarpet   Wiped = "carpet"
	SeenWall     Wiped = "wall"
	SeenCeiling  Wiped = "ceiling"
	SeenOutdoors Wiped = "exterior"
)

// isWiped reports whether cloths are used on the surface.
func (w Wiped) isWiped() bool { return w == WipedSill || w.isSectioned() }

// isSectioned reports whether a large surface is divided.
func (w Wiped) isSectioned() bool { return w == WipedFloor || w == WipedCounter }

// ToVerify is one surface in the work area.
type ToVerify struct {
	Name      string
	Surface   Wiped
	Area      measure.Number // ft2, of a floor or counter top
	AreaKnown bool
	Sections  int // into which it was divided; 0 where that is not told
}

// What happened in a cleaning verification.
type What string

// The events.
const (
	Looked  What = "looked"  // the certified renovator looked for dust, debris and residue
	Cleaned What = "cleaned" // cleaned again
	Wipe    What = "wiped"
)

// Cloth, Face and Match describe one wipe.
type (
	Cloth string
	Face  string
	Match string
)

// The cloths, the faces of a cloth, and how it compares with the card.
const (
	Wet        Cloth = "wet"
	Dry        Cloth = "dry"
	NewCloth   Face  = "new_cloth"
	UnusedFace Face  = "unused_face" // folded so that an unused face is out
	UsedFace   Face  = "used_face"
	Matches    Match = "matches"
	Lighter    Match = "lighter"
	Darker     Match = "darker"
)

// Event is something done, as told.
type Event struct {
	At      time.Time
	What    What
	Item    string // empty: every surface
	Section int    // from 1; 0: every section of the item
	Passed  bool   // of looking: nothing was seen
	Cloth   Cloth
	Face    Face
	Match   Match
	Dry     law.Tri // before a dry wipe: the surface was dry, of floors and counter tops all of it in the work area
}

// VerificationFacts are what has been done so far.
type VerificationFacts struct {
	On        calendar.Date
	Outdoors  bool    // all the work was outdoors: it is looked at only
	Clearance bool    // the contract or another law asks for dust clearance instead
	Renovator law.Tri // a certified renovator does it in person
	Items     []ToVerify
	Events    []Event
}

// The states of a sill or section.
const (
	lookFirst    = "look_first"   // nobody has looked and found it clean
	wipeWet      = "wipe_wet"     // the first wet wipe is next
	cleanAgain   = "clean_again"  // the cloth did not match
	wipeAgain    = "wipe_again"   // cleaned again, and another wet wipe is next
	waitThenDry  = "wait_and_dry" // wait, then wipe dry
	verified     = "verified"
	notWiped     = "not_wiped"     // looked at only
	measureFirst = "measure_first" // its area is not known
	tooLarge     = "too_large"     // told in sections that are too large: divide it again
)

// PartState is where one sill or section stands.
type PartState struct {
	Section   int        `json:"section"`
	State     string     `json:"state"`
	Next      string     `json:"next"`
	NotBefore *time.Time `json:"not_before,omitempty"` // of the dry wipe; it waits until the surface is dry, too
	WetWipes  int        `json:"wet_wipes"`            // that count
}

// ItemState is where a surface stands.
type ItemState struct {
	Name        string         `json:"name"`
	Surface     Wiped          `json:"surface"`
	Sections    int            `json:"sections"`               // 0 where it is not wiped
	SectionArea *measure.Shown `json:"section_area,omitempty"` // of equal sections
	Parts       []PartState    `json:"parts"`
}

// Cloths are how many cloths a verification takes, and how many it has taken.
type Cloths struct {
	WetLeast int `json:"wet_least"` // if every first wipe matches
	WetMost  int `json:"wet_most"`
	DryMost  int `json:"dry_most"`
	WetUsed  int `json:"wet_used"` // for the record, 745.86(b)(6); those that did not count included
	DryUsed  int `json:"dry_used"`
}

// OddEvent is something told that should not have been, and does not count.
type OddEvent struct {
	Event    int          `json:"event"` // its place among the events told, from 0
	Code     string       `json:"code"`
	Text     string       `json:"text"`
	Citation law.Citation `json:"citation"`
}

// VerificationAnswer is where a cleaning verification stands and what comes next.
type VerificationAnswer struct {
	Outcome       string            `json:"outcome"`
	Items         []ItemState       `json:"items"`
	Cloths        Cloths            `json:"cloths"`
	Odd           []OddEvent        `json:"does_not_count"`
	Determination law.Determination `json:"determination"`
}

var (
	verifyLook      = law.Cite("40 CFR 745.85(b)(1)", law.Text)
	verifySill      = law.Cite("40 CFR 745.85(b)(1)", law.Text)
	verifyFloor     = law.Cite("40 CFR 745.85(b)(1)", law.Text)
	verifyOutdoors  = law.Cite("40 CFR 745.85(b)(2)", law.Text)
	verifyInstead   = law.Cite("40 CFR 745.85(c)", law.Text)
	verifyInPerson  = law.Cite("40 CFR 745.85(b), 745.90(b)", law.Text)
	verifySections  = law.Citation{Clause: "40 CFR 745.85(b)(1)", Source: law.Derived, Note: "Sections are each smaller than the limit, so that twice the limit takes three."}
	verifyNotWiped  = law.Citation{Clause: "40 CFR 745.85(b)(1)", Source: law.Derived, Note: "The clause names sills, uncarpeted floors and counter tops."}
	verifyLighter   = law.Citation{Clause: "40 CFR 745.85(b)(1)", Source: law.Derived, Note: "A lighter cloth is named for sills only; on a floor it is clean, too."}
	verifyNoThird   = law.Citation{Clause: "40 CFR 745.85(b)(1)", Source: law.Derived, Note: "The clause describes no wet wipe after the second."}
	verifyWipesOnly = law.Cite("40 CFR 745.85(b)(1)", law.Text)
)

const mostSections = 2000

// Sections is into how many roughly equal sections a surface of an area is divided, each smaller than the limit, where it is
// more than the limit.
func Sections(area, limit measure.Number) int {
	if area.Cmp(limit) <= 0 {
		return 1
	}
	return floorOf(area.Quo(limit)) + 1
}

// Verify says where every sill and section stands, what comes next, and what of the told does not count.
func (r Rules) Verify(f VerificationFacts) (VerificationAnswer, error) {
	n := r.numbers("/on", f.On)
	v := verifying{facts: f, n: n, limit: n.value("verification_section_area").Number(), wets: n.value("verification_wet_wipes").Int(), wait: n.value("verification_wait"),
		answer: VerificationAnswer{Items: []ItemState{}, Odd: []OddEvent{}, Determination: law.NewDetermination("cleaning_verification", f.On, r.RuleSet())}}
	if n.err() != nil {
		return v.answer, n.err()
	}
	if err := v.divide(); err != nil {
		return v.answer, err
	}
	if err := v.follow(); err != nil {
		return v.answer, err
	}
	v.conclude()
	return v.answer, n.err()
}

type verifying struct {
	facts  VerificationFacts
	n      *numbers
	limit  measure.Number
	wets   int
	wait   law.Value
	seen   bool // somebody looked and found nothing
	dryTil bool // whether a dry wipe turned on a dryness that is not known
	answer VerificationAnswer
}

// divide makes the sections of every surface.
func (v *verifying) divide() error {
	var faults fault.Faults
	names, total := map[string]bool{}, 0
	for i, item := range v.facts.Items {
		at := fmt.Sprintf("/items/%d", i)
		if names[item.Name] {
			faults.Add(at+"/name", "duplicate", "Two surfaces are called %q; give each a name of its own.", item.Name)
		}
		names[item.Name] = true
		state := ItemState{Name: item.Name, Surface: item.Surface, Parts: []PartState{}}
		if item.Surface.isWiped() {
			state.Sections = 1
			v.answer.Cloths.WetLeast++
		}
		if item.Surface.isSectioned() && item.AreaKnown {
			if item.Area.Cmp(v.limit.Mul(measure.Int(mostSections))) > 0 {
				faults.Add(at+"/area/value", "too_large", "A surface of so many square feet would take more than %d sections; tell the work area room by room.", mostSections)
				continue
			}
			state.Sections = max(Sections(item.Area, v.limit), item.Sections)
			state.SectionArea = shown(item.Area.Quo(measure.Int(int64(state.Sections))), measure.SquareFoot)
			v.answer.Cloths.WetLeast += state.Sections - 1
		} else if item.Surface.isSectioned() {
			state.Sections = max(1, item.Sections)
			v.answer.Cloths.WetLeast += state.Sections - 1
		}
		if v.facts.Outdoors && item.Surface.isWiped() {
			faults.Add(at+"/surface", "contradiction", "All the work was outdoors, so nothing indoors is verified; correct outdoors, or leave the surface out.")
		}
		if total += state.Sections; total > mostSections {
			faults.Add(at, "too_many", "There are more than %d sills and sections; ask about fewer at a time.", mostSections)
			break
		}
		for section := range max(1, state.Sections) {
			state.Parts = append(state.Parts, PartState{Section: section + 1, State: v.first(item)})
		}
		v.answer.Items = append(v.answer.Items, state)
	}
	v.answer.Cloths.WetMost, v.answer.Cloths.DryMost = v.answer.Cloths.WetLeast*v.wets, v.answer.Cloths.WetLeast
	return faults.Err()
}

// first is the state of a surface on which nothing has been done.
func (v *verifying) first(item ToVerify) string {
	switch {
	case !item.Surface.isWiped():
		return notWiped
	case item.Surface.isSectioned() && !item.AreaKnown:
		return measureFirst
	case item.Surface.isSectioned() && item.Sections > 0 && item.Sections < Sections(item.Area, v.limit):
		return tooLarge
	}
	return lookFirst
}
