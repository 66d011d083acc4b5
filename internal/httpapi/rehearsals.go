package httpapi

import (
	"cmp"
	"context"
	"fmt"
	"reflect"
	"slices"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/google/uuid"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/form"
	"sillbook/internal/postgres"
	"sillbook/internal/trade"
	"sillbook/internal/trade/law"
)

// A rehearsal asks the same question twice: under the law that answers now, and under another.

// rehearsalSide is an answer under one law.
type rehearsalSide struct {
	RuleSet string         `json:"rule_set,omitempty"`
	Outcome string         `json:"outcome,omitempty"`
	Answer  jsontext.Value `json:"answer"`
}

type rehearsal struct {
	Before      rehearsalSide `json:"before"`
	After       rehearsalSide `json:"after"`
	Changed     bool          `json:"changed"`
	Differences []difference  `json:"differences"`
	Complete    bool          `json:"differences_complete"`
}

// ListRuleSets shows the versions of the law that a rehearsal can name.
func (s *Server) ListRuleSets(context.Context, api.ListRuleSetsRequestObject) (api.ListRuleSetsResponseObject, error) {
	type ruleSet struct {
		RuleSet   string `json:"rule_set"`
		KnownFrom string `json:"known_from"`
		Now       bool   `json:"answers_now"`
	}
	list := struct {
		Items []ruleSet `json:"items"`
	}{}
	for _, e := range s.law.Editions() {
		list.Items = append(list.Items, ruleSet{e.RuleSet, e.KnownFrom.String(), e.RuleSet == s.law.RuleSet()})
	}
	return written(200, list)
}

// CalculateRehearsal asks a calculation under the law that answers now and under another.
func (s *Server) CalculateRehearsal(ctx context.Context, told api.CalculateRehearsalRequestObject) (api.CalculateRehearsalResponseObject, error) {
	var raw struct {
		Facts jsontext.Value `json:"facts"`
	}
	if err := json.Unmarshal(requestOf(ctx).body, &raw); err != nil {
		return nil, err
	}
	if err := s.mayAsk(ctx, told.Body.Calculation); err != nil {
		return nil, err
	}
	if err := s.conformFacts(told.Body.Calculation, raw.Facts); err != nil {
		return nil, err
	}
	now, under, err := s.bothLaws(ctx, told.Body.Under)
	if err != nil {
		return nil, err
	}
	before, err := side(now, told.Body.Calculation, raw.Facts)
	if err != nil {
		return nil, err
	}
	after, err := side(under, told.Body.Calculation, raw.Facts)
	if err != nil {
		return nil, err
	}
	return rehearsed(before, after)
}

// mayAsk demands for a rehearsal what its calculation demands of the caller, and of caches.
func (s *Server) mayAsk(ctx context.Context, name string) error {
	op, r := s.contract.operations["POST /v1/calculations/"+name], requestOf(ctx)
	if op == nil {
		return nil // refused when its facts are looked at
	}
	if op.restricted() {
		r.keepOut()
	}
	return op.allows(r.caller)
}

// side asks a calculation under some rules; faults are under /facts.
func side(rules *trade.Rules, name string, facts []byte) (rehearsalSide, error) {
	answer, err := answerTo(rules, name, facts)
	if err != nil {
		return rehearsalSide{}, under("/facts", err)
	}
	text, err := json.Marshal(answer, json.Deterministic(true))
	r := rehearsalSide{RuleSet: rules.Law.RuleSet(), Answer: text}
	whole := reflect.New(reflect.TypeOf(answer))
	whole.Elem().Set(reflect.ValueOf(answer))
	if d := determinationIn(whole); d != nil {
		r.Outcome = d.Outcome
	}
	return r, err
}

// under moves the places that an error names below a pointer.
func under(pointer string, err error) error {
	f := fault.As(err)
	if f.Kind != fault.Implausible && f.Kind != fault.Malformed {
		return err
	}
	moved := *f
	moved.Fields = slices.Clone(f.Fields)
	for i := range moved.Fields {
		moved.Fields[i].Pointer = pointer + moved.Fields[i].Pointer
	}
	return &moved
}

