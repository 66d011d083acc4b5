package httpapi_test

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sillbook/api"
	"sillbook/internal/contracttest"
	"sillbook/internal/credential"
	"sillbook/internal/httpapi"
	objects "sillbook/internal/object"
	"sillbook/internal/pgtest"
	"sillbook/internal/postgres"
)

// whereabouts stand in the metadata of the photos here; no copy that is handed out may have them.
const whereabouts = "42.3601N 71.0589W"

// photo is a small JPEG with whereabouts in its Exif, its comment and behind its end, and what is left of it without.
func photo(t testing.TB) (original, served []byte) {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 8, 8)), nil))
	served = b.Bytes()
	segment := func(kind byte, content string) []byte {
		return append([]byte{0xFF, kind, 0, byte(len(content) + 2)}, content...)
	}
	return slices.Concat(served[:2], segment(0xE1, "Exif\x00\x00MM\x00*\x00\x00\x00\x08\x00\x00"+whereabouts), segment(0xFE, whereabouts),
		served[2:], []byte(whereabouts)), served
}

// paper is a document in PDF, as far as anybody looks.
const paper = "%PDF-1.7\n% results of 16 April\n%%EOF\n"

// told is the query of an attachment.
func told(subjectKind, subject, kind string, more ...string) string {
	q := url.Values{"subject_kind": {subjectKind}, "subject_id": {subject}, "kind": {kind}, "title": {"Kitchen sills"}}
	for i := 0; i < len(more); i += 2 {
		q.Set(more[i], more[i+1])
	}
	return "/v1/attachments?" + q.Encode()
}

// attach sends bytes.
func attach(c *contracttest.Client, contentType, path string, content []byte) contracttest.Answer {
	return c.With("Content-Type", contentType).Post(path, content)
}

func hexSum(content []byte) string {
	sum := sha256.Sum256(content)
	return hex.EncodeToString(sum[:])
}

// directory gives a service a directory for bytes, and lists what is in it.
func directory(t *testing.T) (change func(*httpapi.Options), kept func() []string) {
	dir := t.TempDir()
	files, err := objects.OpenFiles(dir)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, files.Close()) })
	return func(o *httpapi.Options) { o.Objects = files }, func() (list []string) {
		require.NoError(t, filepath.WalkDir(dir, func(name string, e os.DirEntry, err error) error {
			if err == nil && !e.IsDir() {
				list = append(list, name)
			}
			return err
		}))
		return list
	}
}

func TestPhotoIsKeptAsItCameAndHandedOutWithoutItsWhereabouts(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	owner := s.Owner()
	h := newHome(owner, "Alder Court")
	original, served := photo(t)
	made := attach(owner, "image/jpeg", told("unit", h.unit, "photo", "taken_on", "2026-04-20", "title", "Küche/sills: \"before\""), original).Is(201)
	var a api.Attachment
	owner.Get(made.Header.Get("Location")).Is(200).Into(&a)
	require.Equal(t, `"1"`, made.ETag())
	require.Equal(t, []string{h.property}, []string{a.PropertyIds[0].String()})
	require.Equal(t, []any{hexSum(original), hexSum(served), int64(len(original)), int64(len(served)), false, "2026-04-20", "image/jpeg"},
		[]any{a.Sha256, a.ServedSha256, a.Size, a.ServedSize, a.Restricted, a.TakenOn.String(), a.ContentType})

	content := "/v1/attachments/" + made.ID() + "/content"
	got := owner.Get(content).Is(200)
	require.Equal(t, served, got.Body)
	require.NotContains(t, string(got.Body), whereabouts)
	for name, value := range map[string]string{"Content-Type": "image/jpeg", "X-Content-Type-Options": "nosniff",
		"Content-Security-Policy": "default-src 'none'; sandbox", "Cache-Control": "private, no-cache", "Etag": `"` + a.ServedSha256 + `"`,
		"Content-Disposition": "attachment; filename*=utf-8''K%C3%BCche-sills-%20-before-.jpg"} {
		require.Equal(t, value, got.Header.Get(name), name)
	}
	require.Equal(t, objects.Sum(sha256.Sum256(served)).Digest(), got.Header.Get("Repr-Digest"))
	require.Equal(t, original, owner.Get(content+"?original=true").Is(200).Body)
	require.Equal(t, served, owner.Get(content+"?original=false").Is(200).Body)
	for _, role := range everyRole {
		c := s.Client(s.Key(postgres.Key{Name: string(role), Role: role, Scopes: everyScope}))
		require.Equal(t, served, c.Get(content).Is(200).Body)
		if role != credential.Owner && role != credential.Manager {
			c.Get(content+"?original=true").Problem(403, "role")
		}
	}
}

