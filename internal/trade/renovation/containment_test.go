package renovation_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/renovation"
)

func drawFt(t *rapid.T, name string) renovation.Ft {
	return renovation.Ft{N: measure.Frac(rapid.Int64Range(1, 480).Draw(t, name), 12), Known: rapid.IntRange(0, 4).Draw(t, name+" known") > 0}
}

func drawBarrier(t *rapid.T, name string) *renovation.Barrier {
	if rapid.IntRange(0, 2).Draw(t, name+" barrier") > 0 {
		return nil
	}
	return &renovation.Barrier{Distance: drawFt(t, name+" barrier distance"), Sealed: rapid.SampledFrom([]law.Tri{law.Unknown, law.Yes, law.No}).Draw(t, name+" sealed")}
}

func drawContainment(t *rapid.T) renovation.ContainmentFacts {
	f := renovation.ContainmentFacts{On: calendar.Of(2026, 4, 15), Dusty: rapid.Bool().Draw(t, "dusty")}
	for i := range rapid.IntRange(0, 2).Draw(t, "rooms") {
		name := fmt.Sprint("room ", i)
		room := renovation.WorkRoom{Name: name, Enough: drawFt(t, name+" enough"), Barrier: drawBarrier(t, name)}
		for j := range rapid.IntRange(1, 3).Draw(t, name+" surfaces") {
			on := fmt.Sprint(name, " surface ", j)
			room.Surfaces = append(room.Surfaces, renovation.WorkedSurface{Name: on, AlongWall: rapid.Bool().Draw(t, on+" along"), Length: drawFt(t, on+" length"), Width: drawFt(t, on+" width")})
		}
		f.Rooms = append(f.Rooms, room)
	}
	for i := range rapid.IntRange(0, 2).Draw(t, "runs") {
		name := fmt.Sprint("run ", i)
		run := renovation.ExteriorRun{Name: name, Width: drawFt(t, name+" width"), Highest: rapid.IntRange(0, 3).Draw(t, name+" floor"), Line: drawFt(t, name+" line"), Top: drawFt(t, name+" top"),
			Enough: drawFt(t, name+" enough"), Barrier: drawBarrier(t, name), AboveToo: rapid.Bool().Draw(t, name+" above")}
		for j := range rapid.IntRange(0, 4).Draw(t, name+" openings") {
			on := fmt.Sprint(name, " opening ", j)
			run.Openings = append(run.Openings, renovation.Opening{Name: on, Kind: renovation.WindowOpening, Floor: rapid.IntRange(0, 5).Draw(t, on+" floor"), Distance: drawFt(t, on+" distance")})
		}
		f.Runs = append(f.Runs, run)
	}
	return f
}

func closed(a renovation.ContainmentAnswer) map[string]bool {
	names := map[string]bool{}
	for _, k := range a.Exterior {
		for _, o := range k.Openings {
			names[o.Name] = o.Action != "leave"
		}
	}
	return names
}

func contain(t require.TestingT, r renovation.Rules, f renovation.ContainmentFacts) renovation.ContainmentAnswer {
	a, err := r.Contain(f)
	require.NoError(t, err)
	for _, s := range a.Steps {
		require.NotContains(t, s.Text, "{")
	}
	return a
}

func TestWhatIsNotKnownClosesNoFewerOpeningsAndBuildsNoLess(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		f := drawContainment(t)
		if len(f.Runs) == 0 {
			return
		}
		told := contain(t, r, f)
		for i := range f.Runs {
			run := &f.Runs[i]
			switch rapid.IntRange(0, 4).Draw(t, "forgotten") {
			case 0:
				run.Line = renovation.Ft{}
			case 1:
				run.Highest = 0
			case 2:
				for j := range run.Openings {
					run.Openings[j].Floor = 0
				}
			case 3:
				for j := range run.Openings {
					run.Openings[j].Distance = renovation.Ft{}
				}
			case 4:
				if run.Barrier != nil {
					run.Barrier.Sealed = law.Unknown
				}
			}
		}
		untold := contain(t, r, f)
		for name, shut := range closed(told) {
			require.True(t, closed(untold)[name] || !shut, name)
		}
		for i, k := range told.Exterior {
			if k.Barrier != nil && k.Barrier.Required {
				require.True(t, untold.Exterior[i].Barrier.Required)
			}
			require.GreaterOrEqual(t, number(t, untold.Exterior[i].Reach.Value).Cmp(number(t, k.Reach.Value)), 0)
		}
	})
}

func TestPlasticGoesNoLessFarThanTheRuleExceptToASealedBarrier(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		f := drawContainment(t)
		a := contain(t, r, f)
		check := func(least int64, enough renovation.Ft, b *renovation.Barrier, k renovation.Contained) {
			want := measure.Int(least)
			if enough.Known {
				want = want.Max(enough.N)
			}
			if b != nil && b.Sealed == law.Yes && b.Distance.Known {
				want = want.Min(b.Distance.N)
			}
			require.Equal(t, want.Show(), k.Reach.Value)
		}
		for i, room := range f.Rooms {
			check(6, room.Enough, room.Barrier, a.Rooms[i]) // 40 CFR 745.85(a)(2)(i)(D) (text)
		}
		for i, run := range f.Runs {
			check(10, run.Enough, run.Barrier, a.Exterior[i]) // 40 CFR 745.85(a)(2)(ii)(C) (text)
			require.Equal(t, !run.Line.Known || run.Line.N.Cmp(measure.Int(10)) <= 0, a.Exterior[i].Barrier != nil && a.Exterior[i].Barrier.Required)
		}
	})
}

func TestMoreWorkNeverTakesLessPlastic(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		f, more := drawContainment(t), drawContainment(t)
		before := number(t, contain(t, r, f).Plastic.ToBuy.Value)
		f.Rooms, f.Runs = append(f.Rooms, more.Rooms...), append(f.Runs, more.Runs...)
		require.GreaterOrEqual(t, number(t, contain(t, r, f).Plastic.ToBuy.Value).Cmp(before), 0)
	})
}
