package httpapi

import (
	"log/slog"
	"net/http"
	"strconv"
	"sync"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/postgres"
)

type metrics struct {
	requests *prometheus.HistogramVec
	unlogged prometheus.Counter
	bytes    *prometheus.CounterVec
	mu       sync.RWMutex
	series   map[series]prometheus.Observer // those of requests that have been used
}

// series is what tells one series of requests from another.
type series struct {
	operation string
	status    int
}

// of finds a series without writing its labels out each time.
func (m *metrics) of(s series) prometheus.Observer {
	m.mu.RLock()
	found := m.series[s]
	m.mu.RUnlock()
	if found == nil {
		found = m.requests.WithLabelValues(s.operation, strconv.Itoa(s.status))
		m.mu.Lock()
		m.series[s] = found
		m.mu.Unlock()
	}
	return found
}

func newMetrics(registry *prometheus.Registry, store *postgres.Store) *metrics {
	m := &metrics{series: map[series]prometheus.Observer{}, requests: prometheus.NewHistogramVec(prometheus.HistogramOpts{
		Name: "sillbook_request_seconds", Help: "Time to answer a request, by operation and status.",
		Buckets: []float64{.001, .0025, .005, .01, .025, .05, .1, .25, .5, 1, 2.5, 10},
	}, []string{"operation", "status"})}
	m.unlogged = prometheus.NewCounter(prometheus.CounterOpts{Name: "sillbook_unlogged_total", Help: "Requests whose log line could not be written."})
	m.bytes = prometheus.NewCounterVec(prometheus.CounterOpts{Name: "sillbook_attachment_bytes_total", Help: "Bytes of attachments received and served."}, []string{"way"})
	registry.MustRegister(m.requests, m.unlogged, m.bytes,
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: "sillbook_pool_connections", Help: "Open database connections for requests."},
			func() float64 { return float64(store.Stat().TotalConns()) }),
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: "sillbook_pool_busy", Help: "Database connections in use by requests."},
			func() float64 { return float64(store.Stat().AcquiredConns()) }))
	return m
}

// observe counts a request and writes its one log line. Nothing of bodies, credentials or query values is in it.
func (s *Server) observe(c echo.Context, r *request) {
	ended, status := time.Now(), c.Response().Status
	took := ended.Sub(r.started)
	name := "none"
	if r.op != nil {
		name = r.op.id
	}
	s.metrics.of(series{name, status}).Observe(took.Seconds())
	level := slog.LevelInfo
	if status >= 500 {
		level = slog.LevelError
	}
	if r.op == nil && status < 400 {
		level = slog.LevelDebug
	}
	ctx := c.Request().Context()
	if !r.log.Enabled(ctx, level) {
		return
	}
	attrs := []slog.Attr{slog.String("request_id", r.id), slog.String("operation", name), slog.String("method", c.Request().Method),
		slog.String("route", c.Path()), slog.Int("status", status), slog.Duration("took", took), slog.Int64("bytes", c.Response().Size)}
	if r.fault != nil {
		attrs = append(attrs, slog.String("problem", r.fault.Code))
		if r.fault.Kind == fault.Internal || r.fault.Kind == fault.Unavailable {
			attrs = append(attrs, slog.Any("cause", r.fault.Cause))
		}
	}
	line := slog.NewRecord(ended, level, "request", 0) // without a look at the stack: there is one place that writes these
	line.AddAttrs(attrs...)
	if err := r.log.Handler().Handle(ctx, line); err != nil {
		s.metrics.unlogged.Inc()
	}
}

// operational adds what is beside the contract: life signs, metrics and the contract itself.
func (s *Server) operational(e *echo.Echo, registry *prometheus.Registry) {
	e.GET("/livez", func(c echo.Context) error { return c.JSON(http.StatusOK, map[string]string{"status": "live"}) })
	e.GET("/readyz", func(c echo.Context) error {
		if err := s.store.Ready(c.Request().Context()); err != nil {
			return err
		}
		return c.JSON(http.StatusOK, map[string]string{"status": "ready"})
	})
	e.GET("/version", func(c echo.Context) error {
		return c.JSON(http.StatusOK, map[string]string{"version": s.version, "rule_set": s.store.RuleSet()})
	})
	e.GET("/metrics", echo.WrapHandler(promhttp.HandlerFor(registry, promhttp.HandlerOpts{})))
	e.GET("/openapi.yaml", func(c echo.Context) error { return c.Blob(http.StatusOK, "application/yaml", api.Contract()) })
	e.GET("/openapi.json", func(c echo.Context) error { return c.Blob(http.StatusOK, "application/json", s.text) })
}
