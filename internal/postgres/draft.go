package postgres

import (
	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// draftOf makes a draft of a struct's JSON form.
func draftOf(v any) (Draft, error) {
	text, err := json.Marshal(v)
	if err != nil {
		return Draft{}, err
	}
	return DraftOf(text)
}

// DraftOf makes a draft of a JSON object's text.
func DraftOf(text []byte) (Draft, error) {
	var d Draft
	return d, json.Unmarshal(text, &d.Fields, jsontext.AllowDuplicateNames(false))
}
