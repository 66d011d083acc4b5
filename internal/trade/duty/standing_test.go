package duty_test

import (
	"encoding/json"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/duty"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
)

var (
	spring = calendar.Of(2026, 4, 20)
	tris   = rapid.SampledFrom([]law.Tri{law.Unknown, law.Yes, law.No})
)

// aDay draws a day near spring, or none.
func aDay(t *rapid.T, name string) calendar.Date {
	if rapid.Bool().Draw(t, name+" is told") {
		return spring.AddDays(rapid.IntRange(-40, 40).Draw(t, name))
	}
	return 0
}

func drawOwed(t *rapid.T) duty.Owed {
	o := duty.Owed{Window: calendar.Window{From: aDay(t, "from"), To: aDay(t, "due")}, MetOn: aDay(t, "met"),
		Restricted: rapid.Bool().Draw(t, "restricted"), Kept: rapid.IntRange(0, 4).Draw(t, "kept") == 0, What: rapid.SampledFrom([]string{"", "One", "Two"}).Draw(t, "what")}
	if o.Window.IsEmpty() {
		o.Window.From = o.Window.To
	}
	return o
}

func drawStanding(t *rapid.T) duty.StandingFacts {
	f := duty.StandingFacts{AsOf: spring, Soon: rapid.IntRange(0, 30).Draw(t, "soon"),
		Covered: rapid.SampledFrom([]home.Outcome{home.NotCovered, home.Presumed, home.Covered}).Draw(t, "covered")}
	for range rapid.IntRange(0, 3).Draw(t, "worksites") {
		w := duty.Worksite{StartedOn: aDay(t, "started"), EndedOn: aDay(t, "ended"), Check: tris.Draw(t, "check")}
		if !w.EndedOn.IsZero() {
			w.StartedOn = min(w.StartedOn, w.EndedOn)
			w.ClearedOn = max(w.EndedOn, aDay(t, "cleared"))
		}
		f.Worksites = append(f.Worksites, w)
	}
	for range rapid.IntRange(0, 5).Draw(t, "duties") {
		f.Owed = append(f.Owed, drawOwed(t))
	}
	return f
}

func TestTheFirstChangeIsTheFirst(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		f := drawStanding(t)
		s := duty.StandingOf(f)
		until := s.Changes
		if until.IsZero() {
			until = spring.AddDays(200)
		}
		for day := spring; day.Before(until); day = day.AddDays(1) {
			f.AsOf = day
			require.Equal(t, s.Set, duty.StandingOf(f).Set, "on %s, before %s", day, until)
		}
		if f.AsOf = s.Changes; !s.Changes.IsZero() {
			require.NotEqual(t, s.Set, duty.StandingOf(f).Set, "on %s", s.Changes)
		}
	})
}

func TestTheFirstTurnOfADutyIsTheFirst(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		o, soon := drawOwed(t), rapid.IntRange(0, 60).Draw(t, "soon")
		now, turn := duty.StateOf(o.Window, o.MetOn, spring, soon), duty.NextTurn(o.Window, o.MetOn, spring, soon)
		last := turn
		if turn.IsZero() {
			last = spring.AddDays(200)
		} else {
			require.NotEqual(t, now, duty.StateOf(o.Window, o.MetOn, turn, soon))
		}
		for day := spring; day.Before(last); day = day.AddDays(1) {
			require.Equal(t, now, duty.StateOf(o.Window, o.MetOn, day, soon), "on %s", day)
		}
	})
}

// Time leads from open by due soon to overdue, and never back; met is met for good.
func TestTimeNeverMakesADutyLessDue(t *testing.T) {
	t.Parallel()
	rank := map[duty.State]int{duty.Open: 0, duty.DueSoon: 1, duty.Overdue: 2, duty.Met: 3}
	rapid.Check(t, func(t *rapid.T) {
		o, soon := drawOwed(t), rapid.IntRange(0, 60).Draw(t, "soon")
		later := spring.AddDays(rapid.IntRange(0, 100).Draw(t, "later"))
		require.GreaterOrEqual(t, rank[duty.StateOf(o.Window, o.MetOn, later, soon)], rank[duty.StateOf(o.Window, o.MetOn, spring, soon)])
	})
}

