package law

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/measure"
)

// Local is the programme of what a state, a tribe or a city has made its own. It holds beside every other.
const Local = "local"

// Overlay is what one state, tribe or city asks beyond federal law, as it publishes it. Field by field the stricter of the two
// governs; what is weaker is kept and has no effect.
type Overlay struct {
	Jurisdiction string         `json:"jurisdiction"`
	Strict       bool           `json:"strict,omitempty"` // refuse a weaker value instead of keeping it without effect
	Values       []OverlayValue `json:"values,omitempty"`
	Practices    []Stance       `json:"practices,omitempty"`
	Requirements []Requirement  `json:"requirements,omitempty"`
}

// OverlayValue is a jurisdiction's own value of a parameter.
type OverlayValue struct {
	Parameter string        `json:"parameter"`
	Value     string        `json:"value"`
	Unit      string        `json:"unit,omitempty"` // as published; converted exactly into the parameter's own
	Effective calendar.Date `json:"effective"`
	Required  calendar.Date `json:"required,omitzero"` // none: when it takes effect
	Until     calendar.Date `json:"until,omitzero"`    // the first day on which it no longer holds; none: it still does
	Recorded  calendar.Date `json:"recorded,omitzero"` // none: known at all times
	Citation  string        `json:"citation"`
	Source    Source        `json:"source"`
	Note      string        `json:"note,omitempty"`
}

// Stance is a jurisdiction's own word on a method of paint work, beyond what federal law says of it.
type Stance struct {
	Method     string        `json:"method"`
	Prohibited bool          `json:"prohibited"` // else allowed only under the guard
	Guard      string        `json:"guard"`      // the condition, or what to do instead
	Effective  calendar.Date `json:"effective"`
	Until      calendar.Date `json:"until,omitzero"`
	Recorded   calendar.Date `json:"recorded,omitzero"`
	Citation   string        `json:"citation"`
	Source     Source        `json:"source"`
	Note       string        `json:"note,omitempty"`
}

// LocalStance is a stance that holds somewhere on a date.
type LocalStance struct {
	Jurisdiction string
	Stance
}

// Cite is the stance's citation.
func (s Stance) Cite() Citation { return Citation{Clause: s.Citation, Source: s.Source, Note: s.Note} }