// conformFacts holds facts against the contract of their calculation.
func (s *Server) conformFacts(name string, facts []byte) error {
	item := s.contract.doc.Paths.Value("/v1/calculations/" + name)
	if _, known := calculations[name]; !known || item == nil {
		var f fault.Faults
		f.Add("/calculation", "unknown_calculation", "There is no calculation %q; name the last part of a path under /v1/calculations.", name)
		return f.Err()
	}
	var value any
	if err := json.Unmarshal(facts, &value); err != nil {
		return err
	}
	err := item.Post.RequestBody.Value.Content["application/json"].Schema.Value.VisitJSON(value, openapi3.MultiErrors())
	if err == nil {
		return nil
	}
	e := fault.New(fault.Implausible, "implausible", "The facts are not what the calculation %s takes.", name).
		Fix("Send the facts as they would be sent to /v1/calculations/%s.", name)
	gather(e, err, "")
	return under("/facts", e)
}

// RehearseClearance judges a recorded clearance under other law, beside its verdict.
func (s *Server) RehearseClearance(ctx context.Context, told api.RehearseClearanceRequestObject) (api.RehearseClearanceResponseObject, error) {
	r := requestOf(ctx)
	_, rules, err := s.bothLaws(ctx, told.Body.Under)
	if err != nil {
		return nil, err
	}
	_, body, err := s.store.Get(ctx, r.call(), form.Clearance.Name, told.Id, 0)
	if err != nil {
		return nil, err
	}
	sampling, samples, given, err := form.SamplingOnRecord(body, s.now())
	if err != nil {
		return nil, err
	}
	verdict, d, err := s.store.RehearseClearance(ctx, r.call(), told.Id, sampling, rules)
	if err != nil {
		return nil, err
	}
	text, err := json.Marshal(form.Judged(samples, verdict, d), json.Deterministic(true))
	if err != nil {
		return nil, err
	}
	return rehearsed(rehearsalSide{given.RuleSet, given.Outcome, given.Answer}, rehearsalSide{d.RuleSet, d.Outcome, text})
}

// RehearseSmallRepair judges a recorded small repair under the law that answers now and under another.
func (s *Server) RehearseSmallRepair(ctx context.Context, told api.RehearseSmallRepairRequestObject) (api.RehearseSmallRepairResponseObject, error) {
	return s.rehearse(ctx, told.Body.Under, told.Id, s.store.RehearseRepair)
}

// RehearseRenovation judges a recorded job likewise.
func (s *Server) RehearseRenovation(ctx context.Context, told api.RehearseRenovationRequestObject) (api.RehearseRenovationResponseObject, error) {
	return s.rehearse(ctx, told.Body.Under, told.Id, s.store.RehearseRenovation)
}

// RehearseUnit asks for a unit's coverage likewise.
func (s *Server) RehearseUnit(ctx context.Context, told api.RehearseUnitRequestObject) (api.RehearseUnitResponseObject, error) {
	return s.rehearse(ctx, told.Body.Under, told.Id, s.store.RehearseUnit)
}

// rehearse judges a record under the law that answers now and under another.
func (s *Server) rehearse(ctx context.Context, under api.RehearsalLaw, id uuid.UUID, judge func(context.Context, postgres.Call, uuid.UUID, ...*trade.Rules) ([]postgres.Judged, error)) (reply, error) {
	now, other, err := s.bothLaws(ctx, under)
	if err != nil {
		return reply{}, err
	}
	answers, err := judge(ctx, requestOf(ctx).call(), id, now, other)
	if err != nil {
		return reply{}, err
	}
	sides := make([]rehearsalSide, len(answers))
	for i, rules := range []*trade.Rules{now, other} {
		text, err := json.Marshal(answers[i].Members, json.Deterministic(true))
		if err != nil {
			return reply{}, err
		}
		sides[i] = rehearsalSide{RuleSet: rules.Law.RuleSet(), Outcome: answers[i].Outcome, Answer: text}
	}
	return rehearsed(sides[0], sides[1])
}

// bothLaws are the rules that answer now in the caller's organization, and those that a rehearsal names.
func (s *Server) bothLaws(ctx context.Context, told api.RehearsalLaw) (now, other *trade.Rules, err error) {
	call := requestOf(ctx).call()
	if now, err = s.store.RulesOf(ctx, call); err != nil {
		return nil, nil, err
	}
	var faults fault.Faults
	book, err := s.editionOf(told)
	faults.Merge("/under", err)
	var overlays []law.Overlay
	if told.WithoutOverlays == nil || !*told.WithoutOverlays {
		if overlays, err = s.store.OverlaysOf(ctx, call); err != nil {
			return nil, nil, err
		}
	}
	if told.Overlays != nil {
		for i, o := range *told.Overlays {
			read, err := form.Overlay(s.law, o)
			faults.Merge(fmt.Sprintf("/under/overlays/%d", i), err)
			overlays = append(overlays, read)
		}
	}
	if err := faults.Err(); err != nil {
		return nil, nil, err
	}
	if book, err = book.With(overlays); err != nil {
		return nil, nil, err
	}
	if told.KnownOn != nil {
		book = book.KnownOn(form.Day(*told.KnownOn))
	}
	if told.RequiredOn != nil {
		book = book.RequiredOn(form.Day(*told.RequiredOn))
	}
	other, err = trade.New(book)
	return now, other, err
}

