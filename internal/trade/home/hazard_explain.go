package home

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"sillbook/internal/trade/law"
)

func (r HazardRules) explain(f HazardFacts, n hazardLevels, a HazardAnswer) law.Determination {
	d := law.NewDetermination("hazards", f.AsOf, r.book.RuleSet())
	d.Outcome = string(a.Outcome)
	explainHazards(&d, a)
	n.explainDust(&d, f, a)
	n.explainSoil(&d, f, a)
	n.explainPaint(&d, f, a)
	if a.Outcome == NoHazards {
		d.Because("no_hazard_shown", "as_of", f.AsOf.String(), law.Cite("40 CFR 745.65", law.Text), "What was assessed shows no lead hazard.")
	}
	d.Because("nobody_obliged", "as_of", f.AsOf.String(), law.Cite("40 CFR 745.61(c)", law.Text), "The hazard standards by themselves oblige nobody to evaluate or to act; other rules that rest on them do.")
	for fact, count := range map[string]int{"surfaces": len(f.Surfaces), "soil": len(f.Soil), "dust": len(f.Dust)} {
		if count == 0 {
			d.Miss(fact, "It was not assessed.", "Hazards of it could be found.")
		}
	}
	slices.SortFunc(d.Missing, func(x, y law.Missing) int { return strings.Compare(x.Fact, y.Fact) })
	for _, u := range []law.Fact{{Fact: "surfaces", Value: strconv.Itoa(len(f.Surfaces))}, {Fact: "soil", Value: strconv.Itoa(len(f.Soil))}, {Fact: "dust", Value: strconv.Itoa(len(f.Dust))}} {
		d.Use(u.Fact, u.Value)
	}
	return d
}

// explainHazards gives one reason for each kind, with its places, and what is not known of them.
func explainHazards(d *law.Determination, a HazardAnswer) {
	kinds, open := []string{}, []string{}
	places, unknown := map[string][]string{}, map[string][]string{}
	first := map[string]Hazard{}
	for _, h := range a.Hazards {
		if !slices.Contains(kinds, h.rule) {
			kinds, first[h.rule] = append(kinds, h.rule), h
		}
		places[h.rule] = append(places[h.rule], h.Where)
		for _, fact := range h.open {
			if !slices.Contains(open, fact) {
				open = append(open, fact)
			}
			if !slices.Contains(unknown[fact], h.Where) {
				unknown[fact] = append(unknown[fact], h.Where)
			}
		}
	}
	for _, kind := range kinds {
		h := first[kind]
		d.Because(kind, h.fact(), some(places[kind]), h.Citation, h.Why)
	}
	for _, fact := range open {
		d.Miss(fact, fmt.Sprintf("A hazard is presumed where it is not known: %s.", some(unknown[fact])), "Knowing it could show that there is no hazard.")
	}
}

// fact is the list of a request that a hazard rests on.
func (h Hazard) fact() string {
	switch h.Kind {
	case "soil_play_area", "soil_yard":
		return "soil"
	case "dust_floor", "dust_sill":
		return "dust"
	}
	return "surfaces"
}

func (n hazardLevels) explainDust(d *law.Determination, f HazardFacts, a HazardAnswer) {
	if len(f.Dust) == 0 {
		return
	}
	d.Because("hazard_not_clearance", "dust", strconv.Itoa(len(f.Dust)), law.Cite("40 CFR 745.227(h)(3) beside 745.227(e)(8)(vii)", law.Derived),
		"A hazard is found by the weighted mean of a dwelling's samples. Clearance is another question: it judges each sample by itself, against levels of its own, and a mean below them clears nothing.")
	if slices.ContainsFunc(a.Means, func(m DustMean) bool { return m.Bounded }) {
		d.Because("less_than_bounds", "dust", "less than", law.Cite("40 CFR 745.227(h)(3)", law.Derived), "Results \"less than\" entered the means with their bounds, so those means are upper ones. A result \"less than\" is no reportable level.")
	}
	for _, m := range a.Means {
		if soon := n.soon(m.On); !m.HazardFrom.IsZero() {
			d.Because("hazard_level_coming", "dust", soon.Required.String(), soon.Cite(), fmt.Sprintf("A stricter level is in effect and must be met from %s (%s): means that are no hazard today are then hazards.", soon.Required, levelWords(soon)))
			break
		}
	}
	troughs := 0
	for _, s := range f.Dust {
		if s.On == OnTrough {
			troughs++
		}
	}
	if troughs > 0 {
		d.Because("troughs_left_out", "dust", strconv.Itoa(troughs), law.Cite("40 CFR 745.65(b)", law.Text), "There is no hazard level for window troughs; their samples are left out.")
	}
}

func levelWords(level *law.Value) string {
	if anyReportable(level) {
		return "any reportable level"
	}
	return level.Number().String() + " ug/ft2"
}

