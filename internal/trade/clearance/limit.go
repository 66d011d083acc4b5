package clearance

import (
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Limit is a value of the law that must be met on the date of sampling, the most protective of those that apply. The zero Limit is none.
type Limit struct {
	Value        measure.Quantity
	Effective    calendar.Date // when it took effect
	Required     calendar.Date // from when it must be met
	Jurisdiction string
	Programme    string
	Citation     law.Citation
}

// Known reports whether there is a limit.
func (l Limit) Known() bool { return l.Value.Known() }

// Level is the limit of a surface, and the stricter ones that were in effect on the date of sampling but not yet required,
// in the order in which they come to be.
type Level struct {
	Limit
	Coming []Limit
}

// Limits are what the law says about dust clearance on one date, in one place, under its programmes.
type Limits struct {
	On                              calendar.Date // the local date of sampling
	Jurisdictions, Programmes       []string      // as asked for, beside those that always hold
	Floor, Sill, Trough, PorchFloor Level         // in ug/ft2; a level is failed at or above it
	LaboratoryShare                 Limit         // largest share of a level that a laboratory's reporting limit may be
	Wait                            Limit         // shortest time between final cleaning and sampling
	FieldBlank, MediaBlank          Limit         // most lead on a blank
	LeastParts, MostParts           int           // wipes of a composite
	Composite                       law.Citation
	Barred                          *law.Citation // of the rule by which no composite clears; nil where they may

	rules *Rules // that they were read by; nil in limits made by hand
}

// level is the level for a surface: floors, bare and carpeted, share one, and so do porch floors and exterior concrete.
func (l *Limits) level(s Surface) Level {
	switch s {
	case FloorBare, FloorCarpeted:
		return l.Floor
	case Sill:
		return l.Sill
	case Trough:
		return l.Trough
	case PorchFloor, ExteriorConcrete:
		return l.PorchFloor
	}
	return Level{}
}

// Rules reads the limits out of the book of law, and answers the questions around them.
type Rules struct {
	Counts      Counts
	Plans       Plans
	Authorities Authorities

	book                            *law.Book
	floor, sill, trough, porchFloor law.Handle
	share, wait, least, most        law.Handle
	fieldBlank, mediaBlank, barred  law.Handle
	hazardFloor, hazardSill         law.Handle
	actionNamed                     law.Handle
}

// NewRules finds what clearance reads in the book; an error names a parameter that is not there.
func NewRules(book *law.Book) (*Rules, error) {
	r := &Rules{book: book}
	for name, handle := range map[string]*law.Handle{
		"clearance_dust_floor": &r.floor, "clearance_dust_sill": &r.sill, "clearance_dust_trough": &r.trough,
		"clearance_dust_porch_floor": &r.porchFloor, "laboratory_reportable_share": &r.share,
		"clearance_wait": &r.wait, "clearance_composite_least": &r.least, "clearance_composite_most": &r.most,
		"media_blank_most": &r.mediaBlank, "clearance_composites_barred": &r.barred,
		"field_blank_most":  &r.fieldBlank,
		"hazard_dust_floor": &r.hazardFloor, "hazard_dust_sill": &r.hazardSill, "action_level_named": &r.actionNamed,
	} {
		var err error
		if *handle, err = book.Handle(name); err != nil {
			return nil, err
		}
	}
	var err error
	if r.Counts, err = NewCounts(book); err != nil {
		return nil, err
	}
	if r.Authorities, err = newAuthorities(book); err != nil {
		return nil, err
	}
	r.Plans, err = newPlans(r)
	return r, err
}

// Programmes whose limits are asked for always: EPA's, and whatever a state, tribe or city has made its own. HUD's own rule has no numbers
// of its own that count: it may not be weaker than EPA's (24 CFR 35.1320(b)(2)).
var always = []string{"epa", "local"}

// On is the limits on the local date of sampling, under EPA's rule, the told programmes ("hud", "hud_grant") and the told jurisdictions.
func (r *Rules) On(date calendar.Date, jurisdictions, programmes []string) Limits {
	scope := law.Scope{Jurisdictions: jurisdictions, Programmes: append(append([]string{}, always...), programmes...)}
	limits := Limits{
		rules:           r,
		On:              date,
		Jurisdictions:   jurisdictions,
		Programmes:      programmes,
		Floor:           r.level(r.floor, date, scope),
		Sill:            r.level(r.sill, date, scope),
		Trough:          r.level(r.trough, date, scope),
		PorchFloor:      r.level(r.porchFloor, date, scope),
		LaboratoryShare: r.limit(r.share, date, scope),
		Wait:            r.limit(r.wait, date, scope),
	}
	here := law.Scope{Jurisdictions: jurisdictions}
	limits.FieldBlank, limits.MediaBlank = r.limit(r.fieldBlank, date, here), r.limit(r.mediaBlank, date, here)
	if v, ok := r.book.On(r.barred, date, law.Required, here); ok && v.Int() == 1 {
		cite := v.Cite()
		limits.Barred = &cite
	}
	if v, ok := r.book.On(r.least, date, law.Required, scope); ok {
		limits.LeastParts = int(v.Number().Scaled(0))
	}
	if v, ok := r.book.On(r.most, date, law.Required, scope); ok {
		limits.MostParts, limits.Composite = int(v.Number().Scaled(0)), v.Cite()
	}
	return limits
}

func (r *Rules) limit(h law.Handle, date calendar.Date, scope law.Scope) Limit {
	v, ok := r.book.On(h, date, law.Required, scope)
	if !ok {
		return Limit{}
	}
	return r.limitOf(h, v)
}

func (r *Rules) limitOf(h law.Handle, v *law.Value) Limit {
	return Limit{Value: r.book.Quantity(h, v), Effective: v.Effective, Required: v.Required,
		Jurisdiction: v.Jurisdiction, Programme: v.Programme, Citation: v.Cite()}
}

func (r *Rules) level(h law.Handle, date calendar.Date, scope law.Scope) Level {
	level := Level{Limit: r.limit(h, date, scope)}
	for from := date; ; {
		v, ok := r.book.Next(h, from, scope)
		if !ok {
			return level
		}
		if !v.Effective.After(date) {
			level.Coming = append(level.Coming, r.limitOf(h, v))
		}
		from = v.Required
	}
}
