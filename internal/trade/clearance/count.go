package clearance

import (
	"fmt"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Purpose is what units are sampled for.
type Purpose string

// The purposes. After a child's elevated blood lead level the other covered units of the property are assessed.
const (
	ForInspection Purpose = "inspection"
	ForClearance  Purpose = "clearance"
	ForCase       Purpose = "elevated_blood_lead"
)

// CountFacts are what is known of a group of similar units, similar common areas or similar exterior sites.
type CountFacts struct {
	AsOf      calendar.Date
	Purpose   Purpose
	Similar   int    // how many there are
	Of        string // what they are, for a sentence: "units"
	BuildYear int    // 0 when not known
	KnownDraw bool   // crews know, or will know before they are done, which are drawn
}

// Count is how many of them to take.
type Count struct {
	Take          int               `json:"take"`
	Similar       int               `json:"similar"`
	All           bool              `json:"all"`
	Table         TableCount        `json:"table"`
	Exact         ExactCount        `json:"exact"`
	Governs       string            `json:"governs"` // table, exact, both, or all
	Determination law.Determination `json:"determination"`
}

// TableCount is what the printed table says.
type TableCount struct {
	Name     string       `json:"name"`
	Column   string       `json:"column"`
	From     int          `json:"from"`
	To       *int         `json:"to"` // nil in the last row, which is a percentage
	Take     int          `json:"take"`
	Printed  string       `json:"printed"`
	Citation law.Citation `json:"citation"`
}

// ExactCount is what the statistics say, decided in whole numbers.
type ExactCount struct {
	Take       int          `json:"take"`        // no fewer than for any smaller number of similar units
	Alone      int          `json:"alone"`       // for this number by itself
	Exceeding  int          `json:"exceeding"`   // so many exceed, at the least, where the sample is to notice it
	Confidence string       `json:"confidence"`  // "95 %"
	Chance     string       `json:"miss_chance"` // that a sample of Take misses all that exceed
	Citation   law.Citation `json:"citation"`
}

// Counts answers how many units to sample.
type Counts struct {
	book          *law.Book
	table         *law.Table
	jurisdictions []string

	coveredYear, newerYear law.Handle
	purposes               map[Purpose]handlesOfPurpose
}

// handlesOfPurpose are the numbers of one purpose, for units built before and from the year of the newer column.
type handlesOfPurpose struct {
	bounds     [2]law.Handle
	least      bool // the bounds are the fewest of which a sample may be taken; otherwise there must be more
	confidence law.Handle
	share      [2]law.Handle
	most       [2]law.Handle
}

// NewCounts finds what it reads in the book; an error names what is not there.
func NewCounts(book *law.Book) (Counts, error) {
	c := Counts{book: book}
	var clearing, inspecting, afterCase handlesOfPurpose
	inspecting.least = true
	err := book.Handles(map[string]*law.Handle{
		"target_housing_year": &c.coveredYear, "inspection_sampling_year": &c.newerYear,
		"clearance_sampling_above": &clearing.bounds[0], "clearance_sampling_confidence": &clearing.confidence,
		"clearance_sampling_share": &clearing.share[0], "clearance_sampling_most": &clearing.most[0],
		"inspection_sampling_fewest_before_1960": &inspecting.bounds[0], "inspection_sampling_fewest_from_1960": &inspecting.bounds[1],
		"inspection_sampling_confidence":        &inspecting.confidence,
		"inspection_sampling_share_before_1960": &inspecting.share[0], "inspection_sampling_share_from_1960": &inspecting.share[1],
		"inspection_sampling_most_before_1960": &inspecting.most[0], "inspection_sampling_most_from_1960": &inspecting.most[1],
		"case_sampling_above_before_1960": &afterCase.bounds[0], "case_sampling_above_from_1960": &afterCase.bounds[1],
	})
	if err != nil {
		return Counts{}, err
	}
	clearing.bounds[1], clearing.share[1], clearing.most[1] = clearing.bounds[0], clearing.share[0], clearing.most[0]
	afterCase.confidence, afterCase.share, afterCase.most = inspecting.confidence, inspecting.share, inspecting.most
	c.purposes = map[Purpose]handlesOfPurpose{ForClearance: clearing, ForInspection: inspecting, ForCase: afterCase}
	c.table, err = book.Table("inspection_unit_counts")
	return c, err
}

// In is the same under the rules of jurisdictions too.
func (c Counts) In(jurisdictions []string) Counts {
	c.jurisdictions = jurisdictions
	return c
}

// counted are the numbers that one count rests on.
type counted struct {
	design
	column     int // of the table
	atLeast    int // of so many similar ones a sample may be taken
	bound      *law.Value
	confidence *law.Value
}

// Count is how many of a group of similar units to take: all, where there are too few for a sample; otherwise the larger of the printed
// table and the exact count. For clearance the older column stands whatever the age: 40 CFR 745.227(e)(9) has one share. An error names
// what cannot be, or a date before the rules.
func (c Counts) Count(f CountFacts) (Count, error) {
	n, err := c.numbers(f)
	if err != nil {
		return Count{}, err
	}
	a := c.count(f, n)
	a.Determination = c.explain(f, a, n)
	law.Otherwise(&a.Determination, f, c.otherwise(f), func(f CountFacts) string {
		n, err := c.numbers(f)
		if err != nil {
			return ""
		}
		return c.count(f, n).outcome()
	})
	return a, nil
}

func (c Counts) numbers(f CountFacts) (n counted, err error) {
	h, known := c.purposes[f.Purpose]
	var faults fault.Faults
	if !known {
		faults.Add("/purpose", "unknown_purpose", "%q is not a purpose of sampling units.", string(f.Purpose))
	}
	if f.Similar < 1 {
		faults.Add("/similar", "not_positive", "Give the number of similar %s: one or more.", f.Of)
	}
	if err := faults.Err(); err != nil {
		return n, err
	}
	look := c.book.Lookup(f.AsOf, "/as_of", law.Scope{Jurisdictions: c.jurisdictions})
	covered, newer := look.Value(c.coveredYear), look.Value(c.newerYear)
	if err := look.Err(); err != nil {
		return n, err
	}
	if f.BuildYear >= covered.Int() {
		faults.Add("/build_year/year", "not_target_housing",
			"Housing built in %d or later is not target housing, and the counts do not hold for it; correct the year, or leave it out where it is not known.", covered.Int())
		return n, faults.Err()
	}
	era := 0
	if f.BuildYear >= newer.Int() {
		era = 1
	}
	if f.Purpose != ForClearance {
		n.column = era
	}
	n.bound, n.confidence = look.Value(h.bounds[era]), look.Value(h.confidence)
	share, most := look.Value(h.share[era]), look.Value(h.most[era])
	if err := look.Err(); err != nil {
		return n, err
	}
	if _, ok := c.table.On(f.Similar); !ok {
		return n, c.book.TooEarly(h.bounds[era], "/as_of", f.AsOf)
	}
	percent := measure.Frac(1, 100)
	n.design = design{chance: measure.Int(1).Sub(n.confidence.Number().Mul(percent)), share: share.Number().Mul(percent), most: most.Int()}
	if n.atLeast = n.bound.Int(); !h.least {
		n.atLeast++
	}
	return n, nil
}

func (c Counts) count(f CountFacts, n counted) Count {
	row, _ := c.table.On(f.Similar)
	a := Count{Similar: f.Similar,
		Table: TableCount{Name: c.table.Name, Column: c.table.Columns[n.column], From: row.From, Printed: row.Take[n.column], Citation: c.table.Cite(row)},
		Exact: ExactCount{Take: n.fewest(f.Similar), Alone: n.alone(f.Similar), Exceeding: n.exceeding(f.Similar),
			Confidence: n.confidence.Number().String() + " %", Citation: n.confidence.Cite()}}
	a.Exact.Chance = n.missing(f.Similar, a.Exact.Take)
	if row.To != 0 {
		a.Table.To = &row.To
	}
	a.Table.Take, _ = row.Of(f.Similar, n.column)
	a.Take = max(a.Table.Take, a.Exact.Take)
	switch {
	case f.Similar < n.atLeast || f.KnownDraw:
		a.Governs, a.Take = "all", f.Similar
	case a.Table.Take > a.Exact.Take:
		a.Governs = "table"
	case a.Table.Take < a.Exact.Take:
		a.Governs = "exact"
	default:
		a.Governs = "both"
	}
	a.All = a.Take == f.Similar
	return a
}

// outcome is the answer in a word.
func (a Count) outcome() string {
	if a.All {
		return "all"
	}
	return fmt.Sprintf("%d of %d", a.Take, a.Similar)
}

// otherwise is what could be found out, or done, that would change the number.
func (c Counts) otherwise(f CountFacts) []law.Alternative[CountFacts] {
	var list []law.Alternative[CountFacts]
	if newer, ok := c.book.On(c.newerYear, f.AsOf, law.Required, law.Scope{Jurisdictions: c.jurisdictions}); ok && f.BuildYear == 0 && f.Purpose != ForClearance {
		list = append(list, law.Alternative[CountFacts]{Fact: "build_year", Value: fmt.Sprintf("%d or later", newer.Int()),
			Set: func(f *CountFacts) { f.BuildYear = newer.Int() }})
	}
	if f.KnownDraw {
		list = append(list, law.Alternative[CountFacts]{Fact: "crews_know_the_draw", Value: "no", Action: true, Set: func(f *CountFacts) { f.KnownDraw = false }})
	}
	return list
}
