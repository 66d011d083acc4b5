package crew

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

func whoMayRules(t require.TestingT) Authority {
	book, err := law.Embedded()
	require.NoError(t, err)
	r, err := NewAuthority(book)
	require.NoError(t, err)
	return r
}

var allActs = []Act{BeTheFirm, DirectTheWork, TrainWorkers, PostSignsPresent, ContainmentPresent, DoTheWork, CleaningPresent, VerifyCleaning, TestWithKit, TakePaintChips,
	SampleDust, Inspect, AssessRisk, AbateSupervise, AbateWork, Design}

// aHolder draws somebody with a certificate that may have ended, or none.
func aHolder(t *rapid.T, name string, firm bool) Holder {
	h := Holder{Name: name}
	d := Firm
	if !firm {
		h.Trained = tris.Draw(t, name+" trained")
		d = rapid.SampledFrom(disciplines[1:]).Draw(t, name+" discipline")
	}
	if rapid.Bool().Draw(t, name+" certified") {
		h.Certificates = []Certificate{{Discipline: d, Basis: Initial, Issuer: EPA, IssuedOn: calendar.Of(2015, 1, 1).AddDays(rapid.IntRange(0, 4000).Draw(t, name+" issued"))}}
	}
	return h
}

func aCrew(t *rapid.T) AuthorityFacts {
	f := AuthorityFacts{AsOf: calendar.Of(2020, 1, 1).AddDays(rapid.IntRange(0, 3000).Draw(t, "as of")), Reachable: tris.Draw(t, "reachable"), Emergency: tris.Draw(t, "emergency")}
	for i := range rapid.IntRange(0, 2).Draw(t, "firms") {
		f.Firms = append(f.Firms, aHolder(t, fmt.Sprintf("firm %d", i), true))
	}
	for i := range rapid.IntRange(0, 4).Draw(t, "people") {
		f.People = append(f.People, aHolder(t, fmt.Sprintf("person %d", i), false))
	}
	f.Acts = rapid.SliceOfNDistinct(rapid.SampledFrom(allActs), 1, 8, rapid.ID[Act]).Draw(t, "acts")
	return f
}

func TestAnotherPersonNeverTakesAnActAway(t *testing.T) {
	t.Parallel()
	r := whoMayRules(t)
	rapid.Check(t, func(t *rapid.T) {
		f := aCrew(t)
		more := f
		more.People = append(append([]Holder(nil), f.People...), aHolder(t, "another", false))
		before, after := r.roster(f), r.roster(more)
		for _, act := range allActs {
			require.Subset(t, after.who(act), before.who(act), act)
		}
	})
}

func TestWhatIsNotKnownOfACrewNeverHelps(t *testing.T) {
	t.Parallel()
	r := whoMayRules(t)
	rapid.Check(t, func(t *rapid.T) {
		known := aCrew(t)
		unknown := known
		unknown.People = append([]Holder(nil), known.People...)
		for i := range unknown.People {
			unknown.People[i].Trained = law.Unknown
		}
		unknown.Reachable, unknown.Emergency = law.Unknown, law.Unknown
		for _, act := range allActs {
			require.Subset(t, r.roster(known).who(act), r.roster(unknown).who(act), act)
			if r.roster(known).state(act) == nobody {
				require.Equal(t, nobody, r.roster(unknown).state(act))
			}
		}
	})
}

// Cleaning and its verification take a certified renovator, whatever else is so (40 CFR 745.82(b), 745.85(b), 745.90(b)).
func TestNothingStandsInForARenovatorAtTheCleaning(t *testing.T) {
	t.Parallel()
	r := whoMayRules(t)
	rapid.Check(t, func(t *rapid.T) {
		f := aCrew(t)
		c := r.roster(f)
		for _, act := range []Act{CleaningPresent, VerifyCleaning} {
			require.NotEqual(t, lifted, c.state(act))
			for _, m := range c.members {
				require.Equal(t, m.is(renovators), c.may(m, act, c.led()))
			}
		}
	})
}

func TestEveryActHasSomebodyWhoMayDoIt(t *testing.T) {
	t.Parallel()
	require.Len(t, authorities, len(allActs))
	for _, act := range allActs {
		of := authorities[act]
		require.NotEmpty(t, of.by, act)
		c := roster{acts: []Act{act}, reachable: law.Yes, members: []member{{name: "somebody", certified: of.by[:1]}}}
		require.Equal(t, Staffed, c.outcome(), act)
		require.Equal(t, NotStaffed, roster{acts: []Act{act}, reachable: law.Yes}.outcome(), act)
	}
}

func TestWhatWouldStaffACrewDoes(t *testing.T) {
	t.Parallel()
	r := whoMayRules(t)
	rapid.Check(t, func(t *rapid.T) {
		a, err := r.Judge(aCrew(t))
		require.NoError(t, err)
		require.Equal(t, a.Outcome == NotStaffed, len(a.Nobody) > 0)
		for _, set := range a.Explained.Counterfactuals {
			require.NotEqual(t, a.Outcome, set.Outcome)
		}
	})
}
