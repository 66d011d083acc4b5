package clearance

import (
	"fmt"
	"strings"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// LevelFacts are where and when the levels are asked for.
type LevelFacts struct {
	SampledOn     calendar.Date // local
	Programmes    []string      // beside EPA's and the places' own
	Jurisdictions []string
}

// Levels are what dust is held against on a date.
type Levels struct {
	Called        string            `json:"called"` // clearance_level, or action_level as the law calls it since 2025
	Levels        []SurfaceLevels   `json:"levels"`
	Determination law.Determination `json:"determination"`
}

// SurfaceLevels are the levels of one surface. Clearance and hazard are two questions: a result may clear, and be a hazard.
type SurfaceLevels struct {
	Surface   string       `json:"surface"`
	Clearance *DatedLevel  `json:"clearance"` // nil where none is required on the date
	Hazard    *DatedLevel  `json:"hazard"`    // nil for what has none
	Next      *DatedLevel  `json:"next"`      // the next stricter clearance level on record; nil when none is
	History   []DatedLevel `json:"history"`   // of clearance
}

// DatedLevel is a level and from when it holds.
type DatedLevel struct {
	Value         measure.Shown `json:"value"`
	AnyReportable bool          `json:"any_reportable"` // of a hazard: any level that a recognised laboratory reports
	Effective     calendar.Date `json:"effective"`
	Required      calendar.Date `json:"required"`
	Jurisdiction  string        `json:"jurisdiction"`
	Programme     string        `json:"programme"`
	State         string        `json:"state"`
	Citation      law.Citation  `json:"citation"`
}

// The states of a level on a date.
const (
	Governs    = "governs"
	Milder     = "milder"     // it holds, and a stricter one governs
	Superseded = "superseded" // another has taken its place
	ToCome     = "to_come"    // it is not required yet, in effect or not
)

// surfaceHandles are the parameters of one surface.
type surfaceHandles struct {
	name, called      string
	clearance, hazard law.Handle // hazard: 0 for none
}

// Levels answers which levels hold on a date under EPA's rule, the told programmes and places; what they were, and what comes next.
func (r *Rules) Levels(f LevelFacts) (Levels, error) {
	on := f.SampledOn
	scope := law.Scope{Jurisdictions: f.Jurisdictions, Programmes: append(append([]string{}, always...), f.Programmes...)}
	look := r.book.Lookup(on, "/sampled_on", law.Scope{})
	named := look.Value(r.actionNamed)
	look.Value(r.floor)
	if err := look.Err(); err != nil {
		return Levels{}, err
	}
	a := Levels{Called: "clearance_level", Levels: []SurfaceLevels{}}
	if named.Int() == 1 {
		a.Called = "action_level"
	}
	d := law.NewDetermination("clearance_limits", on, r.book.RuleSet())
	d.Use("sampled_on", on.String())
	if len(f.Programmes) > 0 {
		d.Use("programme", strings.Join(f.Programmes, ", "))
	}
	if len(f.Jurisdictions) > 0 {
		d.Use("jurisdictions", strings.Join(f.Jurisdictions, ", "))
	} else {
		d.Miss("jurisdictions", "No state, tribe or city is named.", "A place may hold dust against lower levels.")
	}
	var outcome []string
	for _, s := range r.surfaces() {
		l := r.surfaceLevels(s, on, scope)
		a.Levels = append(a.Levels, l)
		explainLevels(&d, s, l, on)
		if l.Clearance != nil {
			outcome = append(outcome, s.called+" "+l.Clearance.Value.Value)
		}
	}
	d.Because("called", "sampled_on", on.String(), named.Cite(), "The law calls them "+strings.ReplaceAll(a.Called, "_", " ")+"s on that date.")
	d.Outcome = strings.Join(outcome, ", ") + " ug/ft2"
	a.Determination = d
	return a, nil
}

func (r *Rules) surfaces() []surfaceHandles {
	return []surfaceHandles{{"floor", "floors", r.floor, r.hazardFloor}, {"sill", "sills", r.sill, r.hazardSill}, {"trough", "troughs", r.trough, 0},
		{"porch_floor", "porch floors", r.porchFloor, 0}}
}

func (r *Rules) surfaceLevels(s surfaceHandles, on calendar.Date, scope law.Scope) SurfaceLevels {
	l := SurfaceLevels{Surface: s.name, History: []DatedLevel{}}
	governs, ok := r.book.On(s.clearance, on, law.Required, scope)
	if ok {
		l.Clearance = r.dated(s.clearance, governs, Governs)
	}
	if s.hazard != 0 {
		if v, ok := r.book.On(s.hazard, on, law.Required, scope); ok {
			l.Hazard = r.dated(s.hazard, v, Governs)
			l.Hazard.AnyReportable = v.Number().IsZero()
		}
	}
	if v, ok := r.book.Next(s.clearance, on, scope); ok {
		l.Next = r.dated(s.clearance, v, ToCome)
	}
	past := r.book.Past(s.clearance, scope)
	for i := range past {
		l.History = append(l.History, *r.dated(s.clearance, &past[i], stateOf(past, i, governs, on)))
	}
	return l
}

// stateOf is how a value of a history stands on a date.
func stateOf(past []law.Value, i int, governs *law.Value, on calendar.Date) string {
	v := past[i]
	if v.Required.After(on) {
		return ToCome
	}
	if !v.Until.IsZero() && !v.Until.After(on) {
		return Superseded
	}
	for _, w := range past[i+1:] {
		if w.Jurisdiction == v.Jurisdiction && w.Programme == v.Programme && !w.Required.After(on) {
			return Superseded
		}
	}
	if governs != nil && v.Number().Cmp(governs.Number()) == 0 && v.Jurisdiction == governs.Jurisdiction && v.Programme == governs.Programme {
		return Governs
	}
	return Milder
}

func (r *Rules) dated(h law.Handle, v *law.Value, state string) *DatedLevel {
	return &DatedLevel{Value: r.book.Quantity(h, v).Shown(), Effective: v.Effective, Required: v.Required, Jurisdiction: v.Jurisdiction,
		Programme: v.Programme, State: state, Citation: v.Cite()}
}

// explainLevels gives the reasons of one surface.
func explainLevels(d *law.Determination, s surfaceHandles, l SurfaceLevels, on calendar.Date) {
	fact := "sampled_on"
	switch {
	case l.Clearance != nil:
		d.Because("clearance_level", fact, on.String(), l.Clearance.Citation, fmt.Sprintf("On %s a wipe fails on %s at or above %s ug/ft2.", on, s.called, l.Clearance.Value.Value))
	case s.hazard == 0 && s.name == "porch_floor":
		d.Because("no_level_outdoors", fact, on.String(), samplePlaces, "No level for porch floors is set by the programmes and places named: clearance outdoors is visual.")
	}
	if l.Next != nil {
		text := fmt.Sprintf("From %s it fails on %s at or above %s ug/ft2", l.Next.Required, s.called, l.Next.Value.Value)
		if l.Clearance != nil {
			text += fmt.Sprintf(": a result from there up to the level of today passes now, and would fail from %s", l.Next.Required)
		}
		d.Because("next_level", fact, on.String(), l.Next.Citation, text+".")
	}
	if l.Hazard != nil {
		text := fmt.Sprintf("Apart from clearance, a hazard on %s is %s ug/ft2 or more, by a weighted mean.", s.called, l.Hazard.Value.Value)
		if l.Hazard.AnyReportable {
			text = fmt.Sprintf("Apart from clearance, a hazard on %s is any level that a recognised laboratory reports: some may remain after a job that cleared.", s.called)
		}
		d.Because("hazard_level", fact, on.String(), l.Hazard.Citation, text)
	}
}
