package bench

import (
	"context"
	"net"
	"net/http"
	"strconv"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// bare is the least that can answer with a unit's stored bytes: net/http and pgx, no credential, no contract, no log.
// As the role that serves requests, under row-level security, it runs the same batch in the same one round trip.
type bare struct{ pool *pgxpool.Pool }

const selectBody = `
select body
from unit
where organization_id = $1
  and id = $2`

// bareHeader names the organization, which nothing else tells a server without credentials.
const bareHeader = "Organization"

// serveBare runs the bare handler until stop is called.
func (c Config) serveBare(ctx context.Context, url string) (address string, stop func() error, err error) {
	config, err := pgxpool.ParseConfig(url)
	if err != nil {
		return "", nil, err
	}
	config.MaxConns = int32(c.Connections)
	config.ConnConfig.DefaultQueryExecMode = pgx.QueryExecModeExec // the tenant setting is a new text for each organization
	config.ConnConfig.RuntimeParams["role"] = "sillbook_app"
	config.ConnConfig.RuntimeParams["search_path"] = "sillbook"
	config.AfterConnect = func(ctx context.Context, conn *pgx.Conn) error {
		_, err := conn.Prepare(ctx, selectBody, selectBody)
		return err
	}
	pool, err := pgxpool.NewWithConfig(ctx, config)
	if err != nil {
		return "", nil, err
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		pool.Close()
		return "", nil, err
	}
	mux := http.NewServeMux()
	mux.Handle("GET /v1/units/{id}", bare{pool})
	server := &http.Server{Handler: mux}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(listener) }()
	stop = func() error {
		err := server.Close()
		<-ended // always http.ErrServerClosed after Close
		pool.Close()
		return err
	}
	return listener.Addr().String(), stop, nil
}

func (b bare) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	organization, err := uuid.Parse(r.Header.Get(bareHeader))
	if err != nil {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	id, err := uuid.Parse(r.PathValue("id"))
	if err != nil {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	body, err := b.unit(r.Context(), organization, id)
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Content-Length", strconv.Itoa(len(body)))
	w.Write(body) // a client that has gone away is no concern of a measurement
}

// unit hands the identifiers over as bytes: as uuid.UUID, pgx writes each as text and reads it again.
func (b bare) unit(ctx context.Context, organization, id uuid.UUID) (body []byte, err error) {
	var batch pgx.Batch
	batch.Queue("begin")
	batch.Queue("set local app.organization = '" + organization.String() + "'")
	batch.Queue(selectBody, [16]byte(organization), [16]byte(id)).QueryRow(func(row pgx.Row) error { return row.Scan(&body) })
	batch.Queue("commit")
	conn, err := b.pool.Acquire(ctx)
	if err != nil {
		return nil, err
	}
	defer conn.Release()
	return body, conn.SendBatch(ctx, &batch).Close()
}
