package measure

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/internal/fault"
)

func quantity(t require.TestingT, text, unit string, want Dimension) Quantity {
	q, err := New(text, Exactly, unit, want)
	require.NoError(t, err)
	return q
}

func TestNewKeepsWhatWasTold(t *testing.T) {
	t.Parallel()
	q, err := New("11 5/8", LessThan, "[in_i]", Length)
	require.NoError(t, err)
	require.Equal(t, "11 5/8", q.Text)
	require.Equal(t, LessThan, q.Qualifier)
	require.Equal(t, "[in_i]", q.Code)
	require.Equal(t, Inch, q.Unit)
	require.Equal(t, "11.625", q.Number().String())
	require.Equal(t, "0.96875", q.In(Foot).String())
	require.Equal(t, "<11.6 in", q.Show())
	require.True(t, q.Known())
	require.False(t, Quantity{}.Known())
}

func TestNewNamesEverythingThatIsWrong(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		text, qualifier, unit string
		want                  Dimension
		pointers              []string
		says                  string
	}{
		"not a number":       {"six", "", "ft2", Area, []string{"/value"}, "mixed number"},
		"a length for area":  {"6", "", "ft", Area, []string{"/unit"}, "accepted are ft2, in2, cm2, m2, [sft_i]"},
		"unknown unit":       {"6", "", "sqft", Mass, []string{"/unit"}, "accepted are ug, mg, g, kg, lb"},
		"unknown qualifier":  {"6", ">", "ug", Mass, []string{"/qualifier"}, "less than"},
		"everything at once": {"", "~", "", Loading, []string{"/value", "/unit", "/qualifier"}, "cannot be used"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := New(c.text, Qualifier(c.qualifier), c.unit, c.want)
			require.True(t, fault.Is(err, fault.Implausible))
			var pointers []string
			for _, f := range fault.As(err).Fields {
				pointers = append(pointers, f.Pointer)
			}
			require.Equal(t, c.pointers, pointers)
			require.ErrorContains(t, err, c.says)
		})
	}
}

func TestSignsAreCheckedApart(t *testing.T) {
	t.Parallel()
	negative, zero := quantity(t, "-3", "ft2", Area), quantity(t, "0", "ft2", Area)
	require.ErrorContains(t, negative.NonNegative(), "An area cannot be negative; -3 was told.")
	require.ErrorContains(t, negative.Positive(), "An area cannot be negative; -3 was told.")
	require.ErrorContains(t, zero.Positive(), "An area must be more than zero here; 0 was told.")
	require.NoError(t, zero.NonNegative())
	require.NoError(t, quantity(t, "0.01", "ft2", Area).Positive())
}

func TestQuantitiesCompareAcrossUnits(t *testing.T) {
	t.Parallel()
	require.Zero(t, quantity(t, "1", "ft2", Area).Cmp(quantity(t, "144", "in2", Area)))
	require.Positive(t, quantity(t, "1", "m2", Area).Cmp(quantity(t, "10.7639", "ft2", Area)))
	require.Negative(t, quantity(t, "929.0303", "cm2", Area).Cmp(quantity(t, "1", "ft2", Area)))
}

// Wipe areas of the sample form in the EPA/HUD lead dust sampling technician course, to the three decimals it prints
// (published).
func TestWipeAreasOfTheCourseForm(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ length, width, printed string }{
		{"11 5/8", "12 1/8", "0.979"},
		{"23 15/16", "2 7/8", "0.478"},
		{"11 13/16", "12 1/2", "1.025"},
	} {
		area, err := AreaOf(quantity(t, c.length, "in", Length), quantity(t, c.width, "in", Length))
		require.NoError(t, err)
		require.Equal(t, c.printed, area.In(SquareFoot).Decimal(3))
	}
}

func TestAreaOfNamesTheSideThatIsWrong(t *testing.T) {
	t.Parallel()
	_, err := AreaOf(quantity(t, "-1", "in", Length), quantity(t, "0", "in", Length))
	fields := fault.As(err).Fields
	require.Len(t, fields, 2)
	require.Equal(t, "/length/value", fields[0].Pointer)
	require.Equal(t, "/width/value", fields[1].Pointer)
}

func TestLoadingIsMassPerArea(t *testing.T) {
	t.Parallel()
	area, err := AreaOf(quantity(t, "23 15/16", "in", Length), quantity(t, "2 7/8", "in", Length))
	require.NoError(t, err)
	loading, err := LoadingOf(quantity(t, "24", "ug", Mass), area)
	require.NoError(t, err)
	require.Equal(t, "50.2 ug/ft2", loading.Show())

	limit, err := New("5", LessThan, "ug", Mass)
	require.NoError(t, err)
	loading, err = LoadingOf(limit, quantity(t, "16", "in2", Area))
	require.NoError(t, err)
	require.Equal(t, "<45.0 ug/ft2", loading.Show())
	require.Equal(t, "45", loading.Text)

	_, err = LoadingOf(quantity(t, "-1", "ug", Mass), quantity(t, "0", "ft2", Area))
	require.ErrorContains(t, err, "/mass/value: A mass cannot be negative")
	require.ErrorContains(t, err, "/area/value: An area must be more than zero")
}
