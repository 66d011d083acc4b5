package httpapi

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"strconv"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/google/uuid"

	jsonpatch "github.com/evanphx/json-patch/v5"

	"sillbook/internal/fault"
	"sillbook/internal/form"
	"sillbook/internal/postgres"
)

// The manners of every resource are written once, here: create, read, list, merge patch, put by external id, end.

// create records what the body says.
func (s *Server) create(ctx context.Context, kind form.Kind) (reply, error) {
	r := requestOf(ctx)
	if err := kind.Check(r.body, s.now()); err != nil {
		return reply{}, err
	}
	draft, err := postgres.DraftOf(r.body)
	if err != nil {
		return reply{}, err
	}
	outcome, err := s.store.Create(ctx, r.call(), kind.Name, draft)
	return s.answer(ctx, kind, outcome, err)
}

// get reads one record, now or at a version.
func (s *Server) get(ctx context.Context, kind form.Kind, id uuid.UUID) (reply, error) {
	r := requestOf(ctx)
	version, err := strconv.Atoi("0" + r.query.Get("version"))
	if err != nil {
		return reply{}, fault.New(fault.NotFound, "not_found", "There is no such version.")
	}
	record, body, err := s.store.Get(ctx, r.call(), kind.Name, id, version)
	if err != nil {
		return reply{}, err
	}
	return reply{status: 200, etag: record.ETag(), body: body}, nil
}

// list reads a page.
func (s *Server) list(ctx context.Context, kind form.Kind) (reply, error) {
	r := requestOf(ctx)
	listing, err := r.listing(kind.Name)
	if err != nil {
		return reply{}, err
	}
	page, err := s.store.List(ctx, r.call(), kind.Name, listing)
	if err != nil {
		return reply{}, err
	}
	return r.page(page, "/v1/"+kind.Path), nil
}

// listing reads the parameters that every list takes, and the filters of this one.
func (r *request) listing(kind string) (postgres.Listing, error) {
	after, err := r.after()
	if err != nil {
		return postgres.Listing{}, err
	}
	l := postgres.Listing{After: after, Limit: r.limit(), IncludeEnded: r.query.Get("include_ended") == "true",
		Count: r.query.Get("count"), Filters: map[string]any{}}
	for _, name := range postgres.FiltersOf(kind) {
		if r.query.Has(name) {
			l.Filters[name] = r.query.Get(name)
		}
	}
	return l, nil
}

func (r *request) limit() int {
	limit, err := strconv.Atoi(r.query.Get("limit"))
	if err != nil {
		return 100 // the contract's default; anything else has been refused
	}
	return limit
}

// page writes a page around the records' own bytes.
func (r *request) page(page postgres.Page, path string) reply {
	var b bytes.Buffer
	answer := reply{status: 200}
	b.WriteString(`{"items":[`)
	b.Write(bytes.Join(page.Bodies, []byte(",")))
	b.WriteString(`],"next":`)
	if page.Next == uuid.Nil {
		b.WriteString("null")
	} else {
		cursor := r.cursor(page.Next)
		b.WriteString(strconv.Quote(cursor))
		answer.link = fmt.Sprintf(`<%s>; rel="next"`, r.nextPage(path, cursor))
	}
	if page.Count >= 0 {
		fmt.Fprintf(&b, `,"count":{"value":%d,"exact":%t}`, page.Count, r.query.Get("count") == "exact")
	}
	b.WriteString("}")
	answer.body = b.Bytes()
	return answer
}

// patch merges the body into the record (RFC 7396).
func (s *Server) patch(ctx context.Context, kind form.Kind, id uuid.UUID) (reply, error) {
	r := requestOf(ctx)
	outcome, err := s.store.Change(ctx, r.call(), kind.Name, id, r.match, func(now postgres.Fields) (postgres.Draft, error) {
		return s.merge(kind, now, r.body)
	})
	return s.answer(ctx, kind, outcome, err)
}

// put creates the record under an external id, or merges the body into the one that has it.
func (s *Server) put(ctx context.Context, kind form.Kind, system, value string) (reply, error) {
	r := requestOf(ctx)
	outcome, err := s.store.Put(ctx, r.call(), kind.Name, system, value, r.match, func(now postgres.Fields) (postgres.Draft, error) {
		draft, err := s.merge(kind, now, r.body)
		if err != nil {
			return draft, err
		}
		return draft, keepExternalID(&draft, system, value)
	})
	return s.answer(ctx, kind, outcome, err)
}

