package practice

import (
	"slices"

	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

var (
	epaFlame   = law.Cite("40 CFR 745.85(a)(3)(i)", law.Text)
	epaMachine = law.Cite("40 CFR 745.85(a)(3)(ii)", law.Text)
	epaHeat    = law.Cite("40 CFR 745.85(a)(3)(iii)", law.Text)
	epaAll     = law.Cite("40 CFR 745.85(a)(3)", law.Text)
	epaContain = law.Cite("40 CFR 745.85(a)(2)", law.Derived)

	abateFlame   = law.Cite("40 CFR 745.227(e)(6)(i)", law.Text)
	abateMachine = law.Cite("40 CFR 745.227(e)(6)(ii)", law.Text)
	abateDry     = law.Citation{Clause: "40 CFR 745.227(e)(6)(iii)", Source: law.Text, Note: `The clause says "around electrical outlets" and gives no distance; that of 24 CFR 35.140(e) is taken for it.`}
	abateHeat    = law.Cite("40 CFR 745.227(e)(6)(iv)", law.Text)
	abateAll     = law.Cite("40 CFR 745.227(e)(6)", law.Text)

	hudRemoval = law.Cite("24 CFR 35.140", law.Text)
)

// hud cites a paragraph of 24 CFR 35.140.
func hud(paragraph string) law.Citation { return law.Cite("24 CFR 35.140"+paragraph, law.Text) }

// use notes the facts that were told.
func (f Facts) use(d *law.Determination) {
	d.Use("as_of", f.AsOf.String())
	d.Use("method", string(f.Method))
	d.Use("place", f.place())
	for _, t := range []struct {
		fact  string
		value law.Tri
	}{{"abatement", f.Abatement}, {"assisted", f.Assisted}, {"shroud", f.Shroud}, {"hepa", f.HEPA}, {"visible_dust_outside", f.DustOutside},
		{"well_ventilated", f.Ventilated}, {"volatile_stripper", f.Volatile}, {"charring", f.Charring}} {
		if t.value != law.Unknown {
			d.Use(t.fact, t.value.String())
		}
	}
	if f.WithHeatGun {
		d.Use("with_heat_gun", "yes")
	}
	for _, q := range []struct {
		fact  string
		value measure.Quantity
	}{{"temperature", f.Temperature}, {"outlet_distance", f.OutletDistance}, {"spot_area", f.SpotArea}} {
		if q.value.Known() {
			d.Use(q.fact, string(q.value.Qualifier)+q.value.Text+" "+q.value.Code)
		}
	}
}

func (f Facts) place() string {
	if f.Exterior {
		return "exterior"
	}
	return "room"
}

// gaps say of a fact that is not known why it matters and what knowing it could change.
var gaps = []struct{ fact, why, change string }{
	{"method", "What the rules say turns on the method.", "A method that no rule names is allowed."},
	{"temperature", "Heat guns are held to a temperature.", "A temperature below the rule's makes the heat gun restricted instead of prohibited."},
	{"shroud", "Machines and blasting are prohibited without a shroud.", "A shroud, with a HEPA vacuum, makes it restricted instead of prohibited."},
	{"hepa", "Machines and blasting are prohibited without HEPA exhaust.", "A HEPA vacuum attached makes it restricted instead of prohibited."},
	{"well_ventilated", "Volatile strippers are prohibited in poorly ventilated spaces.", "A well ventilated space makes it restricted instead of prohibited."},
	{"volatile_stripper", "Only volatile strippers are restricted; one of which it is not known counts as volatile.", "A stripper that is not volatile is allowed."},
	{"outlet_distance", "Paint may be scraped dry at an electrical outlet.", "A distance within the exception makes it restricted instead of prohibited."},
	{"spot_area", "Small defective spots may be scraped dry.", "An area within the exception makes it restricted instead of prohibited."},
}

// miss notes the facts that are not known and on which a verdict rests.
func miss(d *law.Determination, all []ruled) {
	var lacks []string
	for _, v := range all {
		if v.applies != law.No {
			lacks = append(lacks, v.lacks...)
		}
	}
	for _, g := range gaps {
		if slices.Contains(lacks, g.fact) {
			d.Miss(g.fact, g.why, g.change)
		}
	}
}

// missRules notes that it is not known which rules apply, where that decides.
func (r Rules) missRules(d *law.Determination, f Facts) {
	now := r.outcome(f)
	turns := func(set func(*Facts)) bool {
		g := f
		set(&g)
		return r.outcome(g) != now
	}
	if f.Abatement == law.Unknown && (turns(func(f *Facts) { f.Abatement = law.Yes }) || turns(func(f *Facts) { f.Abatement = law.No })) {
		d.Miss("abatement", "Abatement and renovation have practices of their own; work of which it is not known counts as both.", "Knowing which of the two it is leaves the other's practices out.")
	}
	if f.Assisted == law.Unknown && turns(func(f *Facts) { f.Assisted = law.No }) {
		d.Miss("assisted", "The housing rule holds in federally assisted homes; one of which it is not known counts as assisted.", "In a home that is not assisted the other rules decide.")
	}
}
