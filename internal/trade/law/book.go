package law

import (
	"cmp"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"io/fs"
	"maps"
	"slices"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/measure"
)

// codeEdition is raised whenever a rule's code changes an answer.
const codeEdition = 2

// Book is the law as this program knows it. It never changes; it is safe for concurrent use.
type Book struct {
	parameters []Parameter // by name
	tables     []Table     // by name
	lines      [][]line    // of each parameter
	ruleSet    string

	fixed    calendar.Date // the date whose law answers, whatever date is asked for; none: that date
	overlays []Overlay     // what states, tribes and cities ask beyond them
	stances  []LocalStance
}

// Handle finds a parameter without its name. The zero Handle is none.
type Handle int

//go:embed parameters/*.yaml parameters/tables/*.yaml
var embedded embed.FS

// Embedded is the law that the program was built with.
func Embedded() (*Book, error) {
	files, err := fs.Sub(embedded, "parameters")
	if err != nil {
		return nil, err
	}
	return Load(files)
}

// Load reads every YAML file of a folder, and the printed tables in the folder tables below it. A malformed or overlapping entry is an error with the file and line.
func Load(files fs.FS) (*Book, error) {
	names, err := fs.Glob(files, "*.yaml")
	if err != nil {
		return nil, err
	}
	b := &Book{}
	for _, name := range names {
		text, err := fs.ReadFile(files, name)
		if err != nil {
			return nil, err
		}
		p, err := parse(name, text)
		if err != nil {
			return nil, err
		}
		if i, there := b.find(p.Name); there {
			return nil, fmt.Errorf("%s: there is already a parameter %s", name, b.parameters[i].Name)
		}
		b.parameters = append(b.parameters, p)
		slices.SortFunc(b.parameters, func(p, q Parameter) int { return cmp.Compare(p.Name, q.Name) })
	}
	if b.tables, err = loadTables(files); err != nil {
		return nil, err
	}
	b.index()
	return b, nil
}

// KnownOn is the law as it was recorded at the end of a date: without what was learned later. Handles hold in both books.
// Its rule set is the one that a program with only those entries has.
func (b *Book) KnownOn(date calendar.Date) *Book {
	known := &Book{parameters: slices.Clone(b.parameters), overlays: b.overlays,
		stances: slices.DeleteFunc(slices.Clone(b.stances), func(s LocalStance) bool { return s.Recorded.After(date) })}
	for i := range known.parameters {
		p := &known.parameters[i]
		p.Values = slices.DeleteFunc(slices.Clone(p.Values), func(v Value) bool { return v.Recorded.After(date) })
	}
	for _, t := range b.tables {
		known.tables = append(known.tables, t.knownOn(date))
	}
	known.index()
	return known
}

// index makes what look-ups read, and the version. Titles and descriptions are left out of it: they answer nothing.
func (b *Book) index() {
	hash := sha256.New()
	for _, p := range b.parameters {
		b.lines = append(b.lines, linesOf(p))
		for _, v := range p.Values {
			fmt.Fprintf(hash, "%q\n", []string{p.Name, p.Unit, p.Stricter, v.Jurisdiction, v.Programme, v.Value,
				v.Effective.String(), v.Required.String(), v.Until.String(), v.Citation, string(v.Source), v.Recorded.String(), v.Note})
		}
	}
	for _, t := range b.tables {
		fmt.Fprintf(hash, "%q\n", append([]string{t.Name, t.Effective.String(), t.Citation, t.Recorded.String(), t.Note}, t.Columns...))
		for _, r := range slices.Concat(t.Rows, t.Corrections) {
			fmt.Fprintf(hash, "%d %d %q %s %s %q\n", r.From, r.To, r.Take, r.Source, r.Recorded, r.Note)
		}
	}
	b.ruleSet = fmt.Sprintf("%d-%s", codeEdition, hex.EncodeToString(hash.Sum(nil))[:12])
}

// RequiredOn is the book that answers every question about numbers and practices by what must be met on a date, whatever date is
// asked for: what if it were judged by the law of that day. Handles hold in both books.
func (b *Book) RequiredOn(date calendar.Date) *Book {
	fixed := *b
	fixed.fixed, fixed.ruleSet = date, b.ruleSet+"@"+date.String()
	return &fixed
}

// Edition is a version of the law, and the date from which the book knew it.
type Edition struct {
	RuleSet   string
	KnownFrom calendar.Date
}

// Editions are the versions that the book has been through as entries were recorded, the oldest first. The last is the book itself.
func (b *Book) Editions() []Edition {
	var dates []calendar.Date
	for _, p := range b.parameters {
		for _, v := range p.Values {
			dates = append(dates, v.Recorded)
		}
	}
	slices.Sort(dates)
	var editions []Edition
	for _, date := range slices.Compact(dates) {
		editions = append(editions, Edition{b.KnownOn(date).RuleSet(), date})
	}
	return editions
}

func (b *Book) find(name string) (int, bool) {
	return slices.BinarySearchFunc(b.parameters, name, func(p Parameter, name string) int { return cmp.Compare(p.Name, name) })
}

