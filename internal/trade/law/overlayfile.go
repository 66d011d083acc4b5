package law

import (
	"encoding/json"

	"github.com/goccy/go-yaml"
)

// ReadOverlay reads an overlay as a file gives it: YAML with the members of the contract. Members that are not the law's, such as
// its title, are passed over; conditions are not compiled.
func ReadOverlay(text []byte) (Overlay, error) {
	var o Overlay
	body, err := yaml.YAMLToJSON(text)
	if err != nil {
		return o, err
	}
	return o, json.Unmarshal(body, &o)
}