func TestDocumentIsHandedOutAsItCameAndNeverToBeShown(t *testing.T) {
	t.Parallel()
	owner := contracttest.New(t).Owner()
	h := newHome(owner, "Alder Court")
	for contentType, content := range map[string]string{"application/pdf": paper, "text/csv": "sample,ug\nS-1,24\n", "text/plain": "Received the pamphlet.\n"} {
		made := attach(owner, contentType, told("unit", h.unit, "other"), []byte(content)).Is(201)
		require.Equal(t, made.JSON()["sha256"], made.JSON()["served_sha256"])
		got := owner.With("Accept", contentType).Get("/v1/attachments/" + made.ID() + "/content").Is(200)
		require.Equal(t, content, string(got.Body))
		require.Equal(t, contentType, got.Header.Get("Content-Type"))
		require.True(t, strings.HasPrefix(got.Header.Get("Content-Disposition"), `attachment; filename="Kitchen sills.`), got.Header)
		require.Contains(t, got.Header.Get("Content-Security-Policy"), "sandbox")
	}
}

func TestBytesThatTheCallerHasAreNotSentAgainAndPartsCanBeAskedFor(t *testing.T) {
	t.Parallel()
	owner := contracttest.New(t).Owner()
	h := newHome(owner, "Alder Court")
	path := "/v1/attachments/" + attach(owner, "text/plain", told("unit", h.unit, "other"), []byte("0123456789")).Is(201).ID() + "/content"
	etag := owner.Get(path).Is(200).ETag()
	for _, known := range []string{etag, "W/" + etag, `"x", ` + etag, "*"} {
		a := owner.With("If-None-Match", known).Get(path).Is(304)
		require.Empty(t, a.Body)
		require.Equal(t, etag, a.ETag())
	}
	owner.With("If-None-Match", `"x"`).Get(path).Is(200)
	for field, part := range map[string][2]string{"bytes=0-3": {"0123", "bytes 0-3/10"}, "bytes=4-": {"456789", "bytes 4-9/10"}, "bytes=-2": {"89", "bytes 8-9/10"},
		"bytes=9-99": {"9", "bytes 9-9/10"}, "bytes=-99": {"0123456789", "bytes 0-9/10"}, "bytes=0-9": {"0123456789", "bytes 0-9/10"}} {
		a := owner.With("Range", field).Get(path).Is(206)
		require.Equal(t, part, [2]string{string(a.Body), a.Header.Get("Content-Range")}, field)
	}
	for _, field := range []string{"bytes=10-", "bytes=3-2", "bytes=-0", "bytes=", "bytes=-", "bytes=a-b", "bytes=0-1,4-5", "lines=0-1", "bytes=0--1", "bytes=99999999999999999999-"} {
		require.Equal(t, "0123456789", string(owner.With("Range", field).Get(path).Is(200).Body), field)
	}
}

