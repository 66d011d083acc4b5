package practice

import (
	"strings"

	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// heated judges the temperature of a heat gun against a rule's number; too is said of one that does not hold to it, with % for
// the number.
func (f Facts) heated(cite law.Citation, l limit, holds func(q, limit measure.Quantity) bool, too string) verdict {
	switch {
	case !f.Temperature.Known():
		return barred(cite, strings.ReplaceAll("Heat guns are held to %, and the temperature of this one is not known.", "%", l.text), "temperature")
	case !holds(f.Temperature, l.quantity):
		return barred(cite, strings.ReplaceAll(too, "%", l.text))
	}
	return guarded(cite, "Heat guns are restricted: this one holds to "+l.text+".", guard{"temperature", "Keep the heat gun as it is: the rule holds it to " + l.text + "."})
}

// dry is scraping by hand without water, which abatement and the housing rule prohibit but for three exceptions: together with
// a heat gun, at an outlet, and on small defective spots. The abatement rule says "around" an outlet and gives no distance;
// the housing rule's is taken for it.
func (l limits) dry(f Facts, heat verdict, spot limit, cite law.Citation) verdict {
	switch {
	case l.outlet.there && atMost(f.OutletDistance, l.outlet.quantity):
		return guarded(cite, "Dry scraping is restricted: this is within "+l.outlet.text+" of an electrical outlet.", guard{"near_outlet", "Scrape dry only within " + l.outlet.text + " of the outlet, and wet beyond."})
	case atMost(f.SpotArea, spot.quantity):
		return guarded(cite, "Dry scraping is restricted: the defective spots come to no more than "+spot.text+" "+f.where()+".", guard{"small_spots", "Scrape dry no more than " + spot.text + " of defective spots in all " + f.where() + "."})
	case f.WithHeatGun:
		if heat.stance == Restricted {
			heat.guards = append([]guard{{"with_heat_gun", "Scrape dry only what the heat gun has softened."}}, heat.guards...)
		}
		return heat
	}
	v := barred(cite, "Dry scraping is prohibited except with a heat gun, at an electrical outlet, or on small defective spots.")
	if !f.OutletDistance.Known() {
		v.lacks = append(v.lacks, "outlet_distance")
	}
	if !f.SpotArea.Known() {
		v.lacks = append(v.lacks, "spot_area")
	}
	return v
}

func (f Facts) where() string {
	if f.Exterior {
		return "outdoors"
	}
	return "in the room"
}
