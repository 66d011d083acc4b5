package httpapi

import (
	"context"
	"slices"
	"strings"

	"sillbook/api"
	"sillbook/internal/credential"
	"sillbook/internal/fault"
	"sillbook/internal/form"
	"sillbook/internal/object"
	"sillbook/internal/postgres"
)

// ListAttachments answers the operation of that name.
func (s *Server) ListAttachments(ctx context.Context, _ api.ListAttachmentsRequestObject) (api.ListAttachmentsResponseObject, error) {
	s.nearSubjects(requestOf(ctx))
	return s.list(ctx, form.Attachments)
}

// GetAttachment answers the operation of that name.
func (s *Server) GetAttachment(ctx context.Context, r api.GetAttachmentRequestObject) (api.GetAttachmentResponseObject, error) {
	s.nearSubjects(requestOf(ctx))
	return s.get(ctx, form.Attachments, r.Id)
}

// EndAttachment answers the operation of that name. The bytes stay.
func (s *Server) EndAttachment(ctx context.Context, r api.EndAttachmentRequestObject) (api.EndAttachmentResponseObject, error) {
	s.nearSubjects(requestOf(ctx))
	return s.end(ctx, form.Attachments, r.Id)
}

// nearSubjects narrows the caller to what hangs on records of the kinds that it may read: by its grant and by its role.
func (s *Server) nearSubjects(r *request) {
	var kinds []string
	for kind, read := range s.contract.readers {
		if read.allows(r.caller) == nil {
			kinds = append(kinds, kind)
		}
	}
	if r.caller.Kinds != nil || len(kinds) < len(s.contract.readers) {
		slices.Sort(kinds)
		r.caller.Kinds = kinds
	}
}

// readersOf are the operations that read one record each, by its kind.
func readersOf(operations map[string]*operation) map[string]*operation {
	readers := map[string]*operation{}
	for _, op := range operations {
		if op.route.Method == "GET" && strings.HasSuffix(op.route.Path, "/{id}") && !op.administers() {
			readers[op.kind] = op
		}
	}
	return readers
}

// CreateAttachment keeps the bytes that have come, and a copy of a picture that may be handed out.
func (s *Server) CreateAttachment(ctx context.Context, told api.CreateAttachmentRequestObject) (api.CreateAttachmentResponseObject, error) {
	r := requestOf(ctx)
	s.nearSubjects(r)
	a, err := form.Attachment(told.Params, r.upload.contentType, s.now())
	if err != nil {
		return nil, err
	}
	if err := form.CheckDigests(told.Params, r.upload.Sum); err != nil {
		return nil, err
	}
	if err := r.upload.Check(a.ContentType); err != nil {
		return nil, err
	}
	served, err := r.upload.Served(a.ContentType)
	if err != nil {
		return nil, err
	}
	defer served.Close()
	a.Size, a.SHA256, a.ServedSize, a.ServedSHA256 = r.upload.Size, r.upload.Sum.String(), served.Size, served.Sum.String()
	ctx, cancel := context.WithTimeout(ctx, s.deadline)
	defer cancel()
	outcome, err := s.store.Attach(ctx, r.call(), a, func(ctx context.Context) error {
		kept := []*object.Received{r.upload.Received}
		if served.Sum != r.upload.Sum {
			kept = append(kept, served)
		}
		for _, bytes := range kept {
			key := object.Key{Organization: r.caller.Organization, Sum: bytes.Sum}
			if err := s.files.objects.Put(ctx, key, bytes.Bytes(), bytes.Size); err != nil {
				return err
			}
		}
		return nil
	})
	return s.answer(ctx, form.Attachments, outcome, err)
}

// GetAttachmentContent hands out the bytes: of a picture the copy, unless the original is asked for by somebody who may have it.
func (s *Server) GetAttachmentContent(ctx context.Context, asked api.GetAttachmentContentRequestObject) (api.GetAttachmentContentResponseObject, error) {
	r := requestOf(ctx)
	original := asked.Params.Original != nil && *asked.Params.Original
	if original && r.caller.Role != credential.Owner && r.caller.Role != credential.Manager {
		return nil, fault.New(fault.Forbidden, "role", "Only an owner or a manager has the original of an attachment, which may say where it was taken.").
			Fix("Leave original out to get the copy.")
	}
	s.nearSubjects(r)
	reading, cancel := context.WithTimeout(ctx, s.deadline)
	defer cancel()
	_, body, err := s.store.Get(reading, r.call(), form.Attachments.Name, asked.Id, 0)
	if err != nil {
		return nil, err
	}
	a, err := postgres.ReadAttachment(body)
	if err != nil {
		return nil, err
	}
	d := download{contentType: a.ContentType, name: fileName(a.Title, object.Ending(a.ContentType)), size: a.ServedSize, restricted: a.Restricted,
		sent: func(n int64) { s.metrics.bytes.WithLabelValues("served").Add(float64(n)) }}
	digits := a.ServedSHA256
	if original {
		d.size, digits = a.Size, a.SHA256
	}
	d.sum, _ = object.ParseSum(digits)
	if asked.Params.IfNoneMatch != nil && hasCopy(*asked.Params.IfNoneMatch, d.etag()) {
		return d, nil
	}
	if asked.Params.Range != nil {
		d.part, _ = partOf(*asked.Params.Range, d.size)
	}
	d.bytes, err = s.files.objects.Open(ctx, object.Key{Organization: r.caller.Organization, Sum: d.sum})
	return d, err
}