func TestBytesThatAreNotTheOnesThatWereMeantAreRefusedAndNothingIsStored(t *testing.T) {
	t.Parallel()
	change, kept := directory(t)
	s := contracttest.NewWith(t, pgtest.Database(t), change)
	owner := s.Owner()
	h := newHome(owner, "Alder Court")
	right, wrong := sha256.Sum256([]byte(paper)), sha256.Sum256([]byte("another"))
	digest := objects.Sum(right).Digest()
	path := told("unit", h.unit, "laboratory_report")
	send := func(query, header string) contracttest.Answer {
		c := owner
		if header != "" {
			c = c.With("Content-Digest", header)
		}
		return attach(c, "application/pdf", path+query, []byte(paper))
	}
	for name, c := range map[string]struct{ query, header, at string }{
		"the query's":           {"&sha256=" + hex.EncodeToString(wrong[:]), "", "sha256"},
		"the header's":          {"", objects.Sum(wrong).Digest(), "Content-Digest"},
		"the last of two":       {"", digest + ", " + objects.Sum(wrong).Digest(), "Content-Digest"},
		"one of the two places": {"&sha256=" + hex.EncodeToString(wrong[:]), digest, "sha256"},
	} {
		p := send(c.query, c.header).Problem(422, "digest_mismatch")
		require.Equal(t, []string{c.at}, contracttest.Pointers(p), name)
		require.Contains(t, p.Detail, hex.EncodeToString(right[:]), "it says what came")
	}
	for name, header := range map[string]string{"another algorithm alone": "sha-512=:AAAA:", "no bytes": "sha-256=\"x\"", "too few bytes": "sha-256=:AAAA:", "nothing": ","} {
		p := send("", header).Problem(400, "malformed")
		require.Equal(t, []string{"Content-Digest"}, contracttest.Pointers(p), name)
	}
	require.Empty(t, kept(), "no bytes are stored")
	var list api.AttachmentList
	owner.Get("/v1/attachments?include_ended=true").Is(200).Into(&list)
	require.Empty(t, list.Items)
	send("&sha256="+strings.ToUpper(hex.EncodeToString(right[:])), "md5=:AAAA:,\t"+digest+";x=1").Is(201)
	require.Len(t, kept(), 1)
}

func TestAttachmentThatCannotBeIsRefusedAndNothingIsStored(t *testing.T) {
	t.Parallel()
	change, kept := directory(t)
	owner := contracttest.NewWith(t, pgtest.Database(t), change).Owner()
	h := newHome(owner, "Alder Court")
	gone := owner.Post("/v1/rooms", map[string]any{"unit_id": h.unit, "name": "Closet", "kind": "room"}).Is(201).ID()
	owner.With("If-Match", `"1"`).Post("/v1/rooms/"+gone+"/end", `{"how":"void","reason":"Entered twice."}`).Is(200)
	whole, _ := photo(t)
	for name, c := range map[string]struct {
		contentType, path string
		content           []byte
		status            int
		code, at          string
	}{
		"a page sent as text":             {"text/plain", told("unit", h.unit, "other"), []byte("<html><script>"), 422, "another_type", "Content-Type"},
		"a page":                          {"text/html", told("unit", h.unit, "other"), []byte("<html>"), 415, "unsupported_media", ""},
		"no type":                         {"", told("unit", h.unit, "other"), []byte(paper), 415, "unsupported_media", ""},
		"a photo that broke off":          {"image/jpeg", told("unit", h.unit, "photo"), whole[:len(whole)/2], 422, "picture_not_read", ""},
		"nothing":                         {"text/plain", told("unit", h.unit, "other"), []byte{}, 422, "empty", ""},
		"a photo that is a document":      {"application/pdf", told("unit", h.unit, "photo"), []byte(paper), 422, "implausible", "kind"},
		"a pamphlet of no edition":        {"application/pdf", told("unit", h.unit, "pamphlet"), []byte(paper), 422, "implausible", "edition"},
		"a statement of no edition":       {"application/pdf", told("unit", h.unit, "prescribed_statement"), []byte(paper), 422, "implausible", "edition"},
		"a photo of an edition":           {"image/jpeg", told("unit", h.unit, "photo", "edition", "2011"), whole, 422, "implausible", "edition"},
		"a title of spaces":               {"image/jpeg", told("unit", h.unit, "photo", "title", "  "), whole, 422, "implausible", "title"},
		"taken tomorrow at the property":  {"image/jpeg", told("unit", h.unit, "photo", "taken_on", "2026-04-21"), whole, 422, "implausible", "taken_on"},
		"taken next year":                 {"image/jpeg", told("unit", h.unit, "photo", "taken_on", "2027-04-21"), whole, 422, "implausible", "taken_on"},
		"on something that is not there":  {"image/jpeg", told("room", h.unit, "photo"), whole, 422, "implausible", "subject_id"},
		"on something that has ended":     {"image/jpeg", told("room", gone, "photo"), whole, 422, "implausible", "subject_id"},
		"on a kind that nothing hangs on": {"image/jpeg", told("key", h.unit, "photo"), whole, 400, "malformed", "subject_kind"},
	} {
		client := owner.With("Content-Type", c.contentType)
		p := client.Post(c.path, c.content).Problem(c.status, c.code)
		if c.at != "" {
			require.Equal(t, []string{c.at}, contracttest.Pointers(p), name)
		}
		require.Empty(t, kept(), name)
	}
	var page api.ChangePage
	owner.Get("/v1/changes?subject_kind=attachment").Is(200).Into(&page)
	require.Empty(t, page.Items)
}

