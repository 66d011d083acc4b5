package httpapi

import (
	"context"
	"reflect"

	"github.com/go-json-experiment/json"

	"sillbook/api"
	"sillbook/internal/form"
	"sillbook/internal/trade"
	"sillbook/internal/trade/law"
)

// The calculations answer from the facts sent and store nothing. They call the functions that the stored records rest on.
// Each is a function of the rules and the facts, so that it can be asked again under other rules.

// calculation answers from a request's body under some rules.
type calculation func(r *trade.Rules, body []byte) (any, error)

// answering makes a calculation of a function of the contract's facts.
func answering[F any](answer func(*trade.Rules, F) (any, error)) calculation {
	return func(r *trade.Rules, body []byte) (any, error) {
		var facts F
		if err := json.Unmarshal(body, &facts); err != nil {
			return nil, err
		}
		return answer(r, facts)
	}
}

// calculations are all of them, by the last part of their path.
var calculations = map[string]calculation{
	"applicability":           answering(applicability),
	"assistance-requirements": answering(assistanceRequirements),
	"assistance-tier":         answering(assistanceTier),
	"blood-lead-case":         answering(bloodLeadCase),
	"certificate":             answering(certificate),
	"cleaning":                answering(cleaning),
	"cleaning-verification":   answering(cleaningVerification),
	"clearance":               answering(clearanceOf),
	"clearance-authority":     answering(clearanceAuthority),
	"clearance-limits":        answering(clearanceLimits),
	"containment":             answering(containment),
	"coverage":                answering(coverage),
	"crew-authority":          answering(crewAuthority),
	"disclosure":              answering(disclosure),
	"draws":                   answering(draws),
	"duties":                  answering(duties),
	"emergency":               answering(emergency),
	"exposure":                answering(exposure),
	"facility-visits":         answering(facilityVisits),
	"hazards":                 answering(hazards),
	"housing-rule-exemption":  answering(housingRuleExemption),
	"job-plan":                answering(jobPlan),
	"lead-free-components":    answering(leadFreeComponents),
	"local-requirements":      answering(localRequirements),
	"notice-window":           answering(noticeWindow),
	"occupant-protection":     answering(occupantProtection),
	"practices":               answering(practices),
	"record-keeping":          answering(recordKeeping),
	"reevaluation":            answering(reevaluation),
	"sampling-plan":           answering(samplingPlan),
	"standing":                answering(standing),
	"unit-counts":             answering(unitCounts),
	"waste-class":             answering(wasteClass),
}

// calculate answers a request under the rules of the caller's organization.
func (s *Server) calculate(ctx context.Context, name string) (reply, error) {
	r := requestOf(ctx)
	rules, err := s.store.RulesOf(ctx, r.call())
	if err != nil {
		return reply{}, err
	}
	answer, err := answerTo(rules, name, r.body)
	if err != nil {
		return reply{}, err
	}
	return written(200, answer)
}

// answerTo asks a calculation, and adds what the places named in the request have to do with the answer.
func answerTo(rules *trade.Rules, name string, body []byte) (any, error) {
	answer, err := calculations[name](rules, body)
	if err != nil {
		return nil, err
	}
	var named struct {
		Jurisdictions []string `json:"jurisdictions"`
	}
	if err := json.Unmarshal(body, &named); err != nil || len(named.Jurisdictions) == 0 {
		return answer, err
	}
	whole := reflect.New(reflect.TypeOf(answer))
	whole.Elem().Set(reflect.ValueOf(answer))
	if d := determinationIn(whole); d != nil {
		rules.Localize(d, name, named.Jurisdictions)
	}
	return whole.Elem().Interface(), nil
}

// determinationIn finds the determination of an answer: the answer itself, or a member of it.
func determinationIn(pointer reflect.Value) *law.Determination {
	if d, is := pointer.Interface().(*law.Determination); is {
		return d
	}
	if pointer.Elem().Kind() != reflect.Struct {
		return nil
	}
	for i := range pointer.Elem().NumField() {
		if !pointer.Elem().Type().Field(i).IsExported() {
			continue
		}
		if d, is := pointer.Elem().Field(i).Addr().Interface().(*law.Determination); is {
			return d
		}
	}
	return nil
}

// ListParameters shows the law's numbers with their history.
func (s *Server) ListParameters(_ context.Context, told api.ListParametersRequestObject) (api.ListParametersResponseObject, error) {
	name := ""
	if told.Params.Name != nil {
		name = *told.Params.Name
	}
	return written(200, form.Parameters(s.law, name))
}

// ruleList is the catalogue of rules.
type ruleList struct {
	RuleSet string     `json:"rule_set"`
	Items   []law.Rule `json:"items"`
}

// ListRules shows every rule with its clause, the facts and the numbers it reads.
func (s *Server) ListRules(_ context.Context, told api.ListRulesRequestObject) (api.ListRulesResponseObject, error) {
	list := ruleList{RuleSet: s.law.RuleSet(), Items: []law.Rule{}}
	for _, rule := range trade.Catalogue() {
		if told.Params.Calculation == nil || rule.Calculation == *told.Params.Calculation {
			list.Items = append(list.Items, rule)
		}
	}
	return written(200, list)
}
