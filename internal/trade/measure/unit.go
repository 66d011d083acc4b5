package measure

import (
	"strings"

	"sillbook/internal/fault"
)

// Dimension is what a unit measures. Only quantities of one dimension compare.
type Dimension uint8

// The dimensions the trade uses.
const (
	Area          Dimension = iota + 1 // painted surface disturbed, wipe area, floor
	Length                             // a template's side, a distance
	Mass                               // lead on a wipe, waste
	Loading                            // lead per area: dust on a surface, paint by XRF
	Fraction                           // lead per weight of soil or paint, share of a component
	Concentration                      // lead per volume of air, water, extract, blood
	Volume                             // wash water, waste
	Temperature                        // a heat gun's
	Duration                           // hours worked
	Speed                              // wind
)

// dimensionNames say each dimension with its article, to begin a sentence with.
var dimensionNames = [...]string{"A quantity", "An area", "A length", "A mass", "A loading", "A fraction", "A concentration",
	"A volume", "A temperature", "A duration", "A speed"}

// String names the dimension: "area".
func (d Dimension) String() string {
	_, name, _ := strings.Cut(dimensionNames[d], " ")
	return name
}

// Accepted lists the unit codes of the dimension, short names first.
func (d Dimension) Accepted() []string {
	var names, others []string
	for _, u := range units[1:] {
		if u.dimension == d {
			names = append(names, u.codes[0])
			others = append(others, u.codes[1:]...)
		}
	}
	return append(names, others...)
}

// Unit is one of the units below. Two spellings of a unit ("ft2", "[sft_i]") are one Unit. The zero value is no unit.
type Unit uint8

// The units that code names. The foot is the international foot, 0.3048 m.
const (
	SquareFoot Unit = iota + 1
	SquareInch
	SquareCentimetre
	SquareMetre
	Foot
	Inch
	Millimetre
	Centimetre
	Metre
	Mil // 0.001 in, how plastic sheeting is sold
	Mile
	Microgram
	Milligram
	Gram
	Kilogram
	Pound
	Ounce
	ShortTon // 2000 lb
	MicrogramPerSquareFoot
	MicrogramPerSquareCentimetre
	MicrogramPerSquareMetre
	MilligramPerSquareCentimetre
	MilligramPerSquareFoot
	MilligramPerSquareMetre
	One
	Percent
	PartPerMillion
	MilligramPerKilogram
	MicrogramPerGram
	MicrogramPerCubicMetre
	MilligramPerCubicMetre
	MicrogramPerLitre
	MilligramPerLitre
	MicrogramPerDecilitre
	Litre
	Gallon // US, 231 in3
	CubicFoot
	CubicYard
	CubicMetre
	Fahrenheit
	Celsius
	Second
	Minute
	Hour
	Day
	MilePerHour
	KilometrePerHour
	MetrePerSecond
)

// unit says how to reach the base unit of its dimension: base = (value + zero) * factor, exactly. The bases are what the trade
// computes in (ft2, ft, ug, ug/ft2), so that the common cases convert nothing.
type unit struct {
	codes     []string // the short name first, then the other spellings; UCUM's own is ucum
	ucum      string
	dimension Dimension
	factor    Number
	zero      Number
}

// The exact definitions everything else follows from: the international inch is 2.54 cm and the international
// avoirdupois pound 0.45359237 kg (Federal Register, 1 July 1959, 24 FR 5348, from memory), the US gallon 231 in3.
var (
	squareMetre = Frac(1562500, 145161)      // in ft2: 1 / 0.3048^2
	metre       = Frac(1250, 381)            // in ft: 1 / 0.3048
	pound       = Int(453592370)             // in ug
	gallon      = Frac(473176473, 125000000) // in L: 231 * 0.254^3
	cubicFoot   = Frac(1728, 231).Mul(gallon)
)

