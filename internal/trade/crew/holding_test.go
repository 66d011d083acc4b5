package crew

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
)

// The first gap is the first day that the question about one day does not answer with valid.
func TestFirstGapIsTheFirstDayThatIsNotValid(t *testing.T) {
	t.Parallel()
	r := certificates(t)
	rapid.Check(t, func(t *rapid.T) {
		all := aCareer(t)
		from := all[0].IssuedOn.AddDays(rapid.IntRange(-5, 3000).Draw(t, "from"))
		to := from.AddDays(rapid.IntRange(-1, 40).Draw(t, "days"))
		wanted := Gap{}
		for on := from; !on.After(to) && wanted.On.IsZero(); on = on.AddDays(1) {
			a, err := r.Judge(CertificateFacts{AsOf: on, Certificates: all})
			require.NoError(t, err)
			if a.Outcome != Valid {
				wanted = Gap{On: on, Standing: a.Outcome}
			}
		}
		gap, found := r.FirstGap(all, []Discipline{Renovator}, from, to, nil)
		require.Equal(t, wanted, gap)
		require.Equal(t, !wanted.On.IsZero(), found)
	})
}

func TestOneOfSeveralDisciplinesIsEnough(t *testing.T) {
	t.Parallel()
	r := certificates(t)
	lapsed := Certificate{Discipline: SamplingTechnician, Basis: Initial, Issuer: EPA, IssuedOn: calendar.Of(2019, 4, 20)}
	holds := Certificate{Discipline: Inspector, Basis: Initial, Issuer: EPA, IssuedOn: calendar.Of(2024, 4, 20)}
	on := calendar.Of(2026, 4, 20)
	for _, k := range []struct {
		name string
		all  []Certificate
		of   Discipline
		is   Standing
	}{
		{"an inspector may sample (40 CFR 745.90(a)(3))", []Certificate{lapsed, holds}, Inspector, Valid},
		{"what lapsed is nearer than what is not shown", []Certificate{lapsed}, SamplingTechnician, Expired},
		{"nothing on record", nil, SamplingTechnician, NotShown},
	} {
		h, err := r.Holds(k.all, SampleDust.By(), on, nil)
		require.NoError(t, err, k.name)
		require.Equal(t, []any{k.of, k.is}, []any{h.Discipline, h.Outcome}, k.name)
		_, gap := r.FirstGap(k.all, SampleDust.By(), on, on, nil)
		require.Equal(t, k.is != Valid, gap, k.name)
		require.NotEmpty(t, h.Because(), k.name)
		require.NotEmpty(t, k.is.Because(), k.name)
	}
}

func TestCheckOfOneCertificateIsThatOfMany(t *testing.T) {
	t.Parallel()
	r := certificates(t)
	bad := Certificate{Discipline: Renovator, Basis: Recertification, Issuer: EPA, IssuedOn: calendar.Of(1999, 4, 20)}
	_, err := r.Judge(CertificateFacts{AsOf: calendar.Of(2026, 4, 20), Certificates: []Certificate{bad}})
	of := func(err error) (list []string) {
		for _, f := range fault.As(err).Fields {
			list = append(list, f.Pointer)
		}
		return list
	}
	require.Equal(t, []string{"/certificates/0/basis", "/certificates/0/issued_on"}, of(err))
	require.Equal(t, []string{"/basis", "/issued_on"}, of(r.Check(bad)))
}

func TestWhatWasDoneLateIsDone(t *testing.T) {
	t.Parallel()
	for state, rules := range map[string]map[string]bool{
		open: {"firm_renewal": true, "firm_application": true}, overdue: {"firm_renewal": true, "certificate_renewal": true},
		met: {"firm_renewal": false}, late: {"firm_renewal": true, "firm_application": false, "firm_amendment": false},
	} {
		for rule, undone := range rules {
			require.Equal(t, undone, Due{State: state, Rule: rule}.Undone(), "%s, %s", rule, state)
		}
	}
}
