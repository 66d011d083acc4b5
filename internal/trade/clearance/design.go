package clearance

import (
	"math"
	"math/big"
	"sort"

	"sillbook/internal/trade/measure"
)

// design is what a random sample of units has to show: with a confidence, that no more than a share of all the units, and no more than a
// number of them, exceed. A sample that holds none of those that exceed shows it, where the chance of that is small enough.
type design struct {
	chance measure.Number // the sample may miss all that exceed with a chance below this one: 1 less the confidence
	share  measure.Number // of all units
	most   int            // units
}

// exceeding is how many of so many units exceed, at the least, where the sample is to notice it.
func (d design) exceeding(units int) int {
	return min(ceiling(d.share.Mul(measure.Int(int64(units)))), d.most)
}

// fewest is the smallest sample that shows it for so many units, and no smaller than the smallest for any fewer units.
//
// By itself the smallest sample is not monotone: the number that exceed jumps by one from block to block, and 21 units would need
// fewer than 20. Within a block it grows, since each of its chances does, so that only the last number of each block can be more than what
// comes after. Where the share is one in a whole number, the chance for k times that number of units is the product of 1 - 1/(whole - i/k),
// which grows with k: then the last block before is the only one that counts.
func (d design) fewest(units int) int {
	exceed, take := d.exceeding(units), 0
	first := 1
	if d.share.Rat().Num().IsInt64() && d.share.Rat().Num().Int64() == 1 {
		first = max(exceed-1, 1)
	}
	for k := first; k < exceed; k++ {
		end := measure.Int(int64(k)).Quo(d.share)
		take = d.atLeast(take, floor(end), k)
	}
	return d.atLeast(take, units, exceed)
}

// alone is the smallest sample for so many units, by itself.
func (d design) alone(units int) int { return d.atLeast(0, units, d.exceeding(units)) }

// atLeast is the smallest sample that shows it, of at least take units.
func (d design) atLeast(take, units, exceed int) int {
	whole, chance := product(units, exceed), d.chance.Rat()
	bound := new(big.Int).Mul(whole, chance.Num())
	return take + sort.Search(units-take, func(i int) bool {
		missed := product(units-take-i, exceed)
		return missed.Mul(missed, chance.Denom()).Cmp(bound) < 0
	})
}

// missing is the chance that a sample of so many units holds none of those that exceed, to six places.
func (d design) missing(units, take int) string {
	exceed := d.exceeding(units)
	return new(big.Rat).SetFrac(product(units-take, exceed), product(units, exceed)).FloatString(6)
}

// product is n(n-1)... of so many factors; 0 where there are not so many. Factors are gathered in a word while they fit.
func product(n, factors int) *big.Int {
	p := big.NewInt(1)
	if n < factors {
		return p.SetInt64(0)
	}
	word := int64(1)
	for ; factors > 0; factors-- {
		if word > math.MaxInt64/int64(n) {
			p.Mul(p, big.NewInt(word))
			word = 1
		}
		word *= int64(n)
		n--
	}
	return p.Mul(p, big.NewInt(word))
}

// ceiling is the least whole number that is not below a number, and floor the greatest that is not above it.
func ceiling(n measure.Number) int { return -floor(n.Neg()) }

func floor(n measure.Number) int {
	r := n.Rat()
	return int(new(big.Int).Div(r.Num(), r.Denom()).Int64()) // towards minus infinity: the denominator is positive
}
