package postgres

import (
	"context"
	"encoding/binary"
	"slices"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgtype"
	"github.com/jackc/pgx/v5/pgxpool"
)

// binaryForm asks for all parameters or columns in their binary form.
var binaryForm = []int16{pgtype.BinaryFormatCode}

// getNow is Load in a transaction of its own: the read that is asked for more often than all else together, of a record
// that needs nothing revealed and no access recorded. It is the same batch that read sends, put together one layer lower:
// the prepared statement's columns are known and need not be described again, nor their decoding be planned.
func (s *Store) getNow(ctx context.Context, call Call, kind string, id uuid.UUID) (Record, error) {
	conn, err := s.pool.Acquire(ctx)
	if err != nil {
		return Record{}, settle(err)
	}
	defer conn.Release()
	record, found := Record{Kind: kind, ID: id}, false
	if err = record.fetch(ctx, conn, call.Caller.Organization, &found); err != nil {
		rollback(conn)
		return Record{}, settle(err)
	}
	if !found || !call.Caller.Sees(record.Properties) {
		return Record{}, notFound()
	}
	return record, nil
}

func (r *Record) fetch(ctx context.Context, conn *pgxpool.Conn, organization uuid.UUID, found *bool) error {
	get := tableOf(r.Kind).get
	statement, err := conn.Conn().Prepare(ctx, get, get)
	if err != nil {
		return err
	}
	var batch pgconn.Batch
	batch.ExecParams("begin", nil, nil, nil, nil)
	batch.ExecParams(tenant(organization), nil, nil, nil, nil)
	batch.ExecStatement(statement, [][]byte{organization[:], r.ID[:]}, binaryForm, binaryForm)
	batch.ExecParams("commit", nil, nil, nil, nil)
	results := conn.Conn().PgConn().ExecBatch(ctx, &batch)
	for results.NextResult() {
		rows := results.ResultReader()
		for rows.NextRow() {
			*found = true
			if err == nil {
				err = r.decode(conn.Conn().TypeMap(), rows.Values())
			}
		}
	}
	if ended := results.Close(); ended != nil {
		return ended
	}
	return err
}

// decode takes a row of get apart: version, ended, body, and the property or properties.
func (r *Record) decode(types *pgtype.Map, row [][]byte) error {
	r.Version = int(int32(binary.BigEndian.Uint32(row[0])))
	r.Ended = row[1][0] == 1
	r.Body = slices.Clone(row[2])
	if tableOf(r.Kind).scope == ofProperties {
		return types.Scan(pgtype.UUIDArrayOID, pgtype.BinaryFormatCode, row[3], &r.Properties)
	}
	if row[3] == nil {
		return nil
	}
	property, err := uuid.FromBytes(row[3])
	r.Properties = []uuid.UUID{property}
	return err
}