func TestTheOrderOfFactsDecidesNothingAndMoreOfThemNeverCalm(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		f := drawStanding(t)
		s := duty.StandingOf(f)
		turned := f
		turned.Owed, turned.Worksites = slices.Clone(f.Owed), slices.Clone(f.Worksites)
		slices.Reverse(turned.Owed)
		slices.Reverse(turned.Worksites)
		require.Equal(t, s, duty.StandingOf(turned))
		more := f
		more.Owed = append(slices.Clone(f.Owed), drawOwed(t))
		after := duty.StandingOf(more)
		require.LessOrEqual(t, after.Headline(), s.Headline())
		for c := duty.NotCleared; c <= duty.PresumedCovered; c++ {
			require.True(t, after.Set.Has(c) || !s.Set.Has(c), "%s has gone", c)
		}
	})
}

func TestNotKnowingWhetherToCheckOrWhatIsCoveredNeverCalms(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		f := drawStanding(t)
		unknown := f
		unknown.Worksites = slices.Clone(f.Worksites)
		for i := range unknown.Worksites {
			unknown.Worksites[i].Check = law.Unknown
		}
		if f.Covered == home.NotCovered {
			unknown.Covered = home.Presumed
		}
		require.LessOrEqual(t, duty.StandingOf(unknown).Headline(), duty.StandingOf(f).Headline())
	})
}

// What follows from restricted facts shows as one condition: neither its words nor whether it is late say more.
func TestARestrictedDutySaysNothingOfItself(t *testing.T) {
	t.Parallel()
	book, err := law.Embedded()
	require.NoError(t, err)
	r, err := duty.NewStandingRules(book)
	require.NoError(t, err)
	said := map[string]bool{}
	for _, o := range []duty.Owed{{What: "marker one", Window: calendar.Window{To: spring.AddDays(30)}}, {What: "marker two", Window: calendar.Window{From: spring, To: spring.AddDays(30)}}} {
		o.Restricted = true
		for _, soon := range []int{0, 60} {
			a, err := r.Judge(duty.StandingFacts{AsOf: spring, Soon: soon, Covered: home.Covered, Owed: []duty.Owed{o}})
			require.NoError(t, err)
			text, err := json.Marshal(a.Conditions)
			require.NoError(t, err)
			require.NotContains(t, string(text), "marker")
			said[string(text)] = true
		}
	}
	require.Len(t, said, 1, "%v", said)
}

func TestStandingDoesNotAllocate(t *testing.T) {
	f := typical()
	require.Zero(t, testing.AllocsPerRun(100, func() { sink = duty.StandingOf(f) }))
	require.Equal(t, "action_due", sink.Headline().String())
}

var sink duty.Standing

// typical is a covered unit with one old job and a dozen duties.
func typical() duty.StandingFacts {
	f := duty.StandingFacts{AsOf: spring, Soon: 14, Covered: home.Covered,
		Worksites: []duty.Worksite{{StartedOn: spring.AddDays(-90), EndedOn: spring.AddDays(-88), ClearedOn: spring.AddDays(-88)}}}
	for i := range 12 {
		f.Owed = append(f.Owed, duty.Owed{Window: calendar.Window{To: spring.AddDays(13 + 30*i)}, Kept: i%3 == 0})
	}
	f.Owed[1].Window.To = spring.AddDays(9)
	return f
}

func BenchmarkStanding(b *testing.B) {
	f := typical()
	b.ReportAllocs()
	for b.Loop() {
		sink = duty.StandingOf(f)
	}
}

func BenchmarkStandingOfThreeDuties(b *testing.B) {
	f := typical()
	f.Owed = f.Owed[:3]
	b.ReportAllocs()
	for b.Loop() {
		sink = duty.StandingOf(f)
	}
}
