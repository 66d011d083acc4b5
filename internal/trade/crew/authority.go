package crew

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// Holder is a firm or a person with their certificates, in any discipline and order.
type Holder struct {
	Name         string
	Certificates []Certificate
	Trained      law.Tri // a person, by a certified renovator
}

// Deed is an act that was done.
type Deed struct {
	Act Act
	By  string // a holder's name
}

// AuthorityFacts are who was there and what was to be done, on a day and in a place.
type AuthorityFacts struct {
	AsOf          calendar.Date
	Jurisdictions []string
	Acts          []Act // none: those of a renovation
	Firms, People []Holder
	Reachable     law.Tri // a certified renovator was, at all times
	Emergency     law.Tri // an emergency renovation
	Kit           *Kit
	Done          []Deed
}

// Rules are this package's rules, found once in a book of law.
type Rules struct {
	Certificates Certificates
	Authority    Authority
}

// NewRules finds what every rule here reads; an error names a parameter that is not there.
func NewRules(book *law.Book) (Rules, error) {
	var r Rules
	var err error
	if r.Certificates, err = NewCertificates(book); err != nil {
		return r, err
	}
	r.Authority, err = NewAuthority(book)
	return r, err
}

// Authority are the rules on who may do what.
type Authority struct {
	Certificates
	kits kits
}

// NewAuthority finds the parameters.
func NewAuthority(book *law.Book) (Authority, error) {
	r := Authority{}
	var err error
	if r.Certificates, err = NewCertificates(book); err != nil {
		return r, err
	}
	r.kits, err = newKits(book)
	return r, err
}

// AuthorityAnswer says who might do what.
type AuthorityAnswer struct {
	Outcome   string            `json:"outcome"`
	Acts      []ActAnswer       `json:"acts"`
	Nobody    []Act             `json:"nobody_may"`
	Done      []DeedAnswer      `json:"done"`
	Kit       *KitAnswer        `json:"kit,omitempty"`
	Renewals  []Renewal         `json:"renewals"`
	Explained law.Determination `json:"determination"`
}

// The outcomes of who may do what.
const (
	Staffed          = "staffed"                // somebody may do each act
	NotStaffed       = "not_staffed"            // nobody may do some act
	WithoutAuthority = "done_without_authority" // somebody did what they might not do
)

// ActAnswer says who may do one act.
type ActAnswer struct {
	Act      Act          `json:"act"`
	State    string       `json:"state"` // somebody, nobody, or lifted in an emergency
	By       []string     `json:"by"`
	Text     string       `json:"text"`
	Rule     string       `json:"rule"`
	Citation law.Citation `json:"citation"`
}

const (
	somebody = "somebody"
	nobody   = "nobody"
	lifted   = "lifted"
)

// DeedAnswer says whether somebody might do what they did.
type DeedAnswer struct {
	Index   int    `json:"index"` // in the request, from 0
	Allowed bool   `json:"allowed"`
	Why     string `json:"why"`
}

// Renewal is something due for a holder's certificate.
type Renewal struct {
	Who        string     `json:"who"`
	Discipline Discipline `json:"discipline"`
	Due
}

// Judge says who might do what.
func (r Authority) Judge(f AuthorityFacts) (AuthorityAnswer, error) {
	if len(f.Acts) == 0 {
		f.Acts = OfARenovation()
	}
	if err := r.check(f); err != nil {
		return AuthorityAnswer{}, err
	}
	return r.explain(f), nil
}

func (r Authority) check(f AuthorityFacts) error {
	var faults fault.Faults
	seen := map[string]bool{}
	holders := func(list []Holder, at string, firms bool) {
		for i, h := range list {
			if seen[h.Name] {
				faults.Add(fmt.Sprintf("%s/%d/name", at, i), "told_twice", "There is already somebody called %s; tell all their certificates together.", h.Name)
			}
			seen[h.Name] = true
			for n, c := range h.Certificates {
				where := fmt.Sprintf("%s/%d/certificates/%d", at, i, n)
				r.checkOne(&faults, where, c)
				if (c.Discipline == Firm) != firms {
					faults.Add(where+"/discipline", "contradiction", "Firms have certificates of firms, and people those of people.")
				}
			}
		}
	}
	holders(f.Firms, "/firms", true)
	holders(f.People, "/people", false)
	for i, d := range f.Done {
		if !seen[d.By] {
			faults.Add(fmt.Sprintf("/done/%d/by", i), "no_such_person", "%q is not among the firms and people told; add them, with what certificates they have.", d.By)
		}
	}
	if f.Kit != nil {
		f.Kit.check(&faults)
	}
	return faults.Err()
}

// standing is a holder's standing in a discipline.
func (r Authority) standing(h Holder, d Discipline, f AuthorityFacts) (CertificateFacts, judgement) {
	g := CertificateFacts{AsOf: f.AsOf, Jurisdictions: f.Jurisdictions}
	for _, c := range h.Certificates {
		if c.Discipline == d {
			g.Certificates = append(g.Certificates, c)
		}
	}
	if len(g.Certificates) == 0 {
		return g, judgement{standing: NotShown}
	}
	return g, r.judge(g)
}

// renewals is what is due for every certificate, the earliest first.
func (r Authority) renewals(f AuthorityFacts) []Renewal {
	list := []Renewal{}
	for _, h := range slices.Concat(f.Firms, f.People) {
		for _, d := range disciplines {
			g, j := r.standing(h, d, f)
			if len(g.Certificates) == 0 {
				continue
			}
			for _, due := range r.dues(g, j) {
				if due.State != met {
					list = append(list, Renewal{Who: h.Name, Discipline: d, Due: due})
				}
			}
		}
	}
	slices.SortStableFunc(list, func(a, b Renewal) int {
		return cmp.Or(cmp.Compare(a.On, b.On), strings.Compare(a.Who, b.Who))
	})
	return list
}
