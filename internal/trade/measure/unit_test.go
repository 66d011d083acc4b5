package measure

import (
	"bufio"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/internal/fault"
)

// Every unit in every other of its dimension, against GNU Units: the exact conversion differs from what the program printed by at most half of its
// last digit. The fixture's head has the program's version and the command.
func TestConversionsAgreeWithGNUUnits(t *testing.T) {
	t.Parallel()
	file, err := os.Open("../../../testdata/units/conversions.tsv")
	require.NoError(t, err)
	defer file.Close()
	seen := map[[2]Unit]bool{}
	for lines := bufio.NewScanner(file); lines.Scan(); {
		if strings.HasPrefix(lines.Text(), "#") {
			continue
		}
		fields := strings.Split(lines.Text(), "\t")
		require.Len(t, fields, 6, lines.Text())
		value, fromCode, toCode, printed := fields[0], fields[1], fields[2], fields[5]
		from, err := ParseUnit(fromCode)
		require.NoError(t, err)
		to, err := ParseUnit(toCode)
		require.NoError(t, err)
		seen[[2]Unit{from, to}] = true
		exact := Convert(number(t, value), from, to)
		theirs, lastDigit := scientific(t, printed)
		off := exact.Sub(theirs).Quo(lastDigit)
		require.LessOrEqual(t, off.Max(off.Neg()).Cmp(Frac(51, 100)), 0, "%s %s in %s: exactly %s, printed %s",
			value, fromCode, toCode, exact.Decimal(20), printed)
	}
	for i := range units[1:] {
		for j := range units[1:] {
			from, to := Unit(i+1), Unit(j+1)
			if from != to && from.Dimension() == to.Dimension() {
				require.True(t, seen[[2]Unit{from, to}], "%s in %s is not in the fixture", from, to)
			}
		}
	}
}

// scientific reads "9.290304000000e-02", and the worth of its last digit.
func scientific(t *testing.T, printed string) (value, lastDigit Number) {
	mantissa, exponent, ok := strings.Cut(printed, "e")
	require.True(t, ok, printed)
	e, err := ParseNumber(strings.TrimPrefix(exponent, "+"))
	require.NoError(t, err)
	power := powerOfTen(int(e.Scaled(0)))
	_, decimals, _ := strings.Cut(mantissa, ".")
	return number(t, mantissa).Mul(power), power.Quo(powerOfTen(len(decimals)))
}

func TestConversionsThatDefinitionsMakeExact(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		value    string
		from, to Unit
		want     string
	}{
		"a square foot, from the foot of 0.3048 m":           {"1", SquareFoot, SquareCentimetre, "929.0304"},
		"a pound of 0.45359237 kg":                           {"1", Pound, Kilogram, "0.45359237"},
		"a US gallon of 231 cubic inches":                    {"1", Gallon, Litre, "3.785411784"},
		"a square foot in square inches":                     {"1", SquareFoot, SquareInch, "144"},
		"paint at 1.0 mg/cm2":                                {"1.0", MilligramPerSquareCentimetre, MicrogramPerSquareFoot, "929030.4"},
		"0.5 % by weight is 5,000 ppm (24 CFR 35.110)":       {"0.5", Percent, PartPerMillion, "5000"},
		"400 ppm of soil in mg/kg":                           {"400", PartPerMillion, MilligramPerKilogram, "400"},
		"water boils at 212 degF":                            {"100", Celsius, Fahrenheit, "212"},
		"a heat gun's 1,100 degF (40 CFR 745.85(a)(3)(iii))": {"1100", Fahrenheit, Celsius, "1780/3"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			require.Equal(t, c.want, Convert(number(t, c.value), c.from, c.to).String())
		})
	}
}

func TestEverySpellingIsItsUnit(t *testing.T) {
	t.Parallel()
	for i := range units[1:] {
		u := Unit(i + 1)
		for _, code := range append([]string{u.String(), u.UCUM()}, units[u].codes...) {
			parsed, err := ParseUnit(code)
			require.NoError(t, err)
			require.Equal(t, u, parsed, code)
		}
		require.NotZero(t, u.Dimension())
		require.Positive(t, units[u].factor.Sign())
	}
	for _, code := range strings.Fields("ft2 in2 ft in cm2 m2 ug mg g mg/cm2 ppm mg/kg ug/m3 mg/L degF degC lb kg gal ug/ft2") {
		_, err := ParseUnit(code)
		require.NoError(t, err)
	}
}

func TestUnknownUnitIsRefusedWithWhatIsAccepted(t *testing.T) {
	t.Parallel()
	for _, code := range []string{"", "sqft", "FT2", "µg", "feet", "ft2 "} {
		_, err := ParseUnit(code)
		require.True(t, fault.Is(err, fault.Malformed), code)
		require.ErrorContains(t, err, "ft2, in2, cm2, m2")
	}
}

func TestConvertingAcrossDimensionsPanics(t *testing.T) {
	t.Parallel()
	require.Panics(t, func() { Convert(Int(1), SquareFoot, Foot) })
}
