package practice

import (
	"slices"
	"strings"

	"sillbook/internal/trade/law"
)

// Judged is what one rule says of a method under the facts.
type Judged struct {
	Rule         string       `json:"rule"`
	Jurisdiction string       `json:"jurisdiction,omitempty"` // of a local rule
	Applies      string       `json:"applies"`                // yes, no or unknown; unknown counts as yes
	Stance       string       `json:"stance"`                 // allowed, restricted or prohibited
	Why          string       `json:"why"`
	Guards       []Condition  `json:"guards"` // what must hold where it is restricted
	Citation     law.Citation `json:"citation"`
}

// Condition is something that must hold while a restricted method is used.
type Condition struct {
	Code     string       `json:"code"`
	Text     string       `json:"text"`
	Citation law.Citation `json:"citation"`
}

// Instead is a method to use in the place of one that is not allowed as it is.
type Instead struct {
	Method Method `json:"method"`
	Text   string `json:"text"`
}

// Answer says whether a method may be used. Its outcome is the stance of the most protective rule that applies.
type Answer struct {
	Outcome     string            `json:"outcome"`
	Governing   string            `json:"governing"` // the rule whose stance it is
	NeverMinor  bool              `json:"never_minor"`
	Stances     []Judged          `json:"stances"`
	Guards      []Condition       `json:"guards"` // of all rules that apply
	Instead     []Instead         `json:"instead"`
	Determining law.Determination `json:"determination"`
}

// ruled is a rule's verdict, before it is put into an answer.
type ruled struct {
	rule, jurisdiction string
	applies            law.Tri
	verdict
}

// Judge says what the rules make of a method under facts. Where it is not known which rule applies, each that may does, and the
// most protective governs. Facts that contradict one another, and a date before the rules, are faults.
func (r Rules) Judge(f Facts) (Answer, error) {
	if err := f.Check(); err != nil {
		return Answer{}, err
	}
	f = f.settled()
	all := r.rule(f)
	governing, ok := strictest(all)
	if !ok {
		return Answer{}, r.book.TooEarly(r.heat, "/as_of", f.AsOf)
	}
	a := Answer{Outcome: governing.stance.String(), Governing: governing.rule, Stances: []Judged{}, Guards: []Condition{},
		NeverMinor: RuleOf(f.Method).NeverMinor() || f.Method == DryScraping && f.WithHeatGun}
	for _, v := range all {
		a.Stances = append(a.Stances, v.judged())
		if v.applies != law.No && governing.stance == Restricted {
			a.Guards = addConditions(a.Guards, v.conditions())
		}
	}
	a.Instead = r.instead(f, governing.stance)
	a.Determining = r.explain(f, all, governing)
	law.Otherwise(&a.Determining, f, r.alternatives(f, all), r.outcome)
	return a, nil
}

// Stance is what [Rules.Judge] comes to, without its reasons; ok is false where it would refuse.
func (r Rules) Stance(f Facts) (s Stance, ok bool) {
	if f.Check() != nil {
		return Allowed, false
	}
	v, ok := strictest(r.rule(f.settled()))
	return v.stance, ok
}

func (r Rules) outcome(f Facts) string {
	s, ok := r.Stance(f)
	if !ok {
		return ""
	}
	return s.String()
}

// rule gives the verdict of every rule that is in force.
func (r Rules) rule(f Facts) []ruled {
	l := r.limits(f.AsOf, f.Exterior)
	var all []ruled
	if l.heat.there {
		all = append(all, ruled{"epa_renovation_practices", "", opposite(f.Abatement), l.renovation(f)})
	}
	if l.abatementHeat.there {
		all = append(all, ruled{"epa_abatement_practices", "", f.Abatement, l.abatement(f)})
	}
	if l.hudHeat.there {
		all = append(all, ruled{"housing_prohibited_methods", "", f.Assisted, l.housing(f)})
	}
	for _, local := range r.book.Stances(string(f.Method), f.AsOf, r.scope.Jurisdictions) {
		all = append(all, ruled{"local_practices", local.Jurisdiction, law.Yes, localVerdict(local.Stance)})
	}
	return all
}

// localVerdict is a jurisdiction's own word; its guard says the condition, or what to do instead.
func localVerdict(s law.Stance) verdict {
	if s.Prohibited {
		return barred(s.Cite(), strings.TrimSpace("The jurisdiction prohibits the method. "+s.Guard))
	}
	return guarded(s.Cite(), "The jurisdiction restricts the method.", guard{"local", s.Guard})
}

func opposite(t law.Tri) law.Tri {
	return [...]law.Tri{law.Unknown, law.No, law.Yes}[t]
}

// strictest is the first of the most protective verdicts that apply; ok is false where none does.
func strictest(all []ruled) (found ruled, ok bool) {
	for _, v := range all {
		if v.applies != law.No && (!ok || v.stance > found.stance) {
			found, ok = v, true
		}
	}
	return found, ok
}

func (v ruled) judged() Judged {
	return Judged{Rule: v.rule, Jurisdiction: v.jurisdiction, Applies: v.applies.String(), Stance: v.stance.String(), Why: v.why,
		Guards: v.conditions(), Citation: v.cite}
}

func (v ruled) conditions() []Condition {
	list := []Condition{}
	for _, g := range v.guards {
		list = append(list, Condition{g.code, g.text, v.cite})
	}
	return list
}

// addConditions adds those that are not in the list word for word.
func addConditions(list, more []Condition) []Condition {
	for _, c := range more {
		if !slices.ContainsFunc(list, func(d Condition) bool { return d.Text == c.Text }) {
			list = append(list, c)
		}
	}
	return list
}

func (r Rules) explain(f Facts, all []ruled, governing ruled) law.Determination {
	d := law.NewDetermination("practices", f.AsOf, r.book.RuleSet())
	d.Outcome = governing.stance.String()
	for _, v := range all {
		if v.applies != law.No {
			d.Because(v.rule, "method", string(f.Method), v.cite, v.why)
		}
	}
	f.use(&d)
	miss(&d, all)
	r.missRules(&d, f)
	d.Differences = differences(f, all, governing)
	return d
}

// names say the rules in a sentence.
var names = map[string]string{"epa_renovation_practices": "The renovation rule", "epa_abatement_practices": "The abatement rule",
	"housing_prohibited_methods": "The housing rule", "local_practices": "The local rule"}

// differences say where a rule that applies, or may, is less protective than the one that governs.
func differences(f Facts, all []ruled, governing ruled) []string {
	var list []string
	for _, v := range all {
		if v.applies != law.No && v.stance < governing.stance {
			list = append(list, names[v.rule]+" ("+v.cite.Clause+") has this method as "+v.stance.String()+"; "+
				lowered(names[governing.rule])+" ("+governing.cite.Clause+") as "+governing.stance.String()+". The more protective holds.")
		}
	}
	if f.Method == DrySanding && f.SpotArea.Known() && f.Assisted != law.No {
		list = append(list, "The exception of 24 CFR 35.140(e) for small defective spots can be read to cover dry sanding too; the stricter reading, that it names dry scraping alone, is taken.")
	}
	return list
}

func lowered(name string) string { return strings.Replace(name, "The", "the", 1) }