func TestEncodedBodyIsRefused(t *testing.T) {
	t.Parallel()
	owner := contracttest.New(t).Owner()
	h := newHome(owner, "Alder Court")
	attach(owner.With("Content-Encoding", "gzip"), "text/plain", told("unit", h.unit, "other"), []byte("x")).Problem(415, "unsupported_encoding")
}

// S6: what is too large is refused where it says so before a byte of it is read, and otherwise when the limit is reached.
func TestBodyThatIsTooLargeIsRefusedWhileItComes(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	owner := s.Owner()
	h := newHome(owner, "Alder Court")
	path := told("unit", h.unit, "other")
	owner.With("Content-Type", "text/plain").Post(path, io.LimitReader(spaces{}, contracttest.LargestAttachment+1)).Problem(413, "body_too_large")
	owner.With("Content-Type", "text/plain").Post(path, io.LimitReader(spaces{}, contracttest.LargestAttachment)).Is(201)
	answer := talk(t, s, path, fmt.Sprintf("Content-Length: %d\r\n", contracttest.LargestAttachment+1), "")
	require.Equal(t, 413, answer.StatusCode)
}

// S6: a client that stops sending is given up, and so is one that says too little.
func TestBodyThatStopsComingIsGivenUp(t *testing.T) {
	t.Parallel()
	s := contracttest.NewWith(t, pgtest.Database(t), func(o *httpapi.Options) { o.Stall = 50 * time.Millisecond })
	h := newHome(s.Owner(), "Alder Court")
	answer := talk(t, s, told("unit", h.unit, "other"), "Content-Length: 10\r\n", "01234")
	require.Equal(t, 400, answer.StatusCode)
	body, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	require.Contains(t, string(body), "body_too_slow")
	attach(s.Owner(), "text/plain", told("unit", h.unit, "other"), []byte("0123456789")).Is(201)
}

// talk sends the head of a request and some of its body by hand, and reads the answer.
func talk(t *testing.T, s *contracttest.Service, path, headers, body string) *http.Response {
	t.Helper()
	conn, err := net.Dial("tcp", strings.TrimPrefix(s.URL, "http://"))
	require.NoError(t, err)
	t.Cleanup(func() { conn.Close() })
	_, err = fmt.Fprintf(conn, "POST %s HTTP/1.1\r\nHost: test\r\nAuthorization: Bearer %s\r\nContent-Type: text/plain\r\n%s\r\n%s", path, s.OwnerKey, headers, body)
	require.NoError(t, err)
	answer, err := http.ReadResponse(bufio.NewReader(conn), nil)
	require.NoError(t, err)
	t.Cleanup(func() { answer.Body.Close() })
	return answer
}

func TestRepeatedUploadIsOneAttachmentAndOtherBytesUnderItsKeyAreRefused(t *testing.T) {
	t.Parallel()
	owner := contracttest.New(t).Owner()
	h := newHome(owner, "Alder Court")
	c := owner.With("Idempotency-Key", "photo-1")
	path := told("unit", h.unit, "other")
	first := attach(c, "text/plain", path, []byte("one")).Is(201)
	again := attach(c, "text/plain", path, []byte("one")).Is(201)
	require.Equal(t, first.ID(), again.ID())
	require.Equal(t, "true", again.Header.Get("Idempotency-Replayed"))
	attach(c, "text/plain", path, []byte("two")).Problem(422, "idempotency_key_reused")
	attach(c, "text/csv", path, []byte("one")).Problem(422, "idempotency_key_reused")
	owner.With("If-Match", `"1"`).Post("/v1/units/"+h.unit+"/end", `{"how":"ended","reason":"Demolished."}`).Is(200)
	require.Equal(t, first.ID(), attach(c, "text/plain", path, []byte("one")).Is(201).ID(), "what was answered is answered again")
}