func (n hazardLevels) explainSoil(d *law.Determination, f HazardFacts, a HazardAnswer) {
	if slices.ContainsFunc(a.Hazards, func(h Hazard) bool { return h.Abate }) {
		d.Because("soil_abatement_hud", "soil", n.abate.Number().String()+" ppm", n.abate.Cite(), fmt.Sprintf("For HUD soil from %s ppm must be abated; interim controls are not enough.", n.abate.Number()))
	}
	if !slices.ContainsFunc(a.Hazards, func(h Hazard) bool { return h.Kind == "soil_yard" }) {
		return
	}
	switch n.bareEnough(f) {
	case law.No:
		d.Differences = append(d.Differences, fmt.Sprintf("EPA calls the soil of the rest of the yard a hazard (%s); HUD only where more than %s ft2 are bare (%s), and %s are. It counts as a hazard.",
			soilHazard.Clause, n.bare.Number(), n.bare.Cite(), f.BareYard.Show()))
	case law.Yes:
		d.Because("soil_bare_area_hud", "bare_soil_rest_of_yard", f.BareYard.Show(), n.bare.Cite(), fmt.Sprintf("More than %s ft2 of the rest of the yard are bare, so it is a hazard for HUD too.", n.bare.Number()))
	default:
		d.Miss("bare_soil_rest_of_yard", "For HUD soil of the rest of the yard is a hazard only where more than an area is bare.", fmt.Sprintf("%s ft2 or less would make it no hazard for HUD; for EPA it stays one.", n.bare.Number()))
	}
}

func (n hazardLevels) explainPaint(d *law.Determination, f HazardFacts, a HazardAnswer) {
	poor := []string{}
	for _, c := range a.Conditions {
		if c.Condition == "poor" {
			poor = append(poor, c.Surface)
		}
	}
	if len(poor) > 0 {
		d.Because("poor_condition", "surfaces", some(poor), poorPaint, "The deteriorated paint is more than the extent from which paint is in poor condition.")
	}
	if len(a.Practices) == 0 {
		return
	}
	at := []string{}
	for _, p := range a.Practices {
		if p.differs {
			at = append(at, p.Where)
		}
	}
	d.Because("work_practice_extent", "surfaces", some(placesOf(a.Practices)), law.Cite("40 CFR 745.65(d); 24 CFR 35.1350(d)", law.Text),
		"Work practices to treat paint hazards are left out for small extents: by EPA for less than the limits, by HUD for not more than them.")
	if len(at) > 0 {
		d.Differences = append(d.Differences, fmt.Sprintf("%s: the extent is exactly the limit of %s ft2 in a room, %s ft2 outside or %s %% of a small component. EPA leaves out less than that (40 CFR 745.65(d)), HUD not more than that (24 CFR 35.1350(d)); use the work practices.",
			some(at), n.practice[0].Number(), n.practice[1].Number(), n.practice[2].Number()))
	}
}

func placesOf(practices []PracticeExtent) (places []string) {
	for _, p := range practices {
		places = append(places, p.Where)
	}
	return places
}

// hazardAlternatives are the facts that are not known of the hazards that are presumed. Where a hazard was found nothing would
// change the outcome, and where more places are open than a set can name, no set would.
func hazardAlternatives(f HazardFacts, a HazardAnswer) []law.Alternative[HazardFacts] {
	list := []law.Alternative[HazardFacts]{}
	places := []string{}
	for _, h := range a.Hazards {
		if h.holds == law.Yes {
			return list
		}
		if !slices.Contains(places, h.Where) {
			places = append(places, h.Where)
		}
	}
	if len(places) > 3 {
		return list
	}
	for i, s := range f.Surfaces {
		if !slices.Contains(places, s.Label) {
			continue
		}
		for _, fact := range unknowns(named{"lead_based", s.LeadBased}, named{"deteriorated", s.Deteriorated}, named{"friction", s.Friction}, named{"impact_damage", s.ImpactDamage}, named{"tooth_marks", s.ToothMarks}) {
			list = append(list, law.Alternative[HazardFacts]{Fact: fact + " of " + s.Label, Value: "no", Set: func(f *HazardFacts) { f.Surfaces = f.notSo(i, fact) }})
		}
	}
	for i, s := range f.Soil {
		if s.Bare == law.Unknown {
			list = append(list, law.Alternative[HazardFacts]{Fact: "bare of " + s.Label, Value: "no", Set: func(f *HazardFacts) {
				f.Soil = slices.Clone(f.Soil)
				f.Soil[i].Bare = law.No
			}})
		}
	}
	return list
}

// notSo is a copy of the surfaces in which a fact of one is no.
func (f HazardFacts) notSo(i int, fact string) []HazardSurface {
	surfaces := slices.Clone(f.Surfaces)
	s := &surfaces[i]
	*map[string]*law.Tri{"lead_based": &s.LeadBased, "deteriorated": &s.Deteriorated, "friction": &s.Friction, "impact_damage": &s.ImpactDamage, "tooth_marks": &s.ToothMarks}[fact] = law.No
	return surfaces
}
