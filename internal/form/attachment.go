package form

import (
	"encoding/base64"
	"strings"
	"time"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/object"
	"sillbook/internal/postgres"
)

// Attachments is the kind of record that tells of bytes. They are told in a query, beside the bytes.
var Attachments = Kind{Name: "attachment", Path: "attachments", Schema: "Attachment"}

// edited are the kinds of attachment of which there are editions, and it matters which was given.
var edited = map[api.AttachmentKind]bool{api.AttachmentKindPamphlet: true, api.AttachmentKindPrescribedStatement: true}

// Attachment reads what a query tells of bytes that came under a content type.
func Attachment(p api.CreateAttachmentParams, contentType string, now time.Time) (postgres.Attachment, error) {
	a := postgres.Attachment{SubjectKind: string(p.SubjectKind), SubjectID: p.SubjectId, Kind: string(p.Kind), Title: p.Title, ContentType: contentType}
	var faults fault.Faults
	switch {
	case edited[p.Kind] && p.Edition == nil:
		faults.Parameter("edition", "missing", "Say which edition of the %s it is; its date is enough.", spoken(a.Kind))
	case !edited[p.Kind] && p.Edition != nil:
		faults.Parameter("edition", "contradiction", "There are no editions of a %s; leave it out.", spoken(a.Kind))
	case p.Edition != nil:
		a.Edition = *p.Edition
	}
	if strings.TrimSpace(p.Title) == "" {
		faults.Parameter("title", "missing", "Say what a person would call it.")
	}
	if p.Kind == api.AttachmentKindPhoto && !object.IsPicture(contentType) {
		faults.Parameter("kind", "contradiction", "A photo comes as %s or %s, not as %s.", object.JPEG, object.PNG, contentType)
	}
	if p.TakenOn != nil {
		if p.TakenOn.After(now.UTC().Add(14 * time.Hour)) {
			faults.Parameter("taken_on", "in_the_future", "%s has not come yet anywhere; tell what happened, when it has happened.", p.TakenOn)
		} else {
			a.TakenOn = Day(*p.TakenOn)
		}
	}
	return a, faults.Err()
}

func spoken(kind string) string { return strings.ReplaceAll(kind, "_", " ") }

// CheckDigests holds what a caller says the SHA-256 of its bytes is against what it is. Errors: fault.Malformed for a digest
// field that cannot be read, fault.Implausible for one that differs.
func CheckDigests(p api.CreateAttachmentParams, sum object.Sum) error {
	differs := fault.New(fault.Implausible, "digest_mismatch", "The bytes that came are not the ones that were meant: their SHA-256 is %s.", sum).
		Fix("Send the file again; if it differs again, take its SHA-256 anew.")
	if p.Sha256 != nil && !strings.EqualFold(*p.Sha256, sum.String()) {
		differs.Fields = append(differs.Fields, fault.Field{Parameter: "sha256", Code: "digest_mismatch", Detail: "It is not the SHA-256 of the bytes that came."})
	}
	if p.ContentDigest != nil {
		said, ok := digestField(*p.ContentDigest)
		if !ok {
			e := fault.New(fault.Malformed, "malformed", "Content-Digest has no sha-256 that can be read.").Fix("Send it as %s, or leave it out.", sum.Digest())
			e.Fields = []fault.Field{{Header: "Content-Digest", Code: "bad_value", Detail: "It must have a member sha-256, such as sha-256=:...=: with 32 bytes in base 64."}}
			return e
		}
		if said != sum {
			differs.Fields = append(differs.Fields, fault.Field{Header: "Content-Digest", Code: "digest_mismatch", Detail: "Its sha-256 is not that of the bytes that came."})
		}
	}
	if len(differs.Fields) == 0 {
		return nil
	}
	return differs
}

// digestField reads the SHA-256 out of a digest field (RFC 9530): a dictionary (RFC 9651) whose members are algorithms, and
// their values bytes in base 64 between colons. Where a member is there twice, the last counts.
func digestField(field string) (sum object.Sum, ok bool) {
	for member := range strings.SplitSeq(field, ",") {
		name, value, _ := strings.Cut(strings.Trim(member, " \t"), "=")
		if name != "sha-256" {
			continue
		}
		value, _, _ = strings.Cut(value, ";")
		if len(value) < 2 || value[0] != ':' || value[len(value)-1] != ':' {
			return sum, false
		}
		digest, err := base64.StdEncoding.DecodeString(value[1 : len(value)-1])
		if err != nil || len(digest) != len(sum) {
			return sum, false
		}
		sum, ok = object.Sum(digest), true
	}
	return sum, ok
}
