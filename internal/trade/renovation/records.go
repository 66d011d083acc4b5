package renovation

import (
	"fmt"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
)

// LeadFreeBy is the route by which components were found free of lead-based paint (745.82(a)).
type LeadFreeBy string

// The routes.
const (
	NotFoundFree LeadFreeBy = ""
	ByInspector  LeadFreeBy = "inspection"
	ByTestKit    LeadFreeBy = "test_kit"
	ByPaintChip  LeadFreeBy = "paint_chip"
)

// RecordFacts are what the records of a job turn on.
type RecordFacts struct {
	Completed   calendar.Date
	Invoiced    calendar.Date // final invoice; none where there was none, or it is not known
	Covered     law.Tri
	Assisted    law.Tri
	Abatement   bool
	Emergency   bool
	Place       home.UnitKind
	OwnerThere  law.Tri    // the owner lives there, or runs the facility
	LeadFree    LeadFreeBy // components left out of the work practices
	Mailed      law.Tri    // a pamphlet was mailed
	Attempted   law.Tri    // a delivery was attempted
	Clearance   law.Tri    // dust wipes were taken
	Workers     law.Tri    // employees worked on it whose exposure was assessed
	Maintenance law.Tri    // ongoing maintenance or reevaluation applies to the home
	Ended       calendar.Date
	Disclosed   calendar.Date // completion of a sale, or start of a lease, for which the home was disclosed
}

// Kept is one kind of record, and until when it is kept.
type Kept struct {
	Code     string        `json:"code"`
	Text     string        `json:"text"`
	Until    calendar.Date `json:"keep_until,omitzero"` // last day; none where it turns on what has not happened
	Term     string        `json:"term"`
	Citation law.Citation  `json:"citation"`
}

// Given is something that is given to somebody, and by when.
type Given struct {
	Code     string        `json:"code"`
	Text     string        `json:"text"`
	By       calendar.Date `json:"by"`
	Citation law.Citation  `json:"citation"`
}

// RecordAnswer is what is kept of a job and until when, and what is given to whom.
type RecordAnswer struct {
	Outcome       string            `json:"outcome"`
	Records       []Kept            `json:"records"`
	Give          []Given           `json:"give"`
	Determination law.Determination `json:"determination"`
}

var (
	keepThree   = law.Cite("40 CFR 745.86(a)", law.Text)
	keepList    = law.Cite("40 CFR 745.86(b)", law.Text)
	giveInfo    = law.Cite("40 CFR 745.86(c)", law.Text)
	giveDust    = law.Cite("40 CFR 745.86(d)", law.Text)
	keepHousing = law.Cite("24 CFR 35.175", law.Text)
	keepAbate   = law.Cite("40 CFR 745.227(i)", law.Text)
)

// Records says what is kept of a job, until when, and what is given to whom by when. What is not known is kept.
func (r Rules) Records(f RecordFacts) (RecordAnswer, error) {
	if err := f.check(); err != nil {
		return RecordAnswer{}, err
	}
	k := keeping{RecordFacts: f, n: r.numbers("/completed_on", f.Completed)}
	k.a = RecordAnswer{Records: []Kept{}, Give: []Given{}, Determination: law.NewDetermination("record_keeping", f.Completed, r.RuleSet())}
	k.use()
	if f.Covered != law.No {
		k.renovation()
		k.give()
	}
	if f.Abatement {
		k.abatement()
	}
	if f.Assisted != law.No {
		k.housing()
	}
	if f.Workers != law.No {
		k.workers()
	}
	if !f.Disclosed.IsZero() {
		k.disclosure()
	}
	k.conclude()
	return k.a, k.n.err()
}

func (f RecordFacts) check() error {
	var faults fault.Faults
	if !f.Ended.IsZero() && f.Maintenance == law.No {
		faults.Add("/maintenance_ended_on", "contradiction", "No maintenance or reevaluation applies, so none ended; correct ongoing_maintenance or leave the date out.")
	}
	if f.Emergency && f.Covered == law.No {
		faults.Add("/emergency", "contradiction", "An emergency renovation is a covered renovation; correct covered or emergency.")
	}
	return faults.Err()
}

type keeping struct {
	RecordFacts
	n *numbers
	a RecordAnswer
}

func (k *keeping) keep(code, text string, until calendar.Date, term string, cite law.Citation) {
	k.a.Records = append(k.a.Records, Kept{code, text, until, term, cite})
}