// editionOf is the federal law that a rehearsal names.
func (s *Server) editionOf(told api.RehearsalLaw) (*law.Book, error) {
	var faults fault.Faults
	if told == (api.RehearsalLaw{}) {
		faults.Add("", "nothing_to_rehearse", "Name the law to ask again under: known_on, rule_set, required_on, without_overlays or overlays.")
	}
	if told.RuleSet == nil {
		return s.law, faults.Err()
	}
	if told.KnownOn != nil {
		faults.Add("/known_on", "contradiction", "A rule set is the law as it was known on a date already; leave out one of the two.")
		return s.law, faults.Err()
	}
	for _, e := range s.law.Editions() {
		if e.RuleSet == *told.RuleSet {
			return s.law.KnownOn(e.KnownFrom), faults.Err()
		}
	}
	faults.Add("/rule_set", "unknown_rule_set", "This program cannot answer under %s; GET /v1/law/rule-sets lists those that it can. Stored determinations are read as they were given.", *told.RuleSet)
	return s.law, faults.Err()
}

// difference is a place at which two answers differ.
type difference struct {
	Pointer string  `json:"pointer"`
	Before  *string `json:"before,omitempty"`
	After   *string `json:"after,omitempty"`
}

// mostDifferences bounds a rehearsal.
const mostDifferences = 500

func rehearsed(before, after rehearsalSide) (reply, error) {
	r := rehearsal{Before: before, After: after, Changed: before.Outcome != after.Outcome, Complete: true, Differences: []difference{}}
	was, err := leaves(before.Answer)
	if err != nil {
		return reply{}, err
	}
	is, err := leaves(after.Answer)
	if err != nil {
		return reply{}, err
	}
	var order []string
	for _, l := range slices.Concat(was.order, is.order) {
		if !slices.Contains(order, l) {
			order = append(order, l)
		}
	}
	for _, pointer := range order {
		b, inBefore := was.text[pointer]
		a, inAfter := is.text[pointer]
		if inBefore == inAfter && a == b || lastPart(pointer) == "rule_set" {
			continue
		}
		if len(r.Differences) == mostDifferences {
			r.Complete = false
			break
		}
		d := difference{Pointer: pointer}
		if inBefore {
			d.Before = &b
		}
		if inAfter {
			d.After = &a
		}
		r.Differences = append(r.Differences, d)
	}
	return written(200, r)
}

func lastPart(pointer string) string { return jsontext.Pointer(pointer).LastToken() }

// leafSet are the values of a JSON text that hold no others, by pointer, and the pointers in order.
type leafSet struct {
	text  map[string]string
	order []string
}

func leaves(text []byte) (leafSet, error) {
	var value any
	if err := json.Unmarshal(text, &value); err != nil {
		return leafSet{}, err
	}
	set := leafSet{text: map[string]string{}}
	set.gather("", value)
	return set, nil
}

func (l *leafSet) gather(pointer string, value any) {
	switch value := value.(type) {
	case map[string]any:
		names := make([]string, 0, len(value))
		for name := range value {
			names = append(names, name)
		}
		slices.SortFunc(names, func(a, b string) int { return cmp.Or(rank(a)-rank(b), cmp.Compare(a, b)) })
		for _, name := range names {
			l.gather(string(jsontext.Pointer(pointer).AppendToken(name)), value[name])
		}
	case []any:
		for i := range value {
			l.gather(fmt.Sprintf("%s/%d", pointer, i), value[i])
		}
	default:
		l.order = append(l.order, pointer)
		l.text[pointer] = fmt.Sprint(value)
	}
}

// rank puts what people look for first: the outcome, then the rest by name, the determination last.
func rank(name string) int {
	switch name {
	case "outcome":
		return 0
	case "determination":
		return 2
	}
	return 1
}