// linesOf groups a parameter's values, leaving out those that a later correction has replaced.
func linesOf(p Parameter) []line {
	var lines []line
	for _, v := range p.Values {
		i := slices.IndexFunc(lines, func(l line) bool {
			return l.jurisdiction == v.Jurisdiction && l.programme == v.Programme && l.overlay == v.overlay
		})
		if i < 0 {
			lines = append(lines, line{jurisdiction: v.Jurisdiction, programme: v.Programme, overlay: v.overlay})
			i = len(lines) - 1
		}
		l := &lines[i]
		if j := slices.IndexFunc(l.values, func(w Value) bool { return w.Effective == v.Effective }); j >= 0 {
			if v.Recorded.After(l.values[j].Recorded) {
				l.values[j] = v
			}
			continue
		}
		l.values = append(l.values, v)
	}
	for i := range lines {
		slices.SortFunc(lines[i].values, func(v, w Value) int { return cmp.Compare(v.Effective, w.Effective) })
	}
	return lines
}

// RuleSet is the version of the parameters and rules: the edition of the code and a hash of the parameters.
func (b *Book) RuleSet() string { return b.ruleSet }

// Parameters are all parameters by name, with their history. They must not be changed.
func (b *Book) Parameters() []Parameter { return b.parameters }

// Handle finds a parameter that a rule reads. That it is there is proved by a test that builds every rule.
func (b *Book) Handle(name string) (Handle, error) {
	i, there := b.find(name)
	if !there {
		return 0, fmt.Errorf("there is no parameter %s", name)
	}
	return Handle(i + 1), nil
}

// Tables are the printed tables by name. They must not be changed.
func (b *Book) Tables() []Table { return b.tables }

// Table finds a printed table that a rule reads.
func (b *Book) Table(name string) (*Table, error) {
	for i := range b.tables {
		if b.tables[i].Name == name {
			return &b.tables[i], nil
		}
	}
	return nil, fmt.Errorf("there is no table %s", name)
}

// Handles finds many parameters that rules read; an error names the first that is not there.
func (b *Book) Handles(wanted map[string]*Handle) error {
	for _, name := range slices.Sorted(maps.Keys(wanted)) {
		h, err := b.Handle(name)
		if err != nil {
			return err
		}
		*wanted[name] = h
	}
	return nil
}

// On is the value of a parameter on a date in a scope: of all jurisdictions and programmes that hold there, the one that
// protects most. ok is false before the first value. It does not allocate.
func (b *Book) On(h Handle, date calendar.Date, r Reading, s Scope) (v *Value, ok bool) {
	if !b.fixed.IsZero() {
		date = b.fixed
	}
	lines := b.lines[h-1]
	higher := b.parameters[h-1].Stricter == "higher"
	for i := range lines {
		if !s.holds(&lines[i]) {
			continue
		}
		found := lines[i].on(date, r)
		if found == nil {
			continue
		}
		if v == nil || (found.number.Cmp(v.number) < 0) != higher && found.number.Cmp(v.number) != 0 {
			v = found
		}
	}
	return v, v != nil
}

// Next is the first value after a date, in a scope, that protects more than what must be met on it, and the date from which
// it must be met. ok is false when none is known.
func (b *Book) Next(h Handle, date calendar.Date, s Scope) (v *Value, ok bool) {
	if !b.fixed.IsZero() {
		date = max(date, b.fixed) // a caller follows the values to come by asking again from each
	}
	now, there := b.On(h, date, Required, s)
	higher := b.parameters[h-1].Stricter == "higher"
	for i := range b.lines[h-1] {
		l := &b.lines[h-1][i]
		if !s.holds(l) {
			continue
		}
		for j := range l.values {
			w := &l.values[j]
			if !w.Required.After(date) || there && ((w.number.Cmp(now.number) < 0) == higher || w.number.Cmp(now.number) == 0) {
				continue
			}
			if v == nil || w.Required.Before(v.Required) {
				v = w
			}
		}
	}
	return v, v != nil
}

// Name is a parameter's name.
func (b *Book) Name(h Handle) string { return b.parameters[h-1].Name }

// Quantity is a value in its parameter's unit.
func (b *Book) Quantity(h Handle, v *Value) measure.Quantity {
	unit, _ := measure.ParseUnit(b.parameters[h-1].Unit) // checked at load
	return measure.Of(v.number, unit)
}

// TooEarly is the fault of asking what must be met on a date before a parameter's first value; pointer names the fact.
func (b *Book) TooEarly(h Handle, pointer string, date calendar.Date) error {
	var f fault.Faults
	if values := b.parameters[h-1].Values; len(values) > 0 {
		first := slices.MinFunc(values, func(v, w Value) int { return cmp.Compare(v.Required, w.Required) }).Required
		f.Add(pointer, "before_the_law", "The law on record for %s is to be met from %s; %s lies before it.", b.Name(h), first, date)
	} else {
		f.Add(pointer, "before_the_law", "No law was on record for %s.", b.Name(h))
	}
	return f.Err()
}
