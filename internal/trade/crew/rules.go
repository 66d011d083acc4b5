package crew

import "sillbook/internal/trade/law"

// Rules are this package's rules, found once in a book of law.
type Rules struct {
	Certificates Certificates
}

// NewRules finds what every rule here reads; an error names a parameter that is not there.
func NewRules(book *law.Book) (Rules, error) {
	var r Rules
	var err error
	r.Certificates, err = NewCertificates(book)
	return r, err
}
