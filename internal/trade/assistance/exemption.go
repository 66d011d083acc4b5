package assistance

import (
	"fmt"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
)

// ExemptionFacts are what it turns on whether the housing rule leaves a home or a piece of work out.
type ExemptionFacts struct {
	AsOf          calendar.Date
	BuildYear     int // 0 when not known
	Certainty     home.Certainty
	Bedrooms      int
	HousingFor    home.HousingFor
	ChildUnderSix law.Tri // one lives there or is expected to

	FoundLeadFree      law.Tri // by a lead-based paint inspection
	LeadPaintRemoved   law.Tri // all of it
	RemovalCleared     law.Tri
	EnclosedOrCoated   law.Tri // some lead-based paint was enclosed or encapsulated instead
	Unoccupied         law.Tri // and stays so until it is demolished
	ToBeDemolished     law.Tri
	NonResidential     law.Tri // the part asked about is not lived in
	SharedWithHomes    law.Tri // an entry, hall or stair that serves dwellings
	Rehabilitation     law.Tri
	PaintDisturbed     law.Tri
	EmergencyAction    law.Tri // at once, against danger to life, health or property
	SeizedOn           calendar.Date
	FirstPaymentOn     calendar.Date // of emergency rental help, or help against foreclosure
	BadWeather         law.Tri       // exterior work that weather does not allow
	Historic           law.Tri
	PreservationOffice law.Tri // the State historic preservation office asks for interim controls
}

// ExemptionOutcome is the answer to whether the housing rule leaves something out.
type ExemptionOutcome string

// The outcomes. Presumed means not exempt, unless a fact that is not known says otherwise.
const (
	Exempt            ExemptionOutcome = "exempt"
	ExemptInPart      ExemptionOutcome = "exempt_in_part"
	NotExempt         ExemptionOutcome = "not_exempt"
	PresumedNotExempt ExemptionOutcome = "presumed_not_exempt"
)

// Extent is what an exemption takes out.
type Extent string

// The extents.
const (
	Whole  Extent = "whole"  // the home, or the programme's help to it
	Part   Extent = "part"   // the part of the property or of the work
	Delay  Extent = "delay"  // it may wait
	Method Extent = "method" // another method may be used
)

// Exemption is one exemption that holds, or might.
type Exemption struct {
	Code     string        `json:"code"`
	Holds    string        `json:"holds"` // yes or unknown
	Extent   Extent        `json:"extent"`
	Through  calendar.Date `json:"through,omitzero"` // its last day, where it ends
	Why      string        `json:"why"`
	Citation law.Citation  `json:"citation"`

	holds law.Tri
}

// ExemptionAnswer says whether the housing rule leaves something out, and by which exemption.
type ExemptionAnswer struct {
	Outcome    ExemptionOutcome  `json:"outcome"`
	Exemptions []Exemption       `json:"exemptions"`
	Why        law.Determination `json:"determination"`
}

// ExemptionRules are the parameters that exemptions read, found once.
type ExemptionRules struct {
	book                *law.Book
	scope               law.Scope
	year, seizure, help law.Handle
	zeroBedroomChild    law.Handle
}

func newExemptionRules(book *law.Book) (ExemptionRules, error) {
	r := ExemptionRules{book: book}
	return r, book.Handles(map[string]*law.Handle{"housing_rule_year": &r.year, "seizure_exempt_days": &r.seizure,
		"emergency_aid_exempt_days": &r.help, "zero_bedroom_child_rule": &r.zeroBedroomChild})
}

// In is the rules as they hold in a property's jurisdictions, beside the federal one.
func (r ExemptionRules) In(jurisdictions []string) ExemptionRules {
	r.scope.Jurisdictions = jurisdictions
	return r
}

// exemptions are the numbers of the exemptions on a date.
type exemptions struct {
	year, seizure, help int
}

// Exempt decides whether the housing rule leaves a home, a part of it, or a piece of work out (24 CFR 35.115(a)). An exemption
// that rests on a fact that is not known does not hold.
func (r ExemptionRules) Exempt(f ExemptionFacts) (ExemptionAnswer, error) {
	if err := f.check(); err != nil {
		return ExemptionAnswer{}, err
	}
	l := r.book.Lookup(f.AsOf, "/as_of", r.scope)
	n := exemptions{year: l.Value(r.year).Int(), seizure: l.Value(r.seizure).Int(), help: l.Value(r.help).Int()}
	if err := l.Err(); err != nil {
		return ExemptionAnswer{}, err
	}
	a := n.decide(f)
	a.Why = r.explain(f, n, a)
	law.Otherwise(&a.Why, f, n.alternatives(f), func(f ExemptionFacts) string { return string(n.decide(f).Outcome) })
	return a, nil
}

