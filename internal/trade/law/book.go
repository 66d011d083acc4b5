package law

type Book struct{}

func Embedded() (*Book, error)   { return &Book{}, nil }
func (b *Book) RuleSet() string { return "1-temporary" }
