package crew

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

func certificates(t require.TestingT) Certificates {
	book, err := law.Embedded()
	require.NoError(t, err)
	r, err := NewCertificates(book)
	require.NoError(t, err)
	return r
}

var tris = rapid.SampledFrom([]law.Tri{law.Unknown, law.Yes, law.No})

// aCourse draws a renovator's certificate after a day.
func aCourse(t *rapid.T, after calendar.Date) Certificate {
	basis := rapid.SampledFrom([]Basis{Initial, Refresher, Refresher, Refresher}).Draw(t, "basis")
	c := Certificate{Discipline: Renovator, Basis: basis, Issuer: EPA, HandsOn: law.Yes, IssuedOn: after.AddDays(rapid.IntRange(1, 2200).Draw(t, "days later"))}
	if basis == Refresher {
		c.HandsOn = tris.Draw(t, "hands on")
	}
	return c
}

// aCareer draws a renovator's certificates, in the order of their dates.
func aCareer(t *rapid.T) (list []Certificate) {
	last := calendar.Of(2010, 1, 1).AddDays(rapid.IntRange(0, 3000).Draw(t, "begins"))
	for range rapid.IntRange(1, 6).Draw(t, "courses") {
		c := aCourse(t, last)
		list, last = append(list, c), c.IssuedOn
	}
	return list
}

// 81 FR 7987 by secondary sources: a renovator has hands-on training at least once in eight years, the longest term with it
// and the term without it together.
func TestACertifiedRenovatorHadHandsOnTrainingWithinEightYears(t *testing.T) {
	t.Parallel()
	r := certificates(t)
	rapid.Check(t, func(t *rapid.T) {
		f := CertificateFacts{Certificates: aCareer(t)}
		f.AsOf = f.Certificates[0].IssuedOn.AddDays(rapid.IntRange(0, 9000).Draw(t, "asked"))
		if r.judge(f).standing != Valid {
			return
		}
		within := false
		for _, c := range f.Certificates {
			online := c.IssuedOn.Before(calendar.Of(2016, 2, 17)) // before that every course had it
			if (c.HandsOn == law.Yes || online && c.HandsOn == law.Unknown) && !c.IssuedOn.After(f.AsOf) && !c.IssuedOn.AddYears(8).Before(f.AsOf) {
				within = true
			}
		}
		require.True(t, within, "%+v on %s", f.Certificates, f.AsOf)
	})
}

func TestNotKnowingWhetherACourseHadHandsOnTrainingNeverHelps(t *testing.T) {
	t.Parallel()
	r := certificates(t)
	rapid.Check(t, func(t *rapid.T) {
		f := CertificateFacts{Certificates: aCareer(t)}
		f.AsOf = f.Certificates[0].IssuedOn.AddDays(rapid.IntRange(0, 9000).Draw(t, "asked"))
		i := rapid.IntRange(0, len(f.Certificates)-1).Draw(t, "which")
		known := f
		known.Certificates = append([]Certificate(nil), f.Certificates...)
		known.Certificates[i].HandsOn = law.Yes
		f.Certificates[i].HandsOn = law.Unknown
		require.False(t, r.judge(f).standing == Valid && r.judge(known).standing != Valid, "%+v on %s", f.Certificates, f.AsOf)
	})
}

func TestTheOrderInWhichCertificatesAreToldDoesNotMatter(t *testing.T) {
	t.Parallel()
	r := certificates(t)
	rapid.Check(t, func(t *rapid.T) {
		f := CertificateFacts{Certificates: aCareer(t)}
		f.AsOf = f.Certificates[0].IssuedOn.AddDays(rapid.IntRange(0, 9000).Draw(t, "asked"))
		told := f
		told.Certificates = rapid.Permutation(f.Certificates).Draw(t, "told")
		require.Equal(t, r.judge(f).standing, r.judge(told).standing)
		require.Equal(t, r.judge(f).run, r.judge(told).run)
	})
}

func TestAnInitialCourseNeverTakesACertificateAway(t *testing.T) {
	t.Parallel()
	r := certificates(t)
	rapid.Check(t, func(t *rapid.T) {
		f := CertificateFacts{Certificates: aCareer(t)}
		f.AsOf = f.Certificates[0].IssuedOn.AddDays(rapid.IntRange(0, 9000).Draw(t, "asked"))
		more := f
		more.Certificates = append(append([]Certificate(nil), f.Certificates...), Certificate{Discipline: Renovator, Basis: Initial, Issuer: EPA,
			IssuedOn: calendar.Of(2010, 1, 1).AddDays(rapid.IntRange(0, 12000).Draw(t, "again"))})
		require.False(t, r.judge(f).standing == Valid && r.judge(more).standing != Valid)
	})
}

// An application that is postmarked earlier never ends a firm's certificate sooner (40 CFR 745.89(b)).
func TestAnEarlierPostmarkNeverHurtsAFirm(t *testing.T) {
	t.Parallel()
	r := certificates(t)
	rapid.Check(t, func(t *rapid.T) {
		first := Certificate{Discipline: Firm, Basis: Initial, Issuer: EPA, IssuedOn: calendar.Of(2015, 6, 1)}
		end := first.IssuedOn.AddYears(5)
		again := Certificate{Discipline: Firm, Basis: Recertification, Issuer: EPA, AppliedOn: end.AddDays(rapid.IntRange(-300, 100).Draw(t, "postmark"))}
		if rapid.Bool().Draw(t, "decided") {
			again.IssuedOn = again.AppliedOn.AddDays(rapid.IntRange(0, 200).Draw(t, "decision"))
		}
		earlier := again
		earlier.AppliedOn = again.AppliedOn.AddDays(-rapid.IntRange(0, 300).Draw(t, "earlier"))
		f := CertificateFacts{AsOf: end.AddDays(rapid.IntRange(-400, 3000).Draw(t, "asked")), Certificates: []Certificate{first, again}}
		g := f
		g.Certificates = []Certificate{first, earlier}
		require.False(t, r.judge(f).standing == Valid && r.judge(g).standing != Valid)
	})
}

