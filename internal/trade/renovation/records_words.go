package renovation

import (
	"sillbook/internal/trade/law"
)

// The outcomes of record keeping.
const (
	keepSome    = "keep"
	keepNothing = "nothing_to_keep"
)

func (k *keeping) use() {
	d := &k.a.Determination
	d.Use("completed_on", k.Completed.String())
	if !k.Invoiced.IsZero() {
		d.Use("final_invoice_on", k.Invoiced.String())
	}
	for _, told := range []struct {
		fact string
		tri  law.Tri
	}{{"covered", k.Covered}, {"assisted", k.Assisted}, {"owner_there", k.OwnerThere}, {"mailed", k.Mailed}, {"attempted_delivery", k.Attempted}, {"dust_clearance", k.Clearance}, {"workers_exposed", k.Workers}, {"ongoing_maintenance", k.Maintenance}} {
		if told.tri != law.Unknown {
			d.Use(told.fact, told.tri.String())
		}
	}
}

// conclude puts the outcome and what was missing into the answer.
func (k *keeping) conclude() {
	d := &k.a.Determination
	k.a.Outcome = keepSome
	if len(k.a.Records) == 0 {
		k.a.Outcome = keepNothing
		d.Because("keep_renovation_records", "covered", "no", keepThree, "The work is no covered renovation, and nothing else that was told asks for records.")
	}
	d.Outcome = k.a.Outcome
	gap := func(fact string, t law.Tri, when bool, why, change string) {
		if when && t == law.Unknown {
			d.Miss(fact, why, change)
		}
	}
	gap("covered", k.Covered, true, "The renovation rule's records are kept of covered renovations.", "Work that is not covered leaves them out.")
	gap("assisted", k.Assisted, true, "The housing rule's records are kept of assisted homes.", "A home without assistance leaves them out.")
	gap("ongoing_maintenance", k.Maintenance, k.Assisted != law.No, "Where maintenance or reevaluation goes on, records are kept until after it ends.", "Knowing that none goes on gives the last day.")
	gap("workers_exposed", k.Workers, true, "Records of employees' exposure are kept for decades.", "Work by nobody's employees leaves them out.")
	gap("dust_clearance", k.Clearance, k.Covered != law.No, "A dust sampling report is kept and given, too.", "Knowing that no wipes were taken leaves it out.")
	gap("mailed", k.Mailed, k.Covered != law.No && !k.Emergency, "Certificates of mailing are kept.", "Knowing that nothing was mailed leaves them out.")
	gap("attempted_delivery", k.Attempted, k.Covered != law.No && !k.Emergency, "Certifications of attempted delivery are kept.", "Knowing that none was attempted leaves them out.")
}
