package practice

import (
	"strings"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Rules are the parameters that methods are judged by, found once.
type Rules struct {
	book  *law.Book
	scope law.Scope

	heat, abatementHeat, hudHeat         law.Handle
	abatementSpotInside, hudSpotInside   law.Handle
	abatementSpotOutside, hudSpotOutside law.Handle
	hudOutlet                            law.Handle
}

// NewRules finds the parameters.
func NewRules(book *law.Book) (Rules, error) {
	r := Rules{book: book}
	return r, book.Handles(map[string]*law.Handle{
		"heat_gun_temperature": &r.heat, "abatement_heat_gun_temperature": &r.abatementHeat, "hud_heat_gun_temperature": &r.hudHeat,
		"abatement_dry_scraping_spot_interior": &r.abatementSpotInside, "hud_dry_scraping_spot_interior": &r.hudSpotInside,
		"abatement_dry_scraping_spot_exterior": &r.abatementSpotOutside, "hud_dry_scraping_spot_exterior": &r.hudSpotOutside,
		"hud_dry_scraping_outlet_distance": &r.hudOutlet,
	})
}

// In is the rules as they hold in a property's jurisdictions, beside the federal one.
func (r Rules) In(jurisdictions []string) Rules {
	r.scope.Jurisdictions = jurisdictions
	return r
}

// limits are the numbers of a date that methods are judged by. A rule whose numbers are not there is not in force yet.
type limits struct {
	heat, abatementHeat, hudHeat, abatementSpot, hudSpot, outlet limit
}

type limit struct {
	quantity measure.Quantity
	there    bool
	text     string // the number as it is said in a sentence
}

func (r Rules) limits(on calendar.Date, exterior bool) limits {
	l := limits{heat: r.limit(r.heat, on), abatementHeat: r.limit(r.abatementHeat, on), hudHeat: r.limit(r.hudHeat, on),
		abatementSpot: r.limit(r.abatementSpotInside, on), hudSpot: r.limit(r.hudSpotInside, on), outlet: r.limit(r.hudOutlet, on)}
	if exterior {
		l.abatementSpot, l.hudSpot = r.limit(r.abatementSpotOutside, on), r.limit(r.hudSpotOutside, on)
	}
	return l
}

func (r Rules) limit(h law.Handle, on calendar.Date) limit {
	v, ok := r.book.On(h, on, law.Required, r.scope)
	if !ok {
		return limit{}
	}
	q := r.book.Quantity(h, v)
	return limit{quantity: q, there: true, text: spaced(v.Value, q.Unit)}
}

// spaced says a number with its unit.
func spaced(value string, u measure.Unit) string {
	switch u {
	case measure.Fahrenheit:
		return value + " degrees Fahrenheit"
	case measure.SquareFoot:
		return value + " square feet"
	case measure.Foot:
		return value + " feet"
	}
	return value + " " + u.String()
}

// Guard says what makes a restricted method lawful, with the numbers of a date; what is not restricted needs none.
func (r Rules) Guard(m Method, on calendar.Date) string {
	text := "the number of the rule"
	if l := r.limit(r.heat, on); l.there {
		text = l.text
	}
	return strings.ReplaceAll(RuleOf(m).Guard, heatPlace, text)
}
