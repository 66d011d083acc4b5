package measure

import (
	"math"
	"math/big"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/fault"
)

func number(t require.TestingT, text string) Number {
	n, err := ParseNumber(text)
	require.NoError(t, err)
	return n
}

func TestParseNumber(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"0": "0", "-0": "0", "007": "7", "12.5": "12.5", ".979": "0.979", "12.50": "12.5", "-3": "-3",
		"34/144": "17/72", "6/3": "2", "11 5/8": "11.625", "-11 5/8": "-11.625", "0 1/3": "1/3", "-1/3": "-1/3",
		"1234567890123456789012345678901234567890": "1234567890123456789012345678901234567890",
		"0.00000000000000000000000000000000000001": "0.00000000000000000000000000000000000001",
		"9223372036854775807":                      "9223372036854775807",
		"9223372036854775808":                      "9223372036854775808",
		"9223372036854775808/9223372036854775808":  "1",
	} {
		t.Run(text, func(t *testing.T) {
			t.Parallel()
			require.Equal(t, want, number(t, text).String())
		})
	}
}

func TestParseNumberRefuses(t *testing.T) {
	t.Parallel()
	for _, text := range []string{
		"", "-", "+1", "1e3", "1E3", "1,000", "1_000", "5.", ".", "1..2", "1/0", "1/", "/2", "1/2/3", "1/1.5", "1 2", "1 1/0",
		"11 9/8", "11  5/8", " 1", "1 ", "--1", "0x10", "NaN", "Inf", "٣", "½", "1 -1/2", "12.5/2", strings.Repeat("1", 41),
	} {
		t.Run(text, func(t *testing.T) {
			t.Parallel()
			_, err := ParseNumber(text)
			require.True(t, fault.Is(err, fault.Malformed), "%v", err)
		})
	}
}

func TestNumbersThatAreNoDecimalsStayExact(t *testing.T) {
	t.Parallel()
	require.Zero(t, number(t, "34/144").Mul(Int(144)).Cmp(Int(34)))
	floor := Int(5).Quo(number(t, "1.5")) // the level for a composite of three: 5/(3/2)
	require.Equal(t, "10/3", floor.String())
	require.Equal(t, "3.33", floor.Show())
	require.Negative(t, number(t, "3.333333333333333333").Cmp(floor))
	require.Positive(t, number(t, "3.333333333333333334").Cmp(floor))
	require.Zero(t, floor.Add(floor).Add(floor).Cmp(Int(10)))
}

func TestShowRoundsHalfAwayFromZeroToThreeFigures(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"0": "0", "5": "5.00", "40": "40.0", "400": "400", "50.249": "50.2", "50.25": "50.3", "-50.25": "-50.3",
		"9.994": "9.99", "9.995": "10.0", "0.9995": "1.00", "999.5": "1000", "999.4": "999", "1234567": "1230000",
		"1235000": "1240000", "0.000123456": "0.000123", "0.0009999": "0.00100", "1/3": "0.333", "2/3": "0.667", "45/1": "45.0",
	} {
		t.Run(text, func(t *testing.T) {
			t.Parallel()
			require.Equal(t, want, number(t, text).Show())
		})
	}
}

func TestDecimalAndScaledRoundHalfAwayFromZero(t *testing.T) {
	t.Parallel()
	require.Equal(t, "0.978841", number(t, "9021/9216").Decimal(6))
	require.Equal(t, "3", number(t, "2.5").Decimal(0))
	require.EqualValues(t, 978841, number(t, "9021/9216").Scaled(6))
	require.EqualValues(t, 3, number(t, "2.5").Scaled(0))
	require.EqualValues(t, -3, number(t, "-2.5").Scaled(0))
	require.EqualValues(t, 2, number(t, "2.4999").Scaled(0))
	require.EqualValues(t, math.MaxInt64, number(t, "9223372036854775807").Scaled(0))
	require.EqualValues(t, math.MaxInt64, number(t, "9223372036854775807").Scaled(6))
	require.EqualValues(t, math.MinInt64, number(t, "-9223372036854775807").Scaled(6))
}

func TestDivisionByZeroPanics(t *testing.T) {
	t.Parallel()
	require.PanicsWithError(t, errDivision.Error(), func() { Int(1).Quo(Number{}) })
	require.PanicsWithError(t, errDivision.Error(), func() { Frac(1, 0) })
}

// Not parallel: allocations are counted for the whole process.
func TestTwoWordNumbersDoNotAllocate(t *testing.T) {
	limit, sink := number(t, "20/3"), 0
	require.Zero(t, testing.AllocsPerRun(100, func() {
		area, err := ParseNumber("11 5/8")
		if err != nil {
			sink++
		}
		loading := Int(24).Quo(area).Add(Frac(1, 7)).Sub(Frac(1, 3)).Mul(Int(144))
		sink += loading.Cmp(limit) + Convert(area, Inch, Foot).Sign()
	}))
}

// words draws numbers at and around the edges of two words, where the overflow is.
func words(t *rapid.T) int64 {
	return rapid.OneOf(rapid.Int64(), rapid.Int64Range(-1000, 1000), rapid.SampledFrom([]int64{
		math.MinInt64, math.MinInt64 + 1, math.MaxInt64, math.MaxInt64 - 1, 1 << 32, 1<<31 - 1, 0,
	})).Draw(t, "word")
}

func fraction(t *rapid.T) (Number, *big.Rat) {
	n, d := words(t), words(t)
	if d == 0 {
		d = 1
	}
	return Frac(n, d), big.NewRat(n, d)
}

// A Number is what a big.Rat of the same fraction is, through any arithmetic, and keeps one form.
func TestArithmeticAgreesWithBigRat(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		x, rx := fraction(t)
		for range rapid.IntRange(1, 6).Draw(t, "steps") {
			y, ry := fraction(t)
			require.Equal(t, rx.Cmp(ry), x.Cmp(y))
			require.Equal(t, -rx.Cmp(ry), y.Cmp(x))
			switch rapid.IntRange(0, 3).Draw(t, "operation") {
			case 0:
				x, rx = x.Add(y), new(big.Rat).Add(rx, ry)
			case 1:
				x, rx = x.Sub(y), new(big.Rat).Sub(rx, ry)
			case 2:
				x, rx = x.Mul(y), new(big.Rat).Mul(rx, ry)
			case 3:
				if !y.IsZero() {
					x, rx = x.Quo(y), new(big.Rat).Quo(rx, ry)
				}
			}
			require.Zero(t, rx.Cmp(x.rat()), "%s is not %s", x, rx)
			require.Equal(t, rx.Sign(), x.Sign())
			require.Zero(t, rx.Denom().Cmp(x.rat().Denom()), "lowest terms")
			fits := rx.Num().IsInt64() && rx.Denom().IsInt64() && rx.Num().Int64() != math.MinInt64
			require.Equal(t, fits, x.big == nil, "one form: %s", rx)
		}
	})
}

func TestTextReadsBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		x := Frac(rapid.Int64Range(-1e9, 1e9).Draw(t, "above"), rapid.Int64Range(1, 1e6).Draw(t, "under"))
		if text := x.String(); len(text) <= longest {
			require.Zero(t, x.Cmp(number(t, text)), text)
		}
		half := Frac(1, 2).Quo(powerOfTen(3))
		difference := number(t, x.Decimal(3)).Sub(x)
		require.LessOrEqual(t, difference.Cmp(half), 0)
		require.GreaterOrEqual(t, difference.Cmp(half.Neg()), 0)
		require.Zero(t, number(t, x.Decimal(3)).Mul(Int(1000)).Cmp(Int(x.Scaled(3))))
	})
}
