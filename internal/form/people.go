package form

import (
	"encoding/json"
	"fmt"
	"time"

	openapi "github.com/oapi-codegen/runtime/types"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/postgres"
	"sillbook/internal/trade/crew"
)

// Those who do the work and check it.
var (
	Firm   = kindOf("firm", "firms", "Firm", checkFirm)
	Person = kindOf("person", "people", "Person", checkPerson)
)

func checkFirm(api.FirmCreate, time.Time, *fault.Faults) {}

func checkPerson(api.PersonCreate, time.Time, *fault.Faults) {}

// CertificateUnder is the kind of record for certificates, checked by the rules that judge them.
func CertificateUnder(rules crew.Certificates) Kind {
	k := Kind{Name: "certificate", Path: "certificates", Schema: "Certificate"}
	k.check = func(text []byte, now time.Time, f *fault.Faults) error {
		var told api.CertificateCreate
		if err := json.Unmarshal(text, &told); err != nil {
			return fault.New(fault.Malformed, "malformed", "The body cannot be read: %s.", err)
		}
		certificate, err := postgres.CertificateOf(text)
		if err != nil {
			return fault.New(fault.Malformed, "malformed", "The body cannot be read: %s.", err)
		}
		checkHeld(told, f)
		f.Merge("", rules.Check(certificate))
		checkPast(told, now, f)
		return nil
	}
	return k
}

// checkHeld refuses a certificate of nobody, of two, or of somebody who cannot hold it.
func checkHeld(c api.CertificateCreate, f *fault.Faults) {
	switch {
	case told(c.FirmId, c.PersonId) == 2:
		f.Add("/person_id", "one_of_two", "A certificate is of one holder; give firm_id or person_id, one of the two.")
	case c.Discipline == api.DisciplineFirm && c.FirmId == nil:
		f.Add("/firm_id", "missing", "A firm's certificate is a firm's; give its firm_id.")
	case c.Discipline != api.DisciplineFirm && c.PersonId == nil:
		f.Add("/person_id", "missing", "People are certified in this discipline, not firms; give person_id.")
	}
}

// checkPast refuses what has not happened yet. A certificate may end on a day to come.
func checkPast(c api.CertificateCreate, now time.Time, f *fault.Faults) {
	past := func(pointer string, on *openapi.Date) {
		if on != nil {
			NotTomorrow(f, pointer, on.Time, now)
		}
	}
	past("/issued_on", c.IssuedOn)
	past("/applied_on", c.AppliedOn)
	past("/refused_on", c.RefusedOn)
	past("/supplement_asked_on", c.SupplementAskedOn)
	past("/supplement_sent_on", c.SupplementSentOn)
	for i, change := range list(c.Changes) {
		past(fmt.Sprintf("/changes/%d/changed_on", i), &change.ChangedOn)
		past(fmt.Sprintf("/changes/%d/amended_on", i), change.AmendedOn)
	}
}

// checkCrew refuses somebody who has the same part twice.
func checkCrew(members []api.CrewMember, f *fault.Faults) {
	seen := map[api.CrewMember]bool{}
	for i, m := range members {
		if seen[m] {
			f.Add(fmt.Sprintf("/crew/%d", i), "listed_twice", "The same person has the same part twice; leave one of the two out.")
		}
		seen[m] = true
	}
}

// CertificatesDue writes what is due for certificates; complete is false where there is more than the list bears.
func CertificatesDue(due []postgres.CertificateDue) any {
	items := due[:min(len(due), mostListed)]
	return struct {
		Items    []postgres.CertificateDue `json:"items"`
		Complete bool                      `json:"complete"`
	}{append([]postgres.CertificateDue{}, items...), len(items) == len(due)}
}

const mostListed = 1000