// merge applies a merge patch to a record's members and checks the whole as if it had been sent to create it. now is nil
// where there is no record yet.
func (s *Server) merge(kind form.Kind, now postgres.Fields, patch []byte) (postgres.Draft, error) {
	told := s.writable(kind, now)
	before, err := json.Marshal(told)
	if err != nil {
		return postgres.Draft{}, err
	}
	merged, err := jsonpatch.MergePatch(before, patch)
	if err != nil {
		return postgres.Draft{}, fault.New(fault.Malformed, "not_json", "The merge patch cannot be applied.").Because(err)
	}
	if err := s.conform(kind.Schema+"Create", merged); err != nil {
		return postgres.Draft{}, err
	}
	if err := kind.Check(merged, s.now()); err != nil {
		return postgres.Draft{}, err
	}
	draft, err := postgres.DraftOf(merged)
	if err != nil {
		return draft, err
	}
	var patched postgres.Fields
	if err := json.Unmarshal(patch, &patched); err != nil {
		return draft, err
	}
	for _, name := range postgres.RestrictedOf(kind.Name) { // null means cleared, absent means untouched
		if value, told := patched[name]; told {
			draft.Fields[name] = value
		}
	}
	for name, value := range now { // what the book computed stays
		if _, writable := told[name]; !writable {
			draft.Fields[name] = value
		}
	}
	return draft, nil
}

// writable are the members that a caller may send.
func (s *Server) writable(kind form.Kind, now postgres.Fields) postgres.Fields {
	told := postgres.Fields{}
	properties := s.contract.doc.Components.Schemas[kind.Schema+"Create"].Value.Properties
	for name, value := range now {
		if properties[name] != nil {
			told[name] = value
		}
	}
	return told
}

// conform checks a text against a schema of the contract, as the validation of a request would.
func (s *Server) conform(schema string, text []byte) error {
	var value any
	if err := json.Unmarshal(text, &value); err != nil {
		return err
	}
	err := s.contract.doc.Components.Schemas[schema].Value.VisitJSON(value, openapi3.MultiErrors())
	if err == nil {
		return nil
	}
	e := fault.New(fault.Implausible, "implausible", "Merged with what is on record, the record would not be whole.").
		Fix("Send the fields that errors lists; nothing was stored.")
	gather(e, err, "")
	return e
}

// keepExternalID makes sure that the record keeps the external id it was put under.
func keepExternalID(draft *postgres.Draft, system, value string) error {
	type externalID struct {
		System string `json:"system"`
		Value  string `json:"value"`
	}
	var ids []externalID
	if text := draft.Fields["external_ids"]; len(text) > 0 && jsontext.Value(text).Kind() == '[' {
		if err := json.Unmarshal(text, &ids); err != nil {
			return err
		}
	}
	if wanted := (externalID{system, value}); !slices.Contains(ids, wanted) {
		ids = append(ids, wanted)
	}
	return draft.Set("external_ids", ids)
}

// end ends a record.
func (s *Server) end(ctx context.Context, kind form.Kind, id uuid.UUID) (reply, error) {
	r := requestOf(ctx)
	ending, err := form.Ending(r.body, s.now())
	if err != nil {
		return reply{}, err
	}
	outcome, err := s.store.End(ctx, r.call(), kind.Name, id, r.match, ending)
	return s.answer(ctx, kind, outcome, err)
}

// answer writes what a mutation came to, as the caller may see it.
func (s *Server) answer(ctx context.Context, kind form.Kind, outcome postgres.Outcome, err error) (reply, error) {
	if err != nil {
		return reply{}, err
	}
	r := requestOf(ctx)
	body, err := s.store.Show(ctx, r.call(), outcome.Record)
	if err != nil {
		return reply{}, err
	}
	a := reply{status: outcome.Status, etag: outcome.Record.ETag(), replayed: outcome.Replayed, body: body}
	if outcome.Status == 201 {
		a.location = "/v1/" + kind.Path + "/" + outcome.Record.ID.String()
	}
	return a, nil
}

// written is an answer that is not a record.
func written(status int, v any) (reply, error) {
	body, err := json.Marshal(v, json.Deterministic(true))
	return reply{status: status, body: body}, err
}
