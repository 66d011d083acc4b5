// Package law holds the law as dated data.
package law

// Book is the law as this program knows it.
type Book struct{}

// Embedded is the law that the program was built with.
func Embedded() (*Book, error) { return &Book{}, nil }

// RuleSet is the version of the parameters and rules.
func (b *Book) RuleSet() string { return "0" }
