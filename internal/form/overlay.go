package form

import (
	"encoding/json"
	"fmt"
	"time"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/overlay"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// OverlayUnder is the kind of record for a place's own rules, checked against a book of federal law.
func OverlayUnder(book *law.Book) Kind {
	k := Kind{Name: "overlay", Path: "overlays", Schema: "Overlay"}
	k.check = func(text []byte, _ time.Time, f *fault.Faults) error {
		var told law.Overlay
		if err := json.Unmarshal(text, &told); err != nil {
			return fault.New(fault.Malformed, "malformed", "The body cannot be read: %s.", err)
		}
		f.Merge("", book.Check(told))
		f.Merge("", overlay.Ready(&told))
		return nil
	}
	return k
}

// Overlay reads an overlay that is not entered, to be tried; faults are at "/values/0/parameter" and the like.
func Overlay(book *law.Book, told api.OverlayCreate) (law.Overlay, error) {
	var o law.Overlay
	text, err := json.Marshal(told)
	if err != nil {
		return o, err
	}
	if err := json.Unmarshal(text, &o); err != nil {
		return o, err
	}
	var faults fault.Faults
	faults.Merge("", book.Check(o))
	faults.Merge("", overlay.Ready(&o))
	return o, faults.Err()
}

// effectForm is the written form of what a local value does.
type effectForm struct {
	Parameter string        `json:"parameter"`
	Value     string        `json:"value"`
	From      calendar.Date `json:"from"`
	Until     calendar.Date `json:"until,omitzero"`
	Effect    string        `json:"effect"`
	Federal   string        `json:"federal,omitempty"`
	Citation  *law.Citation `json:"citation,omitempty"`
}

// effectsForm is the written form of what an overlay does.
type effectsForm struct {
	Jurisdiction string       `json:"jurisdiction"`
	Effects      []effectForm `json:"effects"`
}

// OverlayEffects writes what the overlay in a record's body does beside federal law.
func OverlayEffects(book *law.Book, body []byte) (any, error) {
	var o law.Overlay
	if err := json.Unmarshal(body, &o); err != nil {
		return nil, err
	}
	answer := effectsForm{Jurisdiction: o.Jurisdiction, Effects: []effectForm{}}
	for _, e := range book.Effects(o) {
		f := effectForm{Parameter: e.Parameter, Value: e.Value, From: e.From, Until: e.Until, Effect: e.Effect, Federal: e.Federal}
		if e.Federal != "" {
			f.Citation = &e.Citation
		}
		answer.Effects = append(answer.Effects, f)
	}
	return answer, nil
}

// LocalEvent reads an event and what is known of it.
func LocalEvent(b api.LocalEventFacts) (law.LocalEvent, error) {
	e := law.LocalEvent{AsOf: Day(b.AsOf), Jurisdictions: b.Jurisdictions, Trigger: law.Trigger(b.Event), On: Day(b.On), Facts: law.LocalFacts{}}
	var faults fault.Faults
	for i, told := range list(b.Facts) {
		at := fmt.Sprintf("/facts/%d", i)
		if _, twice := e.Facts[told.Fact]; twice {
			faults.Add(at+"/fact", "told_twice", "%s is told twice; keep one of the two.", told.Fact)
			continue
		}
		e.Facts[told.Fact] = told.Value
		one := law.LocalFacts{told.Fact: told.Value}
		if err := one.Check(); err != nil {
			for _, field := range fault.As(err).Fields {
				faults.Add(at+"/value", field.Code, "%s", field.Detail)
			}
		}
	}
	return e, faults.Err()
}
