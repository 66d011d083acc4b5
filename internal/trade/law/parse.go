package law

import (
	"fmt"
	"slices"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"

	"sillbook/internal/trade/measure"
)

// parse reads one parameter's file.
func parse(name string, text []byte) (Parameter, error) {
	var p Parameter
	if err := yaml.UnmarshalWithOptions(text, &p, yaml.Strict()); err != nil {
		return Parameter{}, fmt.Errorf("%s: %w", name, err)
	}
	file, err := parser.ParseBytes(text, 0)
	if err != nil {
		return Parameter{}, fmt.Errorf("%s: %w", name, err)
	}
	c := checker{name: name, file: file}
	c.parameter(&p)
	return p, c.err
}

// checker keeps the first thing that is wrong, with its line.
type checker struct {
	name string
	file *ast.File
	err  error
}

func (c *checker) wrong(path, format string, args ...any) {
	if c.err == nil {
		c.err = fmt.Errorf("%s:%d: %s", c.name, c.line(path), fmt.Sprintf(format, args...))
	}
}

func (c *checker) wants(path, field, value string) {
	if value == "" {
		c.wrong(path, "%s is missing", field)
	}
}

// line finds where a path stands; a field that is missing is reported at what should hold it.
func (c *checker) line(path string) int {
	at, err := yaml.PathString(path)
	if err != nil {
		return 1
	}
	node, err := at.FilterFile(c.file)
	if err != nil || node == nil {
		return 1
	}
	return node.GetToken().Position.Line
}

func (c *checker) parameter(p *Parameter) {
	c.wants("$", "name", p.Name)
	c.wants("$", "title", p.Title)
	c.wants("$", "description", p.Description)
	if p.Name+".yaml" != c.name {
		c.wrong("$.name", "the parameter %s must be in %s.yaml", p.Name, p.Name)
	}
	if p.Unit != "" {
		if _, err := measure.ParseUnit(p.Unit); err != nil {
			c.wrong("$.unit", "%v", err)
		}
	}
	if p.Stricter != "lower" && p.Stricter != "higher" && p.Stricter != neither {
		c.wrong("$", "stricter must say lower or higher: which of two values protects more; or neither, where a place has no value of its own")
	}
	if len(p.Values) == 0 {
		c.wrong("$", "values is missing")
	}
	for i := range p.Values {
		c.value(p, i)
	}
}

func (c *checker) value(p *Parameter, i int) {
	v, at := &p.Values[i], fmt.Sprintf("$.values[%d]", i)
	c.wants(at, "jurisdiction", v.Jurisdiction)
	c.wants(at, "programme", v.Programme)
	c.wants(at, "citation", v.Citation)
	number, err := measure.ParseNumber(v.Value)
	if err != nil {
		c.wrong(at+".value", "%q is not a number", v.Value)
	}
	v.number, v.whole = number, int(number.Scaled(0))
	if !v.Source.known() {
		c.wrong(at+".source", "%q is not text, secondary, memory, derived or common_practice", v.Source)
	}
	switch {
	case v.Effective.IsZero(), v.Required.IsZero(), v.Recorded.IsZero():
		c.wrong(at, "effective, required and recorded each need a date")
	case v.Required.Before(v.Effective):
		c.wrong(at+".required", "it is required on %s, before it takes effect on %s", v.Required, v.Effective)
	case i > 0 && v.Effective.Before(p.Values[i-1].Effective):
		c.wrong(at+".effective", "values must be in the order in which they take effect")
	}
	if slices.ContainsFunc(p.Values[:i], func(w Value) bool {
		return w.Jurisdiction == v.Jurisdiction && w.Programme == v.Programme && w.Effective == v.Effective && w.Recorded == v.Recorded
	}) {
		c.wrong(at, "it overlaps an earlier entry: the same jurisdiction, programme, effective and recorded dates")
	}
}
