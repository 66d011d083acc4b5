// Package api is what the contract generates: the models, the strict server interface, and the contract itself.
// It imports nothing of ours. Change openapi.yaml, then run make generate.
package api

import (
	_ "embed"

	"github.com/getkin/kin-openapi/openapi3"
)

//go:generate cp ../openapi.yaml openapi.gen.yaml
//go:generate go run github.com/oapi-codegen/oapi-codegen/v2/cmd/oapi-codegen@v2.8.2 -config oapi-codegen.yaml ../openapi.yaml

//go:embed openapi.gen.yaml
var contract []byte

// Contract is the text of openapi.yaml, byte for byte.
func Contract() []byte { return contract }

// Load parses the contract and resolves its references.
func Load() (*openapi3.T, error) { return openapi3.NewLoader().LoadFromData(contract) }
