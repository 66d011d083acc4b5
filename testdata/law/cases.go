// Package law holds the checks of the rules: each case is a request to a calculation, a part of the answer, and the source that
// the answer comes from. A case can be read, corrected and added without knowing Go.
package law

import (
	"embed"
	"fmt"
	"io/fs"

	"github.com/goccy/go-yaml"
)

//go:embed *.yaml
var files embed.FS

// Kinds say where an expected answer comes from: published with the numbers and the answer, read in the clause, worked out from
// it, read about elsewhere, from memory, or what the trade does without a source.
var Kinds = []string{"published", "text", "derived", "secondary", "memory", "common_practice"}

// File is the cases of one calculation.
type File struct {
	Name        string `yaml:"-"`
	Calculation string `yaml:"calculation"` // the last part of its path
	Cases       []Case `yaml:"cases"`
}

// Case is facts as a request sends them, and a part of the answer or the refusal that they deserve.
type Case struct {
	Name    string         `yaml:"name"`
	Rules   []string       `yaml:"rules"` // that it tries, by their names in the catalogue
	Source  string         `yaml:"source"`
	Kind    string         `yaml:"kind"`
	Given   map[string]any `yaml:"given"`
	Expect  map[string]any `yaml:"expect"` // members that must be so; of a list, items in this order; null: absent
	Counts  map[string]int `yaml:"counts"` // lengths of lists, by pointer
	Problem *Problem       `yaml:"problem"`
}

// Problem is a refusal.
type Problem struct {
	Status  int    `yaml:"status"`
	Code    string `yaml:"code"`
	Pointer string `yaml:"pointer"`
	Fault   string `yaml:"fault"`
}

// Read reads every file. An unknown member is an error that names the file and line.
func Read() ([]File, error) {
	names, err := fs.Glob(files, "*.yaml")
	if err != nil {
		return nil, err
	}
	var list []File
	for _, name := range names {
		text, err := files.ReadFile(name)
		if err != nil {
			return nil, err
		}
		f := File{Name: name}
		if err := yaml.UnmarshalWithOptions(text, &f, yaml.Strict()); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		list = append(list, f)
	}
	return list, nil
}