// renovation is the list of 745.86(b).
func (k *keeping) renovation() {
	until := k.Completed.AddYears(k.n.value("records_years").Int())
	term := k.n.say("{records_years} years after completion")
	add := func(code, text string, when bool) {
		if when {
			k.keep(code, text, until, term, keepList)
		}
	}
	add("lead_free_inspection", "The report of the inspector or risk assessor who found components free of lead-based paint.", k.LeadFree == ByInspector)
	add("lead_free_test_kit", "Of each test kit its manufacturer and model, the components and places tested, and each result.", k.LeadFree == ByTestKit)
	add("lead_free_paint_chips", "Of paint chips the components and places, the laboratory's name and address, and each result.", k.LeadFree == ByPaintChip)
	notices := !k.Emergency
	add("acknowledgements", "The signed and dated acknowledgements of the pamphlet.", notices)
	add("attempted_delivery_certifications", "The certifications of attempted delivery.", notices && k.Attempted != law.No)
	add("certificates_of_mailing", "The certificates of mailing.", notices && k.Mailed != law.No)
	add("common_area_notices", "The written notices or the record of signs, and the statement of the steps taken to tell the units.", notices && k.Place == home.CommonArea)
	add("facility_notices", "The record of what parents and guardians were given or the signs, and the statement of the steps taken.", notices && k.Place == home.ChildOccupiedFacility)
	add("training_certificate", "A copy of the certified renovator's training certificate.", true)
	add("training_of_workers", "That workers were trained, and each one's topics.", true)
	add("work_practices", "The certified renovator's certification of what was done: signs, objects, ducts, windows, doors, floor or ground cover, fastened and weighted, vertical containment, waste on site and on its way, and cleaning.", true)
	add("cleaning_verification", "The cleaning verification, with the number of wet and dry cloths used.", k.Clearance != law.Yes)
	add("dust_clearance", "The dust sampling report.", k.Clearance != law.No)
	add("emergency_statement", "What the emergency was, and which provisions were not followed.", k.Emergency)
	k.a.Determination.Because("keep_renovation_records", "completed_on", k.Completed.String(), keepThree, k.n.say("The records of a covered renovation are kept for {records_years} years after it is completed; a longer duty elsewhere prevails."))
}

// give is what 745.86(c) and (d) hand over: at the final invoice or some days after completion, the earlier.
func (k *keeping) give() {
	by := k.Completed.AddDays(k.n.value("compliance_information_days").Int())
	if !k.Invoiced.IsZero() {
		by = min(by, k.Invoiced)
	} else {
		k.a.Determination.Miss("final_invoice_on", "The compliance information is due at the final invoice, if that comes earlier.", "An earlier final invoice makes it due then.")
	}
	to := "the building's owner"
	switch {
	case k.Place == home.CommonArea:
		to += ", and the occupants of the affected units by posting it or saying how to get it"
	case k.OwnerThere == law.Yes:
	case k.Place == home.ChildOccupiedFacility:
		to += " and an adult representative of the facility, and parents and guardians by posting it or saying how to get it"
	default:
		to += " and an adult occupant"
	}
	k.a.Give = append(k.a.Give, Given{"compliance_information", "Give the record of compliance to " + to + ".", by, giveInfo})
	if k.Clearance != law.No {
		k.a.Give = append(k.a.Give, Given{"dust_report", "Give the dust sampling report to " + to + ".", by, giveDust})
	}
	k.a.Determination.Because("give_compliance_information", "completed_on", k.Completed.String(), giveInfo, k.n.say("The compliance information, and the dust report where there is one, is given at the final invoice or within {compliance_information_days} days after completion, whichever is earlier."))
}

func (k *keeping) abatement() {
	k.keep("abatement_report", "The abatement report with the occupant protection plan.", k.Completed.AddYears(k.n.value("abatement_records_years").Int()), k.n.say("{abatement_records_years} years after completion"), keepAbate)
	k.a.Determination.Because("keep_abatement_records", "abatement", "yes", keepAbate, k.n.say("Abatement reports and plans are kept for {abatement_records_years} years."))
}

// housing keeps longer where maintenance or reevaluation goes on.
func (k *keeping) housing() {
	years := k.n.value("housing_records_years").Int()
	until, term := k.Completed.AddYears(years), fmt.Sprintf("%d years", years)
	if k.Maintenance != law.No {
		until, term = 0, fmt.Sprintf("%d years after ongoing maintenance and reevaluation end", years)
		if !k.Ended.IsZero() {
			until = k.Ended.AddYears(years)
		}
	}
	k.keep("housing_records", "Each notice, evaluation, and clearance or abatement report.", until, term, keepHousing)
	k.a.Determination.Because("keep_housing_records", "assisted", k.Assisted.String(), keepHousing, k.n.say("In assisted homes notices, evaluations and clearance or abatement reports are kept for {housing_records_years} years, and where maintenance or reevaluation goes on until so many years after it ends."))
}

func (k *keeping) workers() {
	exposure, medical := k.n.value("exposure_record_years"), k.n.value("exposure_medical_record_years")
	k.keep("exposure_records", "Monitoring of exposure, and the objective data relied on.", k.Completed.AddYears(exposure.Int()), exposure.Value+" years", exposure.Cite())
	k.keep("medical_records", "Medical records of employees.", 0, "employment and "+medical.Value+" years", medical.Cite())
	k.a.Determination.Because("keep_exposure_records", "workers_exposed", k.Workers.String(), exposure.Cite(), "Records of employees' exposure outlast the job's own by far.")
}

func (k *keeping) disclosure() {
	years := k.n.value("disclosure_records_years")
	k.keep("disclosure", "The signed disclosure, by seller or lessor and agent.", k.Disclosed.AddYears(years.Int()), years.Value+" years from the sale's completion or the lease's start", years.Cite())
	k.a.Determination.Because("keep_disclosures", "disclosed_on", k.Disclosed.String(), years.Cite(), "Reports of this job are available records that a later sale or lease discloses.")
}
