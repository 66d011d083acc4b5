package measure

import (
	"math"
	"math/big"
	"strconv"
	"strings"

	"sillbook/internal/fault"
)

// longest is the most characters a number may have. No measurement needs more, and it bounds the work of one.
const longest = 40

// ParseNumber reads a decimal ("12.5", ".979"), a fraction ("34/144") or a mixed number ("11 5/8"), perhaps with a
// leading "-". There is no exponent, no thousands separator and no plus sign. Anything else is a Malformed fault.
func ParseNumber(text string) (Number, error) {
	if len(text) > longest {
		return Number{}, fault.New(fault.Malformed, "number_too_long",
			"A number has at most %d characters; this one has %d.", longest, len(text))
	}
	body, negative := strings.CutPrefix(text, "-")
	n, ok := parseUnsigned(body)
	if !ok {
		return Number{}, fault.New(fault.Malformed, "not_a_number",
			"%q is not a number: write a decimal (12.5), a fraction (34/144) or a mixed number (11 5/8), without exponent.", text)
	}
	if negative {
		n = n.Neg()
	}
	return n, nil
}

// String is the exact text: a decimal if the number is a finite one, else "a/b". ParseNumber reads it back
// if it is not too long.
func (x Number) String() string {
	if x.big == nil && x.below == 0 {
		return strconv.FormatInt(x.num, 10)
	}
	r := x.rat()
	if places, finite := r.FloatPrec(); finite {
		return r.FloatString(places)
	}
	return r.RatString()
}

// Show is the number for people: three significant figures, half away from zero. No verdict reads it.
func (x Number) Show() string {
	if x.IsZero() {
		return "0"
	}
	e := x.exponent()
	if abs := x.Mul(Int(int64(x.Sign()))); abs.Cmp(powerOfTen(e-2).Mul(Frac(1999, 2))) >= 0 {
		e++ // 9.996 rounds to 10.0
	}
	if e <= 2 {
		return x.Decimal(2 - e)
	}
	return x.Quo(powerOfTen(e-2)).Decimal(0) + strings.Repeat("0", e-2)
}

// Decimal is the number with so many decimal places, half away from zero.
func (x Number) Decimal(places int) string { return x.rat().FloatString(max(places, 0)) }

// Scaled is the number times 10^places as a whole number, half away from zero, and the nearest int64 where it does not
// fit. It is for columns that sort and filter; no verdict reads it.
func (x Number) Scaled(places int) int64 {
	y := x.Mul(powerOfTen(max(places, 0)))
	num, den := y.rat().Num(), y.rat().Denom()
	twice := new(big.Int).Abs(num)
	twice.Lsh(twice, 1).Add(twice, den)
	whole := twice.Quo(twice, new(big.Int).Lsh(den, 1))
	switch {
	case whole.IsInt64():
		return whole.Int64() * int64(y.Sign())
	case y.Sign() < 0:
		return math.MinInt64
	}
	return math.MaxInt64
}

// exponent is e with 10^e <= |x| < 10^(e+1); x is not zero.
func (x Number) exponent() int {
	r := new(big.Rat).Abs(x.rat())
	e := len(r.Num().String()) - len(r.Denom().String())
	if r.Cmp(powerOfTen(e).rat()) < 0 {
		e--
	}
	return e
}

// powerOfTen is 10^e, e of either sign.
func powerOfTen(e int) Number {
	if e < 0 {
		return Int(1).Quo(powerOfTen(-e))
	}
	if e < len(tens) {
		return Int(tens[e])
	}
	return fromRat(new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(e)), nil)))
}

// tens holds the powers of ten that fit an int64.
var tens = func() (t [19]int64) {
	t[0] = 1
	for i := 1; i < len(t); i++ {
		t[i] = t[i-1] * 10
	}
	return t
}()

func parseUnsigned(text string) (Number, bool) {
	if whole, part, mixed := strings.Cut(text, " "); mixed {
		n, okWhole := parseDigits(whole, 0)
		f, okPart := parseRatio(part)
		// 11 9/8 is a slip of the pen more often than a measurement
		if !okWhole || !okPart || f.Cmp(Int(1)) >= 0 {
			return Number{}, false
		}
		return n.Add(f), true
	}
	if strings.IndexByte(text, '/') >= 0 {
		return parseRatio(text)
	}
	whole, part, point := strings.Cut(text, ".")
	if !point {
		return parseDigits(text, 0)
	}
	if part == "" {
		return Number{}, false
	}
	n := Number{}
	if whole != "" {
		var ok bool
		if n, ok = parseDigits(whole, 0); !ok {
			return Number{}, false
		}
	}
	f, ok := parseDigits(part, len(part))
	return n.Add(f), ok
}

func parseRatio(text string) (Number, bool) {
	above, under, _ := strings.Cut(text, "/")
	n, okAbove := parseDigits(above, 0)
	d, okUnder := parseDigits(under, 0)
	if !okAbove || !okUnder || d.IsZero() {
		return Number{}, false
	}
	return n.Quo(d), true
}

// parseDigits reads digits only, and takes them as places decimal places.
func parseDigits(text string, places int) (Number, bool) {
	if text == "" {
		return Number{}, false
	}
	var n int64
	for i := range len(text) {
		c := text[i]
		if c < '0' || c > '9' {
			return Number{}, false
		}
		n = n*10 + int64(c-'0') // wraps beyond 18 digits, and is not used then
	}
	if len(text) <= 18 {
		return reduced(n, tens[places]), true
	}
	whole, ok := new(big.Int).SetString(text, 10)
	if !ok {
		return Number{}, false
	}
	return fromRat(new(big.Rat).SetInt(whole)).Quo(powerOfTen(places)), true
}
