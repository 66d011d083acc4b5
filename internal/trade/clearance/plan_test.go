package clearance

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

func drawTri(t *rapid.T, label string) law.Tri { return law.Tri(rapid.IntRange(0, 2).Draw(t, label)) }

func drawPlanFacts(t *rapid.T) PlanFacts {
	f := PlanFacts{AsOf: calendar.Of(2026, 3, 2), Work: rapid.SampledFrom([]Work{"", Renovation, Abatement, "other"}).Draw(t, "work"),
		Programmes: []string{rapid.SampledFrom([]string{"epa", "hud", "hud_grant"}).Draw(t, "programme")},
		Extent:     rapid.SampledFrom([]Extent{Worksite, Unit, Outdoors}).Draw(t, "extent"), Contained: drawTri(t, "contained"),
		WindowsCovered: drawTri(t, "covered"), OpeningsSealed: drawTri(t, "sealed")}
	for i := range rapid.IntRange(1, 9).Draw(t, "rooms") {
		f.Rooms = append(f.Rooms, Room{Name: fmt.Sprint("Room ", i), Worked: drawTri(t, "worked"), Sill: drawTri(t, "sill"), Trough: drawTri(t, "trough"),
			Floor: rapid.SampledFrom([]Surface{"", FloorBare, FloorCarpeted}).Draw(t, "floor")})
	}
	f.Rooms[0].Worked = law.Yes
	return f
}

func planOf(t require.TestingT, r *Rules, f PlanFacts) Plan {
	p, err := r.Plans.Plan(f)
	require.NoError(t, err)
	return p
}

// places are where a plan wipes, and what; carpeted and bare floors are both floors.
func (p Plan) places() map[string]bool {
	places := map[string]bool{}
	for _, w := range p.Wipes {
		surface := w.Surface
		if surface == FloorCarpeted {
			surface = FloorBare
		}
		places[w.Place+"/"+string(surface)] = true
	}
	return places
}

func requireWithin(t require.TestingT, less, more map[string]bool) {
	for place := range less {
		require.Contains(t, more, place)
	}
}

// Where a fact is not known, everything is wiped that would be whatever it turned out to be.
func TestAnUnknownFactNeverLeavesAWipeOut(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		f := drawPlanFacts(t)
		learn := rapid.SampledFrom([]string{"contained", "covered", "sealed", "worked", "sill", "trough", "work"}).Draw(t, "learn")
		unknown, known := f, f
		unknown.Rooms, known.Rooms = slices.Clone(f.Rooms), slices.Clone(f.Rooms)
		tri := law.Tri(rapid.IntRange(1, 2).Draw(t, "turns out"))
		i := rapid.IntRange(0, len(f.Rooms)-1).Draw(t, "room")
		switch learn {
		case "contained":
			unknown.Contained, known.Contained = law.Unknown, tri
		case "covered":
			unknown.WindowsCovered, known.WindowsCovered = law.Unknown, tri
		case "sealed":
			unknown.OpeningsSealed, known.OpeningsSealed = law.Unknown, tri
		case "worked":
			unknown.Rooms[i].Worked, known.Rooms[i].Worked = law.Unknown, tri
			known.Rooms[0].Worked = law.Yes
		case "sill":
			unknown.Rooms[i].Sill, known.Rooms[i].Sill = law.Unknown, tri
		case "trough":
			unknown.Rooms[i].Trough, known.Rooms[i].Trough = law.Unknown, tri
		case "work":
			unknown.Work, known.Work = "", rapid.SampledFrom([]Work{Renovation, Abatement, "other"}).Draw(t, "is")
		}
		requireWithin(t, planOf(t, r, known).places(), planOf(t, r, unknown).places())
	})
}

// One more room never takes a wipe away, as long as none is drawn; nor does a programme of HUD beside EPA's.
func TestMoreNeverTakesAWipeAway(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		f := drawPlanFacts(t)
		before := planOf(t, r, f).places()
		more := f
		more.Rooms = append(slices.Clone(f.Rooms), Room{Name: "One more", Worked: drawTri(t, "one more")})
		requireWithin(t, before, planOf(t, r, more).places())
		f.Programmes = []string{"epa"}
		assisted := f
		assisted.Programmes = []string{"hud"}
		requireWithin(t, planOf(t, r, f).places(), planOf(t, r, assisted).places())
	})
}

// With a seed at least as many rooms are sampled as the law asks for, and all where there are fewer; in each every surface it has.
func TestDrawnRoomsAreEnough(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		f := drawPlanFacts(t)
		f.Seed, f.Extent = "a seed", Unit
		p := planOf(t, r, f)
		require.Len(t, p.Rooms, min(4, len(f.Rooms)))
		places := p.places()
		for _, room := range f.Rooms {
			if slices.Contains(p.Rooms, room.Name) {
				require.True(t, places[room.Name+"/floor_bare"])
				require.Equal(t, room.Sill != law.No, places[room.Name+"/sill"])
				require.Equal(t, room.Trough != law.No, places[room.Name+"/trough"])
			}
		}
		require.GreaterOrEqual(t, p.Blanks*20, len(p.Wipes))
		require.NotEmpty(t, p.Sizes)
	})
}