// check refuses facts that contradict each other.
func (f ExemptionFacts) check() error {
	var faults fault.Faults
	if f.FoundLeadFree == law.Yes && f.EnclosedOrCoated == law.Yes {
		faults.Add("/enclosed_or_encapsulated", "contradiction", "Lead-based paint that was enclosed or encapsulated is still there, and an inspection is told to have found none; correct one of the two.")
	}
	if f.LeadPaintRemoved == law.Yes && f.EnclosedOrCoated == law.Yes {
		faults.Add("/enclosed_or_encapsulated", "contradiction", "All lead-based paint is told to be removed, and some to be enclosed or encapsulated; correct one of the two.")
	}
	if !f.SeizedOn.IsZero() && f.SeizedOn.After(f.AsOf) {
		faults.Add("/seized_on", "in_the_future", "It was seized on %s, after the day asked about, %s; correct one of the two.", f.SeizedOn, f.AsOf)
	}
	if !f.FirstPaymentOn.IsZero() && f.FirstPaymentOn.After(f.AsOf) {
		faults.Add("/first_payment_on", "in_the_future", "The first payment was on %s, after the day asked about, %s; correct one of the two.", f.FirstPaymentOn, f.AsOf)
	}
	return faults.Err()
}

func (n exemptions) decide(f ExemptionFacts) ExemptionAnswer {
	a := ExemptionAnswer{Outcome: NotExempt, Exemptions: []Exemption{}}
	for _, e := range n.all(f) {
		if e.holds == law.No {
			continue
		}
		e.Holds = e.holds.String()
		a.Exemptions = append(a.Exemptions, e)
		whole := e.Extent == Whole
		switch {
		case whole && e.holds == law.Yes:
			a.Outcome = Exempt
		case a.Outcome == Exempt:
		case e.holds == law.Yes:
			a.Outcome = ExemptInPart
		case a.Outcome == NotExempt:
			a.Outcome = PresumedNotExempt
		}
	}
	return a
}

// all are the exemptions in the order of the clause.
func (n exemptions) all(f ExemptionFacts) []Exemption {
	aside := f.setAside()
	list := []Exemption{
		{Code: "built_after", Extent: Whole, holds: n.builtAfter(f), Why: fmt.Sprintf("It was built on or after 1 January %d.", n.year), Citation: clause(1)},
		{Code: "zero_bedroom", Extent: Whole, holds: f.zeroBedroom(), Why: "It has no bedroom that is separate from its living area; single rented rooms count so.", Citation: clause(2)},
		{Code: "set_aside", Extent: Whole, holds: aside, Why: "It is housing for older people or people with disabilities only, and no child under six lives or is expected to live there.", Citation: clause(3)},
		{Code: "found_lead_free", Extent: Whole, holds: known(f.FoundLeadFree), Why: "A lead-based paint inspection found it free of lead-based paint.", Citation: clause(4)},
		{Code: "lead_paint_removed", Extent: Whole, holds: claimed(f.LeadPaintRemoved, f.RemovalCleared, not(f.EnclosedOrCoated)), Why: "All lead-based paint was removed and the work cleared; none was enclosed or encapsulated instead.", Citation: clause(5)},
		{Code: "to_be_demolished", Extent: Whole, holds: claimed(f.ToBeDemolished, f.Unoccupied), Why: "It is not lived in and will be demolished; it stays empty until then.", Citation: clause(6)},
		{Code: "non_residential", Extent: Part, holds: claimed(f.NonResidential, not(f.SharedWithHomes)), Why: "The part is not lived in and is no entry, hall or stair that serves dwellings.", Citation: clause(7)},
		{Code: "no_paint_disturbed", Extent: Whole, holds: f.noPaint(), Why: "The rehabilitation disturbs no painted surface.", Citation: clause(8)},
		{Code: "emergency_action", Extent: Part, holds: known(f.EmergencyAction), Why: "What must be done at once against danger to life, health or property is exempt; the work after it is not.", Citation: clause(9)},
	}
	list = append(list, n.timed(f)...)
	return append(list,
		Exemption{Code: "weather", Extent: Delay, holds: known(f.BadWeather), Why: "Exterior work that weather does not allow may wait until it does; then it is done.", Citation: clause(12)},
		Exemption{Code: "historic", Extent: Method, holds: claimed(f.Historic, f.PreservationOffice), Why: "At the request of the historic preservation office interim controls may take the place of abatement, with maintenance and reevaluation.", Citation: clause(13)})
}

// timed are the exemptions that end on a day.
func (n exemptions) timed(f ExemptionFacts) []Exemption {
	list := []Exemption{}
	if last := f.SeizedOn.AddDays(n.seizure - 1); !f.SeizedOn.IsZero() {
		list = append(list, Exemption{Code: "seized", Extent: Whole, holds: yes(!f.AsOf.After(last)), Through: last, Citation: clause(10),
			Why: fmt.Sprintf("A law enforcement agency seized it and has owned it for fewer than %d days.", n.seizure)})
	}
	if last := f.FirstPaymentOn.AddDays(n.help - 1); !f.FirstPaymentOn.IsZero() {
		list = append(list, Exemption{Code: "emergency_aid", Extent: Whole, holds: yes(!f.AsOf.After(last)), Through: last, Citation: clause(11),
			Why: fmt.Sprintf("Emergency rental help and help against foreclosure are exempt until %d days after the first payment.", n.help)})
	}
	return list
}

func clause(n int) law.Citation {
	return law.Cite(fmt.Sprintf("24 CFR 35.115(a)(%d)", n), law.Text)
}
