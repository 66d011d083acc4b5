// Package measure holds quantities as they were told: a text, a unit, perhaps "less than". Behind each stands an exact
// rational number, so that a comparison with a limit of the law is never decided by rounding.
package measure

import (
	"math"
	"math/big"
	"math/bits"

	"sillbook/internal/fault"
)

// Number is an exact rational number. 34/144 and 5/1.5 are not finite decimals, and limits are met or missed at the
// boundary, so neither floats nor decimals will do. It lives in two words while it fits, and in a [big.Rat] beyond.
// The zero value is 0. Numbers are immutable; compare them with [Number.Cmp], not with ==.
type Number struct {
	num   int64    // numerator, in lowest terms; never the smallest int64, so that it can be negated
	below int64    // denominator minus one, which makes the zero value 0/1
	big   *big.Rat // set when either word would not fit; never changed once set
}

// Int is the whole number n.
func Int(n int64) Number { return Frac(n, 1) }

// Frac is n/d. A zero d is the caller's mistake and panics, as a division by zero does.
func Frac(n, d int64) Number {
	if d == 0 {
		panic(errDivision)
	}
	if n == math.MinInt64 || d == math.MinInt64 {
		return fromRat(big.NewRat(n, d))
	}
	if d < 0 {
		n, d = -n, -d
	}
	return reduced(n, d)
}

var errDivision = fault.New(fault.Internal, "division_by_zero", "A number was divided by zero.")

// Add is x + y.
func (x Number) Add(y Number) Number {
	if x.big == nil && y.big == nil {
		if sum, ok := addSmall(x, y); ok {
			return sum
		}
	}
	return fromRat(new(big.Rat).Add(x.rat(), y.rat()))
}

// Sub is x - y.
func (x Number) Sub(y Number) Number { return x.Add(y.Neg()) }

// Neg is -x.
func (x Number) Neg() Number {
	if x.big == nil {
		return Number{num: -x.num, below: x.below}
	}
	return fromRat(new(big.Rat).Neg(x.big))
}

// Mul is x times y.
func (x Number) Mul(y Number) Number {
	if x.big == nil && y.big == nil {
		if product, ok := mulSmall(x.num, x.den(), y.num, y.den()); ok {
			return product
		}
	}
	return fromRat(new(big.Rat).Mul(x.rat(), y.rat()))
}

// Quo is x divided by y. A zero y is the caller's mistake and panics, as a division by zero does.
func (x Number) Quo(y Number) Number {
	if y.IsZero() {
		panic(errDivision)
	}
	if x.big == nil && y.big == nil {
		num, den := y.den(), y.num
		if den < 0 {
			num, den = -num, -den
		}
		if quotient, ok := mulSmall(x.num, x.den(), num, den); ok {
			return quotient
		}
	}
	return fromRat(new(big.Rat).Quo(x.rat(), y.rat()))
}

// Cmp is -1, 0 or 1 as x is less than, equal to or greater than y. Between two-word numbers it cannot overflow
// and does not allocate: it cross-multiplies in 128 bits.
func (x Number) Cmp(y Number) int {
	if x.big != nil || y.big != nil {
		return x.rat().Cmp(y.rat())
	}
	if sx, sy := x.Sign(), y.Sign(); sx != sy || sx == 0 {
		return compare(sx, sy)
	}
	xHigh, xLow := bits.Mul64(magnitude(x.num), uint64(y.den()))
	yHigh, yLow := bits.Mul64(magnitude(y.num), uint64(x.den()))
	c := compare(xHigh, yHigh)
	if c == 0 {
		c = compare(xLow, yLow)
	}
	return c * x.Sign()
}

// Sign is -1, 0 or 1 as x is negative, zero or positive.
func (x Number) Sign() int {
	if x.big != nil {
		return x.big.Sign()
	}
	return compare(x.num, 0)
}

// IsZero reports whether x is 0.
func (x Number) IsZero() bool { return x.Sign() == 0 }

// Rat is the number as a rational of the caller's own.
func (x Number) Rat() *big.Rat { return new(big.Rat).Set(x.rat()) }

// Min is the smaller of x and y.
func (x Number) Min(y Number) Number {
	if y.Cmp(x) < 0 {
		return y
	}
	return x
}

// Max is the greater of x and y.
func (x Number) Max(y Number) Number {
	if y.Cmp(x) > 0 {
		return y
	}
	return x
}

func (x Number) den() int64 { return x.below + 1 }

// rat is x as a big.Rat that must not be changed.
func (x Number) rat() *big.Rat {
	if x.big != nil {
		return x.big
	}
	return big.NewRat(x.num, x.den())
}

// fromRat takes r over, and brings it back into two words where it fits, so that a number has one form.
func fromRat(r *big.Rat) Number {
	if r.Num().IsInt64() && r.Denom().IsInt64() && r.Num().Int64() != math.MinInt64 {
		return Number{num: r.Num().Int64(), below: r.Denom().Int64() - 1}
	}
	return Number{big: r}
}

// reduced is num/den in lowest terms; den is positive.
func reduced(num, den int64) Number {
	if den == 1 {
		return Number{num: num}
	}
	if divisor := gcd(magnitude(num), uint64(den)); divisor > 1 {
		num, den = num/int64(divisor), den/int64(divisor)
	}
	return Number{num: num, below: den - 1}
}

func addSmall(x, y Number) (Number, bool) {
	if x.below == y.below {
		sum, ok := add(x.num, y.num)
		return reducedIf(sum, x.den(), ok)
	}
	left, okLeft := mul(x.num, y.den())
	right, okRight := mul(y.num, x.den())
	den, okDen := mul(x.den(), y.den())
	sum, okSum := add(left, right)
	return reducedIf(sum, den, okLeft && okRight && okDen && okSum)
}

func reducedIf(num, den int64, ok bool) (Number, bool) {
	if !ok {
		return Number{}, false
	}
	return reduced(num, den), true
}

// mulSmall multiplies two fractions in lowest terms. Dividing out crosswise first leaves the product in lowest terms
// and keeps it small.
func mulSmall(n1, d1, n2, d2 int64) (Number, bool) {
	if n1 == 0 || n2 == 0 {
		return Number{}, true
	}
	if d2 > 1 {
		g := int64(gcd(magnitude(n1), uint64(d2)))
		n1, d2 = n1/g, d2/g
	}
	if d1 > 1 {
		g := int64(gcd(magnitude(n2), uint64(d1)))
		n2, d1 = n2/g, d1/g
	}
	num, okNum := mul(n1, n2)
	den, okDen := mul(d1, d2)
	return Number{num: num, below: den - 1}, okNum && okDen
}

// add reports false when the sum leaves the two-word range.
func add(a, b int64) (int64, bool) {
	sum := a + b
	return sum, (sum > a) == (b > 0) && sum != math.MinInt64
}

// mul reports false when the product leaves the two-word range.
func mul(a, b int64) (int64, bool) {
	high, low := bits.Mul64(magnitude(a), magnitude(b))
	if high != 0 || low > math.MaxInt64 {
		return 0, false
	}
	if (a < 0) != (b < 0) {
		return -int64(low), true
	}
	return int64(low), true
}

func magnitude(n int64) uint64 {
	if n < 0 {
		return uint64(-n)
	}
	return uint64(n)
}

func gcd(a, b uint64) uint64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

func compare[T int | int64 | uint64](a, b T) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}
