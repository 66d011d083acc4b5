package form

import (
	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/crew"
	"sillbook/internal/trade/measure"
)

// CertificateFacts reads the facts of the question whether somebody is certified. What is absent is not known.
func CertificateFacts(told api.CertificateFacts) crew.CertificateFacts {
	f := crew.CertificateFacts{AsOf: Day(told.AsOf), Jurisdictions: list(told.Jurisdictions)}
	for _, c := range told.Certificates {
		f.Certificates = append(f.Certificates, certificate(c))
	}
	return f
}

func certificate(told api.CertificateTold) crew.Certificate {
	c := crew.Certificate{Discipline: crew.Discipline(told.Discipline), Basis: crew.Basis(told.Basis), Issuer: told.Issuer,
		IssuedOn: DayOf(told.IssuedOn), ExpiresOn: DayOf(told.ExpiresOn), Extended: Tri(told.Extended), CopyLost: is(told.CopyLost, true),
		HandsOn: Tri(told.HandsOn), CourseMinutes: count(told.CourseMinutes), HandsOnMinutes: count(told.HandsOnMinutes),
		EarlierCourse: Tri(told.EarlierCourse), AppliedOn: DayOf(told.AppliedOn), RefusedOn: DayOf(told.RefusedOn),
		SupplementAskedOn: DayOf(told.SupplementAskedOn), SupplementSentOn: DayOf(told.SupplementSentOn)}
	if told.Exam != nil {
		c.Exam = crew.Exam(*told.Exam)
	}
	for _, change := range list(told.Changes) {
		c.Changes = append(c.Changes, crew.Amendment{ChangedOn: Day(change.ChangedOn), AmendedOn: DayOf(change.AmendedOn)})
	}
	return c
}

// CrewAuthorityFacts reads the facts of the question who may do what. What is absent is not known.
func CrewAuthorityFacts(told api.CrewAuthorityFacts) (crew.AuthorityFacts, error) {
	f := crew.AuthorityFacts{AsOf: Day(told.AsOf), Jurisdictions: list(told.Jurisdictions), Reachable: Tri(told.Reachable), Emergency: Tri(told.Emergency)}
	for _, act := range list(told.Acts) {
		f.Acts = append(f.Acts, crew.Act(act))
	}
	for _, h := range told.Firms {
		f.Firms = append(f.Firms, holder(h.Name, h.Certificates, nil))
	}
	for _, h := range told.People {
		f.People = append(f.People, holder(h.Name, h.Certificates, h.Trained))
	}
	for _, d := range list(told.Done) {
		f.Done = append(f.Done, crew.Deed{Act: crew.Act(d.Act), By: d.By})
	}
	var faults fault.Faults
	if k := told.Kit; k != nil {
		f.Kit = &crew.Kit{Recognised: Tri(k.Recognised), RecognisedOn: DayOf(k.RecognisedOn), FalseNegative: share(&faults, "/kit/false_negative", k.FalseNegative),
			FalsePositive: share(&faults, "/kit/false_positive", k.FalsePositive), Confidence: share(&faults, "/kit/confidence", k.Confidence)}
	}
	return f, faults.Err()
}

func holder(name string, certificates []api.CertificateTold, trained *api.Tri) crew.Holder {
	h := crew.Holder{Name: name, Trained: Tri(trained)}
	for _, c := range certificates {
		h.Certificates = append(h.Certificates, certificate(c))
	}
	return h
}

// share reads a part of a whole: not negative, and not more than the whole.
func share(f *fault.Faults, pointer string, told *api.Measure) measure.Quantity {
	q, ok := notNegative(f, pointer, told, measure.Fraction)
	if ok && q.In(measure.One).Cmp(measure.Int(1)) > 0 {
		f.Add(pointer+"/value", "more_than_all", "%s %s is more than the whole.", q.Text, q.Code)
	}
	return q
}

// count reads an optional count; none is 0.
func count(told *int32) int {
	if told == nil {
		return 0
	}
	return int(*told)
}
