package renovation

import "sillbook/internal/trade/law"

func recordRules() []law.Rule {
	const question = "record-keeping"
	return []law.Rule{
		{Name: "keep_renovation_records", Title: "Records of a covered renovation", Calculation: question, Citation: keepList,
			Text:   "Findings that components are free of lead-based paint, acknowledgements, certifications of attempted delivery, certificates of mailing, notices of work in common areas and facilities, and the documentation of the work are kept for so many years after completion.",
			Inputs: []string{"completed_on", "covered", "lead_free_by", "place", "mailed", "attempted_delivery", "dust_clearance", "emergency"}, Parameters: []string{"records_years"}},
		{Name: "give_compliance_information", Title: "Compliance information and dust report", Calculation: question, Citation: giveInfo,
			Text:   "The record of compliance, and the dust report where there is one, is given to the owner and, if different, an adult occupant or the facility's representative, at the final invoice or within so many days after completion, whichever is earlier. For common areas it is posted, or it is said how to get it.",
			Inputs: []string{"completed_on", "final_invoice_on", "place", "owner_there", "dust_clearance"}, Parameters: []string{"compliance_information_days"}},
		{Name: "keep_abatement_records", Title: "Records of abatement", Calculation: question, Citation: keepAbate,
			Text: "Reports and plans of abatement are kept for so many years.", Inputs: []string{"completed_on", "abatement"}, Parameters: []string{"abatement_records_years"}},
		{Name: "keep_housing_records", Title: "Records of assisted homes", Calculation: question, Citation: keepHousing,
			Text:   "Notices, evaluations and clearance or abatement reports are kept for so many years, and where ongoing maintenance or reevaluation applies until so many years after it ends.",
			Inputs: []string{"completed_on", "assisted", "ongoing_maintenance", "maintenance_ended_on"}, Parameters: []string{"housing_records_years"}},
		{Name: "keep_exposure_records", Title: "Records of workers' exposure", Calculation: question, Citation: law.Cite("29 CFR 1926.62(n)", law.Text),
			Text:   "Exposure records are kept for so many years, medical records for the time of employment and so many more.",
			Inputs: []string{"completed_on", "workers_exposed"}, Parameters: []string{"exposure_record_years", "exposure_medical_record_years"}},
		{Name: "keep_disclosures", Title: "Signed disclosures", Calculation: question, Citation: law.Cite("40 CFR 745.113, 24 CFR 35.92", law.Text),
			Text: "The signed disclosure of a sale or lease is kept for so many years.", Inputs: []string{"disclosed_on"}, Parameters: []string{"disclosure_records_years"}},
	}
}