func TestSameBytesAreOneObjectInAnOrganizationAndNeverAnothers(t *testing.T) {
	t.Parallel()
	change, kept := directory(t)
	s := contracttest.NewWith(t, pgtest.Database(t), change)
	owner := s.Owner()
	h := newHome(owner, "Alder Court")
	first := attach(owner, "application/pdf", told("unit", h.unit, "other"), []byte(paper)).Is(201)
	second := attach(owner, "application/pdf", told("room", h.room, "other"), []byte(paper)).Is(201)
	require.NotEqual(t, first.ID(), second.ID())
	require.Len(t, kept(), 1)
	otherID, key := s.Open("Another")
	stranger := s.Client(key)
	_, err := s.Objects.Open(t.Context(), objects.Key{Organization: otherID, Sum: sha256.Sum256([]byte(paper))})
	require.Error(t, err)
	stranger.Get("/v1/attachments/"+first.ID()+"/content").Problem(404, "not_found")
	there := newHome(stranger, "Birch Court")
	attach(stranger, "application/pdf", told("unit", there.unit, "other"), []byte(paper)).Is(201)
	require.Len(t, kept(), 2)
	for _, name := range kept() {
		require.True(t, strings.Contains(name, s.Organization.String()) || strings.Contains(name, otherID.String()), name)
	}
}

func TestLogHasTheHashOfTheBytes(t *testing.T) {
	t.Parallel()
	owner := contracttest.New(t).Owner()
	h := newHome(owner, "Alder Court")
	made := attach(owner, "application/pdf", told("unit", h.unit, "pamphlet", "edition", "2020-03"), []byte(paper)).Is(201)
	owner.With("If-Match", `"1"`).Post("/v1/attachments/"+made.ID()+"/end", `{"how":"void","reason":"Hung on the wrong home."}`).Is(200)
	changes := follow(t, owner, 8) // organization, key, property, building, unit, room, attachment twice
	hung := changes[len(changes)-2:]
	require.Equal(t, []string{"created", "ended"}, []string{hung[0].Action, hung[1].Action})
	for _, c := range hung {
		require.Equal(t, []any{hexSum([]byte(paper)), float64(len(paper)), "application/pdf", "2020-03"},
			[]any{c.Record["sha256"], c.Record["size"], c.Record["content_type"], c.Record["edition"]})
	}
	var list api.AttachmentList
	owner.Get("/v1/attachments").Is(200).Into(&list)
	require.Empty(t, list.Items, "it has left lists")
	owner.Get("/v1/attachments?include_ended=true").Is(200).Into(&list)
	require.Len(t, list.Items, 1)
	require.Equal(t, paper, string(owner.Get("/v1/attachments/"+made.ID()+"/content").Is(200).Body), "and stays readable")
	owner.With("If-Match", `"2"`).Post("/v1/attachments/"+made.ID()+"/end", `{"how":"void","reason":"Again."}`).Problem(409, "ended")
}

func TestBytesThatAreGoneAreSaidToBe(t *testing.T) {
	t.Parallel()
	change, kept := directory(t)
	owner := contracttest.NewWith(t, pgtest.Database(t), change).Owner()
	h := newHome(owner, "Alder Court")
	made := attach(owner, "application/pdf", told("unit", h.unit, "other"), []byte(paper)).Is(201)
	require.NoError(t, os.Remove(kept()[0]))
	owner.Get("/v1/attachments/"+made.ID()+"/content").Problem(503, "bytes_missing")
	owner.Get("/v1/attachments/" + made.ID()).Is(200)
}

func TestServiceWithoutAPlaceForAttachmentsTakesNone(t *testing.T) {
	t.Parallel()
	owner := contracttest.NewWith(t, pgtest.Database(t), func(o *httpapi.Options) { o.Objects = nil }).Owner()
	h := newHome(owner, "Alder Court")
	attach(owner, "application/pdf", told("unit", h.unit, "other"), []byte(paper)).Problem(503, "attachments_not_kept")
	var list api.AttachmentList
	owner.Get("/v1/attachments").Is(200).Into(&list)
	require.Empty(t, list.Items)
}
