package crew

import (
	"fmt"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// By are the disciplines any one of which is enough for an act.
func (a Act) By() []Discipline { return authorities[a].by }

// Clause is the clause that says so.
func (a Act) Clause() law.Citation { return authorities[a].cite }

// Rule is the stable name of the rule that says so.
func (a Act) Rule() string { return authorities[a].rule }

// Who may do an act, in words: "certified inspector or certified risk assessor".
func (a Act) Who() string { return or(authorities[a].by) }

// Check refuses a certificate that contradicts itself or cannot be, by itself. Faults are at "/issued_on" and the like.
func (r Certificates) Check(c Certificate) error {
	var faults fault.Faults
	r.checkOne(&faults, "", c)
	return faults.Err()
}

// Holding is how somebody stands in one of several disciplines.
type Holding struct {
	Discipline Discipline
	CertificateAnswer
}

// Holds says how somebody stands on a day and in a place in the disciplines any one of which is enough: in the first in which
// they are certified, else in the first of which something is shown, else in the first. all are their certificates, of any
// discipline.
func (r Certificates) Holds(all []Certificate, enough []Discipline, on calendar.Date, jurisdictions []string) (best Holding, err error) {
	for i, d := range enough {
		f := CertificateFacts{AsOf: on, Jurisdictions: jurisdictions, Certificates: Of(all, d)}
		a, err := r.Judge(f)
		if err != nil {
			return best, err
		}
		if a.Outcome == Valid {
			return Holding{d, a}, nil
		}
		if i == 0 || best.Outcome == NotShown && a.Outcome != NotShown {
			best = Holding{d, a}
		}
	}
	return best, nil
}

// Of are the certificates of one discipline, in their order.
func Of(all []Certificate, d Discipline) (list []Certificate) {
	for _, c := range all {
		if c.Discipline == d {
			list = append(list, c)
		}
	}
	return list
}

// Gap is a day on which somebody was not certified, and how they stood.
type Gap struct {
	On       calendar.Date
	Standing Standing
}

// mostDays bounds how many days of one stretch are looked at.
const mostDays = 1500

// FirstGap finds the first day from one to another on which somebody is certified in none of the disciplines; no day where they
// are on all of them. Of a longer stretch than about four years the first days are looked at.
func (r Certificates) FirstGap(all []Certificate, enough []Discipline, from, to calendar.Date, jurisdictions []string) (Gap, bool) {
	var facts []CertificateFacts
	for _, d := range enough {
		facts = append(facts, CertificateFacts{Jurisdictions: jurisdictions, Certificates: Of(all, d)})
	}
	for on, n := from, 0; !on.After(to) && n < mostDays; on, n = on.AddDays(1), n+1 {
		gap := Gap{On: on, Standing: NotShown}
		for _, f := range facts {
			f.AsOf = on
			standing := r.judge(f).standing
			if standing == Valid {
				gap.Standing = Valid
				break
			}
			if gap.Standing == NotShown {
				gap.Standing = standing
			}
		}
		if gap.Standing != Valid {
			return gap, true
		}
	}
	return Gap{}, false
}

// Because says in a few words why somebody is not certified: "no certificate on record shows it".
func (a CertificateAnswer) Because() string {
	if a.Outcome == Expired {
		return fmt.Sprintf("the last day of what is on record was %s", a.ValidTo)
	}
	return a.Outcome.Because()
}

// Because says the same where only the standing is known.
func (s Standing) Because() string { return because[s] }

var because = map[Standing]string{
	Valid:        "a certificate on record holds",
	Stopped:      "a change at the firm was not told in time, which stops its work",
	NotValidHere: "the certificate on record is not of the authority that runs the programme there",
	Expired:      "the certificates on record had ended",
	NotYetValid:  "what is on record had not been issued by then",
	NotShown:     "no certificate on record shows it",
}
