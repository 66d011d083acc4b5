package law

import "sillbook/internal/trade/calendar"

// Tri is yes, no, or not known. Not known always gets the protective answer.
type Tri uint8

// The three.
const (
	Unknown Tri = iota
	Yes
	No
)

// TriOf reads "yes" and "no"; anything else is not known.
func TriOf(text string) Tri {
	switch text {
	case "yes":
		return Yes
	case "no":
		return No
	}
	return Unknown
}

// String is yes, no or unknown.
func (t Tri) String() string {
	return [...]string{"unknown", "yes", "no"}[t]
}

// Determination is an answer that explains itself. It is stored whole wherever something rests on it.
type Determination struct {
	Question    string        `json:"question"`
	Outcome     string        `json:"outcome"`
	AsOf        calendar.Date `json:"as_of"`
	RuleSet     string        `json:"rule_set"`
	Reasons     []Reason      `json:"reasons"`
	Used        []Fact        `json:"used"`
	Missing     []Missing     `json:"missing"`
	Differences []string      `json:"differences,omitempty"` // where two rules differ; the more protective was taken

	// What would change the outcome, where it was asked for; Complete is false when the search was cut.
	Counterfactuals []Counterfactual `json:"counterfactuals,omitempty"`
	Complete        *bool            `json:"counterfactuals_complete,omitempty"`
}

// Reason is one reason for an outcome.
type Reason struct {
	Rule     string   `json:"rule"` // stable name
	Text     string   `json:"text"` // a sentence
	Fact     string   `json:"fact,omitempty"`
	Value    string   `json:"value,omitempty"`
	Citation Citation `json:"citation"`
}

// Fact is a fact that an answer rests on.
type Fact struct {
	Fact  string `json:"fact"`
	Value string `json:"value"`
}

// Missing is a fact that was not known, and how knowing it could change the outcome.
type Missing struct {
	Fact        string `json:"fact"`
	Why         string `json:"why"`
	WouldChange string `json:"would_change"`
}

// NewDetermination begins an answer to a question; its lists are empty, not absent.
func NewDetermination(question string, asOf calendar.Date, ruleSet string) Determination {
	return Determination{Question: question, AsOf: asOf, RuleSet: ruleSet, Reasons: []Reason{}, Used: []Fact{}, Missing: []Missing{}}
}

// Because adds a reason.
func (d *Determination) Because(rule, fact, value string, c Citation, text string) {
	d.Reasons = append(d.Reasons, Reason{Rule: rule, Text: text, Fact: fact, Value: value, Citation: c})
}

// Use notes a fact the answer rests on.
func (d *Determination) Use(fact, value string) { d.Used = append(d.Used, Fact{fact, value}) }

// Miss notes a fact that was not known.
func (d *Determination) Miss(fact, why, wouldChange string) {
	d.Missing = append(d.Missing, Missing{fact, why, wouldChange})
}
