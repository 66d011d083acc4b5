package clearance

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// drawAuthority draws facts, and a way to make one of them unknown.
func drawAuthority(t *rapid.T) (f AuthorityFacts, forget func(*AuthorityFacts)) {
	f = AuthorityFacts{AsOf: calendar.Of(2026, 3, 2), Work: rapid.SampledFrom([]Work{"", Renovation, Abatement, "other"}).Draw(t, "work"),
		Assisted: drawTri(t, "assisted"), Discipline: rapid.SampledFrom([]string{"", inspector, riskAssessor, technician, "other"}).Draw(t, "discipline"),
		Certified: drawTri(t, "certified"), Supervised: drawTri(t, "supervised"), Licensed: drawTri(t, "licensed"), SingleUnit: drawTri(t, "single"),
		Random: drawTri(t, "random"), Approved: drawTri(t, "approved"),
		Relation: rapid.SampledFrom([]Relation{"", AnotherFirm, OwnStaff, SameFirm, SamePerson}).Draw(t, "relation")}
	forgets := []func(*AuthorityFacts){
		func(f *AuthorityFacts) { f.Work = "" }, func(f *AuthorityFacts) { f.Assisted = law.Unknown }, func(f *AuthorityFacts) { f.Discipline = "" },
		func(f *AuthorityFacts) { f.Certified = law.Unknown }, func(f *AuthorityFacts) { f.Supervised = law.Unknown },
		func(f *AuthorityFacts) { f.Licensed = law.Unknown }, func(f *AuthorityFacts) { f.SingleUnit = law.Unknown },
		func(f *AuthorityFacts) { f.Random = law.Unknown }, func(f *AuthorityFacts) { f.Approved = law.Unknown },
		func(f *AuthorityFacts) { f.Relation = "" },
	}
	return f, rapid.SampledFrom(forgets).Draw(t, "forget")
}

// Whoever may clear with a fact unknown may clear whatever it turns out to be: an unknown fact never allows more.
func TestAnUnknownFactNeverAllowsMore(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		known, forget := drawAuthority(t)
		unknown := known
		forget(&unknown)
		told, err := r.Authorities.Judge(known)
		require.NoError(t, err)
		open, err := r.Authorities.Judge(unknown)
		require.NoError(t, err)
		if open.Outcome == May {
			require.Equal(t, May, told.Outcome)
		}
		if told.Outcome == MayNot {
			require.NotEqual(t, May, open.Outcome)
		}
		if open.Outcome == NotYet && open.Independence != Required {
			require.NotEmpty(t, open.Determination.Missing)
		}
		require.GreaterOrEqual(t, len(told.WhoMay), 2)
	})
}

// Nobody clears without a certificate, no technician an abatement, and in assisted housing nobody their own work or their firm's.
func TestWhatIsNeverAllowed(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		f, _ := drawAuthority(t)
		a, err := r.Authorities.Judge(f)
		require.NoError(t, err)
		barred := f.Certified == law.No || f.Discipline == "other" || f.Discipline == technician && f.Work == Abatement ||
			f.Assisted == law.Yes && (f.Relation == SamePerson || f.Relation == SameFirm)
		if barred {
			require.Equal(t, MayNot, a.Outcome)
		}
		if a.Outcome == May {
			require.Equal(t, law.Yes, f.Certified)
			require.NotEmpty(t, f.Discipline)
		}
	})
}
