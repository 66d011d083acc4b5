package postgres_test

import (
	"encoding/json"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/internal/evidence"
	"sillbook/internal/postgres"
)

// block is one record of testdata/written_forms.txt.
type block struct{ kind, told, written string }

func writtenForms(t *testing.T) (list []block) {
	t.Helper()
	text, err := os.ReadFile("testdata/written_forms.txt")
	require.NoError(t, err)
	_, body, _ := strings.Cut(string(text), "\n\n")
	for part := range strings.SplitSeq(strings.TrimSpace(body), "\n\n") {
		lines := strings.Split(part, "\n")
		require.Len(t, lines, 3)
		list = append(list, block{lines[0], lines[1], lines[2]})
	}
	return list
}

func goldenSalt() []byte {
	salt := make([]byte, 32)
	for i := range salt {
		salt[i] = byte(i)
	}
	return salt
}

func TestWrittenFormsAreTheSameBytesForEver(t *testing.T) {
	t.Parallel()
	var (
		organization = uuid.MustParse("01930000-0000-7000-8000-00000000000a")
		property     = uuid.MustParse("01930000-0000-7000-8000-000000000011")
		record       = uuid.MustParse("01930000-0000-7000-8000-000000000001")
		instant      = time.Date(2026, time.March, 2, 15, 4, 5, 123456000, time.UTC)
	)
	kinds := map[string]bool{}
	for _, b := range writtenForms(t) {
		kinds[b.kind] = true
		id := record
		switch b.kind {
		case "organization":
			id = organization
		case "property":
			id = property
		}
		written, err := postgres.WrittenForm(b.kind, id, organization, property, instant, goldenSalt(), []byte(b.told))
		require.NoError(t, err, b.kind)
		require.Equal(t, b.written, string(written), b.kind)
	}
	for _, kind := range postgres.Kinds() {
		require.True(t, kinds[kind], "pin the bytes of a %s", kind)
	}
}

// Whoever has salt and value can check a commitment with any SHA-256: these were made with sha256sum.
func TestCommitmentsInTheWrittenFormAreOfSaltAndValue(t *testing.T) {
	t.Parallel()
	var occupancy map[string]any
	for _, b := range writtenForms(t) {
		if b.kind == "occupancy" {
			require.NoError(t, json.Unmarshal([]byte(b.written), &occupancy))
			require.NotContains(t, b.written, "2029-11")
		}
	}
	for field, check := range map[string]struct{ value, sum string }{
		"pregnant_residents": {`1`, "b495dc753afb3e8bded01e7912e76708e95c25c21e80b0d8f1b72e096d101a50"},
		"under_six_until":    {`"2029-11"`, "f789e430451f14cad06763c584ce267209a1c2ea73bd80508e6d297346b59d1c"},
	} {
		require.Equal(t, "sha256:"+check.sum, occupancy[field])
		require.Equal(t, "sha256:"+check.sum, evidence.Commit(goldenSalt(), []byte(check.value)))
	}
}
