package form

import (
	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/measure"
)

// Quantity reads a measure of a dimension. A missing one is the zero Quantity and no fault.
func Quantity(f *fault.Faults, pointer string, told *api.Measure, want measure.Dimension) (measure.Quantity, bool) {
	if told == nil {
		return measure.Quantity{}, false
	}
	var qualifier measure.Qualifier
	if told.Qualifier != nil {
		qualifier = measure.Qualifier(*told.Qualifier)
	}
	q, err := measure.New(told.Value, qualifier, told.Unit, want)
	f.Merge(pointer, err)
	return q, err == nil
}

func positive(f *fault.Faults, pointer string, told *api.Measure, want measure.Dimension) {
	if q, ok := Quantity(f, pointer, told, want); ok {
		f.Merge(pointer, q.Positive())
	}
}

func notNegative(f *fault.Faults, pointer string, told *api.Measure, want measure.Dimension) (measure.Quantity, bool) {
	q, ok := Quantity(f, pointer, told, want)
	if ok {
		f.Merge(pointer, q.NonNegative())
	}
	return q, ok
}
