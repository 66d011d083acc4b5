package form

import (
	"encoding/json"
	"slices"
	"strconv"
	"time"

	"github.com/google/uuid"
	openapi "github.com/oapi-codegen/runtime/types"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/postgres"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/clearance"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Clearance is told once, with its wipes; it is not changed, but voided and told again.
var Clearance = Kind{Name: "clearance", Path: "clearances", Schema: "Clearance"}

// Sampling reads a clearance to be recorded. The text is the one that told was decoded from.
func Sampling(told api.ClearanceCreate, text []byte, now time.Time) (postgres.Sampling, error) {
	s := postgres.Sampling{Renovation: told.RenovationId, SampledAt: told.SampledAt, Programme: programme(told.Programme),
		Facts: clearance.Facts{Visual: yesOrNo(told.VisualPassed)}, InHouse: is(told.InHouse, true)}
	if told.PersonId != nil {
		s.Examiner = *told.PersonId
	}
	var faults fault.Faults
	if told.SampledAt.After(now) {
		faults.Add("/sampled_at", "in_the_future", "%s has not come yet; tell the samples when they have been taken.", told.SampledAt.Format(time.RFC3339))
	}
	if told.SampledAt.Year() < 1900 {
		faults.Add("/sampled_at", "long_past", "No wipe was taken in the year %d; correct the date.", told.SampledAt.Year())
	}
	if told.CleanedAt != nil {
		waited := told.SampledAt.Sub(*told.CleanedAt)
		if waited < 0 {
			faults.Add("/cleaned_at", "contradiction", "The final cleaning cannot have ended after the samples were taken; correct one of the two.")
		}
		s.Facts.Waited = measure.Of(measure.Frac(int64(waited), int64(time.Minute)), measure.Minute)
	}
	if told.Laboratory != nil {
		s.Facts.Recognised = Tri(told.Laboratory.Recognised)
	}
	s.Facts.Site, s.Facts.Clearer = site(told.Site), examiner(told.Examiner)
	s.Facts.Samples = samples(&faults, told.Samples)
	for _, t := range told.Samples {
		room := uuid.Nil
		if t.RoomId != nil {
			room = *t.RoomId
		}
		s.Rooms = append(s.Rooms, room)
	}
	if err := faults.Err(); err != nil {
		return s, err
	}
	var err error
	s.Draft, err = postgres.DraftOf(text)
	return s, err
}

// GivenVerdict is a verdict as it stands on record.
type GivenVerdict struct {
	RuleSet, Outcome string
	Answer           []byte // the members that say it
}

// SamplingOnRecord reads a clearance on record as it was told, and the verdict that it was given.
func SamplingOnRecord(body []byte, now time.Time) (s postgres.Sampling, told []api.SampleTold, given GivenVerdict, err error) {
	var record api.ClearanceCreate
	if err = json.Unmarshal(body, &record); err != nil {
		return s, nil, given, err
	}
	if s, err = Sampling(record, body, now); err != nil {
		return s, nil, given, err
	}
	var verdict ClearanceVerdict
	if err = json.Unmarshal(body, &verdict); err != nil {
		return s, nil, given, err
	}
	given = GivenVerdict{RuleSet: verdict.Determination.RuleSet, Outcome: string(verdict.Outcome)}
	var members map[string]json.RawMessage
	if err = json.Unmarshal(body, &members); err != nil {
		return s, nil, given, err
	}
	for name := range members {
		if !slices.Contains([]string{"outcome", "verdicts", "clean_again", "sample_again", "faults", "determination"}, name) {
			delete(members, name)
		}
	}
	given.Answer, err = json.Marshal(members)
	return s, record.Samples, given, err
}

// ClearanceFacts reads the facts of the stateless question, and whose limits apply.
func ClearanceFacts(told api.ClearanceFacts) (facts clearance.Facts, on calendar.Date, jurisdictions, programmes []string, err error) {
	facts = clearance.Facts{Visual: yesOrNo(told.VisualPassed), OutdoorOnly: is(told.OutdoorOnly, true), Recognised: Tri(told.LaboratoryRecognised)}
	if told.MinutesAfterCleaning != nil {
		facts.Waited = measure.Of(measure.Int(int64(*told.MinutesAfterCleaning)), measure.Minute)
	}
	var faults fault.Faults
	facts.Samples = samples(&faults, told.Samples)
	facts.Site, facts.Clearer = site(told.Site), examinerFacts(told.Examiner)
	return facts, Day(told.SampledOn), list(told.Jurisdictions), []string{programme(told.Programme)}, faults.Err()
}

// programme is the one told, or EPA's.
func programme(told *api.Programme) string {
	if told == nil {
		return string(api.ProgrammeEpa)
	}
	return string(*told)
}

func yesOrNo(told bool) law.Tri {
	if told {
		return law.Yes
	}
	return law.No
}

// samples reads wipes as told, and notes all that cannot be, at "/samples/0/area/value" and the like.
func samples(f *fault.Faults, told []api.SampleTold) []clearance.Sample {
	read := make([]clearance.Sample, len(told))
	for i, t := range told {
		var faults fault.Faults
		read[i] = sample(&faults, t)
		if faults.Err() == nil { // what could not be read is not missing
			faults.Merge("", read[i].Check())
		}
		f.Merge("/samples/"+strconv.Itoa(i), faults.Err())
	}
	f.Merge("/samples", clearance.CheckLabels(read))
	return read
}

func sample(f *fault.Faults, t api.SampleTold) clearance.Sample {
	s := clearance.Sample{Label: t.Label, Surface: clearance.Surface(t.Surface), Represents: list(t.Represents)}
	if t.Place != nil {
		s.Place = *t.Place
	}
	if t.Parts != nil {
		s.Parts = int(*t.Parts)
	}
	for _, surface := range list(t.Surfaces) {
		s.Surfaces = append(s.Surfaces, clearance.Surface(surface))
	}
	s.Outside = is(t.OutsideContainment, true)
	s.Area, _ = Quantity(f, "/area", t.Area, measure.Area)
	s.Length, _ = Quantity(f, "/length", t.Length, measure.Length)
	s.Width, _ = Quantity(f, "/width", t.Width, measure.Length)
	s.Mass, _ = Quantity(f, "/mass", t.Mass, measure.Mass)
	s.ReportingLimit, _ = Quantity(f, "/reporting_limit", t.ReportingLimit, measure.Mass)
	s.Reported, _ = Quantity(f, "/reported", t.Reported, measure.Loading)
	return s
}

// ClearanceVerdict is the written form of a verdict: in the record of a clearance, and as the answer that stores nothing.
type ClearanceVerdict struct {
	Outcome       clearance.Outcome   `json:"outcome"`
	Verdicts      []api.SampleVerdict `json:"verdicts"`
	CleanAgain    []string            `json:"clean_again"`
	SampleAgain   []string            `json:"sample_again"`
	NotSampled    []string            `json:"not_sampled,omitempty"`
	Faults        []string            `json:"faults"`
	Determination law.Determination   `json:"determination"`
}

// Judged writes a verdict on the samples told.
func Judged(told []api.SampleTold, v clearance.Verdict, d law.Determination) ClearanceVerdict {
	written := ClearanceVerdict{Outcome: v.Outcome, Verdicts: make([]api.SampleVerdict, len(v.Samples)), Determination: d,
		NotSampled: v.NotSampled, CleanAgain: places(v.CleanAgain), SampleAgain: places(v.Resample), Faults: []string{}}
	for i, s := range v.Samples {
		written.Verdicts[i] = sampleVerdict(s)
		written.Verdicts[i].RoomId = told[i].RoomId
	}
	for _, f := range v.Faults {
		written.Faults = append(written.Faults, f.Label+": "+f.Detail)
	}
	return written
}

func places(list []clearance.Place) []string {
	names := make([]string, len(list))
	for i, p := range list {
		names[i] = p.String()
	}
	return names
}

func sampleVerdict(s clearance.SampleVerdict) api.SampleVerdict {
	v := api.SampleVerdict{Label: s.Label, Surface: api.Surface(s.Surface), Place: optional(s.Place), Outcome: api.SampleOutcome(s.Outcome), Why: s.Why,
		Loading: computed(s.Loading), Limit: computed(s.Limit.Value), ComparedWith: computed(s.Compared),
		LimitEffective: day(s.Limit.Effective), LimitRequired: day(s.Limit.Required), WouldFailFrom: day(s.WouldFailFrom),
		Decides: known(s.Decides), LaboratoryLimitMet: known(s.LaboratoryLimitMet)}
	switch {
	case s.Fault != nil:
		cite := Citation(s.Fault.Citation)
		v.Citation, v.Fault = &cite, &s.Fault.Code
	case s.Limit.Known():
		cite := Citation(s.Limit.Citation)
		v.Citation = &cite
	}
	return v
}

// computed writes a quantity that the book worked out; nothing for one that is not known.
func computed(q measure.Quantity) *api.Computed {
	if !q.Known() {
		return nil
	}
	c := Computed(q.Number(), q.Unit)
	if q.Qualifier == measure.LessThan {
		less := api.Qualifier(q.Qualifier)
		c.Qualifier = &less
	}
	return &c
}

func day(d calendar.Date) *openapi.Date {
	if d.IsZero() {
		return nil
	}
	return &openapi.Date{Time: d.Time()}
}

func known(t law.Tri) *bool {
	if t == law.Unknown {
		return nil
	}
	yes := t == law.Yes
	return &yes
}
