package practice

import (
	"slices"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Facts are what a method is judged by. A quantity that was not told is the zero Quantity.
type Facts struct {
	AsOf      calendar.Date
	Method    Method
	Abatement law.Tri // meant to eliminate lead hazards for good (40 CFR part 745, subpart L), and not a renovation (subpart E); not known counts as both
	Assisted  law.Tri // federally assisted housing, 24 CFR part 35
	Exterior  bool    // outdoors; otherwise a room

	Temperature measure.Quantity // of the heat gun
	Charring    law.Tri          // the heat gun chars the paint: seen while working
	Shroud      law.Tri          // or containment, around the machine
	HEPA        law.Tri          // a HEPA vacuum is attached
	DustOutside law.Tri          // dust or a release of air is seen outside the shroud: seen while working
	Ventilated  law.Tri          // the space is well ventilated
	Volatile    law.Tri          // the stripper is a volatile hazardous substance (16 CFR 1500.3, 29 CFR 1910.1200)

	WithHeatGun    bool             // paint is scraped together with a heat gun
	OutletDistance measure.Quantity // from the electrical outlet, where paint is scraped near one
	SpotArea       measure.Quantity // all defective spots so treated in the room, or outdoors
}

// absoluteZero in degF.
var absoluteZero = measure.Frac(-45967, 100)

// Check refuses facts that contradict one another or cannot be.
func (f Facts) Check() error {
	var faults fault.Faults
	f.checkMachine(&faults)
	if f.Temperature.Known() && f.Temperature.In(measure.Fahrenheit).Cmp(absoluteZero) < 0 {
		faults.Add("/temperature/value", "too_cold", "Nothing is colder than -459.67 degrees Fahrenheit; correct the temperature of the heat gun.")
	}
	if f.OutletDistance.Known() {
		faults.Merge("/outlet_distance", f.OutletDistance.NonNegative())
	}
	if f.SpotArea.Known() {
		faults.Merge("/spot_area", f.SpotArea.NonNegative())
	}
	return faults.Err()
}

func (f Facts) checkMachine(faults *fault.Faults) {
	shroud, hepa := f.Method.comesWith()
	if shroud != law.Unknown && f.Shroud != law.Unknown && shroud != f.Shroud {
		faults.Add("/shroud", "contradicts_method", "The method %s says that there is %s, and shroud says otherwise; correct one of them.", f.Method, with(shroud, "a shroud"))
	}
	if hepa != law.Unknown && f.HEPA != law.Unknown && hepa != f.HEPA {
		faults.Add("/hepa", "contradicts_method", "The method %s says that there is %s, and hepa says otherwise; correct one of them.", f.Method, with(hepa, "a HEPA vacuum"))
	}
}

func with(t law.Tri, what string) string {
	if t == law.Yes {
		return what
	}
	return "not " + what
}

// comesWith is what the name of a method says of shroud and HEPA vacuum.
func (m Method) comesWith() (shroud, hepa law.Tri) {
	switch m {
	case MachineWithShroud:
		return law.Yes, law.Yes
	case MachineWithoutShroud:
		return law.No, law.Unknown
	case AbrasiveBlastingHEPA:
		return law.Unknown, law.Yes
	case AbrasiveBlasting:
		return law.Unknown, law.No
	}
	return law.Unknown, law.Unknown
}

// settled puts what the method's name says into the facts.
func (f Facts) settled() Facts {
	if !slices.Contains(Methods(), f.Method) {
		f.Method = Unknown
	}
	shroud, hepa := f.Method.comesWith()
	if f.Shroud == law.Unknown {
		f.Shroud = shroud
	}
	if f.HEPA == law.Unknown {
		f.HEPA = hepa
	}
	if f.Method == SolventStripper {
		f.Volatile = law.Yes
	}
	return f
}

// below reports whether a quantity is surely below a limit; "less than the limit" is.
func below(q, limit measure.Quantity) bool {
	c := q.Cmp(limit)
	return c < 0 || c == 0 && q.Qualifier == measure.LessThan
}

// atMost reports whether a quantity is surely not above a limit.
func atMost(q, limit measure.Quantity) bool { return q.Known() && q.Cmp(limit) <= 0 }
