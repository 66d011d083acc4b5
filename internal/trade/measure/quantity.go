package measure

import (
	"strings"

	"sillbook/internal/fault"
)

// Qualifier says how a value stands to the truth.
type Qualifier string

// The qualifiers.
const (
	Exactly  Qualifier = ""
	LessThan Qualifier = "<" // as a laboratory reports an amount below its reporting limit: the value is that limit
)

// Quantity is a measured amount as it was told, and the exact number behind it. The zero value is "not told".
type Quantity struct {
	Text      string // the value as told: "11 5/8"
	Qualifier Qualifier
	Code      string // the unit as told: "[in_i]"
	Unit      Unit
	number    Number // of Unit
}

// New reads a quantity of the wanted dimension. The fault names every part that is wrong, at "/value", "/unit" and "/qualifier".
// A negative value is read; [Quantity.NonNegative] and [Quantity.Positive] refuse it where it makes no sense.
func New(text string, q Qualifier, unit string, want Dimension) (Quantity, error) {
	var faults fault.Faults
	number, err := ParseNumber(text)
	faults.Merge("/value", err)
	u, ok := unitByCode[unit]
	if !ok || u.Dimension() != want {
		faults.Add("/unit", "wrong_unit", "%q is not a unit of %s; accepted are %s.", unit, want, strings.Join(want.Accepted(), ", "))
	}
	if q != Exactly && q != LessThan {
		faults.Add("/qualifier", "unknown_qualifier", "%q is not a qualifier; leave it out, or write \"<\" for \"less than\".", q)
	}
	if err := faults.Err(); err != nil {
		return Quantity{}, err
	}
	return Quantity{Text: text, Qualifier: q, Code: unit, Unit: u, number: number}, nil
}

// Of is a quantity that was computed, not told.
func Of(n Number, u Unit) Quantity {
	return Quantity{Text: n.String(), Code: u.String(), Unit: u, number: n}
}

// Known reports whether the quantity was told.
func (q Quantity) Known() bool { return q.Unit != 0 }

// Number is the exact value in the unit as told.
func (q Quantity) Number() Number { return q.number }

// In is the exact value in another unit of the same dimension.
func (q Quantity) In(u Unit) Number { return Convert(q.number, q.Unit, u) }

// Cmp compares the exact values of two quantities of one dimension. It does not look at qualifiers.
func (q Quantity) Cmp(o Quantity) int { return q.number.Cmp(o.In(q.Unit)) }

// NonNegative is a fault at "/value" if the value is below zero.
func (q Quantity) NonNegative() error {
	if q.number.Sign() >= 0 {
		return nil
	}
	return fault.New(fault.Implausible, "negative", "%s cannot be negative.", q.name()).
		At("/value", "negative", "%s cannot be negative; %s was told.", q.name(), q.Text)
}

// Positive is a fault at "/value" if the value is zero or below.
func (q Quantity) Positive() error {
	if q.number.Sign() != 0 {
		return q.NonNegative()
	}
	return fault.New(fault.Implausible, "zero", "%s must be more than zero here.", q.name()).
		At("/value", "zero", "%s must be more than zero here; %s was told.", q.name(), q.Text)
}

// Show is the quantity for people: "<5.56 ug/ft2".
func (q Quantity) Show() string {
	return string(q.Qualifier) + q.number.Show() + " " + q.Unit.String()
}

func (q Quantity) name() string { return dimensionNames[q.Unit.Dimension()] }

// AreaOf is length times width in ft2, both of them more than zero; faults are at "/length/value" and "/width/value".
func AreaOf(length, width Quantity) (Quantity, error) {
	var faults fault.Faults
	faults.Merge("/length", length.Positive())
	faults.Merge("/width", width.Positive())
	if err := faults.Err(); err != nil {
		return Quantity{}, err
	}
	return Of(length.In(Foot).Mul(width.In(Foot)), SquareFoot), nil
}

// LoadingOf is mass divided by area in ug/ft2. The mass may be zero, the area not; "less than" carries over. Faults are at
// "/mass/value" and "/area/value".
func LoadingOf(mass, area Quantity) (Quantity, error) {
	var faults fault.Faults
	faults.Merge("/mass", mass.NonNegative())
	faults.Merge("/area", area.Positive())
	if err := faults.Err(); err != nil {
		return Quantity{}, err
	}
	loading := Of(mass.In(Microgram).Quo(area.In(SquareFoot)), MicrogramPerSquareFoot)
	loading.Qualifier = mass.Qualifier
	return loading, nil
}
