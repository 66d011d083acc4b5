package duty

import (
	"slices"

	"sillbook/internal/trade/law"
)

// Catalogue is every rule of duties and standings.
func Catalogue() []law.Rule {
	return slices.Concat(standingRules(), dutyRules())
}
