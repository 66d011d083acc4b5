package practice

import (
	"slices"

	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// instead lists methods that may be used where a method is not allowed as it is: those that no rule which applies here names.
func (r Rules) instead(f Facts, stance Stance) []Instead {
	list := []Instead{}
	if stance == Allowed {
		return list
	}
	for _, o := range others[f.Method] {
		g := Facts{AsOf: f.AsOf, Method: o, Abatement: f.Abatement, Assisted: f.Assisted, Exterior: f.Exterior, Volatile: law.No}
		if r.outcome(g) == Allowed.String() {
			list = append(list, Instead{o, ways[o]})
		}
	}
	return list
}

// others are methods that do the work of another with less dust.
var others = map[Method][]Method{
	OpenFlame:            {WetScraping, ChemicalStripper, CutOrRemovedWhole},
	HeatGun:              {WetScraping, ChemicalStripper, CutOrRemovedWhole},
	MachineWithoutShroud: {WetSanding, WetScraping, CutOrRemovedWhole},
	MachineWithShroud:    {WetSanding, WetScraping, CutOrRemovedWhole},
	AbrasiveBlasting:     {WetScraping, PowerWashingContained, ChemicalStripper},
	AbrasiveBlastingHEPA: {WetScraping, PowerWashingContained, ChemicalStripper},
	DryScraping:          {WetScraping},
	DrySanding:           {WetSanding, WetScraping},
	ChemicalStripper:     {WetScraping, CutOrRemovedWhole},
	SolventStripper:      {ChemicalStripper, WetScraping, CutOrRemovedWhole},
	PowerWashing:         {PowerWashingContained, WetScraping},
	Unknown:              {WetScraping, WetSanding},
}

// ways say how a method is used well; the trade's practice, without a number of the law.
var ways = map[Method]string{
	WetScraping:           "Mist the surface and keep it damp while scraping.",
	WetSanding:            "Keep the surface and the sponge or paper wet.",
	CutOrRemovedWhole:     "Take the component off whole, wrapped, and work on it where nobody lives.",
	ChemicalStripper:      "Use a stripper that is not volatile and holds none of the prohibited solvent.",
	PowerWashingContained: "Contain the water and the chips, and collect them.",
}

// alternatives are what could be found out or done about the method.
func (r Rules) alternatives(f Facts, all []ruled) []law.Alternative[Facts] {
	var list []law.Alternative[Facts]
	add := func(when, action bool, fact, value string, set func(*Facts)) {
		if when {
			list = append(list, law.Alternative[Facts]{Fact: fact, Value: value, Action: action, Set: set})
		}
	}
	l := r.limits(f.AsOf, f.Exterior)
	lacks := map[string]bool{}
	for _, v := range all {
		for _, fact := range v.lacks {
			lacks[fact] = lacks[fact] || v.applies != law.No
		}
	}
	add(f.Abatement == law.Unknown, false, "abatement", "yes", func(f *Facts) { f.Abatement = law.Yes })
	add(f.Abatement == law.Unknown, false, "abatement", "no", func(f *Facts) { f.Abatement = law.No })
	add(f.Assisted == law.Unknown, false, "assisted", "no", func(f *Facts) { f.Assisted = law.No })
	for _, o := range others[f.Method] {
		add(true, f.Method != Unknown, "method", string(o), func(f *Facts) {
			f.Method, f.Volatile, f.Shroud, f.HEPA, f.WithHeatGun = o, law.No, law.Unknown, law.Unknown, false
		})
	}
	r.machine(f, add)
	if cool, ok := r.cool(l, all); ok {
		add(f.Temperature.Known() || lacks["temperature"], true, "temperature", "below "+cool.text, func(f *Facts) { f.Temperature = just(cool) })
	}
	stripper := f.Method == ChemicalStripper || f.Method == SolventStripper
	add(stripper && f.Ventilated != law.Yes, true, "well_ventilated", "yes", func(f *Facts) { f.Ventilated = law.Yes })
	add(stripper && f.Volatile == law.Unknown, false, "volatile_stripper", "no", func(f *Facts) { f.Volatile = law.No })
	if l.hudSpot.there {
		add(f.Method == DryScraping && !atMost(f.SpotArea, l.hudSpot.quantity), f.SpotArea.Known(), "spot_area", "no more than "+l.hudSpot.text, func(f *Facts) { f.SpotArea = l.hudSpot.quantity })
	}
	add(f.Charring == law.Yes, true, "charring", "no", func(f *Facts) { f.Charring = law.No })
	return list
}

// machine adds what can be done about machines and blasting: shroud, vacuum, dust kept in.
func (r Rules) machine(f Facts, add func(when, action bool, fact, value string, set func(*Facts))) {
	if !slices.Contains([]Method{MachineWithShroud, MachineWithoutShroud, AbrasiveBlasting, AbrasiveBlastingHEPA}, f.Method) {
		return
	}
	switch f.Method {
	case MachineWithoutShroud:
		add(true, true, "method", string(MachineWithShroud), func(f *Facts) { f.Method, f.Shroud, f.HEPA = MachineWithShroud, law.Yes, law.Yes })
	case AbrasiveBlasting:
		add(true, true, "method", string(AbrasiveBlastingHEPA), func(f *Facts) { f.Method, f.HEPA = AbrasiveBlastingHEPA, law.Yes })
	}
	_, hepa := f.Method.comesWith()
	add(f.Shroud != law.Yes && f.Method != MachineWithoutShroud, true, "shroud", "yes", func(f *Facts) { f.Shroud = law.Yes })
	add(f.HEPA != law.Yes && hepa == law.Unknown, true, "hepa", "yes", func(f *Facts) { f.HEPA = law.Yes })
	add(f.DustOutside == law.Yes, true, "visible_dust_outside", "no", func(f *Facts) { f.DustOutside = law.No })
}

// cool is the lowest temperature that a rule which applies, or may, holds heat guns to.
func (r Rules) cool(l limits, all []ruled) (found limit, ok bool) {
	of := map[string]limit{"epa_renovation_practices": l.heat, "epa_abatement_practices": l.abatementHeat, "housing_prohibited_methods": l.hudHeat}
	for _, v := range all {
		if is, numbered := of[v.rule]; numbered && v.applies != law.No && (!ok || is.quantity.Cmp(found.quantity) < 0) {
			found, ok = is, true
		}
	}
	return found, ok
}

// just is a quantity that is less than a limit.
func just(l limit) measure.Quantity {
	q := l.quantity
	q.Qualifier = measure.LessThan
	return q
}
