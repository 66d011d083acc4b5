package form

import (
	"sillbook/api"
	"sillbook/internal/trade/crew"
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

// count reads an optional count; none is 0.
func count(told *int32) int {
	if told == nil {
		return 0
	}
	return int(*told)
}