var units = [...]unit{
	SquareFoot:       {codes: []string{"ft2", "[sft_i]", "[ft_i]2"}, ucum: "[sft_i]", dimension: Area, factor: Int(1)},
	SquareInch:       {codes: []string{"in2", "[sin_i]", "[in_i]2"}, ucum: "[sin_i]", dimension: Area, factor: Frac(1, 144)},
	SquareCentimetre: {codes: []string{"cm2"}, ucum: "cm2", dimension: Area, factor: squareMetre.Quo(Int(10000))},
	SquareMetre:      {codes: []string{"m2"}, ucum: "m2", dimension: Area, factor: squareMetre},

	Foot:       {codes: []string{"ft", "[ft_i]"}, ucum: "[ft_i]", dimension: Length, factor: Int(1)},
	Inch:       {codes: []string{"in", "[in_i]"}, ucum: "[in_i]", dimension: Length, factor: Frac(1, 12)},
	Millimetre: {codes: []string{"mm"}, ucum: "mm", dimension: Length, factor: metre.Quo(Int(1000))},
	Centimetre: {codes: []string{"cm"}, ucum: "cm", dimension: Length, factor: metre.Quo(Int(100))},
	Metre:      {codes: []string{"m"}, ucum: "m", dimension: Length, factor: metre},
	Mil:        {codes: []string{"mil", "[mil_i]"}, ucum: "[mil_i]", dimension: Length, factor: Frac(1, 12000)},
	Mile:       {codes: []string{"mi", "[mi_i]"}, ucum: "[mi_i]", dimension: Length, factor: Int(5280)},

	Microgram: {codes: []string{"ug"}, ucum: "ug", dimension: Mass, factor: Int(1)},
	Milligram: {codes: []string{"mg"}, ucum: "mg", dimension: Mass, factor: Int(1000)},
	Gram:      {codes: []string{"g"}, ucum: "g", dimension: Mass, factor: Int(1000000)},
	Kilogram:  {codes: []string{"kg"}, ucum: "kg", dimension: Mass, factor: Int(1000000000)},
	Pound:     {codes: []string{"lb", "[lb_av]"}, ucum: "[lb_av]", dimension: Mass, factor: pound},
	Ounce:     {codes: []string{"oz", "[oz_av]"}, ucum: "[oz_av]", dimension: Mass, factor: pound.Quo(Int(16))},
	ShortTon:  {codes: []string{"[ston_av]"}, ucum: "[ston_av]", dimension: Mass, factor: pound.Mul(Int(2000))},

	MicrogramPerSquareFoot:       {codes: []string{"ug/ft2", "ug/[sft_i]", "ug/[ft_i]2"}, ucum: "ug/[sft_i]", dimension: Loading, factor: Int(1)},
	MicrogramPerSquareCentimetre: {codes: []string{"ug/cm2"}, ucum: "ug/cm2", dimension: Loading, factor: Int(10000).Quo(squareMetre)},
	MicrogramPerSquareMetre:      {codes: []string{"ug/m2"}, ucum: "ug/m2", dimension: Loading, factor: Int(1).Quo(squareMetre)},
	MilligramPerSquareCentimetre: {codes: []string{"mg/cm2"}, ucum: "mg/cm2", dimension: Loading, factor: Int(10000000).Quo(squareMetre)},
	MilligramPerSquareFoot:       {codes: []string{"mg/ft2", "mg/[sft_i]", "mg/[ft_i]2"}, ucum: "mg/[sft_i]", dimension: Loading, factor: Int(1000)},
	MilligramPerSquareMetre:      {codes: []string{"mg/m2"}, ucum: "mg/m2", dimension: Loading, factor: Int(1000).Quo(squareMetre)},

	One:                  {codes: []string{"1"}, ucum: "1", dimension: Fraction, factor: Int(1)},
	Percent:              {codes: []string{"%"}, ucum: "%", dimension: Fraction, factor: Frac(1, 100)},
	PartPerMillion:       {codes: []string{"ppm", "[ppm]"}, ucum: "[ppm]", dimension: Fraction, factor: Frac(1, 1000000)},
	MilligramPerKilogram: {codes: []string{"mg/kg"}, ucum: "mg/kg", dimension: Fraction, factor: Frac(1, 1000000)},
	MicrogramPerGram:     {codes: []string{"ug/g"}, ucum: "ug/g", dimension: Fraction, factor: Frac(1, 1000000)},

	MicrogramPerCubicMetre: {codes: []string{"ug/m3"}, ucum: "ug/m3", dimension: Concentration, factor: Int(1)},
	MilligramPerCubicMetre: {codes: []string{"mg/m3"}, ucum: "mg/m3", dimension: Concentration, factor: Int(1000)},
	MicrogramPerLitre:      {codes: []string{"ug/L", "ug/l"}, ucum: "ug/L", dimension: Concentration, factor: Int(1000)},
	MilligramPerLitre:      {codes: []string{"mg/L", "mg/l"}, ucum: "mg/L", dimension: Concentration, factor: Int(1000000)},
	MicrogramPerDecilitre:  {codes: []string{"ug/dL", "ug/dl"}, ucum: "ug/dL", dimension: Concentration, factor: Int(10000)},

	Litre:      {codes: []string{"L", "l"}, ucum: "L", dimension: Volume, factor: Int(1)},
	Gallon:     {codes: []string{"gal", "[gal_us]"}, ucum: "[gal_us]", dimension: Volume, factor: gallon},
	CubicFoot:  {codes: []string{"ft3", "[cft_i]", "[ft_i]3"}, ucum: "[cft_i]", dimension: Volume, factor: cubicFoot},
	CubicYard:  {codes: []string{"yd3", "[cyd_i]"}, ucum: "[cyd_i]", dimension: Volume, factor: cubicFoot.Mul(Int(27))},
	CubicMetre: {codes: []string{"m3"}, ucum: "m3", dimension: Volume, factor: Int(1000)},

	Fahrenheit: {codes: []string{"degF", "[degF]"}, ucum: "[degF]", dimension: Temperature, factor: Int(1)},
	Celsius:    {codes: []string{"degC", "Cel"}, ucum: "Cel", dimension: Temperature, factor: Frac(9, 5), zero: Frac(160, 9)},

	Second: {codes: []string{"s"}, ucum: "s", dimension: Duration, factor: Int(1)},
	Minute: {codes: []string{"min"}, ucum: "min", dimension: Duration, factor: Int(60)},
	Hour:   {codes: []string{"h"}, ucum: "h", dimension: Duration, factor: Int(3600)},
	Day:    {codes: []string{"d"}, ucum: "d", dimension: Duration, factor: Int(86400)},

	MilePerHour:      {codes: []string{"mph", "[mi_i]/h"}, ucum: "[mi_i]/h", dimension: Speed, factor: Int(1)},
	KilometrePerHour: {codes: []string{"km/h"}, ucum: "km/h", dimension: Speed, factor: metre.Mul(Frac(1000, 5280))},
	MetrePerSecond:   {codes: []string{"m/s"}, ucum: "m/s", dimension: Speed, factor: metre.Mul(Frac(3600, 5280))},
}

