package postgres

import (
	"context"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"
)

// identifiers makes a new connection read and write identifiers as their sixteen bytes. Left alone, pgx writes each
// uuid.UUID as text, fails to send that as binary, and reads it back, on every statement.
func identifiers(_ context.Context, conn *pgx.Conn) error {
	element := &pgtype.Type{Name: "uuid", OID: pgtype.UUIDOID, Codec: uuidCodec{}}
	conn.TypeMap().RegisterType(element)
	conn.TypeMap().RegisterType(&pgtype.Type{Name: "_uuid", OID: pgtype.UUIDArrayOID, Codec: &pgtype.ArrayCodec{ElementType: element}})
	return nil
}

// uuidCodec knows uuid.UUID in the binary form; everything else is as pgx does it.
type uuidCodec struct{ pgtype.UUIDCodec }

// PlanEncode plans how a parameter is written.
func (c uuidCodec) PlanEncode(m *pgtype.Map, oid uint32, format int16, value any) pgtype.EncodePlan {
	if _, ours := value.(uuid.UUID); ours && format == pgtype.BinaryFormatCode {
		return writeUUID{}
	}
	return c.UUIDCodec.PlanEncode(m, oid, format, value)
}

// PlanScan plans how a column is read.
func (c uuidCodec) PlanScan(m *pgtype.Map, oid uint32, format int16, target any) pgtype.ScanPlan {
	if _, ours := target.(*uuid.UUID); ours && format == pgtype.BinaryFormatCode {
		return readUUID{}
	}
	return c.UUIDCodec.PlanScan(m, oid, format, target)
}

type writeUUID struct{}

// Encode appends the sixteen bytes.
func (writeUUID) Encode(value any, buf []byte) ([]byte, error) {
	id := value.(uuid.UUID)
	return append(buf, id[:]...), nil
}

type readUUID struct{}

// Scan takes the sixteen bytes; a null is the nil UUID.
func (readUUID) Scan(src []byte, target any) (err error) {
	id := target.(*uuid.UUID)
	if src == nil {
		*id = uuid.Nil
		return nil
	}
	*id, err = uuid.FromBytes(src)
	return err
}
