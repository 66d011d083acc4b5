// Package overlay compiles the conditions of local rules that are written in the Common Expression Language, and hands them to
// the law as conditions over its facts. Plain clauses come first; a condition is for what they cannot say.
package overlay

import (
	"fmt"
	"slices"
	"strconv"
	"sync"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/cost"
	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"

	"sillbook/internal/fault"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Limits of a condition: its length in characters, the cost that CEL estimates for it at worst, and the cost at which working
// one out is given up. A comparison costs about one.
const (
	longest  = 2000
	mostCost = 10000
)

// Compile checks a condition and makes it ready. It reads the facts of local rules by their names, numbers as doubles, everything
// else as text: job.area > 2.0 && home.rented == "yes". It must be true or false. The fault says at "/condition" what is wrong
// with the text, or that it could cost too much to work out.
func Compile(text string) (law.Condition, error) {
	env, err := environment()
	if err != nil {
		return nil, err
	}
	if len(text) > longest {
		return nil, refused("condition_too_long", "A condition has at most %d characters.", longest)
	}
	ast, issues := env.Compile(text)
	if issues.Err() != nil {
		return nil, refused("condition_not_understood", "The condition cannot be understood: %s", issues.Err())
	}
	if ast.OutputType() != cel.BoolType {
		return nil, refused("condition_not_true_or_false", "The condition gives a %s; it must be true or false.", ast.OutputType())
	}
	worst, err := env.EstimateCost(ast, sizes{})
	if err != nil || worst.Max > mostCost {
		return nil, refused("condition_too_costly", "The condition could cost %d to work out; %d is the most.", worst.Max, mostCost)
	}
	program, err := env.Program(ast, cel.EvalOptions(cel.OptOptimize, cel.OptPartialEval), cel.CostLimit(mostCost))
	if err != nil {
		return nil, refused("condition_not_understood", "The condition cannot be understood: %s", err)
	}
	var reads []string
	for _, reference := range ast.NativeRep().ReferenceMap() {
		if reference.Name != "" && !slices.Contains(reads, reference.Name) {
			reads = append(reads, reference.Name)
		}
	}
	return condition{program, reads}, nil
}

func refused(code, format string, args ...any) error {
	return fault.New(fault.Implausible, code, "The condition cannot be used.").At("/condition", code, format, args...).
		Fix("Correct the condition, or say it with clauses under when.")
}

// environment declares every fact.
var environment = sync.OnceValues(func() (*cel.Env, error) {
	var options []cel.EnvOption
	for _, name := range law.LocalFactNames() {
		fact, _ := law.LocalFactOf(name)
		kind := cel.StringType
		if fact.Number {
			kind = cel.DoubleType
		}
		options = append(options, cel.Variable(name, kind))
	}
	env, err := cel.NewEnv(options...)
	if err != nil {
		return nil, fmt.Errorf("the language of conditions: %w", err)
	}
	return env, nil
})

// condition is a compiled one.
type condition struct {
	program cel.Program
	reads   []string // the facts that it names
}

// Holds works the condition out. What turns on a fact that is not known is not known, unless the others decide it.
func (c condition) Holds(facts law.LocalFacts) (law.Tri, error) {
	known := map[string]any{}
	var unknown []*cel.AttributePatternType
	for _, name := range c.reads {
		value, told := facts[name]
		if !told || value == "unknown" {
			unknown = append(unknown, cel.AttributePattern(name))
			continue
		}
		var err error
		if known[name], err = read(name, value); err != nil {
			return law.Unknown, err
		}
	}
	vars, err := cel.PartialVars(known, unknown...)
	if err != nil {
		return law.Unknown, err
	}
	out, _, err := c.program.Eval(vars)
	if err != nil {
		return law.Unknown, err
	}
	return told(out), nil
}

// read gives a fact as the language has it: a number or a text.
func read(name, value string) (any, error) {
	if fact, _ := law.LocalFactOf(name); !fact.Number {
		return value, nil
	}
	n, err := measure.ParseNumber(value)
	if err != nil {
		return nil, err
	}
	return strconv.ParseFloat(n.Decimal(15), 64)
}

func told(out ref.Val) law.Tri {
	switch out {
	case types.True:
		return law.Yes
	case types.False:
		return law.No
	}
	return law.Unknown
}

// sizes bounds what the estimate cannot see: a told text has at most a hundred characters.
type sizes struct{}

// EstimateSize bounds a text's length.
func (sizes) EstimateSize(node cost.AstNode) *cost.SizeEstimate {
	if len(node.Path()) == 0 {
		return nil
	}
	return &cost.SizeEstimate{Min: 0, Max: 100}
}

// EstimateCallCost leaves the language's own estimate.
func (sizes) EstimateCallCost(string, string, *cost.AstNode, []cost.AstNode) *cost.CallEstimate {
	return nil
}

// Ready compiles the conditions of an overlay's requirements; faults are at "/requirements/0/condition" and the like.
func Ready(o *law.Overlay) error {
	var faults fault.Faults
	for i := range o.Requirements {
		r := &o.Requirements[i]
		if r.Written == "" {
			continue
		}
		condition, err := Compile(r.Written)
		faults.Merge(fmt.Sprintf("/requirements/%d", i), err)
		r.Condition = condition
	}
	return faults.Err()
}