var unitByCode = func() map[string]Unit {
	byCode := make(map[string]Unit, 2*len(units))
	for i, u := range units {
		for _, code := range u.codes {
			byCode[code] = Unit(i)
		}
	}
	return byCode
}()

// ParseUnit reads a UCUM code or one of the short names. Codes are case-sensitive, as UCUM's are.
// An unknown one is a Malformed fault that lists what is accepted.
func ParseUnit(code string) (Unit, error) {
	u, ok := unitByCode[code]
	if !ok {
		var all []string
		for _, u := range units[1:] {
			all = append(all, u.codes[0])
		}
		return 0, fault.New(fault.Malformed, "unknown_unit", "%q is not a unit that is read here; accepted are %s.",
			code, strings.Join(all, ", "))
	}
	return u, nil
}

// String is the unit's short name: "ft2".
func (u Unit) String() string {
	if u == 0 {
		return ""
	}
	return units[u].codes[0]
}

// UCUM is the unit's code in the Unified Code for Units of Measure: "[sft_i]".
func (u Unit) UCUM() string { return units[u].ucum }

// Dimension is what the unit measures.
func (u Unit) Dimension() Dimension { return units[u].dimension }

// Convert gives n of the unit from in the unit to, exactly. Units of different dimensions are the caller's mistake
// and panic: a told quantity's dimension was checked when it was read.
func Convert(n Number, from, to Unit) Number {
	if from == to {
		return n
	}
	a, b := &units[from], &units[to]
	if a.dimension != b.dimension {
		panic(fault.New(fault.Internal, "different_dimensions", "%s cannot be converted to %s.", from, to))
	}
	return n.Add(a.zero).Mul(a.factor).Quo(b.factor).Sub(b.zero)
}
