// Package demo holds the invented scenario of the demo: a housing agency, a landlord, their streets and a month of
// repairs. None of it exists.
package demo

import _ "embed"

// Homes is the landlord's portfolio.
//
//go:embed homes.yaml
var Homes []byte

// Repairs is one month of small repairs.
//
//go:embed repairs.yaml
var Repairs []byte
