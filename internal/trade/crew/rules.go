package crew

import "sillbook/internal/trade/law"

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
