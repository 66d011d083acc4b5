package renovation

// Results of a cleaning verification that is told as a whole.
const (
	VerificationPassed       = "passed"
	VerificationFailed       = "failed"       // dust, debris or residue was seen, so that it is cleaned again
	VerificationInconclusive = "inconclusive" // it is not finished
)

// Result is what a verification comes to that is told as a whole; looked says that the last look found nothing.
func (a VerificationAnswer) Result(looked bool) string {
	switch {
	case a.Outcome == verificationDone:
		return VerificationPassed
	case !looked:
		return VerificationFailed
	}
	return VerificationInconclusive
}

// VerificationCounts are what the record of a verification says in figures (745.86(b)(6)).
type VerificationCounts struct {
	Sills     int
	Sections  int  // of floors and counter tops
	AllPassed bool // every sill and section is verified; what is looked at only passes by the look
}

// Counts counts what was verified.
func (a VerificationAnswer) Counts() VerificationCounts {
	c := VerificationCounts{AllPassed: a.Outcome == verificationDone}
	for _, item := range a.Items {
		switch {
		case item.Surface == WipedSill:
			c.Sills++
		case item.Surface.isSectioned():
			c.Sections += item.Sections
		}
	}
	return c
}