// Every outcome that counterfactuals promise comes about when the facts are so.
func TestWhatWouldCertifySomebodyDoes(t *testing.T) {
	t.Parallel()
	r := certificates(t)
	rapid.Check(t, func(t *rapid.T) {
		f := CertificateFacts{Certificates: aCareer(t), Jurisdictions: rapid.SampledFrom([][]string{nil, {"us-ny"}, {"us-ma"}, {"us-zz"}}).Draw(t, "where")}
		f.AsOf = f.Certificates[0].IssuedOn.AddDays(rapid.IntRange(0, 9000).Draw(t, "asked"))
		a, err := r.Judge(f)
		require.NoError(t, err)
		for _, set := range a.Explained.Counterfactuals {
			require.NotEqual(t, string(a.Outcome), set.Outcome)
		}
		if a.Outcome == Valid {
			require.Empty(t, a.Explained.Counterfactuals)
			return
		}
		require.NotEmpty(t, a.Explained.Counterfactuals, "the initial course always helps")
	})
}

func TestCertificatesThatContradictThemselvesAreRefused(t *testing.T) {
	t.Parallel()
	r := certificates(t)
	day := func(n int) calendar.Date { return calendar.Of(2022, 1, 1).AddDays(n) }
	for name, c := range map[string]struct {
		certificate Certificate
		pointer     string
	}{
		"an application of a person":          {Certificate{Discipline: Renovator, Basis: Initial, IssuedOn: day(9), AppliedOn: day(1)}, "/certificates/0/discipline"},
		"hands-on minutes of none":            {Certificate{Discipline: Renovator, Basis: Initial, IssuedOn: day(9), HandsOn: law.No, HandsOnMinutes: 9}, "/certificates/0/hands_on_minutes"},
		"more hands-on than course":           {Certificate{Discipline: Renovator, Basis: Initial, IssuedOn: day(9), CourseMinutes: 8, HandsOnMinutes: 9}, "/certificates/0/hands_on_minutes"},
		"an earlier course under an initial":  {Certificate{Discipline: Renovator, Basis: Initial, IssuedOn: day(9), EarlierCourse: law.Yes}, "/certificates/0/earlier_course"},
		"a test of a renovator":               {Certificate{Discipline: Renovator, Basis: Initial, IssuedOn: day(9), Exam: CourseTest}, "/certificates/0/exam"},
		"a course of a firm":                  {Certificate{Discipline: Firm, Basis: Initial, IssuedOn: day(9), CourseMinutes: 9}, "/certificates/0/discipline"},
		"a firm without a date":               {Certificate{Discipline: Firm, Basis: Initial}, "/certificates/0/issued_on"},
		"granted and refused":                 {Certificate{Discipline: Firm, Basis: Initial, IssuedOn: day(9), RefusedOn: day(9)}, "/certificates/0/refused_on"},
		"issued before it was applied for":    {Certificate{Discipline: Firm, Basis: Initial, IssuedOn: day(9), AppliedOn: day(10)}, "/certificates/0/issued_on"},
		"sent before it was asked for":        {Certificate{Discipline: Firm, Basis: Initial, AppliedOn: day(1), SupplementAskedOn: day(9), SupplementSentOn: day(8)}, "/certificates/0/supplement_sent_on"},
		"asked for before the application":    {Certificate{Discipline: Firm, Basis: Initial, AppliedOn: day(9), SupplementAskedOn: day(8)}, "/certificates/0/supplement_asked_on"},
		"refused before the application":      {Certificate{Discipline: Firm, Basis: Initial, AppliedOn: day(9), RefusedOn: day(8)}, "/certificates/0/refused_on"},
		"amended before the change":           {Certificate{Discipline: Firm, Basis: Initial, IssuedOn: day(1), Changes: []Amendment{{day(9), day(8)}}}, "/certificates/0/changes/0/amended_on"},
		"put off to no date":                  {Certificate{Discipline: Renovator, Basis: Initial, IssuedOn: day(1), Extended: law.Yes}, "/certificates/0/expires_on"},
		"a firm's certificate from a course":  {Certificate{Discipline: Firm, Basis: Refresher, IssuedOn: day(1)}, "/certificates/0/basis"},
		"a person certified as firms are":     {Certificate{Discipline: Inspector, Basis: Recertification, IssuedOn: day(1)}, "/certificates/0/basis"},
		"issued before there was a programme": {Certificate{Discipline: Inspector, Basis: Initial, IssuedOn: calendar.Of(1990, 1, 1)}, "/certificates/0/issued_on"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := r.Judge(CertificateFacts{AsOf: day(99), Certificates: []Certificate{c.certificate}})
			require.True(t, fault.Is(err, fault.Implausible), "%v", err)
			require.Equal(t, c.pointer, fault.As(err).Fields[0].Pointer)
		})
	}
}