// With is the book with overlays on top. Handles hold in both books, and the rule set names both. An overlay that passed Check
// before is taken, even if federal law has since become stricter than it; only a value that cannot be read is an error.
func (b *Book) With(overlays []Overlay) (*Book, error) {
	if len(overlays) == 0 {
		return b, nil
	}
	var faults fault.Faults
	with := &Book{parameters: slices.Clone(b.parameters), tables: b.tables, overlays: slices.Clone(overlays)}
	hash := sha256.New()
	for i, o := range overlays {
		for j, told := range o.Values {
			v, n, err := b.read(o.Jurisdiction, told)
			if err != nil {
				faults.Merge(fmt.Sprintf("/%d/values/%d", i, j), err)
				continue
			}
			if b.parameters[n].Stricter == neither {
				continue // it could be entered when it was still compared
			}
			v.overlay = i + 1
			p := &with.parameters[n]
			p.Values = append(slices.Clip(p.Values), v)
		}
		for _, s := range o.Practices {
			with.stances = append(with.stances, LocalStance{o.Jurisdiction, s})
		}
		text, err := json.Marshal(o)
		if err != nil {
			return nil, err
		}
		fmt.Fprintf(hash, "%s\n", text)
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	with.index()
	with.ruleSet = b.ruleSet + "+" + hex.EncodeToString(hash.Sum(nil))[:12]
	return with, nil
}

// Check is an Implausible fault with everything about an overlay that cannot be, at "/values/1/parameter" and the like, and with
// Strict every value that is weaker than federal law.
func (b *Book) Check(o Overlay) error {
	var faults fault.Faults
	if o.Jurisdiction == Federal || o.Jurisdiction == "" {
		faults.Add("/jurisdiction", "federal_law", "An overlay belongs to a state, a tribe or a city; federal law is not entered here.")
	}
	for i, told := range o.Values {
		faults.Merge(fmt.Sprintf("/values/%d", i), b.checkValue(o, i, told))
	}
	for i, s := range o.Practices {
		if !s.Source.known() {
			faults.Add(fmt.Sprintf("/practices/%d/source", i), "unknown_source", sayHowKnown)
		}
	}
	for i, r := range o.Requirements {
		at := fmt.Sprintf("/requirements/%d", i)
		faults.Merge(at, r.check())
		if slices.ContainsFunc(o.Requirements[:i], func(q Requirement) bool { return q.Code == r.Code && q.Effective == r.Effective }) {
			faults.Add(at+"/code", "told_twice", "There is already a requirement %s from %s.", r.Code, r.Effective)
		}
	}
	return faults.Err()
}

// neither is said of a parameter of which no value protects more than another.
const neither = "neither"

const sayHowKnown = "Say how well the clause is known: text, derived, secondary, memory or common_practice."

func (b *Book) checkValue(o Overlay, i int, told OverlayValue) error {
	_, n, err := b.read(o.Jurisdiction, told)
	if err != nil {
		return err
	}
	var faults fault.Faults
	if b.parameters[n].Stricter == neither {
		faults.Add("/parameter", "not_of_a_place", "%s is the same everywhere: neither a higher nor a lower value would protect more. Tell what the place asks as a requirement.", told.Parameter)
	}
	if slices.ContainsFunc(o.Values[:i], func(w OverlayValue) bool {
		return w.Parameter == told.Parameter && w.Effective == told.Effective && w.Recorded == told.Recorded
	}) {
		faults.Add("/effective", "told_twice", "There is already a value of %s from %s.", told.Parameter, told.Effective)
	}
	if !o.Strict {
		return faults.Err()
	}
	for _, e := range b.Effects(Overlay{Jurisdiction: o.Jurisdiction, Values: []OverlayValue{told}}) {
		if e.Effect == FederalGoverns {
			faults.Add("/value", "weaker_than_federal", "%s of %s is weaker than the federal %s (%s) from %s; leave it out, or enter the overlay without strict.",
				e.Value, e.Parameter, e.Federal, e.Citation.Clause, e.From)
		}
	}
	return faults.Err()
}

// read reads one value of an overlay; n is the parameter's place.
func (b *Book) read(jurisdiction string, told OverlayValue) (v Value, n int, err error) {
	var faults fault.Faults
	n, there := b.find(told.Parameter)
	if !there {
		return v, n, fault.New(fault.Implausible, "unknown_parameter", "There is no such parameter.").
			At("/parameter", "unknown_parameter", "There is no parameter %q; GET /v1/law/parameters lists them.", told.Parameter)
	}
	p := b.parameters[n]
	v = Value{Jurisdiction: jurisdiction, Programme: Local, Value: told.Value, Effective: told.Effective, Required: told.Required, Until: told.Until,
		Citation: told.Citation, Source: told.Source, Recorded: told.Recorded, Note: told.Note}
	if v.Required.IsZero() {
		v.Required = v.Effective
	}
	number, err := measure.ParseNumber(told.Value)
	faults.Merge("/value", err)
	if err == nil {
		number, err = converted(number, told.Unit, p.Unit)
		faults.Merge("/unit", err)
	}
	switch {
	case number.Sign() < 0:
		faults.Add("/value", "negative", "No number of the law is below zero.")
	case err == nil && number.IsZero() && !p.mayBeNothing():
		faults.Add("/value", "zero", "%s is never nothing; tell the value that is asked for, or a requirement.", p.Title)
	}
	if v.Required.Before(v.Effective) {
		faults.Add("/required", "before_effective", "It is required on %s, before it takes effect on %s.", v.Required, v.Effective)
	}
	if !v.Until.IsZero() && !v.Until.After(v.Required) {
		faults.Add("/until", "ends_before_it_begins", "It ends on %s and is required from %s.", v.Until, v.Required)
	}
	if !v.Source.known() {
		faults.Add("/source", "unknown_source", sayHowKnown)
	}
	v.number, v.whole = number, int(number.Scaled(0))
	if told.Unit != p.Unit {
		v.Value = number.String()
	}
	return v, n, faults.Err()
}

// converted is a number in the parameter's unit.
func converted(n measure.Number, from, to string) (measure.Number, error) {
	if from == to {
		return n, nil
	}
	wrong := fault.New(fault.Implausible, "wrong_unit", "%q is not a unit of this parameter, which is in %q.", from, to).
		At("", "wrong_unit", "%q is not a unit of this parameter; use %q or another of its dimension.", from, to)
	a, err := measure.ParseUnit(from)
	if err != nil || to == "" {
		return n, wrong
	}
	z, err := measure.ParseUnit(to)
	if err != nil || a.Dimension() != z.Dimension() {
		return n, wrong
	}
	return measure.Convert(n, a, z), nil
}

// Stances are what the jurisdictions of a scope say of a method on a date, beyond federal law.
func (b *Book) Stances(method string, date calendar.Date, jurisdictions []string) []LocalStance {
	if !b.fixed.IsZero() {
		date = b.fixed
	}
	var list []LocalStance
	for _, s := range b.stances {
		if s.Method == method && contains(jurisdictions, s.Jurisdiction) && !s.Effective.After(date) && (s.Until.IsZero() || s.Until.After(date)) {
			list = append(list, s)
		}
	}
	return list
}

// Knows reports whether rules of a jurisdiction are on record. Federal law always is.
func (b *Book) Knows(jurisdiction string) bool {
	return jurisdiction == Federal || slices.ContainsFunc(b.overlays, func(o Overlay) bool { return o.Jurisdiction == jurisdiction })
}
